//! Circle and ellipse.

use crate::math::{Frame, real};
use crate::nurbs::CurveDerivs;

/// C(t) = o + r (cos t x + sin t y), t in radians. ISO 10303-42, circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Centre and axes; z is normal to its plane.
    pub frame: Frame,
    /// Radius > 0, mm.
    pub radius: f64,
}

/// C(t) = o + a cos t x + b sin t y, t in radians. ISO 10303-42, ellipse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipse {
    /// Centre and axes; z is normal to its plane.
    pub frame: Frame,
    /// Semi-axis along x, > 0, mm.
    pub semi_x: f64,
    /// Semi-axis along y, > 0, mm.
    pub semi_y: f64,
}

impl Circle {
    /// Position and derivatives.
    pub fn derivs(&self, t: f64) -> CurveDerivs<3> {
        Ellipse { frame: self.frame, semi_x: self.radius, semi_y: self.radius }.derivs(t)
    }
}

impl Ellipse {
    /// Position and derivatives.
    pub fn derivs(&self, t: f64) -> CurveDerivs<3> {
        let (sin, cos) = real::sin_cos(t);
        let (c, s) = (self.frame.x * (self.semi_x * cos), self.frame.y * (self.semi_y * sin));
        let turned = self.frame.y * (self.semi_y * cos) - self.frame.x * (self.semi_x * sin);
        [(self.frame.origin + c + s).to_array(), turned.to_array(), (-c - s).to_array(), (-turned).to_array()]
    }
}
