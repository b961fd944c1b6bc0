//! `join.curvature_slope`: the relative jump of the change of curvature across a join. Never asked for, only wished.

use super::on_join::{asked, broken, graded, meeting};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Severity};
use crate::joins::Order;

/// Jumps beyond the limit, as polish at most, on joins asked for curvature continuity that have it.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let floor = judge.yardstick.row(MeasureId::JoinCurvatureSlope).map_or(0.0, |r| r.floor);
    let remedy = "Move the fourth control row of the smaller patch until its curvature changes as the larger one's does.";
    meeting(subject)
        .filter(|(_, j)| asked(j, Order::G2) && !j.interior)
        .filter(|(_, j)| {
            !broken(judge, MeasureId::JoinTangent, j, j.summaries.angle.map(|s| s.max))
                && !broken(judge, MeasureId::JoinCurvature, j, j.summaries.curvature_share)
        })
        .filter_map(|(i, join)| {
            let share = |m: &crate::joins::Measures| m.slope_share().filter(|_| m.slope_jump() > Some(floor));
            let mut found = graded(judge, MeasureId::JoinCurvatureSlope, (i, join), join.summaries.slope_share?, share, remedy)?;
            found.severity = found.severity.max(Severity::Polish);
            Some(found)
        })
        .collect()
}
