//! `form.low_crown`: area that is nearly flat both ways: sheet metal flutters there.

use super::panels::{Part, panels, parts, place};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::geometry::{FormSample, Surface};
use crate::model::FaceId;

/// Radius above which a direction counts as without crown, mm. Common practice, no source.
const LOW: f64 = 10_000.0;

/// Radius above which a face is flat on purpose where it is so all over, mm. Common practice, no source.
const FLAT: f64 = 1e7;

/// One finding a panel, with the area where both principal curvatures are below 1/10 m, summed over cells
/// quartered where that changes. Faces that are plane all over are meant to be
/// so and are left out.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    panels(subject).iter().filter_map(|panel| one(subject, judge, panel)).collect()
}

fn low(s: &FormSample) -> i8 {
    i8::from(s.curvatures.tightest().abs() < 1.0 / LOW)
}

fn bent(s: &FormSample) -> i8 {
    i8::from(s.curvatures.tightest().abs() > 1.0 / FLAT)
}

fn one(subject: &Subject<'_>, judge: &Judge<'_>, panel: &[FaceId]) -> Option<Finding> {
    let plane = |f: FaceId| subject.sheets.face(f).is_none_or(|x| matches!(x.surface, Surface::Plane(_)));
    let curved = |f: &FaceId| !plane(*f) && parts(subject, "curved", *f, bent)[0].area > 0.0;
    let part = |f: FaceId| (f, parts(subject, "low crown", f, low)[0]);
    let faces: Vec<(FaceId, Part)> = panel.iter().copied().filter(curved).map(part).filter(|x| x.1.area > 0.0).collect();
    let value: f64 = faces.iter().map(|x| x.1.area).sum();
    let grade = judge.yardstick.grade(MeasureId::FormLowCrown, judge.zone, value)?;
    let (worst, part) = faces.iter().reduce(|a, b| if b.1.area > a.1.area { b } else { a })?;
    let place = place(subject, *worst, &part.middle?)?;
    let remedy = "The panel has next to no crown here and may flutter: give it more crown across or along, or stiffen it from behind.";
    let ids: Vec<FaceId> = faces.iter().map(|x| x.0).collect();
    Some(Finding::new(MeasureId::FormLowCrown, value, grade, place).faces(&ids).extent(value.sqrt()).remedy(remedy))
}
