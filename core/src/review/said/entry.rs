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
