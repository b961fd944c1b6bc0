//! Edges and vertices.

use super::{Source, VertexId};
use crate::geometry::Curve;
use crate::math::{Point3, Vec3};

/// A corner point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Position, mm.
    pub point: Point3,
    /// Where it was written.
    pub source: Source,
}

/// A bounded piece of a curve, from vertex `start` (parameter `t0`) to vertex `end` (parameter `t1`).
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The curve.
    pub curve: Curve,
    /// Parameter at the start; may exceed `t1` when the edge runs against its curve.
    pub t0: f64,
    /// Parameter at the end; a full turn from `t0` on a closed conic.
    pub t1: f64,
    /// Start vertex.
    pub start: VertexId,
    /// End vertex; equal to `start` on a closed edge.
    pub end: VertexId,
    /// Where it was written.
    pub source: Source,
}

impl Edge {
    /// Curve parameter at share `s` of the edge, 0 at the start, 1 at the end.
    pub fn parameter(&self, s: f64) -> f64 {
        self.t0 * (1.0 - s) + self.t1 * s
    }

    /// Position at share `s`.
    pub fn point(&self, s: f64) -> Point3 {
        self.curve.point(self.parameter(s))
    }

    /// Derivative by the share, mm.
    pub fn tangent(&self, s: f64) -> Vec3 {
        self.curve.tangent(self.parameter(s)) * (self.t1 - self.t0)
    }
}
