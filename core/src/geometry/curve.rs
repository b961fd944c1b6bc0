//! Space curves of every kind.

use super::{Circle, Ellipse, Line};
use crate::math::{Interval, Point3, Similarity, Vec3, real};
use crate::nurbs::{self, CurveDerivs};

/// A space curve, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// Straight.
    Line(Line),
    /// Circular.
    Circle(Circle),
    /// Elliptic.
    Ellipse(Ellipse),
    /// Spline.
    Nurbs(nurbs::Curve<3>),
    /// Several curves end to end.
    Chain(Chain),
}

/// Curves joined end to end; piece i covers the parameters [i, i + 1].
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// The pieces, in order; at least one.
    pub pieces: Vec<ChainPiece>,
}

/// One piece of a chain: `curve` from parameter `start` to `end` (end may be the smaller).
#[derive(Debug, Clone, PartialEq)]
pub struct ChainPiece {
    /// The curve the piece lies on.
    pub curve: Box<Curve>,
    /// Parameter where the piece starts.
    pub start: f64,
    /// Parameter where it ends.
    pub end: f64,
}

impl Curve {
    /// Position and derivatives by the parameter up to `order` ≤ 3.
    pub fn derivs(&self, t: f64, order: usize) -> CurveDerivs<3> {
        match self {
            Curve::Line(c) => c.derivs(t),
            Curve::Circle(c) => c.derivs(t),
            Curve::Ellipse(c) => c.derivs(t),
            Curve::Nurbs(c) => c.derivs(t, order),
            Curve::Chain(c) => c.derivs(t, order),
        }
    }

    /// Position, mm.
    pub fn point(&self, t: f64) -> Point3 {
        let [x, y, z] = self.derivs(t, 0)[0];
        Point3::new(x, y, z)
    }

    /// First derivative, mm per unit of t.
    pub fn tangent(&self, t: f64) -> Vec3 {
        Vec3::from_array(self.derivs(t, 1)[1])
    }

    /// Parameter domain; unbounded for lines, one turn for conics.
    pub fn domain(&self) -> Interval {
        match self {
            Curve::Line(_) => Interval::ALL,
            Curve::Circle(_) | Curve::Ellipse(_) => Interval::new(0.0, real::TAU),
            Curve::Nurbs(c) => c.domain(),
            Curve::Chain(c) => Interval::new(0.0, c.pieces.len() as f64),
        }
    }

    /// The period of the parameter, where the curve repeats itself.
    pub fn period(&self) -> Option<f64> {
        matches!(self, Curve::Circle(_) | Curve::Ellipse(_)).then_some(real::TAU)
    }

    /// Parameters between `a` and `b` where a higher derivative may jump, in rising order, ends left out.
    pub fn breaks_between(&self, a: f64, b: f64) -> Vec<f64> {
        let (low, high) = (a.min(b), a.max(b));
        let all: Vec<f64> = match self {
            Curve::Nurbs(c) => c.knots().interior().into_iter().map(|(t, _)| t).collect(),
            Curve::Chain(c) => (1..c.pieces.len()).map(|i| i as f64).collect(),
            _ => Vec::new(),
        };
        all.into_iter().filter(|&t| t > low && t < high).collect()
    }

    /// The image under a similarity; the parameter stays, except that a line's is kept by scaling its direction.
    pub fn transformed(&self, by: &Similarity) -> Curve {
        let frame = |f: &crate::math::Frame| super::surface::moved(f, by);
        match self {
            Curve::Line(c) => Curve::Line(Line { origin: by.point(c.origin), direction: by.vector(c.direction) }),
            Curve::Circle(c) => Curve::Circle(Circle { frame: frame(&c.frame), radius: c.radius * by.scale }),
            Curve::Ellipse(c) => {
                Curve::Ellipse(Ellipse { frame: frame(&c.frame), semi_x: c.semi_x * by.scale, semi_y: c.semi_y * by.scale })
            }
            Curve::Nurbs(c) => Curve::Nurbs(c.map(|[x, y, z]| by.point(Point3::new(x, y, z)).to_array())),
            Curve::Chain(c) => Curve::Chain(Chain {
                pieces: c.pieces.iter().map(|p| ChainPiece { curve: Box::new(p.curve.transformed(by)), ..p.clone() }).collect(),
            }),
        }
    }
}

impl Chain {
    fn derivs(&self, t: f64, order: usize) -> CurveDerivs<3> {
        let last = self.pieces.len().saturating_sub(1);
        let i = (t.floor().max(0.0) as usize).min(last);
        let Some(piece) = self.pieces.get(i) else { return [[0.0; 3]; 4] };
        let speed = piece.end - piece.start;
        let mut d = piece.curve.derivs(piece.start + speed * (t - i as f64), order);
        let mut factor = 1.0;
        for row in d.iter_mut().skip(1) {
            factor *= speed;
            for x in row.iter_mut() {
                *x *= factor;
            }
        }
        d
    }
}
