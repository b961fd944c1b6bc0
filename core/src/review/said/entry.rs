//! What the ledger lists: findings with what was said of them, and pins.

use super::{Mark, Pin, Rank, Said, State, finding_key};
use crate::finding::{MeasureId, Pass, Severity};
use crate::review::{Check, FindingRecord};

/// An entry of the ledger, as it stands.
#[derive(Debug, Clone)]
pub struct Entry<'a> {
    /// Severity as it stands.
    pub rank: Rank,
    /// What becomes of it.
    pub state: State,
    /// Pass it belongs to; None of a pin of none that judges.
    pub pass: Option<Pass>,
    /// Its heading.
    pub title: String,
    /// The finding with its index in the check; None of a pin.
    pub finding: Option<(usize, &'a FindingRecord)>,
    /// What was said of the finding.
    pub mark: Option<&'a Mark>,
    /// The pin; None of a finding.
    pub pin: Option<&'a Pin>,
}

impl Entry<'_> {
    /// True where something is still to be mended.
    pub fn stands(&self) -> bool {
        self.rank.asks() && matches!(self.state, State::Open | State::Agreed)
    }

    /// Numbers of the faces it lies on.
    pub fn faces(&self) -> Vec<usize> {
        match (self.finding, self.pin) {
            (Some((_, f)), _) => f.faces.clone(),
            (_, Some(p)) => p.face.into_iter().collect(),
            _ => Vec::new(),
        }
    }

    /// Where it is, mm.
    pub fn place(&self) -> [f64; 3] {
        match (self.finding, self.pin) {
            (Some((_, f)), _) => f.place.point.map(|x| x.0),
            (_, Some(p)) => p.place,
            _ => [0.0; 3],
        }
    }
}

/// All entries, worst first: of one severity own ones before measured ones, these as they are ranked.
pub fn entries<'a>(check: &'a Check, said: &'a Said) -> Vec<Entry<'a>> {
    let pins = said.pins.iter().map(of_pin);
    let findings = check.findings.iter().enumerate().filter_map(|(i, f)| of_finding(i, f, said));
    let all: Vec<Entry<'a>> = pins.chain(findings).collect();
    Rank::ALL.into_iter().flat_map(|rank| all.iter().filter(move |e| e.rank == rank).cloned()).collect()
}

fn of_pin(pin: &Pin) -> Entry<'_> {
    let title = if pin.title.is_empty() { format!("Pin {}", pin.key) } else { pin.title.clone() };
    Entry { rank: pin.severity, state: pin.state, pass: Pass::from_text(&pin.pass), title, finding: None, mark: None, pin: Some(pin) }
}

fn of_finding<'a>(index: usize, f: &'a FindingRecord, said: &'a Said) -> Option<Entry<'a>> {
    let (measure, severity) = (MeasureId::from_text(f.measure)?, Severity::from_text(f.severity)?);
    let mark = said.marks.get(&finding_key(f));
    Some(Entry {
        rank: mark.and_then(|m| m.severity).unwrap_or(severity.into()),
        state: mark.map_or(State::Open, |m| m.state),
        pass: Some(measure.pass()),
        title: measure.title().into(),
        finding: Some((index, f)),
        mark,
        pin: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::bramble::{Revision, step};
    use crate::progress::Silent;
    use crate::review::said::ReviewFile;
    use crate::review::{Options, run};

    #[test]
    fn what_is_said_goes_to_its_finding_and_pins_come_first() {
        let check = run(step(Revision::A).as_bytes(), "bramble.step", &Options::default(), &mut Silent, &mut || 0.0).expect("our own file");
        let key = |severity: &str| finding_key(check.findings.iter().find(|f| f.severity == severity).expect("the demo has all"));
        let text = serde_json::json!({
            "rakelight_review": 1,
            "review": {
                "lamps": { "count": 4 },
                "marks": {
                    key("serious"): { "state": "waived" },
                    key("fix"): { "state": "agreed", "severity": "serious", "reason": "in the light" },
                },
                "pins": [{ "key": 3, "title": "", "text": "dent", "severity": "serious", "state": "open", "place": [1, 2, 3], "face": 0 }],
            }
        });
        let file: ReviewFile = serde_json::from_str(&text.to_string()).expect("sound");
        let all = entries(&check, &file.review);
        assert_eq!(all.len(), check.findings.len() + 1);
        assert_eq!((all[0].title.as_str(), all[0].stands(), all[0].pass), ("Pin 3", true, None));
        let said: Vec<_> = all.iter().filter_map(|e| e.mark.map(|m| (e.rank, m.state, e.stands()))).collect();
        assert_eq!(said.len(), 2);
        assert!(said.contains(&(Rank::Serious, State::Waived, false)) && said.contains(&(Rank::Serious, State::Agreed, true)));
        assert!(all.is_sorted_by_key(|e| e.rank));
    }
}
