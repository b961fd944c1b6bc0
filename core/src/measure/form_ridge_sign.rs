//! `form.ridge_sign`: a feature line that is convex along most of its length and concave for a stretch, or the other way round.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::{FeatureLine, Flip};

/// One finding a stretch of the lesser sign that is entered or left steeply, with its largest angle. A line that fades out
/// before it comes back the other way is no flip.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let lines = subject.lines();
    lines.iter().flat_map(|line| line.flips().into_iter().filter_map(|flip| one(judge, line, flip)).collect::<Vec<_>>()).collect()
}

fn one(judge: &Judge<'_>, line: &FeatureLine, flip: Flip) -> Option<Finding> {
    let value = flip.peak.angle.abs();
    let grade = judge.yardstick.grade(MeasureId::FormRidgeSign, judge.zone, value)?;
    let remedy = if flip.peak.angle < 0.0 {
        "The ridge turns hollow here: lift the control row beside the line (more crown) until the section across stays convex, or let \
         the line fade out before."
    } else {
        "The hollow line turns into a ridge here: lower the control row beside the line until the section across stays concave, or let \
         the line fade out before."
    };
    let place = Place { along: None, ..Place::at(flip.peak.point) };
    let found = Finding::new(MeasureId::FormRidgeSign, value, grade, place);
    let join = line.joins.first().copied();
    let found = found.faces(&line.faces).extent(flip.length).remedy(remedy).drawn(vec![flip.line]);
    Some(Finding { join, also: line.joins.iter().skip(1).copied().collect(), ..found })
}
