//! `join.tangent`: the angle between two faces along their join, 0 where one continues the other.

use super::on_join::{asked, graded, meeting};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::joins::{Class, Order};

/// Angle from which on a face is told to fold back over the other, degrees. Larger: rows that run backwards get the wrong
/// remedy; smaller: sharp leading edges do. Common practice, no source.
const FOLDED: f64 = 150.0;

/// Angles beyond the limit on joins that are asked for tangency. A join that is sharp along its whole length is an
/// intended crease.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    meeting(subject)
        .filter(|(_, j)| asked(j, Order::G1) && j.class != Class::Crease)
        .filter_map(|(i, join)| {
            let folded = join.summaries.angle.is_some_and(|s| s.max.value > FOLDED);
            let remedy = if folded {
                "One face folds back over the other here: look for a control row that runs backwards at the border."
            } else if join.interior {
                "The patch has a kink along a knot line: smooth its control rows on both sides of the knot, or split it there on purpose."
            } else {
                "Turn the second control row of the smaller patch into the tangent plane of the larger one."
            };
            graded(judge, MeasureId::JoinTangent, (i, join), join.summaries.angle?.max, |m| m.angle, remedy)
        })
        .collect()
}
