//! How a patch is built, in numbers: its degrees, spans and control points, and the worst of its rows.

use super::row_reading::row_readings;
use crate::nurbs;

/// A patch in numbers; pairs are along u and along v.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchStructure {
    /// Degrees.
    pub degree: (usize, usize),
    /// Spans between knots.
    pub spans: (usize, usize),
    /// Control points.
    pub points: (usize, usize),
    /// True where its control points have weights.
    pub rational: bool,
    /// Evenness of the most uneven row; None where no row has three legs.
    pub evenness: Option<f64>,
    /// Agreement of the rows that agree least; None without two rows of two legs.
    pub agreement: Option<f64>,
    /// Turning of the row that turns most; None where no row has four points.
    pub turning: Option<u32>,
}

/// Of a patch, over its rows both ways.
pub fn patch_structure(patch: &nurbs::Surface) -> PatchStructure {
    let rows = [true, false].map(|along_u| row_readings(patch, along_u)).concat();
    let (u, v) = (patch.knots_u(), patch.knots_v());
    PatchStructure {
        degree: (u.degree(), v.degree()),
        spans: (u.span_count(), v.span_count()),
        points: patch.size(),
        rational: patch.weights().is_some(),
        evenness: rows.iter().filter_map(|r| r.evenness).reduce(f64::max),
        agreement: rows.iter().filter_map(|r| r.agreement).reduce(f64::max),
        turning: rows.iter().filter_map(|r| r.turning).max(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::Point3;
    use crate::nurbs::KnotVector;

    /// By hand: three spans of degree 2 along u make five points; legs 10-10-20-10 of widths 1/6, 1/3, 1/3, 1/6 of the knots' length, ln
    /// differences: ln 60 − 2 ln 30 + ln 60 = ln 4 = 1.386 at leg 1, ln 30 − 2 ln 60 + ln 60 = −ln 2 at leg 2.
    #[test]
    fn a_patch_in_numbers() {
        let x = [0.0, 10.0, 20.0, 40.0, 50.0];
        let points = x.iter().flat_map(|&x| [0.0, 30.0].map(|y| Point3::new(x, y, 0.0))).collect();
        let patch = nurbs::Surface::new(KnotVector::uniform(2, 3).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap();
        let found = patch_structure(&patch);
        assert_eq!((found.degree, found.spans, found.points, found.rational), ((2, 1), (3, 1), (5, 2), false));
        assert!((found.evenness.unwrap() - 2.0 * core::f64::consts::LN_2).abs() < 1e-12, "{:?}", found.evenness);
        assert_eq!((found.agreement, found.turning), (Some(0.0), Some(0)));
    }
}
