//! The rows of a fit, constraints taken out, solved about the centre of the data.

use super::constraint::{Constraint, Elimination};
use super::error::FitError;
use crate::math::Arrange;
use crate::math::least_squares::LeastSquares;

/// A least-squares system in control points of D coordinates.
pub(super) struct System<const D: usize> {
    rows: Vec<(usize, Vec<f64>, [f64; D])>,
    elimination: Elimination<D>,
    centre: [f64; D],
}

impl<const D: usize> System<D> {
    /// An empty system; coordinates are counted from `centre`, so that far places cost no digits.
    pub(super) fn new(unknowns: usize, constraints: &[Constraint<D>], centre: [f64; D]) -> Result<Self, FitError> {
        Ok(Self { rows: Vec::new(), elimination: Elimination::new(unknowns, constraints, &centre)?, centre })
    }

    /// Control points that the constraints leave free.
    pub(super) fn free(&self) -> usize {
        self.elimination.free()
    }

    /// Adds a row times `factor`: entries from column `first` on, and the place it should give.
    pub(super) fn add(&mut self, first: usize, entries: &[f64], right: &[f64; D], factor: f64) {
        let entries: Vec<f64> = entries.iter().map(|x| factor * x).collect();
        let mut value = [0.0; D];
        // A row of the basis sums to one, one of its derivatives to nothing.
        let sum: f64 = entries.iter().sum();
        for ((v, r), c) in value.iter_mut().zip(right).zip(&self.centre) {
            *v = factor * r - sum * c;
        }
        self.rows.push(self.elimination.reduce(first, &entries, &value));
    }

    /// The control points.
    pub(super) fn solve(mut self) -> Result<Vec<[f64; D]>, FitError> {
        // A stable sort: rows met in the order of their first unknown fill the triangle's band only.
        self.rows.arrange_by_key(|row| row.0);
        let mut triangle = LeastSquares::new(self.elimination.free(), D);
        for (first, entries, right) in &self.rows {
            triangle.add(*first, entries, right);
        }
        let solved = triangle.solve().map_err(|e| FitError::Singular(self.elimination.original(e.0)))?;
        let free: Vec<[f64; D]> = solved.iter().map(|x| core::array::from_fn(|d| x.get(d).copied().unwrap_or(0.0))).collect();
        let mut all = self.elimination.expand(&free);
        for point in &mut all {
            point.iter_mut().zip(&self.centre).for_each(|(x, c)| *x += c);
        }
        Ok(all)
    }
}

/// Refuses a knot vector some of whose control points no parameter fixes: there must be parameters t₀ < t₁ < … with the
/// j-th basis function positive at t_j (Schoenberg & Whitney, Trans. AMS 74, 1953, 246–259).
pub(super) fn interlaced(knots: &crate::nurbs::KnotVector, parameters: &[f64]) -> Result<(), FitError> {
    let mut sorted = parameters.to_vec();
    sorted.arrange_by(f64::total_cmp);
    sorted.dedup();
    let (k, p, n) = (knots.knots(), knots.degree(), knots.point_count());
    if sorted.len() < n {
        return Err(FitError::TooFew { unknowns: n, given: sorted.len() });
    }
    let mut left = sorted.iter();
    for j in 0..n {
        let (Some(&low), Some(&high)) = (k.get(j), k.get(j + p + 1)) else { continue };
        // At a clamped end the outermost function is one.
        let first = k.get(j + p) == Some(&low);
        let last = k.get(j + 1) == Some(&high);
        let positive = |t: f64| (t > low || (first && t == low)) && (t < high || (last && t == high));
        let next = left.by_ref().find(|&&t| t >= high || positive(t));
        if !next.is_some_and(|&t| positive(t)) {
            return Err(FitError::Sparse(j));
        }
    }
    Ok(())
}

/// Refuses weights that are not positive numbers.
pub(super) fn check_weights(weights: impl Iterator<Item = f64>) -> Result<(), FitError> {
    for w in weights {
        if !(w > 0.0 && w.is_finite()) {
            return Err(FitError::Weight(w));
        }
    }
    Ok(())
}

/// Refuses parameters that are no numbers or lie outside.
pub(super) fn check_parameters(knots: &crate::nurbs::KnotVector, mut parameters: impl Iterator<Item = f64>) -> Result<(), FitError> {
    let domain = knots.domain();
    match parameters.find(|&t| !(t >= domain.low && t <= domain.high)) {
        Some(t) if t.is_finite() => Err(FitError::Outside(t)),
        Some(_) => Err(FitError::NotFinite),
        None => Ok(()),
    }
}

/// Mean of places, mm.
pub(super) fn centre_of<const D: usize>(points: impl Iterator<Item = [f64; D]> + Clone) -> Result<[f64; D], FitError> {
    let count = points.clone().count().max(1) as f64;
    let mut centre = [0.0; D];
    for p in points {
        centre.iter_mut().zip(&p).for_each(|(c, x)| *c += x / count);
    }
    if centre.iter().all(|x| x.is_finite()) { Ok(centre) } else { Err(FitError::NotFinite) }
}
