//! Faults of the demo model, and the trials that mend them by the remedies that their findings propose.

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::write::StepOptions;
use rakelight_core::finding::{Finding, MeasureId, Severity};
use rakelight_core::model::{FaceId, Model};
use rakelight_core::progress::Silent;
use rakelight_core::remedy::{Remedy, remedies};
use rakelight_core::review::{Opened, Options};
use rakelight_core::trial::{Applied, Trials};

use crate::demo::NAME;

/// A fault by its measure, and a word in the names of all faces concerned.
pub type Fault = (MeasureId, &'static str);

/// Seeded in revision A.
pub const FAULTS: [Fault; 5] = [
    (MeasureId::HighlightWiggle, "hood rear left"),
    (MeasureId::RowsEvenness, "cheek rear right"),
    (MeasureId::FormRidgeSign, "left"),
    (MeasureId::FilletBalance, "arch fillet middle left"),
    (MeasureId::LayoutSplit, "hood rear"),
];

/// Name of the demo as the page writes it with trials.
pub const WRITTEN: &str = "bramble-a.with-trials.stp";

/// True where faces are those of a fault.
pub fn concerns(model: &Model, (_, word): Fault, faces: impl IntoIterator<Item = usize>) -> bool {
    faces.into_iter().all(|id| model.face(FaceId::new(id)).is_some_and(|face| face.name.contains(word)))
}

/// The worst finding of a fault; None where it is gone.
pub fn worst(model: &Model, all: &[Finding], fault: Fault) -> Option<usize> {
    let on = |f: &Finding| concerns(model, fault, f.faces.iter().map(|id| id.index()));
    all.iter().position(|f| f.measure == fault.0 && f.severity != Severity::Good && on(f))
}

/// A file of ours, read and judged.
///
/// # Panics
/// It does not read.
pub fn opened(text: &str, options: &Options) -> (Opened, Vec<Finding>) {
    let mut opened = Opened::read(text.as_bytes(), NAME, options, &mut Silent, &mut || 0.0).expect("our own file");
    let found = opened.judge(None, options, &mut Silent);
    (opened, found)
}

/// The finding of each fault, and the remedy worth trying first.
///
/// # Panics
/// A fault is not found, or has no remedy.
pub fn first_remedies(opened: &Opened, findings: &[Finding]) -> Vec<(Fault, usize, Remedy)> {
    let first = |fault: Fault| {
        let about = worst(&opened.prepared.import.model, findings, fault).unwrap_or_else(|| panic!("{fault:?} is not found"));
        let all = remedies(&opened.subject(None), &findings[about]).unwrap_or_else(|e| panic!("{fault:?}: {}", e.why));
        (fault, about, all.into_iter().next().expect("at least one"))
    };
    FAULTS.into_iter().map(first).collect()
}

/// Revision A with all of them made upon each other, and its file as the page writes it.
pub fn handed_over() -> (Applied, String) {
    let (opened, findings) = opened(&step(Revision::A), &Options::default());
    let all = first_remedies(&opened, &findings).into_iter().fold(Trials::default(), |stack, (_, _, remedy)| remedy.upon(&stack));
    let applied = all.apply(&opened.prepared.import.model);
    let text = applied.step(&StepOptions { file_name: NAME.into(), ..StepOptions::default() }).text;
    (applied, text)
}
