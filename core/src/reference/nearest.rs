//! The nearest point of a reference.

use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;

/// Part of the distance that may lie in the tangent plane at a nearest point on an open border: with more, the point asked about
/// lies beside the reference, not over it. Larger: what overhangs the border counts as far off; smaller: rounding at the border
/// leaves places out.
const BESIDE: f64 = 0.05;

/// The same in mm, for points that lie on the reference to rounding.
pub const TOUCHING: f64 = 1e-6;

/// A nearest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Position, mm.
    pub point: Point3,
    /// Distance, mm, ≥ 0.
    pub distance: f64,
    /// Normal on the outward side, of unit length or zero where there is none: at edges and corners the angle-weighted sum of
    /// their faces' normals (Baerentzen & Aanaes, *Signed distance computation using the angle weighted pseudonormal*, IEEE TVCG
    /// 11(3), 2005).
    pub normal: Vec3,
    /// True on a border that nothing joins on to.
    pub border: bool,
    /// The face, of a model.
    pub face: Option<FaceId>,
    /// Parameters there, of a model.
    pub uv: Option<Point2>,
}

impl Nearest {
    /// Signed distance of the point that was asked about, mm: positive on the side the normal points to.
    pub fn signed(&self, p: Point3) -> f64 {
        if (p - self.point).dot(self.normal) < 0.0 { -self.distance } else { self.distance }
    }

    /// True where the point asked about lies beyond the border by more than `slack`, mm, and its distance is not one across the reference.
    pub fn is_beside(&self, p: Point3, slack: f64) -> bool {
        let off = p - self.point;
        let along = (off - self.normal * off.dot(self.normal)).length();
        self.border && along > BESIDE * self.distance + slack
    }
}
