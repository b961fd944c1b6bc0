//! The section of a sweep in its moving frame: one, or two blended linearly.

use super::follow::{DEGREE, Following};
use super::sweep::SweepError;
use crate::math::{Point3, Vec3};
use crate::nurbs::{Curve, KnotVector};

/// Control points in the moving frame, per unit of the distance between the rails, at the start and at the end.
#[derive(Debug, Clone)]
pub(super) struct SweepSection {
    pub(super) knots: KnotVector,
    pub(super) weights: Option<Vec<f64>>,
    pub(super) tracks: Vec<[Vec3; 2]>,
}

impl SweepSection {
    /// The same section everywhere.
    pub(super) fn single(curve: Curve<3>) -> Self {
        let tracks = curve.points().iter().map(|p| [Vec3::from_array(*p); 2]).collect();
        Self { knots: curve.knots().clone(), weights: curve.weights().map(<[f64]>::to_vec), tracks }
    }

    /// Control points at a station's share.
    pub(super) fn control(&self, share: f64) -> Vec<Vec3> {
        self.tracks.iter().map(|&[a, b]| if a == b { a } else { a * (1.0 - share) + b * share }).collect()
    }

    /// Point at a station's share and parameter r, in the frame.
    pub(super) fn point(&self, share: f64, r: f64) -> Vec3 {
        let points = self.control(share).iter().map(|p| p.to_array()).collect();
        // The numbers were checked when the section was made.
        Curve::new(self.knots.clone(), points, self.weights.clone()).map_or(Vec3::NAN, |c| Vec3::from_array(c.derivs(r, 0)[0]))
    }
}

/// Two sections over one knot vector. Rational ones are replaced within `tolerance` (in the frame) first: points of the
/// two are blended, and a blend of rational curves has neither's weights.
pub(super) fn common(first: Curve<3>, last: Curve<3>, tolerance: f64) -> Result<SweepSection, SweepError> {
    let (mut a, mut b) = (polynomial(first, tolerance)?, polynomial(last, tolerance)?);
    let spline = |e: crate::nurbs::NurbsError| SweepError::Fit(e.into());
    a = a.clamped().map_err(spline)?;
    b = b.clamped().map_err(spline)?;
    while a.knots().degree() < b.knots().degree() {
        a = a.elevated().map_err(spline)?;
    }
    while b.knots().degree() < a.knots().degree() {
        b = b.elevated().map_err(spline)?;
    }
    let (of_a, of_b) = (a.knots().interior(), b.knots().interior());
    a = a.with_knots(&missing(&of_b, &of_a)).map_err(spline)?;
    b = b.with_knots(&missing(&of_a, &of_b)).map_err(spline)?;
    let tracks = a.points().iter().zip(b.points()).map(|(p, q)| [Vec3::from_array(*p), Vec3::from_array(*q)]).collect();
    Ok(SweepSection { knots: a.knots().clone(), weights: None, tracks })
}

/// Knots of one vector that the other lacks.
fn missing(of: &[(f64, usize)], has: &[(f64, usize)]) -> Vec<f64> {
    let lacks = |&(t, m): &(f64, usize)| {
        let own = has.iter().find(|k| k.0 == t).map_or(0, |k| k.1);
        core::iter::repeat_n(t, m.saturating_sub(own))
    };
    of.iter().flat_map(lacks).collect()
}

/// Most spans a rational section is replaced by. Larger: memory for a section no spline follows; smaller: tolerances near
/// rounding are refused.
const MOST_SPANS: usize = 256;

/// A polynomial spline of degree 5 within `tolerance` of a rational curve at equal parameters, between the same ends.
fn polynomial(curve: Curve<3>, tolerance: f64) -> Result<Curve<3>, SweepError> {
    if curve.weights().is_none() {
        return Ok(curve);
    }
    let spans = curve.knots().breaks();
    // What the curve's own knot keeps is at least continuity.
    let multiplicity: Vec<(f64, usize)> = spans.iter().map(|&t| (t, DEGREE)).collect();
    let following = Following { spans, multiplicity: &multiplicity, most: MOST_SPANS, tolerance };
    let paths = following.paths(&|t| Ok(vec![Point3::from_vec(curve.derivs(t, 0)[0].into())]))?;
    paths.paths.into_iter().next().ok_or(SweepError::Section)
}
