//! The torus.

use super::ring;
use crate::math::{Frame, Point2, Point3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = o + (R + r cos v)(cos u x + sin u y) + r sin v z, radians. ISO 10303-42, toroidal_surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torus {
    /// Centre and axes; z is the axis of revolution.
    pub frame: Frame,
    /// Major radius R, mm; below r the surface meets itself on the axis.
    pub major: f64,
    /// Minor radius r > 0, mm.
    pub minor: f64,
}

impl Torus {
    /// Position and derivatives.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        let (sin, cos) = real::sin_cos(v);
        let (s, c) = (self.minor * sin, self.minor * cos);
        ring::derivs(&self.frame, u, [self.major + c, -s, -c, s], [s, c, -s, -c])
    }

    /// Parameters of the closest point on the tube nearest to the point's own side, both in (−π, π].
    pub fn closest(&self, p: Point3) -> Point2 {
        let q = self.frame.local(p);
        Point2::new(real::atan2(q.y, q.x), real::atan2(q.z, real::hypot(q.x, q.y) - self.major))
    }
}
