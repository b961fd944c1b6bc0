//! Splines of stated degree and spans fitted to points with parameters, by least squares.
//!
//! What is minimised is Σ wᵢ |S(tᵢ) − Pᵢ|² / Σ wᵢ + factor · E, subject to linear equations among the control points that
//! are kept exactly. E is the [`Fairness`] energy; without it, the plain weighted fit (NB §9.4.1 and 9.4.3). The shape
//! depends neither on the unit of length, nor on where the points lie, nor on the scale of parameters or of weights.
//! Rows are reduced by rotations ([`crate::math::least_squares`]), never by normal equations: points taken from a spline
//! of the fitted space give that spline back to about twelve digits at degrees 1 to 7.

mod constraint;
mod curve;
mod deviation;
mod error;
mod fairness;
pub mod lines;
mod surface;
mod system;
#[cfg(test)]
mod tests;

pub use constraint::Constraint;
pub use curve::{CurveSample, fit_curve};
pub use deviation::{Deviation, curve_deviation, surface_deviation};
pub use error::FitError;
pub use fairness::Fairness;
pub use surface::{SurfaceGrid, SurfaceSample, fit_grid, fit_surface};
