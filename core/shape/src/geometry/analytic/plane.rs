//! The plane.

use crate::math::{Frame, Point2, Point3};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = o + u x + v y, u and v in mm. ISO 10303-42, plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Where it lies; z is its normal.
    pub frame: Frame,
}

impl Plane {
    /// Position and derivatives.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        SurfaceDerivs { s: self.frame.point(u, v, 0.0), su: self.frame.x, sv: self.frame.y, ..SurfaceDerivs::default() }
    }

    /// Parameters of the closest point.
    pub fn closest(&self, p: Point3) -> Point2 {
        let q = self.frame.local(p);
        Point2::new(q.x, q.y)
    }
}
