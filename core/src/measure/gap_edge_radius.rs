//! `gap.edge_radius`: the radius of the edges at a gap.

use super::on_gap::{CAUTION, tightest};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::gap::BrinkKind;

/// For each side of each gap its smallest radius. An edge without a rounding has the radius 0.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    tightest(subject, judge, MeasureId::GapEdgeRadius, |side| {
        let what = match side.kind {
            BrinkKind::Bare => {
                "The panel ends in a bare outline: no rounding is modelled. Model the edge as it will be made, rounding and flange.".into()
            }
            BrinkKind::Sharp => "The edge is sharp: round it.".into(),
            BrinkKind::Rounded => format!("The edge is rounded by {:.2} mm at its tightest: open the radius.", side.radius),
        };
        format!("{what} {CAUTION}")
    })
}
