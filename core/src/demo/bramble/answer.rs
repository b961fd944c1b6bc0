//! The answer key: which faults each revision carries, and what they amount to.

use super::Revision;
use super::half::{Faults, half};
use super::patch::mirror;
use crate::finding::{MeasureId, Severity};
use crate::math::Point3;

/// A fault put into the model on purpose.
#[derive(Debug, Clone, PartialEq)]
pub struct SeededFault {
    /// Short name, the same in both revisions.
    pub id: &'static str,
    /// The measure that finds it.
    pub measure: MeasureId,
    /// Where it is largest, mm.
    pub place: Point3,
    /// Distance from there within which findings of the same measure belong to it, mm.
    pub reach: f64,
    /// Its size, in the measure's unit.
    pub value: f64,
    /// Severity at the default yardstick's visible column.
    pub severity: Severity,
    /// What it is, in plain words.
    pub what: &'static str,
    /// Other measures that the same fault shows in, on the face it is on: waves are built by rows that turn to and fro.
    pub shows: &'static [MeasureId],
}

/// Faults of the right and the left half.
pub(super) fn faults(revision: Revision) -> (Faults, Faults) {
    let none = Faults::default();
    match revision {
        Revision::A => (
            Faults { kink: Some(0.8), curvature: Some(0.35), uneven: Some(1.2), skew: Some(1.2), tight: Some(2.0), split: true, ..none },
            Faults {
                step: Some(0.12),
                slope: Some(0.6),
                skew: Some(1.2),
                ripple: Some(0.06),
                flip: Some(2.5),
                balance: Some(0.7),
                drift: Some(0.9),
                open: Some(1.2),
                sliver: Some(0.8),
                ..none
            },
        ),
        Revision::B => (Faults { cheek_kink: Some(0.3), split: true, ..none }, Faults { balance: Some(0.7), slope: Some(0.6), ..none }),
        Revision::Sound => (none, none),
    }
}

/// The seeded faults of a revision, right half first.
pub fn seeded(revision: Revision) -> Vec<SeededFault> {
    let (right, left) = faults(revision);
    let mut all: Vec<SeededFault> = Vec::new();
    for (mine, other, name) in [(right, left, "right"), (left, right, "left")] {
        for (id, truth) in half(&mine, other.split, name).truths {
            let (measure, severity, what) = entry(id);
            let p = truth.place.to_vec();
            let place = Point3::from_vec(if name == "left" { mirror(p) } else { p });
            // The skew rows are the same fault on both halves.
            if !all.iter().any(|f| f.id == id) {
                let reach = match id {
                    // Around the whole lamp, and along the whole strip.
                    "open" => 90.0,
                    "sliver" => 160.0,
                    // A net has no one place: along the row.
                    "uneven" => 120.0,
                    _ => 60.0,
                };
                let shows: &[MeasureId] = if matches!(id, "ripple" | "tight") { &[MeasureId::RowsTurning] } else { &[] };
                all.push(SeededFault { id, measure, place, reach, value: truth.value, severity, what, shows });
            }
        }
    }
    all
}

/// Measure, severity and description of a fault by its id.
fn entry(id: &str) -> (MeasureId, Severity, &'static str) {
    use Severity::{Fix, Polish, Serious};
    match id {
        "step" => (MeasureId::JoinPosition, Serious, "The rear cheek stands proud of the middle one."),
        "kink" => (MeasureId::JoinTangent, Serious, "The hood breaks where front and middle patch meet."),
        "cheek-kink" => (MeasureId::JoinTangent, Fix, "The cheek breaks where middle and rear patch meet."),
        "curvature" => (MeasureId::JoinCurvature, Fix, "The curvature jumps between front and middle cheek."),
        "slope" => (MeasureId::JoinCurvatureSlope, Polish, "The curvature changes pace between front and middle hood."),
        "uneven" => (MeasureId::RowsEvenness, Fix, "One control point of the rear cheek has slid along its row."),
        "skew" => (MeasureId::RowsSquare, Fix, "The front hood's rows meet the centre plane off square."),
        "ripple" => (MeasureId::HighlightWiggle, Fix, "A faint wave runs over the rear hood."),
        "flip" => (MeasureId::FormRidgeSign, Serious, "The ridge turns hollow for a short way over the nose."),
        "flip-break" => {
            (MeasureId::JoinTangent, Serious, "Where the ridge turns hollow its angle passes through zero, so it is no clean crease.")
        }
        "tight" => (MeasureId::FilletRadius, Fix, "The rear arch fillet closes to a small radius."),
        "balance" => (MeasureId::FilletBalance, Fix, "The middle arch fillet reaches further into the flange than into the cheek."),
        "drift" => (MeasureId::GapParallel, Fix, "The hatch gap opens along one side."),
        "open" => (MeasureId::JoinOpen, Serious, "The lamp floor stops short of the wall."),
        "sliver" => (MeasureId::LayoutSliver, Fix, "A narrow strip is left between front and middle cheek."),
        _ => (MeasureId::LayoutSplit, Polish, "The rear hood is cut in two though one patch holds it."),
    }
}
