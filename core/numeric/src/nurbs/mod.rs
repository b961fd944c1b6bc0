//! Non-uniform rational B-splines: knot vectors, basis functions, curves, surfaces and the algebra on them.
//!
//! Notation follows Piegl & Tiller, *The NURBS Book*, 2nd ed., 1997 (short: NB).

#[cfg(test)]
mod algebra_tests;
#[cfg(test)]
mod any_knots;
mod basis;
mod batch;
mod bezier;
mod blossom;
mod cone;
mod curve;
mod degree;
mod error;
mod extraction;
pub mod fit;
mod functions;
mod knot_vector;
mod lane;
mod refine;
mod smallest;
#[cfg(test)]
mod smallest_tests;
mod split;
mod surface;

pub use basis::{BasisDerivs, MAX_DEGREE};
pub use batch::Batch;
pub use bezier::BezierPatch;
pub use blossom::Direction;
pub use curve::{Curve, CurveDerivs};
pub use error::NurbsError;
pub use knot_vector::KnotVector;
pub use smallest::{Smallest, smallest};
pub use surface::{Side, Surface, SurfaceDerivs};
