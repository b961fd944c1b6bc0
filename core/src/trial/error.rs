//! Why an edit cannot be made.

use crate::geometry::{SplineFormError, SweepError};
use crate::model::FaceId;
use crate::nurbs::NurbsError;
use crate::nurbs::fit::FitError;
use core::fmt;

/// Why an edit cannot be made. The model is then as it was before the edit.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum TrialError {
    /// The model has no such face.
    NoFace(FaceId),
    /// An earlier trial has merged the face into another.
    Gone(FaceId),
    /// The face's boundary is not known, so that a border cannot be kept.
    Border(FaceId),
    /// The face is trimmed; the edit needs one that ends where its patch ends.
    Trimmed(FaceId),
    /// The face is trimmed and runs over a pole, where its trims could not be kept.
    Pole(FaceId),
    /// The surface has no spline form to be changed.
    Spline(SplineFormError),
    /// Row and column name no control point.
    NoPoint(usize, usize),
    /// A number is NaN or infinite, or lies outside what it may be.
    Number,
    /// Locks leave no control point free.
    Held,
    /// Two sides that meet are both said to lie on the centre plane.
    TwoCentres,
    /// The twin's net is not the mirror image; largest distance, mm.
    NotMirrored(f64),
    /// The faces do not meet where they should; distance, mm.
    Apart(f64),
    /// A side has no length.
    Side,
    /// Nothing of the stated size is within the tolerance; the best distance, mm.
    OutOfTolerance(f64),
    /// The sides make no sweep.
    Sweep(SweepError),
    /// A fit failed.
    Fit(FitError),
    /// The leader's weights, carried on, would not stay positive.
    Weights,
    /// The edit's own words.
    Other(&'static str),
}

impl fmt::Display for TrialError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoFace(id) => write!(f, "the model has no face {}", id.index()),
            Self::Gone(id) => write!(f, "an earlier trial has merged face {} into another", id.index()),
            Self::Border(id) => write!(f, "the boundary of face {} is not known", id.index()),
            Self::Trimmed(id) => {
                write!(f, "face {} is trimmed; only a face that ends where its patch ends can be changed so", id.index())
            }
            Self::Pole(id) => write!(f, "face {} is trimmed and runs over a pole: its trims could not be kept", id.index()),
            Self::Spline(e) => e.fmt(f),
            Self::NoPoint(row, column) => write!(f, "the net has no control point in row {}, column {}", row + 1, column + 1),
            Self::Number => write!(f, "a number is not finite or out of range"),
            Self::Held => write!(f, "the locks leave no control point free"),
            Self::TwoCentres => write!(f, "two sides that meet cannot both lie on the centre plane"),
            Self::NotMirrored(d) => write!(f, "the other face's net is not the mirror image, by {d:.4} mm"),
            Self::Apart(d) => write!(f, "the faces lie {d:.3} mm apart there"),
            Self::Side => write!(f, "the side has no length"),
            Self::OutOfTolerance(d) => write!(f, "nothing of that size comes nearer than {d:.4} mm"),
            Self::Sweep(e) => e.fmt(f),
            Self::Fit(e) => e.fmt(f),
            Self::Weights => write!(f, "the leader's weights cannot be carried on so far"),
            Self::Other(words) => f.write_str(words),
        }
    }
}

impl std::error::Error for TrialError {}

impl From<NurbsError> for TrialError {
    fn from(e: NurbsError) -> Self {
        Self::Fit(FitError::Spline(e))
    }
}

impl From<FitError> for TrialError {
    fn from(e: FitError) -> Self {
        Self::Fit(e)
    }
}

impl From<SplineFormError> for TrialError {
    fn from(e: SplineFormError) -> Self {
        Self::Spline(e)
    }
}
