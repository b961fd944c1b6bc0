//! A finding on a join, from the measure's maximum.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::joins::{Join, Measures, Order, Peak};

/// The finding of a measure on join `index`, if its maximum passes a limit. `value` reads the measure at a station.
pub fn graded(
    judge: &Judge<'_>,
    measure: MeasureId,
    (index, join): (usize, &Join),
    max: Peak,
    value: impl Fn(&Measures) -> Option<f64>,
    remedy: &str,
) -> Option<Finding> {
    let grade = judge.grade(measure, &join.faces, max.value)?;
    let place = Place { face: join.faces.first().copied(), along: Some(max.along), ..Place::at(max.point) };
    let extent = extent(join, grade.1, value);
    Some(Finding::new(measure, max.value, grade, place).faces(&join.faces).join(index).extent(extent).remedy(remedy))
}

/// Joins of two faces (or of a patch with itself) that can be smooth or sharp, with their indices.
pub fn meeting<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (usize, &'a Join)> + use<'a> {
    smooth_or_sharp(subject).filter(|(_, j)| !j.mirrored)
}

/// Joins of a face with its own mirror image on the centre plane, with their indices.
pub fn across_centre<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (usize, &'a Join)> + use<'a> {
    smooth_or_sharp(subject).filter(|(_, j)| j.mirrored)
}

fn smooth_or_sharp<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (usize, &'a Join)> + use<'a> {
    let joins = &subject.graph.joins;
    joins.iter().enumerate().filter(|(_, j)| j.class.meets())
}

/// True when a lower order is broken so far (to be mended, or serious) that a higher one says nothing.
pub fn broken(judge: &Judge<'_>, measure: MeasureId, join: &Join, max: Option<Peak>) -> bool {
    max.is_some_and(|p| judge.reaches(measure, &join.faces, Severity::Fix, p.value))
}

/// True when the join is asked for `order`.
pub fn asked(join: &Join, order: Order) -> bool {
    join.required >= order
}

/// Length along which the measure passes a limit, mm; at least the spacing of its stations there.
fn extent(join: &Join, limit: f64, value: impl Fn(&Measures) -> Option<f64>) -> f64 {
    let over: Vec<bool> = join.stations.iter().map(|s| value(&s.measures).is_some_and(|v| v > limit)).collect();
    let mut sum = 0.0;
    for (w, o) in join.stations.windows(2).zip(over.windows(2)) {
        let share = f64::from(u8::from(o[0]) + u8::from(o[1])) / 2.0;
        sum += share * (w[1].along - w[0].along);
    }
    sum.max(join.length / join.stations.len().max(1) as f64)
}
