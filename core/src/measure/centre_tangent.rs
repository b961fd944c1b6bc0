//! `centre.tangent`: the angle between a half model and its mirror image, twice that between the surface's normal and the
//! centre plane.

use super::on_join::{across_centre, asked, graded};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::joins::{Class, Order};

/// Angles beyond the limit, on borders that are no crease along their whole length.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = "Turn the second control row until its legs leave the centre plane square to it.";
    across_centre(subject)
        .filter(|(_, j)| asked(j, Order::G1) && j.class != Class::Crease)
        .filter_map(|(i, join)| graded(judge, MeasureId::CentreTangent, (i, join), join.summaries.angle?.max, |m| m.angle, remedy))
        .collect()
}
