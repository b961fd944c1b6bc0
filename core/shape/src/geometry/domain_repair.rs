//! What was wrong with a face's loops and mended, because its intent was plain.

use core::fmt;

/// Something mended while the domain was built. Loops and edges are counted from 0 here, from 1 in words, as the face
/// lists them; "before an edge" is in the order of that list. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
#[allow(missing_docs)] // loop_index, use_index: index among the face's loops, and among that loop's uses
pub enum DomainRepair {
    /// A loop ran the wrong way round and was turned.
    Reversed { loop_index: usize },
    /// There are holes but no loop around them; the surface's own border was taken.
    OuterMissing,
    /// Several loops lie outside one another; each bounds a region of the face.
    SeveralOuter { count: usize },
    /// Two edges miss each other before this use; closed straight.
    Bridged { loop_index: usize, use_index: usize, gap: f64 },
    /// Two edges miss each other before this use, both ending on the surface's border; closed along it.
    BorderTaken { loop_index: usize, use_index: usize, gap: f64 },
    /// A cut through a closed surface was run along once only before this use, not back; the way back was added.
    SeamAdded { loop_index: usize, use_index: usize, gap: f64 },
    /// An edge was named against its run and left the loop open; turned.
    EdgeTurned { loop_index: usize, use_index: usize, gap: f64 },
    /// The edges were out of order, leaving gaps; chained by where they end. The largest gap so closed.
    Reordered { loop_index: usize, gap: f64 },
    /// One loop held the edges of several.
    Parted { loop_index: usize, count: usize },
    /// An edge is there twice; dropped once.
    Doubled { loop_index: usize, use_index: usize, length: f64 },
    /// A stretch runs out and back on itself and bounds nothing; dropped.
    Spur { loop_index: usize, use_index: usize, length: f64 },
    /// An edge of no length away from any pole; dropped.
    NoLength { loop_index: usize, use_index: usize },
    /// The boundary crosses itself; what lies beyond the crossing, this long or wide, was cut off.
    Cut { loop_index: usize, use_index: usize, size: f64 },
    /// A loop touches or crosses itself; it was taken apart into simple loops.
    Untied { loop_index: usize, count: usize },
    /// The parameter-plane curve does not follow the edge; the edge's feet on the surface were taken.
    PcurveRefused { loop_index: usize, use_index: usize, distance: f64 },
    /// The edge leaves the surface or its vertices; its parameter-plane curve, which meets them, was taken.
    EdgeRefused { loop_index: usize, use_index: usize, distance: f64 },
    /// The edge lies off the surface; its feet there were taken.
    OffSurface { loop_index: usize, use_index: usize, distance: f64 },
    /// The edge runs beyond the surface's own border; held to the border.
    Outside { loop_index: usize, use_index: usize, distance: f64 },
}

impl DomainRepair {
    /// How far off it was, mm; None where it is not a matter of a length.
    pub fn size(&self) -> Option<f64> {
        match *self {
            Self::Bridged { gap, .. }
            | Self::BorderTaken { gap, .. }
            | Self::SeamAdded { gap, .. }
            | Self::EdgeTurned { gap, .. }
            | Self::Reordered { gap, .. } => Some(gap),
            Self::Doubled { length, .. } | Self::Spur { length, .. } => Some(length),
            Self::Cut { size, .. } => Some(size),
            Self::PcurveRefused { distance, .. }
            | Self::EdgeRefused { distance, .. }
            | Self::OffSurface { distance, .. }
            | Self::Outside { distance, .. } => Some(distance),
            Self::Reversed { .. }
            | Self::OuterMissing
            | Self::SeveralOuter { .. }
            | Self::Parted { .. }
            | Self::NoLength { .. }
            | Self::Untied { .. } => None,
        }
    }
}

impl fmt::Display for DomainRepair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let open = |f: &mut fmt::Formatter<'_>, (l, u): (usize, usize), gap: f64, how: &str| {
            write!(f, "loop {} was open by {} before its edge {}; {how}", l + 1, Length(gap), u + 1)
        };
        let edge = |f: &mut fmt::Formatter<'_>, (l, u): (usize, usize)| write!(f, "edge {} of loop {} ", u + 1, l + 1);
        match *self {
            Self::Reversed { loop_index } => write!(f, "loop {} ran the wrong way round; turned", loop_index + 1),
            Self::OuterMissing => write!(f, "it has holes but no outer loop; bounded by the surface's own border"),
            Self::SeveralOuter { count } => write!(f, "{count} loops lie outside one another; each bounds a region of the face"),
            Self::Bridged { loop_index, use_index, gap } => open(f, (loop_index, use_index), gap, "closed straight"),
            Self::BorderTaken { loop_index, use_index, gap } => {
                open(f, (loop_index, use_index), gap, "closed along the border of the surface")
            }
            Self::SeamAdded { loop_index, use_index, gap } => {
                open(f, (loop_index, use_index), gap, "closed along its seam, which was run along once only")
            }
            Self::EdgeTurned { loop_index, use_index, gap } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "ran the wrong way and left the loop open by {}; turned", Length(gap))
            }
            Self::Reordered { loop_index, gap } => {
                write!(f, "the edges of loop {} were out of order, open by up to {}; chained by their ends", loop_index + 1, Length(gap))
            }
            Self::Parted { loop_index, count } => write!(f, "loop {} held the edges of {count} loops; parted", loop_index + 1),
            Self::Doubled { loop_index, use_index, length } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "({}) is in it twice; dropped once", Length(length))
            }
            Self::Spur { loop_index, use_index, length } => {
                write!(f, "loop {} runs {} out and back at its edge {}; dropped", loop_index + 1, Length(length), use_index + 1)
            }
            Self::NoLength { loop_index, use_index } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "has no length; dropped")
            }
            Self::Cut { loop_index, use_index, size } => {
                write!(f, "loop {} crosses the boundary at its edge {} and runs {} beyond; ", loop_index + 1, use_index + 1, Length(size))?;
                write!(f, "cut at the crossing")
            }
            Self::Untied { loop_index, count } => {
                write!(f, "loop {} meets itself; taken apart into {count} simple loops", loop_index + 1)
            }
            Self::PcurveRefused { loop_index, use_index, distance } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "and its curve in the surface's parameters are {} apart; the edge's projection was taken", Length(distance))
            }
            Self::EdgeRefused { loop_index, use_index, distance } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "is {} off its surface or its ends; its curve in the surface's parameters was taken", Length(distance))
            }
            Self::OffSurface { loop_index, use_index, distance } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "lies {} off the surface; projected", Length(distance))
            }
            Self::Outside { loop_index, use_index, distance } => {
                edge(f, (loop_index, use_index))?;
                write!(f, "runs {} beyond the border of the surface; held to it", Length(distance))
            }
        }
    }
}

/// A length in words, to about three digits.
pub(super) struct Length(pub f64);

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
