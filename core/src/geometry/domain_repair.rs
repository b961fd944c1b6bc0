//! What was wrong with a face's loops and mended, because its intent was plain.

use core::fmt;

/// Something mended while the domain was built. Loops and edges are counted from 0 here, from 1 in words.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum DomainRepair {
    /// A loop ran the wrong way round and was turned.
    Reversed {
        /// Index among the face's loops.
        loop_index: usize,
    },
    /// Two edges miss each other at a corner, before this use; closed straight.
    Bridged {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
        /// Distance, mm.
        gap: f64,
    },
    /// The file's parameter-plane curve does not follow the edge and was replaced by the edge's feet.
    PcurveRefused {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
        /// Largest distance found, mm.
        distance: f64,
    },
}

impl DomainRepair {
    /// How far off it was, mm; None where it is not a matter of a length.
    pub fn size(&self) -> Option<f64> {
        match *self {
            Self::Reversed { .. } => None,
            Self::Bridged { gap, .. } => Some(gap),
            Self::PcurveRefused { distance, .. } => Some(distance),
        }
    }
}

impl fmt::Display for DomainRepair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Reversed { loop_index } => write!(f, "loop {} ran the wrong way round; turned", loop_index + 1),
            Self::Bridged { loop_index, use_index, gap } => {
                write!(f, "loop {} was open by {} before its edge {}; closed straight", loop_index + 1, length(gap), use_index + 1)
            }
            Self::PcurveRefused { loop_index, use_index, distance } => write!(
                f,
                "edge {} of loop {}: its curve in the surface's parameters is {} off the edge; replaced by the edge's projection",
                use_index + 1,
                loop_index + 1,
                length(distance)
            ),
        }
    }
}

/// A length in words, to about three digits.
struct Length(f64);

fn length(x: f64) -> Length {
    Length(x)
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            x if !x.is_finite() => f.write_str("without bound"),
            x if x >= 100.0 => write!(f, "{x:.0} mm"),
            x if x >= 1.0 => write!(f, "{x:.2} mm"),
            x if x >= 1e-3 => write!(f, "{x:.4} mm"),
            x => write!(f, "{x:.1e} mm"),
        }
    }
}
