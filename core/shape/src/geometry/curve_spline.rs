//! Curves as splines of exactly the same shape.

use super::{Chain, Curve, conic_arcs};
use crate::math::{Point3, real};
use crate::nurbs::{self, KnotVector};

/// Most arcs of less than a quarter turn (or a unit of a hyperbola's parameter) one stretch is cut into. Larger:
/// memory for a range no file means; smaller: winding stretches have no form.
const MOST_ARCS: usize = 64;

impl Curve {
    /// The stretch from `t0` to `t1` (finite, either order) as a spline over [0, 1] that starts at `t0`: the very same
    /// points, but for conics at other parameters (NB §7.3 to 7.5: rational quadratic arcs). Several pieces of a chain
    /// take equal parts of [0, 1].
    ///
    /// None for offset curves, which are no splines, for empty stretches and for parameters outside a spline's domain.
    pub fn to_nurbs(&self, t0: f64, t1: f64) -> Option<nurbs::Curve<3>> {
        if !(t0.is_finite() && t1.is_finite()) || t0 == t1 {
            return None;
        }
        match self {
            Curve::Line(c) => {
                let ends = [t0, t1].map(|t| (c.origin + c.direction * t).to_array());
                nurbs::Curve::new(KnotVector::bezier(1).ok()?, ends.to_vec(), None).ok()
            }
            Curve::Circle(c) => arcs(self, c.frame.origin, (t0, t1), real::FRAC_PI_2, real::cos),
            Curve::Ellipse(c) => arcs(self, c.frame.origin, (t0, t1), real::FRAC_PI_2, real::cos),
            Curve::Hyperbola(c) => arcs(self, c.frame.origin, (t0, t1), 1.0, real::cosh),
            Curve::Parabola(_) => {
                let (a, b) = (self.point(t0), self.point(t1));
                let points = vec![a, a + self.tangent(t0) * (0.5 * (t1 - t0)), b];
                nurbs::Curve::new(KnotVector::bezier(2).ok()?, points.into_iter().map(Point3::to_array).collect(), None).ok()
            }
            Curve::Nurbs(c) => unit(&c.between(t0.min(t1), t0.max(t1)).ok()?, t1 < t0),
            Curve::Chain(c) => chain(c, t0, t1),
            Curve::Offset(_) => None,
        }
    }
}

/// Rational quadratic arcs of a central conic. `weight` is the middle weight by half an arc's parameter: its cosine,
/// or hyperbolic cosine.
fn arcs(curve: &Curve, centre: Point3, (t0, t1): (f64, f64), longest: f64, weight: fn(f64) -> f64) -> Option<nurbs::Curve<3>> {
    // A little slack, so that rounding of a whole turn does not cost a fifth arc.
    let count = ((t1 - t0).abs() / longest - 1e-9).ceil().max(1.0);
    if count > MOST_ARCS as f64 {
        return None;
    }
    let point = |t: f64| curve.point(t).to_array();
    let corner = |t: f64, w: f64| (centre + (curve.point(t) - centre) / w).to_array();
    conic_arcs((t0, t1), count as usize, weight, point, corner).ok()
}

/// The same spline over [0, 1], turned round or not.
fn unit(c: &nurbs::Curve<3>, turned: bool) -> Option<nurbs::Curve<3>> {
    over(c, 0.0, 1.0, turned)
}

fn over(c: &nurbs::Curve<3>, low: f64, high: f64, turned: bool) -> Option<nurbs::Curve<3>> {
    let (k, d) = (c.knots(), c.domain());
    let share = |t: f64| (t - d.low) / d.length();
    let place = |t: f64| {
        let s = if turned { 1.0 - share(t) } else { share(t) };
        low * (1.0 - s) + high * s
    };
    let mut knots: Vec<f64> = k.knots().iter().map(|&t| place(t)).collect();
    let (mut points, mut weights) = (c.points().to_vec(), c.weights().map(<[f64]>::to_vec));
    if turned {
        knots.reverse();
        points.reverse();
        if let Some(w) = &mut weights {
            w.reverse();
        }
    }
    nurbs::Curve::new(KnotVector::new(k.degree(), knots).ok()?, points, weights).ok()
}

/// Pieces of a chain between two of its parameters, all of the highest degree among them, end to end.
fn chain(c: &Chain, t0: f64, t1: f64) -> Option<nurbs::Curve<3>> {
    let (low, high) = (t0.min(t1).max(0.0), t0.max(t1).min(c.pieces.len() as f64));
    let mut parts: Vec<nurbs::Curve<3>> = Vec::new();
    for (i, piece) in c.pieces.iter().enumerate() {
        let (a, b) = (low.max(i as f64) - i as f64, high.min((i + 1) as f64) - i as f64);
        if b > a {
            let at = |s: f64| piece.start * (1.0 - s) + piece.end * s;
            parts.push(piece.curve.to_nurbs(at(a), at(b))?);
        }
    }
    let degree = parts.iter().map(|p| p.knots().degree()).max()?;
    let rational = parts.iter().any(|p| p.weights().is_some());
    let count = parts.len() as f64;
    let (mut points, mut weights, mut knots) = (Vec::new(), Vec::new(), vec![0.0]);
    for (i, part) in parts.into_iter().enumerate() {
        let mut part = part;
        while part.knots().degree() < degree {
            part = part.elevated().ok()?;
        }
        let part = over(&part, i as f64 / count, (i + 1) as f64 / count, false)?.clamped().ok()?;
        let own = part.weights().map_or_else(|| vec![1.0; part.points().len()], <[f64]>::to_vec);
        // Weights of a piece are free up to a factor: the joint is to have one weight.
        let factor = match (weights.last(), own.first()) {
            (Some(last), Some(first)) => last / first,
            _ => 1.0,
        };
        // The joint is the end of the piece before; the gap a file leaves there is closed at this end.
        let skip = usize::from(i > 0);
        points.extend(part.points().iter().skip(skip).copied());
        weights.extend(own.iter().skip(skip).map(|w| w * factor));
        knots.extend(part.knots().knots().iter().skip(1 + skip * degree).take(part.knots().knots().len() - 2 - skip * degree));
    }
    knots.extend(knots.last().copied());
    let joined = nurbs::Curve::new(KnotVector::new(degree, knots).ok()?, points, rational.then_some(weights)).ok()?;
    if t1 < t0 { unit(&joined, true) } else { Some(joined) }
}

#[cfg(test)]
mod tests {
    use super::super::domain_tests::frame;
    use super::*;
    use crate::geometry::{ChainPiece, Circle, Ellipse, Hyperbola, Line, Parabola, closest_on_curve};
    use crate::math::Vec3;
    use proptest::prelude::*;

    /// A scale for tolerances.
    fn far(p: Vec3) -> f64 {
        1.0 + p.length()
    }

    proptest! {
        #[test]
        fn lie_on_the_curve_from_end_to_end(
            t0 in -3.0f64..3.0, length in 0.05f64..6.2, back: bool, n in proptest::collection::vec(-1.0f64..1.0, 24), degree in 1usize..=4,
        ) {
            let f = frame();
            let points = (0..degree + 3).map(|i| [3.0 * i as f64 + n[i], 4.0 * n[i + 8], 2.0 * n[i + 16]]).collect();
            let weights = Some((0..degree + 3).map(|i| 1.0 + 0.4 * n[i + 5]).collect());
            let spline = Curve::Nurbs(nurbs::Curve::new(KnotVector::uniform(degree, 3).unwrap(), points, weights).unwrap());
            let circle = Curve::Circle(Circle { frame: f, radius: 3.0 });
            let line = Curve::Line(Line { origin: f.origin, direction: f.y * 0.3 });
            let piece = |curve: &Curve, start: f64, end: f64| ChainPiece { curve: Box::new(curve.clone()), start, end };
            // End to end: an arc, the tangent at its end, and on.
            let from = circle.point(1.5);
            let on = Curve::Line(Line { origin: from, direction: circle.tangent(1.5) });
            let corner = Curve::Line(Line { origin: on.point(2.0), direction: f.z * 5.0 });
            let chain = Curve::Chain(Chain { pieces: vec![piece(&circle, -1.0, 1.5), piece(&on, 0.0, 2.0), piece(&corner, 0.0, 0.4)] });
            let t1 = t0 + length;
            let cases = [
                (line, t0, t1),
                (circle, t0, t1),
                (Curve::Ellipse(Ellipse { frame: f, semi_x: 5.0, semi_y: 1.5 }), t0, t1),
                (Curve::Parabola(Parabola { frame: f, focal: 0.8 }), t0, t1),
                (Curve::Hyperbola(Hyperbola { frame: f, semi_x: 1.2, semi_y: 0.7 }), t0, t1),
                (spline, 0.5 + t0 / 6.1, 0.5 + t0 / 6.1 + (0.5 - t0 / 6.1) * length / 6.2),
                (chain, (t0 + 3.0) / 3.0, (t0 + 3.0) / 3.0 + (3.0 - (t0 + 3.0) / 3.0) * length / 6.2),
            ];
            for (curve, a, b) in cases {
                let (a, b) = if back { (b, a) } else { (a, b) };
                let got = curve.to_nurbs(a, b).unwrap();
                let at = |t: f64| Point3::from_vec(Vec3::from_array(got.derivs(t, 0)[0]));
                prop_assert!(at(0.0).distance(curve.point(a)) < 1e-12 * far(at(0.0).to_vec()), "{curve:?}");
                prop_assert!(at(1.0).distance(curve.point(b)) < 1e-12 * far(at(1.0).to_vec()), "{curve:?}");
                for i in 1..20 {
                    let p = at(f64::from(i) / 20.0);
                    let foot = closest_on_curve(&curve, a, b, p, None);
                    prop_assert!(foot.distance < 1e-10 * far(p.to_vec()), "{} off {curve:?}", foot.distance);
                }
            }
        }
    }
}
