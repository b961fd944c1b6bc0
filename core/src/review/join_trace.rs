//! The measures along one join, station by station.

use crate::joins::{Floors, Join, JoinGraph, Measures, Sides};
use serde::Serialize;

/// A measure along a join.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// `mm`, `deg` or `share`.
    pub unit: &'static str,
    /// One a station; None where the measure does not apply.
    pub values: Vec<Option<f64>>,
    /// Arc length of the largest value, mm.
    pub max_at: Option<f64>,
}

/// The four orders.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // gap, angle, jump of curvature and of its slope
pub struct Curves {
    pub g0: Curve,
    pub g1: Curve,
    pub g2: Curve,
    pub g3: Curve,
}

/// Curvature, or its slope, on both sides of a join, convex as positive; None where the measure does not apply.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BothSides {
    /// `1/mm` or `1/mm2`.
    pub unit: &'static str,
    /// On the first face, one a station.
    pub a: Vec<Option<f64>>,
    /// On the second.
    pub b: Vec<Option<f64>>,
}

/// Both orders that have sides.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // curvature and its slope
pub struct SidesOf {
    pub g2: BothSides,
    pub g3: BothSides,
}

/// The measures along one join.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JoinTrace {
    /// Index of the join.
    pub join: usize,
    /// Arc length, mm.
    pub length: f64,
    /// Arc length of each station, mm.
    pub s: Vec<f64>,
    /// g0 to g3.
    pub measures: Curves,
    /// g2 and g3.
    pub sides: SidesOf,
    /// Three numbers a station, mm.
    pub points: Vec<f64>,
}

impl JoinTrace {
    /// The trace of a join; None for an unknown one.
    pub fn new(graph: &JoinGraph, index: usize, floors: &Floors) -> Option<Self> {
        let join = graph.joins.get(index)?;
        let sums = &join.summaries;
        let curve = |k: usize, unit, peak: Option<f64>| {
            let value = |m: &Measures| orders(m, floors).get(k).copied().flatten().filter(|x| x.is_finite());
            Curve { unit, values: join.stations.iter().map(|s| value(&s.measures)).collect(), max_at: peak }
        };
        Some(Self {
            join: index,
            length: join.length,
            s: join.stations.iter().map(|s| s.along).collect(),
            measures: Curves {
                g0: curve(0, "mm", sums.gap.map(|s| s.max.along)),
                g1: curve(1, "deg", sums.angle.map(|s| s.max.along)),
                g2: curve(2, "share", sums.curvature_share.map(|p| p.along)),
                g3: curve(3, "share", sums.slope_share.map(|p| p.along)),
            },
            sides: SidesOf { g2: both(join, "1/mm", |m| m.curvature), g3: both(join, "1/mm2", |m| m.slope) },
            points: join.stations.iter().flat_map(|s| s.p.to_array()).collect(),
        })
    }
}

/// Both sides along a join. The measures sign by the outward normal, towards which hollow sections bend: here convex is positive.
fn both(join: &Join, unit: &'static str, of: impl Fn(&Measures) -> Option<Sides>) -> BothSides {
    let read =
        |side: fn(Sides) -> f64| join.stations.iter().map(|s| of(&s.measures).map(|x| 0.0 - side(x)).filter(|x| x.is_finite())).collect();
    BothSides { unit, a: read(|s| s.a), b: read(|s| s.b) }
}

/// Gap (mm), angle (degrees), and the relative jumps of curvature and of its slope: 0 where the absolute jump is below its floor.
pub fn orders(m: &Measures, floors: &Floors) -> [Option<f64>; 4] {
    let counted = |absolute: Option<f64>, floor: f64, share: Option<f64>| match (absolute, share) {
        (Some(a), Some(s)) => Some(if a > floor { s } else { 0.0 }),
        _ => None,
    };
    [
        Some(m.gap),
        m.angle,
        counted(m.curvature_jump(), floors.curvature, m.curvature_share()),
        counted(m.slope_jump(), floors.slope, m.slope_share()),
    ]
}
