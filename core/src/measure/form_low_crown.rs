//! `form.low_crown`: area that is nearly flat both ways: sheet metal flutters there.

use super::bends::bends;
use super::cells::{Part, place};
use super::panels::panels;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::geometry::Surface;
use crate::model::FaceId;

/// One finding a panel, with the area where both principal curvatures are below 1/10 m, summed over cells
/// quartered where that changes. Faces that are plane all over are meant to be so and are left out.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    panels(subject).iter().filter_map(|panel| one(subject, judge, panel)).collect()
}

fn one(subject: &Subject<'_>, judge: &Judge<'_>, panel: &[FaceId]) -> Option<Finding> {
    let plane = |f: FaceId| subject.sheets.face(f).is_none_or(|x| matches!(x.surface, Surface::Plane(_)));
    let part = |f: FaceId| Some((f, bends(subject, f))).filter(|x| !x.1.is_plane && x.1.low.area > 0.0).map(|(f, b)| (f, b.low));
    let faces: Vec<(FaceId, Part)> = panel.iter().copied().filter(|&f| !plane(f)).filter_map(part).collect();
    let value: f64 = faces.iter().map(|x| x.1.area).sum();
    let ids: Vec<FaceId> = faces.iter().map(|x| x.0).collect();
    let grade = judge.grade(MeasureId::FormLowCrown, &ids, value)?;
    let (worst, part) = faces.iter().reduce(|a, b| if b.1.area > a.1.area { b } else { a })?;
    let place = place(subject, *worst, part.middle?)?;
    let remedy = "The panel has next to no crown here and may flutter: give it more crown across or along, or stiffen it from behind.";
    Some(Finding::new(MeasureId::FormLowCrown, value, grade, place).faces(&ids).extent(value.sqrt()).remedy(remedy))
}
