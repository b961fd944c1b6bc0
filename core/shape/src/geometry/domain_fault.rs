//! Why loops bound no region of their surface.

use super::TrimError;
use super::domain_repair::Length;
use core::fmt;

/// Why a face has no domain.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum DomainFault {
    /// The face is not in the model.
    UnknownFace,
    /// A use refers to an edge that is not in the model.
    MissingEdge {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
    },
    /// An edge has no trim on the surface.
    Trim {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
        /// Why.
        error: TrimError,
    },
    /// A loop does not close: the distance left before this use is too large to be a tolerance.
    Open {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
        /// Distance, mm.
        gap: f64,
    },
    /// The loops do not bound a finite part of the surface.
    Unbounded,
    /// The loops enclose no area.
    Empty,
    /// An edge lies too far off the surface to be meant for it.
    OffSurface {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
        /// Largest distance, mm.
        distance: f64,
    },
    /// The loops cross one another more often than can be sorted out.
    Tangled,
    /// Part of the boundary could not be read from the file.
    BoundaryLost,
}

impl fmt::Display for DomainFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownFace => write!(f, "the face is not in this model"),
            Self::MissingEdge { loop_index, use_index } => write!(f, "edge {} of loop {} is missing", use_index + 1, loop_index + 1),
            Self::Trim { loop_index, use_index, error } => write!(f, "edge {} of loop {}: {error}", use_index + 1, loop_index + 1),
            Self::Open { loop_index, use_index, gap } => {
                write!(f, "loop {} is open by {} before its edge {}", loop_index + 1, Length(*gap), use_index + 1)
            }
            Self::Unbounded => write!(f, "its loops bound no finite part of the surface"),
            Self::Empty => write!(f, "its loops enclose no area"),
            Self::OffSurface { loop_index, use_index, distance } => {
                write!(f, "edge {} of loop {} lies {} off the surface", use_index + 1, loop_index + 1, Length(*distance))
            }
            Self::Tangled => write!(f, "its loops cross one another more often than can be sorted out"),
            Self::BoundaryLost => write!(f, "part of its boundary could not be read"),
        }
    }
}

impl std::error::Error for DomainFault {}
