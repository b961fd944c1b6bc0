//! `form.draft`: whether the form comes out of its tool along a pull direction.

use super::cells::{Part, cells, place};
use super::least::{FOR_NORMAL, least};
use super::one_cause::faces_together;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::math::{Vec3, real};
use crate::model::FaceId;

/// Angle below which draft is rounding, degrees: a wall along the pull has none, and is no undercut.
const ROUNDING: f64 = 1e-7;

/// One finding for each group of faces that meet and have less draft than the limit, with the least draft and the area that has less.
/// Draft is the angle between the tangent plane and the yardstick's pull direction: 90 faces it, 0 is a wall along it, less than 0 is
/// undercut. (The definition of the trade; common practice, no source.) Without a pull direction there are none.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let Some(pull) = judge.yardstick.pull.and_then(Vec3::try_normalize) else { return Vec::new() };
    if !judge.asks(MeasureId::FormDraft) {
        return Vec::new();
    }
    let one = |id: FaceId| {
        let low = least(subject, id, FOR_NORMAL, |_, outward| Some(draft(outward, pull)))?;
        let grade = judge.grade(MeasureId::FormDraft, &[id], low.value)?;
        let is_below = |x: &f64| *x < grade.1;
        let area = Part::of(&cells(subject, id, |_, outward| Some(draft(outward, pull)), is_below), is_below).area;
        Some((Finding::new(MeasureId::FormDraft, low.value, grade, place(subject, id, low.uv)?), area))
    };
    let ids = subject.sheets.model.faces().map(|x| x.0).filter(|id| !subject.graph.is_copy(*id));
    let found = faces_together(subject, ids.filter_map(one).collect(), |a, b| a < b);
    let told = |f: &Finding, area: f64| {
        let what = if f.value < 0.0 { "undercut" } else { "draft" };
        format!(
            "Along the pull direction there is {:.2}° of {what}, and less than {:.2}° on {area:.0} mm²: tip the faces towards the pull, move \
             the parting line, or plan a slide for the place.",
            f.value.abs(),
            f.limit
        )
    };
    found.into_iter().map(|(f, area)| Finding { extent: area.sqrt(), remedy: told(&f, area), ..f }).collect()
}

/// Degrees; exact to rounding near 90 too, where an arcsine is not.
fn draft(outward: Vec3, pull: Vec3) -> f64 {
    let angle = real::atan2(outward.dot(pull), outward.cross(pull).length()).to_degrees();
    if angle.abs() < ROUNDING { 0.0 } else { angle }
}
