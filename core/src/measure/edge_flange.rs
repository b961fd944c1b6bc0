//! `edge.flange`: the width of flanges and hems.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::model::FaceId;

/// One finding a flange that is narrower than the limit somewhere. There is no limit by default: how wide a flange must be goes by what
/// is done with it.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::EdgeFlange) {
        return Vec::new();
    }
    let one = |f: &crate::gap::Flange| {
        let faces: Vec<FaceId> = core::iter::once(f.panel).chain(f.faces.iter().copied()).collect();
        let grade = judge.grade(MeasureId::EdgeFlange, &faces, f.width.0)?;
        let remedy = format!(
            "The flange is {:.2} to {:.2} mm wide, turned by {:.1}° to {:.1}° out of the panel with a return radius of {:.2} mm: widen it.",
            f.width.0, f.width.1, f.angle.0, f.angle.1, f.radius
        );
        Some(
            Finding::new(MeasureId::EdgeFlange, f.width.0, grade, Place { face: Some(f.panel), ..Place::at(f.place) })
                .faces(&faces)
                .extent(f.length)
                .remedy(remedy),
        )
    };
    subject.flanges().iter().filter_map(one).collect()
}
