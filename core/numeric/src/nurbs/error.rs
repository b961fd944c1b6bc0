//! What is wrong with spline data.

use core::fmt;

/// Why numbers do not make a spline.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NurbsError {
    /// The degree lies outside 1 to [`super::MAX_DEGREE`].
    Degree(usize),
    /// The number of knots is not control points + degree + 1.
    KnotCount {
        /// Control points given in this direction.
        points: usize,
        /// Degree given.
        degree: usize,
        /// Knots given.
        knots: usize,
    },
    /// A knot is smaller than the one before it; the index of the later one.
    Decreasing(usize),
    /// The knot vector spans no interval.
    Empty,
    /// An interior knot stands more often than the degree; its value.
    Multiplicity(f64),
    /// A number is NaN or infinite.
    NotFinite,
    /// The number of control points is not rows × columns.
    PointCount {
        /// Expected.
        expected: usize,
        /// Given.
        given: usize,
    },
    /// The number of weights differs from the number of control points.
    WeightCount {
        /// Expected.
        expected: usize,
        /// Given.
        given: usize,
    },
    /// A weight is zero or negative; its value.
    Weight(f64),
    /// A parameter lies outside the domain, or on its end where the inside is needed.
    Outside(f64),
}

impl fmt::Display for NurbsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Degree(d) => write!(f, "degree {d} is outside 1 to {}", super::MAX_DEGREE),
            Self::KnotCount { points, degree, knots } => {
                write!(f, "{knots} knots given where {points} control points of degree {degree} need {}", points + degree + 1)
            }
            Self::Decreasing(i) => write!(f, "knot {i} is smaller than the knot before it"),
            Self::Empty => write!(f, "the knots span no interval"),
            Self::Multiplicity(t) => write!(f, "the inner knot {t} stands more often than the degree"),
            Self::NotFinite => write!(f, "a coordinate, weight or knot is not a finite number"),
            Self::PointCount { expected, given } => write!(f, "{given} control points given where {expected} are needed"),
            Self::WeightCount { expected, given } => write!(f, "{given} weights given where {expected} are needed"),
            Self::Outside(t) => write!(f, "parameter {t} lies outside the domain"),
            Self::Weight(w) => write!(f, "weight {w} is not positive"),
        }
    }
}

impl std::error::Error for NurbsError {}
