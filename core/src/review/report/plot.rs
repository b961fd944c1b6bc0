//! The trace of a finding's measure along its join.

use super::Report;
use crate::finding::{MeasureId, Unit, Zone};
use crate::review::quantity::quantity;
use crate::review::{Curve, FindingRecord, JoinTrace};

/// Places of a join that are drawn. More: a report of long joins grows large; fewer: waves look like noise.
const MOST: usize = 240;

/// What is drawn.
#[derive(Debug)]
pub struct Plot {
    /// What it shows, in words.
    pub caption: String,
    /// Length of the join, mm.
    pub length: f64,
    /// Arc length, mm, and value; None where the measure does not apply.
    pub points: Vec<(f64, Option<f64>)>,
    /// Severity and limit.
    pub limits: Vec<(&'static str, f64)>,
    /// Arc length, mm, and value of the largest.
    pub peak: (f64, f64),
    /// Unit of values.
    pub unit: Unit,
}

impl Plot {
    /// The plot of a finding that one of the four orders along a join gave; None of others.
    pub fn new(report: &Report<'_>, f: &FindingRecord, zone: Zone) -> Option<Self> {
        let measure = MeasureId::from_text(f.measure)?;
        let trace = JoinTrace::new(report.graph, f.join?, report.floors)?;
        let curve = order(&trace, measure)?;
        let limits = report.yardstick.limits(measure, zone)?;
        let limits = [("serious", limits.serious), ("fix", limits.fix), ("polish", limits.polish)];
        let (unit, at) = (measure.unit(), f.place.along.map(|s| s.0).or(curve.max_at)?);
        let (along, value) = (quantity(at, Unit::Millimetre), quantity(f.value.0, unit));
        Some(Self {
            caption: format!("{} along join {}: largest {value}, {along} from its start", measure.title(), trace.join),
            length: trace.length,
            points: thinned(&trace.s, &curve.values),
            limits: limits.into_iter().filter_map(|(name, l)| Some((name, l?))).collect(),
            peak: (at, f.value.0),
            unit,
        })
    }
}

fn order(trace: &JoinTrace, measure: MeasureId) -> Option<&Curve> {
    match measure {
        MeasureId::JoinPosition | MeasureId::CentrePosition => Some(&trace.measures.g0),
        MeasureId::JoinTangent | MeasureId::CentreTangent => Some(&trace.measures.g1),
        MeasureId::JoinCurvature => Some(&trace.measures.g2),
        MeasureId::JoinCurvatureSlope | MeasureId::CentreCurvatureSlope => Some(&trace.measures.g3),
        _ => None,
    }
}

/// Of each stretch the place with the largest value.
fn thinned(s: &[f64], values: &[Option<f64>]) -> Vec<(f64, Option<f64>)> {
    let all: Vec<(f64, Option<f64>)> = s.iter().copied().zip(values.iter().copied()).collect();
    let size = all.len().div_ceil(MOST).max(1);
    let rank = |p: &(f64, Option<f64>)| p.1.unwrap_or(f64::NEG_INFINITY);
    all.chunks(size).filter_map(|c| c.iter().copied().reduce(|a, b| if rank(&b) > rank(&a) { b } else { a })).collect()
}

#[cfg(test)]
mod tests {
    use super::thinned;

    #[test]
    fn long_joins_are_thinned_to_their_largest_values() {
        let s: Vec<f64> = (0..1000).map(f64::from).collect();
        let mut values = vec![Some(0.5); 1000];
        values[700] = Some(9.0);
        values[701] = None;
        let thin = thinned(&s, &values);
        assert_eq!(thin.len(), 200);
        assert!(thin.contains(&(700.0, Some(9.0))) && thin.is_sorted_by_key(|p| p.0));
        assert_eq!(thinned(&s[..2], &values[..2]), [(0.0, Some(0.5)), (1.0, Some(0.5))]);
        assert_eq!(thinned(&[], &[]), []);
    }
}
