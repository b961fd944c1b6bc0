//! `gap.parallel`: how fast the width of a gap changes along it.

use super::on_gap::worst;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// For each gap the place where its width changes fastest, mm per 100 mm (over which base: [`crate::gap::Gap::changes`]).
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    worst(
        subject,
        judge,
        MeasureId::GapParallel,
        |gap| gap.changes().into_iter().map(|c| Some(c.abs())).collect(),
        |gap, _| {
            let (low, high) = gap.stations.iter().fold((f64::INFINITY, 0.0f64), |(l, h), s| (l.min(s.width), h.max(s.width)));
            format!(
                "The gap runs from {low:.2} to {high:.2} mm wide, and changes fastest here: lead the edge of the smaller panel along the \
                 larger one's."
            )
        },
    )
}
