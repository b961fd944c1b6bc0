//! `gap.flush`: how far one panel stands proud of the other across a gap.

use super::on_gap::worst;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// For each gap the station at which the smaller panel stands farthest over or under the larger one.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    worst(
        subject,
        judge,
        MeasureId::GapFlush,
        |gap| gap.stations.iter().map(|s| s.flush.map(f64::abs)).collect(),
        |gap, at| {
            let flush = gap.stations.get(at).and_then(|s| s.flush).unwrap_or(0.0);
            let way = if flush > 0.0 { "proud of" } else { "below" };
            format!(
                "In the middle of the gap the smaller panel stands {:.2} mm {way} the larger one: lead its end to the larger panel's surface.",
                flush.abs()
            )
        },
    )
}
