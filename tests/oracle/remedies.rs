//! Faults of the demo model, each mended by a trial that its own remedy proposes: measured again, written, read, and gone.

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::write::StepOptions;
use rakelight_core::finding::{Finding, Severity};
use rakelight_core::progress::Silent;
use rakelight_core::remedy::{Before, Helps, Outcome, outcome};
use rakelight_core::review::Options;
use rakelight_core::review::revision::Fate;
use rakelight_core::trial::Trials;
use rakelight_tests::mended::{FAULTS, first_remedies, opened, worst};

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
    for (fault, about, remedy) in first_remedies(&own, &findings) {
        let done = outcome(&before, &remedy.upon(&Trials::default()), Some(about), &mut Silent).expect("not cancelled");
        println!("{}: {}: {}", fault.0.text(), remedy.name, done.sentence);
        assert_eq!(done.helps, Helps::Yes, "{fault:?}: {}", done.sentence);
        assert_eq!(worst(&done.prepared.import.model, &done.findings, fault), None, "{fault:?}");
        assert_eq!(broken(&done), Vec::<String>::new(), "{fault:?}");
        assert!(done.deviations.iter().all(|d| d.from_new.is_finite() && d.count > 500));
        stack = remedy.upon(&stack);
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
