//! Tensor-product B-spline surfaces, rational or not.

use super::curve::BINOMIAL;
use super::{BasisDerivs, KnotVector, NurbsError};
use crate::math::{Interval, Point3, Vec3};

/// Position and partial derivatives to order three at one parameter point.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[allow(missing_docs)] // the fields are the partial derivatives their names say
pub struct SurfaceDerivs {
    /// Position, mm.
    pub s: Point3,
    pub su: Vec3,
    pub sv: Vec3,
    pub suu: Vec3,
    pub suv: Vec3,
    pub svv: Vec3,
    pub suuu: Vec3,
    pub suuv: Vec3,
    pub suvv: Vec3,
    pub svvv: Vec3,
}

/// A B-spline surface. Control points run u-major: point (i, j) of an nu × nv net has index i · nv + j.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    knots_u: KnotVector,
    knots_v: KnotVector,
    points: Vec<Point3>,
    weights: Option<Vec<f64>>,
}

/// Which side of an inner knot derivatives are taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Side {
    /// From larger parameters.
    #[default]
    Right,
    /// From smaller parameters.
    Left,
}

impl Surface {
    /// Checks and takes a control net, and weights (> 0) when rational.
    ///
    /// # Errors
    /// When counts disagree or a number is not finite.
    pub fn new(knots_u: KnotVector, knots_v: KnotVector, points: Vec<Point3>, weights: Option<Vec<f64>>) -> Result<Self, NurbsError> {
        let expected = knots_u.point_count().saturating_mul(knots_v.point_count());
        if points.len() != expected {
            return Err(NurbsError::PointCount { expected, given: points.len() });
        }
        if points.iter().any(|p| !p.is_finite()) {
            return Err(NurbsError::NotFinite);
        }
        check_weights(weights.as_deref(), expected)?;
        Ok(Self { knots_u, knots_v, points, weights })
    }

    /// The knot vector in u.
    pub fn knots_u(&self) -> &KnotVector {
        &self.knots_u
    }

    /// The knot vector in v.
    pub fn knots_v(&self) -> &KnotVector {
        &self.knots_v
    }

    /// Control points in u and v.
    pub fn size(&self) -> (usize, usize) {
        (self.knots_u.point_count(), self.knots_v.point_count())
    }

    /// The control net, u-major.
    pub fn points(&self) -> &[Point3] {
        &self.points
    }

    /// Weights, u-major, when rational.
    pub fn weights(&self) -> Option<&[f64]> {
        self.weights.as_deref()
    }

    /// The denominator of a rational surface, as the first coordinate of a polynomial one over the same knots.
    pub fn weight_function(&self) -> Option<Self> {
        let points = self.weights()?.iter().map(|&w| Point3::new(w, 0.0, 0.0)).collect();
        Some(Self { knots_u: self.knots_u.clone(), knots_v: self.knots_v.clone(), points, weights: None })
    }

    /// Parameter domain in u and v.
    pub fn domain(&self) -> (Interval, Interval) {
        (self.knots_u.domain(), self.knots_v.domain())
    }

    /// Position and partial derivatives up to total `order` ≤ 3 (higher entries 0); at inner knots those of the
    /// right side. Beyond the domain the end span is continued. NB A3.6 and A4.4.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        self.derivs_from(u, v, order, Side::Right, Side::Right)
    }

    /// As [`Surface::derivs`], from a chosen side of inner knots in each direction.
    pub fn derivs_from(&self, u: f64, v: f64, order: usize, side_u: Side, side_v: Side) -> SurfaceDerivs {
        let s: [[Vec3; 4]; 4] = self.partials(u, v, order, side_u, side_v);
        SurfaceDerivs {
            s: Point3::from_vec(s[0][0]),
            su: s[1][0],
            sv: s[0][1],
            suu: s[2][0],
            suv: s[1][1],
            svv: s[0][2],
            suuu: s[3][0],
            suuv: s[2][1],
            suvv: s[1][2],
            svvv: s[0][3],
        }
    }

    /// Partial derivatives up to total `order` ≤ K − 1 with K ≤ 8: entry `[k][l]` is k times by u and l times by v.
    pub fn partials<const K: usize>(&self, u: f64, v: f64, order: usize, side_u: Side, side_v: Side) -> [[Vec3; K]; K] {
        let span = |k: &KnotVector, t: f64, side| match side {
            Side::Right => k.span(t),
            Side::Left => k.span_left(t),
        };
        let order = order.min(K - 1).min(BINOMIAL.len() - 1);
        let bu = BasisDerivs::<K>::at(&self.knots_u, span(&self.knots_u, u, side_u), u, order);
        let bv = BasisDerivs::<K>::at(&self.knots_v, span(&self.knots_v, v, side_v), v, order);
        let (pu, pv, nv) = (self.knots_u.degree(), self.knots_v.degree(), self.knots_v.point_count());
        // a[k][l] and w[k][l]: homogeneous partials, k in u and l in v.
        let mut a = [[Vec3::ZERO; K]; K];
        let mut w = [[0.0; K]; K];
        for r in 0..=pu {
            let base = (bu.first + r) * nv + bv.first;
            let mut row = [Vec3::ZERO; K];
            let mut row_w = [0.0; K];
            let weights = self.weights.as_ref().map(|w| &w[base..=base + pv]);
            for (c, p) in self.points[base..=base + pv].iter().enumerate() {
                let p = p.to_vec();
                let weight = weights.map_or(1.0, |w| w[c]);
                for l in 0..=order {
                    let n = bv.rows[l][c] * weight;
                    row[l] += p * n;
                    row_w[l] += n;
                }
            }
            for k in 0..=order {
                for l in 0..=order - k {
                    a[k][l] += row[l] * bu.rows[k][r];
                    w[k][l] += row_w[l] * bu.rows[k][r];
                }
            }
        }
        if self.weights.is_some() {
            project(&mut a, &w, order);
        }
        a
    }

    /// The surface with every control point mapped by an affine map (weights and knots unchanged).
    pub fn map(&self, f: impl Fn(Point3) -> Point3) -> Self {
        Self { points: self.points.iter().map(|&p| f(p)).collect(), ..self.clone() }
    }
}

/// Homogeneous partials to those of the surface itself, in place. NB eq. 4.20.
fn project<const K: usize>(a: &mut [[Vec3; K]; K], w: &[[f64; K]; K], order: usize) {
    for k in 0..=order {
        for l in 0..=order - k {
            let mut value = a[k][l];
            for i in 0..=k {
                for j in 0..=l {
                    if i + j > 0 {
                        value -= a[k - i][l - j] * (BINOMIAL[k][i] * BINOMIAL[l][j] * w[i][j]);
                    }
                }
            }
            a[k][l] = value / w[0][0];
        }
    }
}

/// Weights must be as many as the points, finite and positive.
pub(super) fn check_weights(weights: Option<&[f64]>, expected: usize) -> Result<(), NurbsError> {
    let Some(weights) = weights else { return Ok(()) };
    if weights.len() != expected {
        return Err(NurbsError::WeightCount { expected, given: weights.len() });
    }
    match weights.iter().find(|w| !(w.is_finite() && **w > 0.0)) {
        Some(&w) => Err(NurbsError::Weight(w)),
        None => Ok(()),
    }
}
