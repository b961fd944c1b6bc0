//! The sphere.

use super::ring;
use crate::math::{Frame, Point2, Point3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = o + r cos v (cos u x + sin u y) + r sin v z, radians. ISO 10303-42, spherical_surface.
/// Singular at the poles v = ±π/2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sphere {
    /// Centre and axes.
    pub frame: Frame,
    /// Radius r > 0, mm.
    pub radius: f64,
}

impl Sphere {
    /// Position and derivatives.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        let (sin, cos) = real::sin_cos(v);
        let (s, c) = (self.radius * sin, self.radius * cos);
        ring::derivs(&self.frame, u, [c, -s, -c, s], [s, c, -s, -c])
    }

    /// Parameters of the closest point; the centre gives (0, 0), points on the axis give u = 0.
    pub fn closest(&self, p: Point3) -> Point2 {
        let q = self.frame.local(p);
        Point2::new(real::atan2(q.y, q.x), real::atan2(q.z, real::hypot(q.x, q.y)))
    }
}
