//! The energy that keeps a fit fair.

use super::FitError;
use crate::math::quadrature::gauss_legendre;
use crate::nurbs::{BasisDerivs, KnotVector};

/// How much bending counts against the distance to the points.
///
/// For a surface the energy is that of a thin plate, ∬ (S_xx² + 2 S_xy² + S_yy²) dx dy (Duchon, *Splines minimizing
/// rotation-invariant semi-norms in Sobolev spaces*, 1977), taken over the patch's parameters laid on a rectangle of area 1
/// whose sides are as `aspect` to 1; for a curve it is ∫ |C″|² dx over a line of length 1. Either is a squared length, as
/// the mean squared distance is, so `factor` has no unit and a model in metres fits as it does in millimetres. Integrated
/// exactly: Gauss's rule of degree + 1 points in every span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fairness {
    /// Share of the energy, ≥ 0. 1e-9 steadies gaps in the data, 1e-3 flattens.
    pub factor: f64,
    /// Length of the patch along u over its length along v, > 0; unused for curves.
    pub aspect: f64,
}

/// A row of the energy: first column of each block of entries is `i · columns + j`.
pub(super) struct EnergyRow {
    pub(super) first: usize,
    pub(super) entries: Vec<f64>,
}

impl Fairness {
    fn check(&self) -> Result<(), FitError> {
        if !(self.factor >= 0.0 && self.factor.is_finite()) {
            return Err(FitError::Fairness(self.factor));
        }
        if !(self.aspect > 0.0 && self.aspect.is_finite() && (1.0 / self.aspect).is_finite()) {
            return Err(FitError::Fairness(self.aspect));
        }
        Ok(())
    }

    /// Rows whose squares sum to factor · energy of a curve.
    pub(super) fn curve_rows(&self, knots: &KnotVector) -> Result<Vec<EnergyRow>, FitError> {
        self.check()?;
        let mut rows = Vec::new();
        for (basis, weight) in stations(knots) {
            let size = (self.factor * weight).sqrt();
            let entries = basis.rows[2].iter().take(knots.degree() + 1).map(|x| size * x).collect();
            rows.push(EnergyRow { first: basis.first, entries });
        }
        Ok(rows)
    }

    /// Rows whose squares sum to factor · energy of a surface.
    pub(super) fn surface_rows(&self, ku: &KnotVector, kv: &KnotVector) -> Result<Vec<EnergyRow>, FitError> {
        self.check()?;
        let (along_u, along_v) = (stations(ku), stations(kv));
        let columns = kv.point_count();
        let mut rows = Vec::new();
        for (bu, wu) in &along_u {
            for (bv, wv) in &along_v {
                let size = (self.factor * wu * wv).sqrt();
                let parts = [(2, 0, 1.0 / self.aspect), (1, 1, core::f64::consts::SQRT_2), (0, 2, self.aspect)];
                for (k, l, factor) in parts {
                    let (first, entries) = product(bu, bv, (k, l), (ku.degree(), kv.degree()), columns, size * factor);
                    rows.push(EnergyRow { first, entries });
                }
            }
        }
        Ok(rows)
    }
}

/// A row of products of basis functions over the control net, u-major: its first column and its entries, zeros between
/// the blocks.
pub(super) fn product<const K: usize>(
    bu: &BasisDerivs<K>,
    bv: &BasisDerivs<K>,
    (k, l): (usize, usize),
    (pu, pv): (usize, usize),
    columns: usize,
    factor: f64,
) -> (usize, Vec<f64>) {
    let mut entries = vec![0.0; pu * columns + pv + 1];
    for (block, a) in entries.chunks_mut(columns).zip(&bu.rows[k]) {
        for (entry, b) in block.iter_mut().zip(bv.rows[l].iter().take(pv + 1)) {
            *entry = factor * a * b;
        }
    }
    (bu.first * columns + bv.first, entries)
}

/// Bases at the Gauss points of every span with derivatives by the share of the domain, and the weights.
fn stations(knots: &KnotVector) -> Vec<(BasisDerivs<3>, f64)> {
    let rule = gauss_legendre(knots.degree() + 1);
    let whole = knots.domain().length();
    let mut all = Vec::new();
    for w in knots.breaks().windows(2) {
        let (middle, half) = (0.5 * (w[0] + w[1]), 0.5 * (w[1] - w[0]));
        for &(x, weight) in &rule {
            let t = middle + half * x;
            let mut basis = BasisDerivs::<3>::at(knots, knots.span(t), t, 2);
            let mut factor = 1.0;
            for row in basis.rows.iter_mut().skip(1) {
                factor *= whole;
                row.iter_mut().for_each(|x| *x *= factor);
            }
            all.push((basis, weight * half / whole));
        }
    }
    all
}
