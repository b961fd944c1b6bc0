//! `reference.missing`: parts of the reference that the model does not cover, and parts of the model without a reference.

use super::{Judge, Subject, against};
use crate::finding::{Finding, MeasureId, Place};
use crate::model::FaceId;
use crate::reference::FarRegion;

/// One finding a connected part, by its area: of the reference farther from the model than the reference's own limit, and of the model
/// farther from the reference.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let Some(against) = against(subject) else { return Vec::new() };
    let far = subject.reference.map_or(0.0, |r| r.far);
    let missing = against.missing.iter().filter_map(|(r, nearest)| {
        let remedy = format!(
            "The reference goes on here and the model is farther than {far} mm{}: build the face that is missing, or extend its \
             neighbour.",
            up_to(r)
        );
        one(judge, r, nearest.as_slice(), remedy)
    });
    let extra = against.extra.iter().filter_map(|r| {
        let remedy =
            format!("The model goes on here where the reference is farther than {far} mm{}: leave it out, or have it confirmed.", up_to(r));
        one(judge, r, &r.faces, remedy)
    });
    missing.chain(extra).collect()
}

/// The farthest distance in words; none where there is nothing to be near to.
fn up_to(region: &FarRegion) -> String {
    if region.distance.is_finite() { format!(", up to {:.1} mm", region.distance) } else { String::new() }
}

fn one(judge: &Judge<'_>, region: &FarRegion, faces: &[FaceId], remedy: String) -> Option<Finding> {
    let grade = judge.grade(MeasureId::ReferenceMissing, faces, region.area)?;
    let found = Finding::new(MeasureId::ReferenceMissing, region.area, grade, Place::at(region.point));
    Some(found.faces(faces).extent(region.area.sqrt()).remedy(remedy).drawn(region.hatch()))
}
