//! Faults of the demo model, each mended by a trial that its own remedy proposes: measured again, written, read, and gone.

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::write::StepOptions;
use rakelight_core::finding::{Finding, MeasureId, Severity};
use rakelight_core::model::Model;
use rakelight_core::progress::Silent;
use rakelight_core::remedy::{Before, Helps, Outcome, outcome, remedies};
use rakelight_core::review::revision::Fate;
use rakelight_core::review::{Opened, Options};
use rakelight_core::trial::Trials;

/// Faults by measure, and a word in the names of all faces concerned.
const FAULTS: [(MeasureId, &str); 5] = [
    (MeasureId::HighlightWiggle, "hood rear left"),
    (MeasureId::RowsEvenness, "cheek rear right"),
    (MeasureId::FormRidgeSign, "left"),
    (MeasureId::FilletBalance, "arch fillet middle left"),
    (MeasureId::LayoutSplit, "hood rear"),
];

fn opened(text: &str, options: &Options) -> (Opened, Vec<Finding>) {
    let mut opened = Opened::read(text.as_bytes(), "bramble.step", options, &mut Silent, &mut || 0.0).expect("our own file");
    let found = opened.judge(None, options, &mut Silent);
    (opened, found)
}

/// The worst finding of a fault.
fn worst(model: &Model, all: &[Finding], (measure, word): (MeasureId, &str)) -> Option<usize> {
    let on = |f: &Finding| f.faces.iter().all(|id| model.faces[id.index()].name.contains(word));
    all.iter().position(|f| f.measure == measure && f.severity != Severity::Good && on(f))
}

/// What is new or worse, and has to be mended.
fn broken(done: &Outcome) -> Vec<String> {
    let all = done.carried.iter().filter(|c| matches!(c.fate, Fate::New | Fate::Worse)).filter_map(|c| done.findings.get(c.later?));
    all.filter(|f| f.severity <= Severity::Fix).map(|f| format!("{} {} {}", f.severity.text(), f.measure.text(), f.value)).collect()
}

#[test]
fn five_faults_are_mended_by_their_first_remedies_written_and_gone() {
    let options = Options::default();
    let (own, findings) = opened(&step(Revision::A), &options);
    let before = Before { prepared: &own.prepared, graph: &own.graph, findings: &findings, reference: None, options: &options };
    let model = &own.prepared.import.model;
    let mut stack = Trials::default();
    for fault in FAULTS {
        let about = worst(model, &findings, fault).unwrap_or_else(|| panic!("{fault:?} is not found"));
        let all = remedies(&own.subject(None), &findings[about]).unwrap_or_else(|e| panic!("{fault:?}: {}", e.why));
        let done = outcome(&before, &all[0].upon(&Trials::default()), Some(about), &mut Silent).expect("not cancelled");
        println!("{}: {}: {}", fault.0.text(), all[0].name, done.sentence);
        assert_eq!(done.helps, Helps::Yes, "{fault:?}: {}", done.sentence);
        assert_eq!(worst(&done.prepared.import.model, &done.findings, fault), None, "{fault:?}");
        assert_eq!(broken(&done), Vec::<String>::new(), "{fault:?}");
        assert!(done.deviations.iter().all(|d| d.from_new.is_finite() && d.count > 500));
        stack = all[0].upon(&stack);
    }
    // All upon each other, as a file.
    let done = outcome(&before, &stack, None, &mut Silent).expect("not cancelled");
    println!("all: {}", done.sentence);
    assert_eq!((done.helps, broken(&done)), (Helps::Yes, Vec::new()), "{}", done.sentence);
    let written = done.applied.step(&StepOptions::default());
    assert_eq!(written.remarks, [], "what is coarser in the file");
    let (back, after) = opened(&written.text, &options);
    assert_eq!(back.prepared.import.model.faces.len(), model.faces.len() - 1);
    for fault in FAULTS {
        assert_eq!(worst(&back.prepared.import.model, &after, fault), None, "{fault:?} in the file");
    }
    let serious = |all: &[Finding]| all.iter().filter(|f| f.severity == Severity::Serious).count();
    assert!(serious(&after) < serious(&findings), "{} serious after {}", serious(&after), serious(&findings));
}
