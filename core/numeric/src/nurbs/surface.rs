//! Tensor-product B-spline surfaces, rational or not.

use super::curve::BINOMIAL;
use super::functions::{ANY, Functions, LOW};
use super::{KnotVector, NurbsError};
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
        // Most of what is asked for is points and tangents: rows that nobody reads are felt.
        match order {
            0 => SurfaceDerivs::from(self.partials::<1>(u, v, order, side_u, side_v)),
            1 => SurfaceDerivs::from(self.partials::<2>(u, v, order, side_u, side_v)),
            2 => SurfaceDerivs::from(self.partials::<3>(u, v, order, side_u, side_v)),
            _ => SurfaceDerivs::from(self.partials::<4>(u, v, order, side_u, side_v)),
        }
    }

    /// Partial derivatives up to total `order` ≤ K − 1 with K ≤ 8: entry `[k][l]` is k times by u and l times by v; others are 0.
    pub fn partials<const K: usize>(&self, u: f64, v: f64, order: usize, side_u: Side, side_v: Side) -> [[Vec3; K]; K] {
        let span = |k: &KnotVector, t: f64, side| match side {
            Side::Right => k.span(t),
            Side::Left => k.span_left(t),
        };
        let spans = (span(&self.knots_u, u, side_u), span(&self.knots_v, v, side_v));
        let order = order.min(K - 1).min(BINOMIAL.len() - 1);
        let highest = self.knots_u.degree().max(self.knots_v.degree());
        if highest < LOW { self.summed::<K, LOW>(spans, u, v, order) } else { self.summed::<K, ANY>(spans, u, v, order) }
    }

    fn summed<const K: usize, const N: usize>(&self, spans: (usize, usize), u: f64, v: f64, order: usize) -> [[Vec3; K]; K] {
        let bu = Functions::<K, N>::at(&self.knots_u, spans.0, u, order);
        let bv = Functions::<K, N>::at(&self.knots_v, spans.1, v, order);
        let (pu, pv, nv) = (self.knots_u.degree(), self.knots_v.degree(), self.knots_v.point_count());
        let mut a = [[[0.0; K]; 3]; K];
        let mut w = [[0.0; K]; K];
        for (r, in_u) in bu.at[..=pu].iter().enumerate() {
            let from = (bu.first + r) * nv + bv.first;
            let points = &self.points[from..=from + pv];
            let mut row = [[0.0; K]; 3];
            match &self.weights {
                None => {
                    for (p, in_v) in points.iter().zip(&bv.at[..=pv]) {
                        add(&mut row, p, in_v);
                    }
                }
                Some(weights) => {
                    let mut row_w = [0.0; K];
                    for ((p, weight), in_v) in points.iter().zip(&weights[from..=from + pv]).zip(&bv.at[..=pv]) {
                        let weighted = in_v.map(|n| n * weight);
                        add(&mut row, p, &weighted);
                        row_w.iter_mut().zip(weighted).for_each(|(sum, n)| *sum += n);
                    }
                    for k in 0..K {
                        (0..K).for_each(|l| w[k][l] += row_w[l] * in_u[k]);
                    }
                }
            }
            for k in 0..K {
                for x in 0..3 {
                    (0..K - k).for_each(|l| a[k][x][l] += row[x][l] * in_u[k]);
                }
            }
        }
        // Above the order asked for there are mixed ones that came along.
        let entry = |k: usize, l: usize| if k + l <= order { Vec3::new(a[k][0][l], a[k][1][l], a[k][2][l]) } else { Vec3::ZERO };
        let mut a = core::array::from_fn(|k| core::array::from_fn(|l| entry(k, l)));
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

/// Adds a control point under the functions of its place.
#[inline(always)]
fn add<const K: usize>(row: &mut [[f64; K]; 3], p: &Point3, n: &[f64; K]) {
    for l in 0..K {
        row[0][l] += p.x * n[l];
        row[1][l] += p.y * n[l];
        row[2][l] += p.z * n[l];
    }
}

/// By order: entries beyond K are 0.
impl<const K: usize> From<[[Vec3; K]; K]> for SurfaceDerivs {
    #[inline]
    fn from(s: [[Vec3; K]; K]) -> Self {
        let at = |k: usize, l: usize| if k < K && l < K { s[k][l] } else { Vec3::ZERO };
        SurfaceDerivs {
            s: Point3::from_vec(at(0, 0)),
            su: at(1, 0),
            sv: at(0, 1),
            suu: at(2, 0),
            suv: at(1, 1),
            svv: at(0, 2),
            suuu: at(3, 0),
            suuv: at(2, 1),
            suvv: at(1, 2),
            svvv: at(0, 3),
        }
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
