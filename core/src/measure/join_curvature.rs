//! `join.curvature`: the relative jump of the normal curvature across a join, where the absolute jump counts too.

use super::on_join::{asked, broken, graded, meeting};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::joins::Order;

/// Jumps beyond the limit on joins that are asked for curvature continuity and are not already broken in tangency.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let floor = judge.yardstick.row(MeasureId::JoinCurvature).map_or(0.0, |r| r.floor);
    meeting(subject)
        .filter(|(_, j)| asked(j, Order::G2) && !broken(judge, MeasureId::JoinTangent, j, j.summaries.angle.map(|s| s.max)))
        .filter_map(|(i, join)| {
            let remedy = if join.interior {
                "The curvature breaks along a knot line: smooth the third control row on both sides, or remove the knot."
            } else {
                "Move the third control row of the smaller patch until its curvature follows the larger one."
            };
            let share = |m: &crate::joins::Measures| m.curvature_share().filter(|_| m.curvature_jump() > Some(floor));
            graded(judge, MeasureId::JoinCurvature, (i, join), join.summaries.curvature_share?, share, remedy)
        })
        .collect()
}
