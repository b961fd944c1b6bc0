//! `form.ridge_sign`: a feature line that is convex along most of its length and concave for a stretch, or the other way round.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::joins::{FeatureLine, Flip};

/// One finding a line: of the stretches of the lesser sign that are entered or left steeply the one with the largest angle, with the
/// length of all. A line that fades out before it comes back the other way is no flip.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    subject.lines().iter().filter_map(|line| one(judge, line)).collect()
}

fn one(judge: &Judge<'_>, line: &FeatureLine) -> Option<Finding> {
    let grade = |flip: &Flip| judge.grade(MeasureId::FormRidgeSign, &line.faces, flip.peak.angle.abs());
    let flips: Vec<Flip> = line.flips().into_iter().filter(|f| grade(f).is_some()).collect();
    let worst = flips.iter().reduce(|a, b| if b.peak.angle.abs() > a.peak.angle.abs() { b } else { a })?;
    let remedy = if worst.peak.angle < 0.0 {
        "The ridge turns hollow here: lift the control row beside the line (more crown) until the section across stays convex, or let \
         the line fade out before."
    } else {
        "The hollow line turns into a ridge here: lower the control row beside the line until the section across stays concave, or let \
         the line fade out before."
    };
    let remedy = match flips.len() {
        1 => remedy.to_owned(),
        n => format!("{remedy} It does so in {n} places; this is the worst."),
    };
    let place = Place { along: None, ..Place::at(worst.peak.point) };
    let found = Finding::new(MeasureId::FormRidgeSign, worst.peak.angle.abs(), grade(worst)?, place);
    let length = flips.iter().map(|f| f.length).sum();
    let join = line.joins.first().copied();
    let found = found.faces(&line.faces).extent(length).remedy(remedy).drawn(flips.into_iter().map(|f| f.line).collect());
    Some(Finding { join, also: line.joins.iter().skip(1).copied().collect(), ..found })
}
