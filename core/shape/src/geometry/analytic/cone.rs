//! The circular cone.

use super::ring;
use crate::math::{Frame, Point2, Point3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = o + (r + v tan φ)(cos u x + sin u y) + v z, u in radians, v in mm along the axis.
/// ISO 10303-42, conical_surface. The apex lies at v = −r / tan φ, where the surface is singular.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// Where it stands; z is its axis.
    pub frame: Frame,
    /// Radius r ≥ 0 at the origin, mm.
    pub radius: f64,
    /// Half angle φ at the apex, radians, in (0, π/2).
    pub half_angle: f64,
}

impl Cone {
    /// Position and derivatives.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        let slope = real::tan(self.half_angle);
        ring::derivs(&self.frame, u, [self.radius + v * slope, slope, 0.0, 0.0], [v, 1.0, 0.0, 0.0])
    }

    /// Parameters of the apex in v.
    pub fn apex(&self) -> f64 {
        -self.radius / real::tan(self.half_angle)
    }

    /// Parameters of the closest point on the same nappe as the point's side, u in (−π, π].
    pub fn closest(&self, p: Point3) -> Point2 {
        let q = self.frame.local(p);
        let rho = real::hypot(q.x, q.y);
        let (sin, cos) = real::sin_cos(self.half_angle);
        // Foot on both generator lines of the half-plane through p; the other nappe lies at radius −rho.
        let along = |rho: f64| ((rho - self.radius) * sin + q.z * cos) * cos;
        let off = |rho: f64| ((rho - self.radius) * cos - q.z * sin).abs();
        if off(rho) <= off(-rho) {
            Point2::new(real::atan2(q.y, q.x), along(rho))
        } else {
            Point2::new(real::atan2(-q.y, -q.x), along(-rho))
        }
    }
}
