//! `reference.distance`: how far a face lies off the reference.

use super::{Judge, Subject, against};
use crate::finding::{Finding, MeasureId, Place};
use crate::reference::FaceDistances;

/// One finding a face whose largest distance passes the limit, with the area beyond it. Places farther from the reference than it is
/// near, and places beside its border, are no distance: see `reference.missing`.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    // An ideal flow is there to be looked at.
    if subject.reference.is_none_or(|r| r.ideal) {
        return Vec::new();
    }
    let Some(against) = against(subject) else { return Vec::new() };
    against.distances.iter().filter_map(|d| one(judge, d)).collect()
}

fn one(judge: &Judge<'_>, d: &FaceDistances) -> Option<Finding> {
    let worst = [d.least?, d.most?].into_iter().reduce(|a, b| if b.value.abs() > a.value.abs() { b } else { a })?;
    let value = worst.value.abs();
    let grade = judge.grade(MeasureId::ReferenceDistance, &[d.face], value)?;
    let beyond: f64 = d.samples.iter().filter(|s| s.value.abs() > grade.1).map(|s| s.area).sum();
    let place = Place { point: worst.point, face: Some(d.face), uv: Some(worst.uv), along: None };
    let side = if worst.value > 0.0 { "out of" } else { "back from" };
    let remedy = format!(
        "The face stands {side} the reference by up to {value:.3} mm, beyond the limit over {beyond:.0} mm²: move its control points \
         there, or have the reference confirmed if the face is meant so."
    );
    Some(Finding::new(MeasureId::ReferenceDistance, value, grade, place).extent(beyond.sqrt()).remedy(remedy))
}
