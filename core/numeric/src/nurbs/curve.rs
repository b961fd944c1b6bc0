//! B-spline curves, rational or not, in any dimension.

use super::functions::{ANY, Functions, LOW};
use super::{KnotVector, NurbsError};
use crate::math::Interval;

/// Position and derivatives of a curve: `d[k]` is the k-th derivative by the parameter.
pub type CurveDerivs<const D: usize> = [[f64; D]; 4];

/// Binomial coefficients: `BINOMIAL[k][i]` is k over i.
pub(super) const BINOMIAL: [[f64; 8]; 8] = {
    let mut table = [[0.0; 8]; 8];
    let mut k = 0;
    while k < 8 {
        table[k][0] = 1.0;
        let mut i = 1;
        while i <= k {
            table[k][i] = table[k - 1][i - 1] + table[k - 1][i];
            i += 1;
        }
        k += 1;
    }
    table
};

/// A B-spline curve in D dimensions (3 in space, mm; 2 in a parameter plane).
#[derive(Debug, Clone, PartialEq)]
pub struct Curve<const D: usize> {
    knots: KnotVector,
    points: Vec<[f64; D]>,
    weights: Option<Vec<f64>>,
}

impl<const D: usize> Curve<D> {
    /// Checks and takes control points, and weights (> 0) when rational.
    ///
    /// # Errors
    /// When counts disagree or a number is not finite.
    pub fn new(knots: KnotVector, points: Vec<[f64; D]>, weights: Option<Vec<f64>>) -> Result<Self, NurbsError> {
        if knots.point_count() != points.len() {
            return Err(NurbsError::KnotCount { points: points.len(), degree: knots.degree(), knots: knots.knots().len() });
        }
        if points.iter().flatten().any(|x| !x.is_finite()) {
            return Err(NurbsError::NotFinite);
        }
        super::surface::check_weights(weights.as_deref(), points.len())?;
        Ok(Self { knots, points, weights })
    }

    /// The knot vector.
    pub fn knots(&self) -> &KnotVector {
        &self.knots
    }

    /// Control points.
    pub fn points(&self) -> &[[f64; D]] {
        &self.points
    }

    /// Weights, when rational.
    pub fn weights(&self) -> Option<&[f64]> {
        self.weights.as_deref()
    }

    /// Parameter domain.
    pub fn domain(&self) -> Interval {
        self.knots.domain()
    }

    /// Position and derivatives up to `order` ≤ 3 (higher entries 0); at an inner knot those of its right side.
    /// Beyond the domain the end span is continued.
    pub fn derivs(&self, t: f64, order: usize) -> CurveDerivs<D> {
        self.derivs_to(t, order)
    }

    /// As [`Curve::derivs`], up to any `order` ≤ K − 1 with K ≤ 8.
    pub fn derivs_to<const K: usize>(&self, t: f64, order: usize) -> [[f64; D]; K] {
        let order = order.min(K - 1).min(BINOMIAL.len() - 1);
        if self.knots.degree() < LOW { self.summed::<K, LOW>(t, order) } else { self.summed::<K, ANY>(t, order) }
    }

    fn summed<const K: usize, const N: usize>(&self, t: f64, order: usize) -> [[f64; D]; K] {
        let b = Functions::<K, N>::at(&self.knots, self.knots.span(t), t, order);
        let mut a = [[0.0; D]; K];
        let mut w = [0.0; K];
        for r in 0..=self.knots.degree() {
            let i = b.first + r;
            let weight = self.weights.as_ref().map_or(1.0, |w| w[i]);
            for k in 0..=order {
                let n = b.at[r][k] * weight;
                w[k] += n;
                for (sum, x) in a[k].iter_mut().zip(&self.points[i]) {
                    *sum += n * x;
                }
            }
        }
        if self.weights.is_none() {
            return a;
        }
        // NB A4.2: C⁽ᵏ⁾ = (A⁽ᵏ⁾ − Σ binom(k,i) w⁽ⁱ⁾ C⁽ᵏ⁻ⁱ⁾) / w.
        let mut c = [[0.0; D]; K];
        for k in 0..=order {
            for x in 0..D {
                let mut v = a[k][x];
                for i in 1..=k {
                    v -= BINOMIAL[k][i] * w[i] * c[k - i][x];
                }
                c[k][x] = v / w[0];
            }
        }
        c
    }

    /// The curve with every control point mapped by an affine map (weights and knots unchanged).
    pub fn map(&self, f: impl Fn([f64; D]) -> [f64; D]) -> Self {
        Self { knots: self.knots.clone(), points: self.points.iter().map(|&p| f(p)).collect(), weights: self.weights.clone() }
    }
}
