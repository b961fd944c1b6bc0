//! Why points make no spline.

use crate::math::least_squares::Undetermined;
use crate::nurbs::NurbsError;
use core::fmt;

/// Why a fit cannot be made.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum FitError {
    /// A parameter, coordinate or constraint is NaN or infinite.
    NotFinite,
    /// A weight is not a positive number; its value.
    Weight(f64),
    /// The fairness factor is negative, or factor or aspect is no usable number; its value.
    Fairness(f64),
    /// A parameter lies outside the knot vector's domain; its value.
    Outside(f64),
    /// The numbers of points and parameters of a grid disagree.
    Count {
        /// Expected.
        expected: usize,
        /// Given.
        given: usize,
    },
    /// Fewer points (and constraints) than control points, and no fairness to make up for them.
    TooFew {
        /// Control points.
        unknowns: usize,
        /// Points and constraints given.
        given: usize,
    },
    /// Too few distinct parameters within the reach of a control point (the condition of Schoenberg and Whitney); its
    /// index in its direction.
    Sparse(usize),
    /// The points leave a control point open, to rounding; its index.
    Singular(usize),
    /// A constraint names a control point that is not there; index of the constraint.
    NoSuchPoint(usize),
    /// A constraint contradicts those before it; its index.
    Contradiction(usize),
    /// The knots or control points make no spline.
    Spline(NurbsError),
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => write!(f, "a parameter, coordinate or constraint is not a finite number"),
            Self::Weight(w) => write!(f, "weight {w} is not positive"),
            Self::Fairness(x) => write!(f, "{x} is no fairness factor or aspect"),
            Self::Outside(t) => write!(f, "parameter {t} lies outside the domain"),
            Self::Count { expected, given } => write!(f, "{given} points or weights given where the grid has {expected}"),
            Self::TooFew { unknowns, given } => write!(f, "{given} points cannot fix {unknowns} control points"),
            Self::Sparse(i) => write!(f, "too few points lie within the reach of control point {i}"),
            Self::Singular(i) => write!(f, "the points leave control point {i} open"),
            Self::NoSuchPoint(i) => write!(f, "constraint {i} names a control point that is not there"),
            Self::Contradiction(i) => write!(f, "constraint {i} contradicts those before it"),
            Self::Spline(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for FitError {}

impl From<NurbsError> for FitError {
    fn from(e: NurbsError) -> Self {
        Self::Spline(e)
    }
}

impl From<Undetermined> for FitError {
    fn from(e: Undetermined) -> Self {
        Self::Singular(e.0)
    }
}
