//! A curve fitted to points.

use super::system::{System, centre_of, check_parameters, check_weights, interlaced};
use super::{Constraint, Fairness, FitError};
use crate::nurbs::{BasisDerivs, Curve, KnotVector};

/// A point a curve should pass near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurveSample<const D: usize> {
    /// Parameter at which it should.
    pub t: f64,
    /// The place, mm.
    pub point: [f64; D],
    /// Weight of its squared distance, > 0; only its share of all weights counts.
    pub weight: f64,
}

/// The curve over `knots` with the least weighted mean square distance from the samples at their parameters, plus
/// fairness, that keeps the constraints (see the module's head). NB §9.4.1; end points are not kept unless constrained.
///
/// # Errors
/// See [`FitError`]; with fairness or constraints, too little data shows as [`FitError::Singular`].
pub fn fit_curve<const D: usize>(
    knots: &KnotVector,
    samples: &[CurveSample<D>],
    fairness: Option<Fairness>,
    constraints: &[Constraint<D>],
) -> Result<Curve<D>, FitError> {
    check_parameters(knots, samples.iter().map(|s| s.t))?;
    check_weights(samples.iter().map(|s| s.weight))?;
    let count = knots.point_count();
    if fairness.is_none() && constraints.is_empty() {
        interlaced(knots, &samples.iter().map(|s| s.t).collect::<Vec<f64>>())?;
    }
    let mut system = System::new(count, constraints, centre_of(samples.iter().map(|s| s.point))?)?;
    let sum: f64 = samples.iter().map(|s| s.weight).sum();
    for s in samples {
        let basis = BasisDerivs::<1>::at(knots, knots.span(s.t), s.t, 0);
        let entries = basis.rows[0].get(..=knots.degree()).unwrap_or_default();
        system.add(basis.first, entries, &s.point, (s.weight / sum).sqrt());
    }
    if let Some(fairness) = fairness {
        for row in fairness.curve_rows(knots)? {
            system.add(row.first, &row.entries, &[0.0; D], 1.0);
        }
    } else if samples.len() < system.free() {
        return Err(FitError::TooFew { unknowns: count, given: samples.len() + count - system.free() });
    }
    Ok(Curve::new(knots.clone(), system.solve()?, None)?)
}
