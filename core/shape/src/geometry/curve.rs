//! Space curves of every kind.

use super::{Circle, Ellipse, Hyperbola, Line, OffsetCurve, Parabola};
use crate::math::{Arrange, Interval, Point3, Similarity, Vec3, real};
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
    /// Parabolic.
    Parabola(Parabola),
    /// Hyperbolic, one branch.
    Hyperbola(Hyperbola),
    /// At a distance from another curve.
    Offset(OffsetCurve),
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
            Curve::Parabola(c) => c.derivs(t),
            Curve::Hyperbola(c) => c.derivs(t),
            Curve::Offset(c) => {
                let [a, b, d, e, ..] = c.jet(t, order.min(3));
                [a, b, d, e].map(|x| x.to_array())
            }
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

    /// Parameter domain; unbounded for lines, parabolas and hyperbolas, one turn for circles and ellipses.
    pub fn domain(&self) -> Interval {
        match self {
            Curve::Line(_) | Curve::Parabola(_) | Curve::Hyperbola(_) => Interval::ALL,
            Curve::Circle(_) | Curve::Ellipse(_) => Interval::new(0.0, real::TAU),
            Curve::Nurbs(c) => c.domain(),
            Curve::Chain(c) => Interval::new(0.0, c.pieces.len() as f64),
            Curve::Offset(c) => c.basis.domain(),
        }
    }

    /// The period of the parameter, where the curve repeats itself.
    pub fn period(&self) -> Option<f64> {
        match self {
            Curve::Circle(_) | Curve::Ellipse(_) => Some(real::TAU),
            Curve::Offset(c) => c.basis.period(),
            _ => None,
        }
    }

    /// Parameters between `a` and `b` where a higher derivative may jump, in rising order, ends left out.
    pub fn breaks_between(&self, a: f64, b: f64) -> Vec<f64> {
        self.spans_between(a, b).into_iter().map(|(t, _)| t).collect()
    }

    /// As [`Curve::breaks_between`], each with whether the direction itself may jump there.
    pub fn spans_between(&self, a: f64, b: f64) -> Vec<(f64, bool)> {
        let (low, high) = (a.min(b), a.max(b));
        let all: Vec<(f64, bool)> = match self {
            Curve::Nurbs(c) => c.knots().interior().into_iter().map(|(t, m)| (t, m >= c.knots().degree())).collect(),
            Curve::Chain(c) => c.breaks(),
            Curve::Offset(c) => return c.basis.spans_between(a, b),
            _ => Vec::new(),
        };
        all.into_iter().filter(|&(t, _)| t > low && t < high).collect()
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
            Curve::Parabola(c) => Curve::Parabola(Parabola { frame: frame(&c.frame), focal: c.focal * by.scale }),
            Curve::Hyperbola(c) => {
                Curve::Hyperbola(Hyperbola { frame: frame(&c.frame), semi_x: c.semi_x * by.scale, semi_y: c.semi_y * by.scale })
            }
            Curve::Offset(c) => {
                // A reflection turns the cross product with the reference round.
                let side = if by.is_reflection() { -1.0 } else { 1.0 };
                let basis = Box::new(c.basis.transformed(by));
                Curve::Offset(OffsetCurve { basis, distance: c.distance * by.scale, reference: by.direction(c.reference) * side })
            }
        }
    }
}

impl Chain {
    fn derivs(&self, t: f64, order: usize) -> CurveDerivs<3> {
        let Some((piece, at, speed)) = self.piece(t) else { return [[0.0; 3]; 4] };
        let mut d = piece.curve.derivs(at, order);
        let mut factor = 1.0;
        for row in d.iter_mut().skip(1) {
            factor *= speed;
            for x in row.iter_mut() {
                *x *= factor;
            }
        }
        d
    }

    /// The piece a parameter lies in, the parameter on that piece's own curve, and its change by the chain's.
    pub(super) fn piece(&self, t: f64) -> Option<(&ChainPiece, f64, f64)> {
        let last = self.pieces.len().checked_sub(1)?;
        let i = (t.floor().max(0.0) as usize).min(last);
        let piece = self.pieces.get(i)?;
        let speed = piece.end - piece.start;
        Some((piece, piece.start + speed * (t - i as f64), speed))
    }

    /// Where pieces meet, and where the pieces' own curves break; ends left out, rising.
    fn breaks(&self) -> Vec<(f64, bool)> {
        let mut all = Vec::new();
        for (i, piece) in self.pieces.iter().enumerate() {
            if i > 0 {
                all.push((i as f64, true));
            }
            let share = |t: f64| i as f64 + (t - piece.start) / (piece.end - piece.start);
            let mut own: Vec<(f64, bool)> =
                piece.curve.spans_between(piece.start, piece.end).into_iter().map(|(t, c)| (share(t), c)).collect();
            own.arrange_by(|a, b| a.0.total_cmp(&b.0));
            all.extend(own);
        }
        all
    }
}
