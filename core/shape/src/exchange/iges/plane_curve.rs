//! Curves in a surface's parameter plane, and the map from the file's parameters to ours.

use super::curve::Piece;
use super::reader::Reader;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Conic2, Curve, Line2, Pcurve};
use crate::math::{Point2, Vec2, Vec3, real};
use crate::nurbs::{self, KnotVector};

/// From the parameters (s, t) the file counts in to our (u, v): swapped or not, then scaled and shifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ParamMap {
    pub swapped: bool,
    pub scale: Vec2,
    pub shift: Vec2,
}

const DEGREE: f64 = real::PI / 180.0;

impl ParamMap {
    pub const SAME: ParamMap = ParamMap { swapped: false, scale: Vec2::ONE, shift: Vec2::ZERO };

    /// An angle in degrees, which ours is in radians, and a length.
    pub const ANGLE_LENGTH: ParamMap = ParamMap { scale: Vec2::new(DEGREE, 1.0), ..ParamMap::SAME };

    /// Two angles in degrees.
    pub const ANGLES: ParamMap = ParamMap { scale: Vec2::new(DEGREE, DEGREE), ..ParamMap::SAME };

    pub fn point(&self, p: Vec2) -> Vec2 {
        self.vector(p) + self.shift
    }

    pub fn vector(&self, v: Vec2) -> Vec2 {
        if self.swapped { Vec2::new(v.y, v.x) * self.scale } else { v * self.scale }
    }

    /// True when the file's normal, first parameter's derivative cross the second's, is ours.
    pub fn keeps_normal(&self) -> bool {
        (self.scale.x * self.scale.y > 0.0) != self.swapped
    }

    /// Followed by a scaling of our own parameters.
    pub fn scaled(&self, (u, v): (f64, f64)) -> Self {
        let by = Vec2::new(u, v);
        Self { scale: self.scale * by, shift: self.shift * by, ..*self }
    }

    fn curve(&self, curve: &Pcurve) -> Pcurve {
        let point = |p: Point2| Point2::from_vec(self.point(p.to_vec()));
        match curve {
            Pcurve::Line(c) => Pcurve::Line(Line2 { origin: point(c.origin), direction: self.vector(c.direction) }),
            Pcurve::Conic(c) => Pcurve::Conic(Conic2 { centre: point(c.centre), a: self.vector(c.a), b: self.vector(c.b) }),
            Pcurve::Nurbs(c) => Pcurve::Nurbs(c.map(|[x, y]| self.point(Vec2::new(x, y)).to_array())),
        }
    }
}

/// A bounded piece of a parameter-plane curve.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlanePiece {
    pub curve: Pcurve,
    pub t0: f64,
    pub t1: f64,
}

impl PlanePiece {
    /// Parameters at share `s`.
    pub fn at(&self, s: f64) -> Point2 {
        self.curve.point(self.t0 * (1.0 - s) + self.t1 * s)
    }

    pub fn reversed(self) -> Self {
        Self { t0: self.t1, t1: self.t0, ..self }
    }
}

impl Reader<'_, '_> {
    /// The pieces of curve `number`, taken as one in a surface's parameters, in ours.
    pub(super) fn plane_curve(&mut self, number: u32, map: &ParamMap) -> Result<Vec<PlanePiece>, Fault> {
        let pieces = self.curve(number)?;
        let flat = |p: Piece| match flattened(&p) {
            Some(curve) => Ok(PlanePiece { curve: map.curve(&curve), t0: p.t0, t1: p.t1 }),
            None => Err(Fault::new(p.source, "", Reason::Geometry("a curve of this type is not read in a surface's parameters"))),
        };
        pieces.into_iter().map(flat).collect()
    }
}

/// The curve seen along z.
fn flattened(piece: &Piece) -> Option<Pcurve> {
    let flat = |v: Vec3| v.truncate();
    let conic = |frame: &crate::math::Frame, a: f64, b: f64| {
        let centre = Point2::from_vec(flat(frame.origin.to_vec()));
        Pcurve::Conic(Conic2 { centre, a: flat(frame.x) * a, b: flat(frame.y) * b })
    };
    Some(match &piece.curve {
        Curve::Line(c) => Pcurve::Line(Line2 { origin: Point2::from_vec(flat(c.origin.to_vec())), direction: flat(c.direction) }),
        Curve::Circle(c) => conic(&c.frame, c.radius, c.radius),
        Curve::Ellipse(c) => conic(&c.frame, c.semi_x, c.semi_y),
        Curve::Nurbs(c) => {
            let points = c.points().iter().map(|&[x, y, _]| [x, y]).collect();
            Pcurve::Nurbs(nurbs::Curve::new(c.knots().clone(), points, c.weights().map(<[f64]>::to_vec)).ok()?)
        }
        Curve::Parabola(_) => {
            // Exact: the tangents at both ends meet over the mean of their parameters.
            let (low, high) = (piece.t0.min(piece.t1), piece.t0.max(piece.t1));
            let at = |t: f64| Vec3::from_array(piece.curve.derivs(t, 0).first().copied().unwrap_or_default());
            let middle = at(low) + piece.curve.tangent(low) * (0.5 * (high - low));
            let points = [at(low), middle, at(high)].map(|p| flat(p).to_array()).to_vec();
            let knots = KnotVector::new(2, vec![low, low, low, high, high, high]).ok()?;
            Pcurve::Nurbs(nurbs::Curve::new(knots, points, None).ok()?)
        }
        Curve::Hyperbola(_) | Curve::Offset(_) | Curve::Chain(_) => return None,
    })
}
