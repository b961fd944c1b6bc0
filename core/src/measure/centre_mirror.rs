//! `centre.mirror`: how far a face lies from the mirror image of the face on the other side.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::layout::MirrorExtent;

/// Deviations beyond the limit, one a pair of faces of a model that has both sides. Faces that differ by more than the
/// search distance are no pair.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let full = subject.graph.mirror.as_ref().filter(|m| m.extent == MirrorExtent::Full);
    full.iter()
        .flat_map(|m| &m.deviations)
        .filter_map(|d| {
            let grade = judge.grade(MeasureId::CentreMirror, &[d.face, d.other], d.distance)?;
            let place = Place { point: d.point, face: Some(d.face), uv: Some(d.uv), along: None };
            let size = subject.areas.get(d.face.index()).copied().unwrap_or(0.0).max(0.0).sqrt();
            let found = Finding::new(MeasureId::CentreMirror, d.distance, grade, place).faces(&[d.face, d.other]).extent(size);
            Some(found.remedy("Model one side only and mirror it, or move the side that is wrong."))
        })
        .collect()
}
