//! The straight line.

use crate::math::{Point3, Vec3};
use crate::nurbs::CurveDerivs;

/// C(t) = o + t d. ISO 10303-42, line (d carries the vector's magnitude).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Point at t = 0, mm.
    pub origin: Point3,
    /// Direction, mm per unit of t, not zero.
    pub direction: Vec3,
}

impl Line {
    /// Position and derivatives.
    pub fn derivs(&self, t: f64) -> CurveDerivs<3> {
        [(self.origin + self.direction * t).to_array(), self.direction.to_array(), [0.0; 3], [0.0; 3]]
    }
}
