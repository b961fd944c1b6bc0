//! The border of a face as polygons in (u, v), with the positions neighbouring faces share.

use crate::math::{Interval, Point2, Point3};
use crate::model::EdgeId;

/// Polygons around a part of a surface.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Region {
    /// Border points.
    pub points: Vec<BorderPoint>,
    /// Closed polygons by point number, the region on their left; the last point joins the first.
    pub rings: Vec<Vec<u32>>,
    /// Runs of border points along one side each.
    pub runs: Vec<Run>,
}

/// A border point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BorderPoint {
    /// On this face's own surface, at its own trim.
    pub uv: Point2,
    /// Common to all faces that use the edge, mm.
    pub position: Point3,
}

/// The points along one side of a region.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    /// The model edge behind it; none for a seam, a pole or a natural border.
    pub edge: Option<EdgeId>,
    /// The side of the domain: index of its loop, and among that loop's sides.
    pub side: (usize, usize),
    /// Point numbers, in the edge's own direction; along the ring where there is no edge.
    pub points: Vec<u32>,
}

impl Region {
    /// The box in u and v around all border points; None without any.
    pub fn bounds(&self) -> Option<(Interval, Interval)> {
        let first = self.points.first()?.uv;
        let start = (Interval::new(first.u, first.u), Interval::new(first.v, first.v));
        let grow = |(u, v): (Interval, Interval), p: &BorderPoint| (u.including(p.uv.u), v.including(p.uv.v));
        Some(self.points.iter().fold(start, grow))
    }
}
