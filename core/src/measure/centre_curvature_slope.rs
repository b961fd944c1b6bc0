//! `centre.curvature_slope`: the relative jump 2|κ′| of the change of curvature between a half model and its mirror image.
//! Curvatures are equal there by symmetry, and both say nothing where the halves are not smooth. Never asked for, only
//! wished.

use super::on_join::{across_centre, asked, broken, graded};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Severity};
use crate::joins::Order;

/// Jumps beyond the limit, as polish at most, where the halves are smooth.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let floor = judge.yardstick.row(MeasureId::CentreCurvatureSlope).map_or(0.0, |r| r.floor);
    let remedy = "Let the curvature across reach its top or bottom on the centre plane: move the third and fourth control rows.";
    across_centre(subject)
        .filter(|(_, j)| asked(j, Order::G2) && !broken(judge, MeasureId::CentreTangent, j, j.summaries.angle.map(|s| s.max)))
        .filter_map(|(i, join)| {
            let share = |m: &crate::joins::Measures| m.slope_share().filter(|_| m.slope_jump() > Some(floor));
            let mut found = graded(judge, MeasureId::CentreCurvatureSlope, (i, join), join.summaries.slope_share?, share, remedy)?;
            found.severity = found.severity.max(Severity::Polish);
            Some(found)
        })
        .collect()
}
