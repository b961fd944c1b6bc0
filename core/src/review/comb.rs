//! Curvature combs: teeth along a curve whose length is to stand for the curvature there.

use crate::math::{Point3, Vec3, root};

/// One tooth. Longer for tighter curvature; drawn from the point along the normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tooth {
    /// Its foot, mm.
    pub point: Point3,
    /// Unit normal on the outward side.
    pub normal: Vec3,
    /// Normal curvature, 1/mm, convex seen from the outward side as positive.
    pub curvature: f64,
}

/// Teeth along one stretch of curve, and where its curvature changes sign.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comb {
    /// In their order along the curve, evenly spread over its length.
    pub teeth: Vec<Tooth>,
    /// Inflections, solved for between two teeth; a sign that comes back between two of them is not seen.
    pub inflections: Vec<Point3>,
}

/// Curvature below which a tooth has no sign, 1/mm: what rounding leaves of a straight line. Larger: inflections of very flat
/// curves go unseen; smaller: straight lines have them.
const STRAIGHT: f64 = 1e-10;

/// Most teeth of one comb. Larger: slower; smaller: long curves look coarse.
pub const MOST_TEETH: usize = 600;

/// Places from which the length along a curve is counted before teeth are spread. Larger: slower; smaller: teeth bunch where the
/// parameter runs unevenly.
const ROUGH: usize = 96;

/// The comb of a curve from parameter 0 to 1, of about `spacing` mm between teeth; places without a tooth (no tangent plane) are
/// left out. None without two teeth.
pub fn comb(spacing: f64, at: impl Fn(f64) -> Option<Tooth>) -> Option<Comb> {
    if spacing.is_nan() || spacing <= 0.0 {
        return None;
    }
    let rough: Vec<(f64, Point3)> = (0..=ROUGH).map(|i| i as f64 / ROUGH as f64).filter_map(|x| at(x).map(|t| (x, t.point))).collect();
    let mut along = vec![0.0];
    for w in rough.windows(2) {
        along.push(along.last().copied().unwrap_or(0.0) + w[0].1.distance(w[1].1));
    }
    let length = along.last().copied().filter(|l| l.is_finite() && *l > 0.0)?;
    let count = (length / spacing).ceil().clamp(1.0, (MOST_TEETH - 1) as f64) as usize;
    // The parameter at a share of the length, between the rough places.
    let parameter = |share: f64| {
        let s = share * length;
        let i = along.partition_point(|a| *a < s).clamp(1, along.len() - 1);
        let (low, high) = (along.get(i - 1)?, along.get(i)?);
        let (a, b) = (rough.get(i - 1)?.0, rough.get(i)?.0);
        Some(if high > low { a + (b - a) * ((s - low) / (high - low)).clamp(0.0, 1.0) } else { a })
    };
    let places: Vec<f64> = (0..=count).filter_map(|i| parameter(i as f64 / count as f64)).collect();
    let teeth: Vec<(f64, Tooth)> = places.into_iter().filter_map(|x| at(x).map(|t| (x, t))).collect();
    let signed: Vec<&(f64, Tooth)> = teeth.iter().filter(|t| t.1.curvature.abs() > STRAIGHT).collect();
    let mut inflections = Vec::new();
    for w in signed.windows(2) {
        let (a, b) = (w[0], w[1]);
        if a.1.curvature * b.1.curvature < 0.0 {
            let solved = root((a.0, a.1.curvature), (b.0, b.1.curvature), STRAIGHT, |x| at(x).map(|t| t.curvature));
            inflections.extend(solved.and_then(&at).map(|t| t.point));
        }
    }
    (teeth.len() > 1).then(|| Comb { teeth: teeth.into_iter().map(|t| t.1).collect(), inflections })
}
