//! Curves in a surface's parameter plane.

use super::conic_arcs;
use crate::math::{Point2, Vec2, real};
use crate::nurbs::{self, NurbsError};

/// A curve in the (u, v) plane of a surface.
#[derive(Debug, Clone, PartialEq)]
pub enum Pcurve {
    /// Straight.
    Line(Line2),
    /// Circular or elliptic.
    Conic(Conic2),
    /// Spline.
    Nurbs(nurbs::Curve<2>),
}

/// P(t) = o + t d.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line2 {
    /// Point at t = 0.
    pub origin: Point2,
    /// Direction by t.
    pub direction: Vec2,
}

/// P(t) = c + a cos t + b sin t: circle, ellipse, or either seen through unequal scales of u and v.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conic2 {
    /// Centre.
    pub centre: Point2,
    /// Half-axis vector at t = 0.
    pub a: Vec2,
    /// Half-axis vector at t = π/2.
    pub b: Vec2,
}

impl Conic2 {
    /// The arc from `t0` to `t1` as a spline over [0, 1] of the same points, in pieces of a quarter turn at most.
    ///
    /// # Errors
    /// When it is longer than 16 turns, or not finite.
    pub(crate) fn arc(&self, t0: f64, t1: f64) -> Result<nurbs::Curve<2>, NurbsError> {
        let count = ((t1 - t0).abs() / real::FRAC_PI_2).ceil().clamp(1.0, 64.0) as usize;
        let at = |t: f64, reach: f64| {
            let (sin, cos) = real::sin_cos(t);
            (self.centre + (self.a * cos + self.b * sin) * reach).to_vec().to_array()
        };
        conic_arcs((t0, t1), count, real::cos, |t| at(t, 1.0), |t, w| at(t, 1.0 / w))
    }

    /// The hyperbola c + a cosh t + b sinh t from `t0` to `t1` as one arc over [0, 1].
    ///
    /// # Errors
    /// When it is not finite.
    pub(crate) fn hyperbola(&self, t0: f64, t1: f64) -> Result<nurbs::Curve<2>, NurbsError> {
        let at = |t: f64, reach: f64| (self.centre + (self.a * real::cosh(t) + self.b * real::sinh(t)) * reach).to_vec().to_array();
        conic_arcs((t0, t1), 1, real::cosh, |t| at(t, 1.0), |t, w| at(t, 1.0 / w))
    }
}

impl Pcurve {
    /// Position and first derivative.
    pub fn derivs(&self, t: f64) -> (Point2, Vec2) {
        match self {
            Pcurve::Line(c) => (c.origin + c.direction * t, c.direction),
            Pcurve::Conic(c) => {
                let (sin, cos) = real::sin_cos(t);
                (c.centre + c.a * cos + c.b * sin, c.b * cos - c.a * sin)
            }
            Pcurve::Nurbs(c) => {
                let d = c.derivs(t, 1);
                (Point2::new(d[0][0], d[0][1]), Vec2::from_array(d[1]))
            }
        }
    }

    /// Position.
    pub fn point(&self, t: f64) -> Point2 {
        self.derivs(t).0
    }

    /// The curve with u and v scaled (a change of the surface's parameter units).
    pub fn scaled(&self, u: f64, v: f64) -> Pcurve {
        let s = Vec2::new(u, v);
        match self {
            Pcurve::Line(c) => Pcurve::Line(Line2 { origin: Point2::from_vec(c.origin.to_vec() * s), direction: c.direction * s }),
            Pcurve::Conic(c) => Pcurve::Conic(Conic2 { centre: Point2::from_vec(c.centre.to_vec() * s), a: c.a * s, b: c.b * s }),
            Pcurve::Nurbs(c) => Pcurve::Nurbs(c.map(|[x, y]| [x * u, y * v])),
        }
    }
}
