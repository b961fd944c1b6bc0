//! The order of the ledger.

use crate::finding::{Finding, Sense, Yardstick};
use crate::math::Arrange;

/// Length that findings without one count with, mm: a point-like flaw weighs as much as a short join.
const POINT: f64 = 1.0;

/// Findings by severity, then by how far they pass their limit times the length along which they do, the worst
/// first; equal ones keep the order they came in.
pub fn ranked(mut findings: Vec<Finding>, yardstick: &Yardstick) -> Vec<Finding> {
    findings.arrange_by(|a, b| a.severity.cmp(&b.severity).then(weight(b, yardstick).total_cmp(&weight(a, yardstick))));
    findings
}

fn weight(f: &Finding, yardstick: &Yardstick) -> f64 {
    let over = match yardstick.row(f.measure).map(|r| r.sense) {
        Some(Sense::AtLeast) => f.limit / f.value.max(f64::MIN_POSITIVE),
        // Counts of what should not be there at all pass a limit of nothing by their number.
        _ if f.limit == 0.0 => 1.0 + f.value,
        _ => f.value / f.limit,
    };
    over * f.extent.max(POINT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{MeasureId, Place, Severity};
    use crate::math::Point3;

    fn finding(measure: MeasureId, severity: Severity, value: f64, limit: f64, extent: f64) -> Finding {
        Finding::new(measure, value, (severity, limit), Place::at(Point3::ORIGIN)).extent(extent)
    }

    #[test]
    fn worst_first_and_long_ones_before_short_ones() {
        let all = vec![
            finding(MeasureId::JoinPosition, Severity::Polish, 9.0, 0.1, 1e6),
            finding(MeasureId::JoinTangent, Severity::Serious, 1.0, 0.5, 10.0),
            finding(MeasureId::JoinPosition, Severity::Serious, 0.06, 0.05, 100.0),
            finding(MeasureId::LayoutSliver, Severity::Serious, 0.01, 0.5, 20.0),
            finding(MeasureId::JoinCurvature, Severity::Good, 0.0, 0.05, 1e6),
        ];
        let order: Vec<MeasureId> = ranked(all, &Yardstick::default()).iter().map(|f| f.measure).collect();
        use MeasureId::{JoinCurvature, JoinPosition, JoinTangent, LayoutSliver};
        assert_eq!(order, [LayoutSliver, JoinPosition, JoinTangent, JoinPosition, JoinCurvature]);
    }
}
