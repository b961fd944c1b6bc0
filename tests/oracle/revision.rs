//! The demo's two revisions, held to both answer keys: what was fixed, what remains, what is new.

use rakelight_core::demo::bramble::{Revision, SeededFault, seeded, step};
use rakelight_core::finding::{Finding, Severity, Yardstick};
use rakelight_core::joins::JoinGraph;
use rakelight_core::measure::Memo;
use rakelight_core::progress::Silent;
use rakelight_core::review::revision::{Carried, Fate, Judged, carried};
use rakelight_core::review::{Opened, Options, Prepared};

/// A revision with its findings.
struct Found {
    opened: Opened,
    findings: Vec<Finding>,
}

impl Found {
    fn new(text: &str) -> Self {
        let options = Options::default();
        let opened = Opened::read(text.as_bytes(), "a.step", &options, &mut Silent, &mut || 0.0).expect("our own file");
        Self::of(opened)
    }

    fn of(mut opened: Opened) -> Self {
        let findings = opened.judge(None, &Options::default(), &mut Silent);
        Self { opened, findings }
    }

    /// Index of the worst finding of a seeded fault.
    fn worst(&self, fault: &SeededFault) -> usize {
        let hits = self.findings.iter().enumerate().filter(|(_, f)| {
            f.severity != Severity::Good && f.measure == fault.measure && f.place.point.distance(fault.place) <= fault.reach
        });
        hits.min_by_key(|(_, f)| f.severity).unwrap_or_else(|| panic!("{} is not found", fault.id)).0
    }
}

fn between(a: &Found, b: &Found) -> Vec<Carried> {
    let (earlier, later) = (a.opened.subject(None), b.opened.subject(None));
    let usual = Yardstick::default();
    carried(&Judged { subject: &earlier, findings: &a.findings }, &Judged { subject: &later, findings: &b.findings }, &usual)
}

fn told(f: &Finding) -> String {
    format!("{} {} {:.4} at {:?}", f.severity.text(), f.measure.text(), f.value, f.place.point)
}

#[test]
fn from_revision_a_to_b_the_answer_keys_tell_what_became_of_each_fault() {
    let (a, b) = (Found::new(&step(Revision::A)), Found::new(&step(Revision::B)));
    let all = between(&a, &b);
    let (before, now) = (seeded(Revision::A), seeded(Revision::B));
    let mut wrong = Vec::new();
    for fault in &before {
        let remains = now.iter().any(|f| f.id == fault.id);
        let want = if remains { Fate::Same } else { Fate::Fixed };
        let i = a.worst(fault);
        let got = all.iter().find(|c| c.earlier == Some(i)).expect("every finding is carried").fate;
        if got != want {
            wrong.push(format!("{}: {got:?}, not {want:?}", fault.id));
        }
    }
    for fault in now.iter().filter(|f| before.iter().all(|g| g.id != f.id)) {
        let j = b.worst(fault);
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
    let (a, b) = (Found::new(&step(Revision::A)), Found::new(&step(Revision::B)));
    let (on, back) = (between(&a, &b), between(&b, &a));
    let count = |all: &[Carried], fate| all.iter().filter(|c| c.fate == fate).count();
    assert_eq!(count(&on, Fate::Fixed), count(&back, Fate::New));
    assert_eq!(count(&on, Fate::New), count(&back, Fate::Fixed));
    assert_eq!((count(&on, Fate::Same), count(&on, Fate::Worse)), (count(&back, Fate::Same), count(&back, Fate::Better)));
    let again = Found::new(&step(Revision::A));
    assert!(between(&a, &again).iter().all(|c| c.fate == Fate::Same && c.earlier == c.later));
}

#[test]
fn a_face_that_is_left_out_takes_its_findings_with_it() {
    let a = Found::new(&step(Revision::A));
    let less = Found::new(&step(Revision::A)).opened;
    // The rear cheek of the right half, which carries the uneven row, and its neighbours up to the arch.
    let fault = seeded(Revision::A).into_iter().find(|f| f.id == "uneven").expect("seeded");
    let face = a.findings[a.worst(&fault)].faces[0];
    let mut import = less.prepared.import;
    import.model.faces.remove(face.index());
    let prepared = Prepared::new(import);
    let options = Options::default();
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, &mut Silent).expect("not cancelled");
    let less = Found::of(Opened { prepared, graph, memo: Memo::default(), ..less });
    let all = between(&a, &less);
    let fate = all.iter().find(|c| c.earlier == Some(a.worst(&fault))).expect("carried").fate;
    assert_eq!(fate, Fate::Gone);
    let skew = seeded(Revision::A).into_iter().find(|f| f.id == "ripple").expect("seeded");
    assert_eq!(
        all.iter().find(|c| c.earlier == Some(a.worst(&skew))).expect("carried").fate,
        Fate::Same,
        "ids have shifted, faces have not"
    );
}
