//! `join.corner`: the spread of the normals where three or more patches meet.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::Corner;

/// How much larger than at its joins the spread at a corner must be to be told apart from them. Larger: corners that gather the
/// breaks of several joins go untold; smaller: the end of a single break is listed twice.
const BEYOND: f64 = 1.2;

/// Corners whose patches' normals spread beyond the limit, and beyond what any join that ends there shows along its length:
/// small breaks of several joins add up round a corner. Patches that a crease parts are not compared.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    subject.corners().iter().filter_map(|c| one(subject, judge, c)).collect()
}

fn one(subject: &Subject<'_>, judge: &Judge<'_>, corner: &Corner) -> Option<Finding> {
    let spread = corner.normals?;
    let grade = judge.grade(MeasureId::JoinCorner, &corner.faces, spread)?;
    let joins = || corner.joins.iter().filter_map(|&i| subject.graph.joins.get(i).map(|j| (i, j)));
    let angle = |j: &crate::joins::Join| j.summaries.angle.map_or(0.0, |s| s.max.value);
    let smooth = joins().filter(|(_, j)| j.class != crate::joins::Class::Crease);
    let (index, most) = smooth.map(|(i, j)| (i, angle(j))).max_by(|a, b| a.1.total_cmp(&b.1))?;
    if spread <= BEYOND * most {
        return None;
    }
    let place = Place { face: corner.faces.first().copied(), ..Place::at(corner.point) };
    let also: Vec<usize> = corner.joins.iter().copied().filter(|j| *j != index).collect();
    let remedy = "The patches that meet in this corner share no tangent plane: settle its plane on the largest patch, then turn the \
                  control points next to the corner of the others into it.";
    let found = Finding::new(MeasureId::JoinCorner, spread, grade, place).faces(&corner.faces).join(index).remedy(remedy);
    Some(Finding { also, ..found })
}
