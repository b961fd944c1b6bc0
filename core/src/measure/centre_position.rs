//! `centre.position`: the gap between a half model and its mirror image along the centre plane, twice the distance of the
//! border from the plane.

use super::on_join::{across_centre, graded};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// Gaps beyond the limit, on every border on the plane, sharp ones included.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = "Bring the border onto the centre plane: its control points have half the gap to go.";
    across_centre(subject)
        .filter_map(|(i, join)| graded(judge, MeasureId::CentrePosition, (i, join), join.summaries.gap?.max, |m| Some(m.gap), remedy))
        .collect()
}
