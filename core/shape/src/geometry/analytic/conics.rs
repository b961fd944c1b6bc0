//! Conics: circle, ellipse, parabola, hyperbola.

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

/// C(t) = o + f (t² x + 2 t y), f the focal distance. ISO 10303-42, parabola.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parabola {
    /// Vertex and axes; x is the axis of symmetry, z normal to its plane.
    pub frame: Frame,
    /// Distance f from vertex to focus, > 0, mm.
    pub focal: f64,
}

/// C(t) = o + a cosh t x + b sinh t y: the branch on the side of x. ISO 10303-42, hyperbola.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hyperbola {
    /// Centre and axes; z is normal to its plane.
    pub frame: Frame,
    /// Semi-axis along x, > 0, mm.
    pub semi_x: f64,
    /// Semi-imaginary axis along y, > 0, mm.
    pub semi_y: f64,
}

impl Parabola {
    /// Position and derivatives.
    pub fn derivs(&self, t: f64) -> CurveDerivs<3> {
        let f = &self.frame;
        let point = f.origin + (f.x * t + f.y * 2.0) * (self.focal * t);
        let first = (f.x * t + f.y) * (2.0 * self.focal);
        [point.to_array(), first.to_array(), (f.x * (2.0 * self.focal)).to_array(), [0.0; 3]]
    }
}

impl Hyperbola {
    /// Position and derivatives; infinite beyond |t| ≈ 710, where the hyperbolic functions overflow.
    pub fn derivs(&self, t: f64) -> CurveDerivs<3> {
        let (sinh, cosh) = (real::sinh(t), real::cosh(t));
        let even = self.frame.x * (self.semi_x * cosh) + self.frame.y * (self.semi_y * sinh);
        let odd = self.frame.x * (self.semi_x * sinh) + self.frame.y * (self.semi_y * cosh);
        [(self.frame.origin + even).to_array(), odd.to_array(), even.to_array(), odd.to_array()]
    }
}
