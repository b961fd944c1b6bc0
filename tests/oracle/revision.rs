//! The demo's two revisions, held to both answer keys: what was fixed, what remains, what is new.

use rakelight_core::demo::bramble::{Revision, SeededFault, seeded, step};
use rakelight_core::finding::{Finding, Severity, Yardstick};
use rakelight_core::joins::JoinGraph;
use rakelight_core::measure::{Memo, Subject};
use rakelight_core::progress::Silent;
use rakelight_core::review::revision::{Carried, Fate, Judged, carried};
use rakelight_core::review::{Options, Prepared, judged};

struct Opened {
    prepared: Prepared,
    graph: JoinGraph,
    memo: Memo,
    findings: Vec<Finding>,
}

impl Opened {
    fn new(text: &str) -> Self {
        let options = Options::default();
        let import = rakelight_core::exchange::read(text.as_bytes(), "a.step", &options.limits, &mut Silent).expect("our own file");
        let prepared = Prepared::new(import);
        let mut graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, &mut Silent).expect("not cancelled");
        let memo = Memo::default();
        let findings = judged(&prepared, &mut graph, &memo, None, &options, &mut Silent);
        Self { prepared, graph, memo, findings }
    }

    fn subject(&self) -> Subject<'_> {
        Subject { sheets: self.prepared.sheets(), areas: &self.prepared.areas, graph: &self.graph, memo: &self.memo, reference: None }
    }

    /// Index of the worst finding of a seeded fault.
    fn of(&self, fault: &SeededFault) -> usize {
        let hits = self.findings.iter().enumerate().filter(|(_, f)| {
            f.severity != Severity::Good && f.measure == fault.measure && f.place.point.distance(fault.place) <= fault.reach
        });
        hits.min_by_key(|(_, f)| f.severity).unwrap_or_else(|| panic!("{} is not found", fault.id)).0
    }
}

fn between(a: &Opened, b: &Opened) -> Vec<Carried> {
    let (earlier, later) = (a.subject(), b.subject());
    let usual = Yardstick::default();
    carried(&Judged { subject: &earlier, findings: &a.findings }, &Judged { subject: &later, findings: &b.findings }, &usual)
}

fn told(f: &Finding) -> String {
    format!("{} {} {:.4} at {:?}", f.severity.text(), f.measure.text(), f.value, f.place.point)
}

#[test]
fn from_revision_a_to_b_the_answer_keys_tell_what_became_of_each_fault() {
    let (a, b) = (Opened::new(&step(Revision::A)), Opened::new(&step(Revision::B)));
    let all = between(&a, &b);
    let (before, now) = (seeded(Revision::A), seeded(Revision::B));
    let mut wrong = Vec::new();
    for fault in &before {
        let remains = now.iter().any(|f| f.id == fault.id);
        let want = if remains { Fate::Same } else { Fate::Fixed };
        let i = a.of(fault);
        let got = all.iter().find(|c| c.earlier == Some(i)).expect("every finding is carried").fate;
        if got != want {
            wrong.push(format!("{}: {got:?}, not {want:?}", fault.id));
        }
    }
    for fault in now.iter().filter(|f| before.iter().all(|g| g.id != f.id)) {
        let j = b.of(fault);
        let got = all.iter().find(|c| c.later == Some(j)).expect("every finding is carried").fate;
        if got != Fate::New {
            wrong.push(format!("{}: {got:?}, not new", fault.id));
        }
    }
    // Nothing else that is to be mended is new or worse, and no face is gone.
    for c in &all {
        let finding = c.later.map(|j| &b.findings[j]).or(c.earlier.map(|i| &a.findings[i])).expect("one of both");
        let seeded = now.iter().any(|f| f.measure == finding.measure && f.place.distance(finding.place.point) <= f.reach);
        let mended = matches!(finding.severity, Severity::Serious | Severity::Fix);
        if matches!(c.fate, Fate::New | Fate::Worse) && mended && !seeded || c.fate == Fate::Gone {
            wrong.push(format!("{:?}: {}", c.fate, told(finding)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let count = |fate| all.iter().filter(|c| c.fate == fate).count();
    println!(
        "fixed {}, same {}, better {}, worse {}, new {}",
        count(Fate::Fixed),
        count(Fate::Same),
        count(Fate::Better),
        count(Fate::Worse),
        count(Fate::New)
    );
}

/// The other way round, what was fixed is new and what was new is fixed; and of a revision beside itself nothing changes, though its faces
/// come in another order in the file.
#[test]
fn the_other_way_round_and_beside_itself() {
    let (a, b) = (Opened::new(&step(Revision::A)), Opened::new(&step(Revision::B)));
    let (on, back) = (between(&a, &b), between(&b, &a));
    let count = |all: &[Carried], fate| all.iter().filter(|c| c.fate == fate).count();
    assert_eq!(count(&on, Fate::Fixed), count(&back, Fate::New));
    assert_eq!(count(&on, Fate::New), count(&back, Fate::Fixed));
    assert_eq!((count(&on, Fate::Same), count(&on, Fate::Worse)), (count(&back, Fate::Same), count(&back, Fate::Better)));
    let again = Opened::new(&step(Revision::A));
    assert!(between(&a, &again).iter().all(|c| c.fate == Fate::Same && c.earlier == c.later));
}

#[test]
fn a_face_that_is_left_out_takes_its_findings_with_it() {
    let a = Opened::new(&step(Revision::A));
    let mut less = Opened::new(&step(Revision::A));
    // The rear cheek of the right half, which carries the uneven row, and its neighbours up to the arch.
    let fault = seeded(Revision::A).into_iter().find(|f| f.id == "uneven").expect("seeded");
    let face = a.findings[a.of(&fault)].faces[0];
    let mut import = less.prepared.import;
    import.model.faces.remove(face.index());
    less.prepared = Prepared::new(import);
    let options = Options::default();
    less.graph = JoinGraph::find(&less.prepared.sheets(), &less.prepared.areas, &options.joins, &mut Silent).expect("not cancelled");
    less.memo = Memo::default();
    less.findings = judged(&less.prepared, &mut less.graph, &less.memo, None, &options, &mut Silent);
    let all = between(&a, &less);
    let fate = all.iter().find(|c| c.earlier == Some(a.of(&fault))).expect("carried").fate;
    assert_eq!(fate, Fate::Gone);
    let skew = seeded(Revision::A).into_iter().find(|f| f.id == "ripple").expect("seeded");
    assert_eq!(all.iter().find(|c| c.earlier == Some(a.of(&skew))).expect("carried").fate, Fate::Same, "ids have shifted, faces have not");
}
