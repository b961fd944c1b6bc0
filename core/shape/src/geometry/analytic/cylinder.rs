//! The circular cylinder.

use super::ring;
use crate::math::{Frame, Point2, Point3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = o + r (cos u x + sin u y) + v z, u in radians, v in mm. ISO 10303-42, cylindrical_surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    /// Where it stands; z is its axis.
    pub frame: Frame,
    /// Radius r > 0, mm.
    pub radius: f64,
}

impl Cylinder {
    /// Position and derivatives.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        ring::derivs(&self.frame, u, [self.radius, 0.0, 0.0, 0.0], [v, 1.0, 0.0, 0.0])
    }

    /// Parameters of the closest point, u in (−π, π]; a point on the axis gives u = 0.
    pub fn closest(&self, p: Point3) -> Point2 {
        let q = self.frame.local(p);
        Point2::new(real::atan2(q.y, q.x), q.z)
    }
}
