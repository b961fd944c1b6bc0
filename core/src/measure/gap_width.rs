//! `gap.width`: how far the width of a gap is from the one that is meant.

use super::on_gap::worst;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// For each gap the station that is farthest from the nominal width of the yardstick. The value is the difference, wider or narrower.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let nominal = judge.yardstick.gap_width;
    worst(
        subject,
        judge,
        MeasureId::GapWidth,
        |gap| gap.stations.iter().map(|s| Some((s.width - nominal).abs())).collect(),
        |gap, at| {
            let width = gap.stations.get(at).map_or(0.0, |s| s.width);
            let (low, high) = gap.stations.iter().fold((f64::INFINITY, 0.0f64), |(l, h), s| (l.min(s.width), h.max(s.width)));
            format!(
                "The gap is {width:.2} mm wide here, and {low:.2} to {high:.2} mm along its length, where {nominal:.2} mm are meant: move \
                 the edge of the smaller panel, or set the width that is meant."
            )
        },
    )
}
