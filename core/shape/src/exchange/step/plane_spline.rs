//! Pieces of parameter-plane curves as splines, exactly, and several of them as one.

use crate::geometry::Pcurve;
use crate::math::{Point2, Vec2};
use crate::nurbs::{self, KnotVector, NurbsError};

/// A spline in a parameter plane.
pub(super) type Spline2 = nurbs::Curve<2>;

/// The piece of a curve from parameter `a` to `b`, run that way. Degenerate input is refused.
pub(super) fn piece(curve: &Pcurve, a: f64, b: f64) -> Result<Spline2, NurbsError> {
    match curve {
        Pcurve::Line(_) => through(&[curve.point(a), curve.point(b)]),
        Pcurve::Conic(c) => c.arc(a, b),
        Pcurve::Nurbs(c) => {
            let domain = c.domain();
            let (low, high) = (domain.clamp(a.min(b)), domain.clamp(a.max(b)));
            let part = c.between(low, high)?;
            if b >= a { Ok(part) } else { reversed(&part) }
        }
    }
}

/// o + f (t² x + 2 t y) from `a` to `b`; `y` is `x` turned left. ISO 10303-42, parabola.
pub(super) fn parabola(origin: Point2, x: Vec2, focal: f64, a: f64, b: f64) -> Result<Spline2, NurbsError> {
    let at = |s: f64, t: f64| (origin + x * (focal * s * t) + x.perp() * (focal * (s + t))).to_vec().to_array();
    // The polar form at (a, a), (a, b) and (b, b) gives the control points.
    nurbs::Curve::new(KnotVector::bezier(2)?, vec![at(a, a), at(a, b), at(b, b)], None)
}

/// Splines end to end as one over [0, n], piece i over [i, i + 1]. Where two do not quite meet, the end of the earlier
/// counts.
pub(super) fn join(pieces: &[Spline2]) -> Result<Spline2, NurbsError> {
    let degree = pieces.iter().map(|p| p.knots().degree()).max().unwrap_or(1);
    let (mut points, mut weights, mut knots) = (Vec::new(), Vec::new(), vec![0.0; degree + 1]);
    for (i, piece) in pieces.iter().enumerate() {
        let mut piece = piece.clamped()?;
        while piece.knots().degree() < degree {
            piece = piece.elevated()?;
        }
        let domain = piece.domain();
        knots.extend(
            piece.knots().interior().into_iter().flat_map(|(t, m)| core::iter::repeat_n(i as f64 + (t - domain.low) / domain.length(), m)),
        );
        let own: Vec<f64> = piece.weights().map_or_else(|| vec![1.0; piece.points().len()], <[f64]>::to_vec);
        // A common factor of all weights changes nothing, so that they can be made to agree where pieces meet.
        let factor = weights.last().zip(own.first()).map_or(1.0, |(last, first): (&f64, &f64)| last / first);
        let skip = usize::from(i > 0);
        points.extend(piece.points().iter().skip(skip));
        weights.extend(own.iter().skip(skip).map(|w| w * factor));
        let last = i + 1 == pieces.len();
        knots.extend(core::iter::repeat_n((i + 1) as f64, if last { degree + 1 } else { degree }));
    }
    let rational = weights.iter().any(|&w| w != 1.0);
    nurbs::Curve::new(KnotVector::new(degree, knots)?, points, rational.then_some(weights))
}

/// Points joined by lines, over 0, 1, 2, ….
fn through(points: &[Point2]) -> Result<Spline2, NurbsError> {
    let last = points.len().saturating_sub(1) as f64;
    let inner = (0..points.len()).map(|i| i as f64);
    let knots = core::iter::once(0.0).chain(inner).chain([last]).collect();
    nurbs::Curve::new(KnotVector::new(1, knots)?, points.iter().map(|p| [p.u, p.v]).collect(), None)
}

fn reversed(curve: &Spline2) -> Result<Spline2, NurbsError> {
    let domain = curve.domain();
    let knots = curve.knots().knots().iter().rev().map(|t| domain.low + (domain.high - t)).collect();
    let points = curve.points().iter().rev().copied().collect();
    let weights = curve.weights().map(|w| w.iter().rev().copied().collect());
    nurbs::Curve::new(KnotVector::new(curve.knots().degree(), knots)?, points, weights)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Conic2, Line2};
    use crate::math::real;

    fn at(c: &Spline2, share: f64) -> Vec2 {
        Vec2::from_array(c.derivs(c.domain().at(share), 0)[0])
    }

    fn conic() -> Conic2 {
        Conic2 { centre: Point2::new(3.0, -1.0), a: Vec2::new(2.0, 1.0), b: Vec2::new(-0.5, 0.7) }
    }

    #[test]
    fn pieces_of_conics_lie_on_them_and_end_where_they_should() {
        let c = conic();
        let coordinates = |p: Vec2| {
            let d = p - c.centre.to_vec();
            let det = c.a.perp_dot(c.b);
            (d.perp_dot(c.b) / det, c.a.perp_dot(d) / det)
        };
        for (a, b) in [(0.3, 1.1), (5.0, -2.0), (-1.0, 1.5), (2.0, 2.0 + real::TAU)] {
            let arc = piece(&Pcurve::Conic(c), a, b).unwrap();
            let branch = c.hyperbola(a, b).unwrap();
            let bow = parabola(c.centre, c.a, 0.6, a, b).unwrap();
            for i in 0..=20 {
                let share = f64::from(i) / 20.0;
                let (x, y) = coordinates(at(&arc, share));
                assert!((x * x + y * y - 1.0).abs() < 1e-13);
                let (x, y) = coordinates(at(&branch, share));
                assert!((x * x - y * y - 1.0).abs() < 1e-12 * x * x);
                let t = a * (1.0 - share) + b * share;
                let want = c.centre.to_vec() + (c.a * (t * t) + c.a.perp() * (2.0 * t)) * 0.6;
                assert!((at(&bow, share) - want).length() < 1e-13 * (1.0 + want.length()));
            }
            for (share, t) in [(0.0, a), (1.0, b)] {
                assert!((at(&arc, share) - Pcurve::Conic(c).point(t).to_vec()).length() < 1e-13);
                let want = c.centre.to_vec() + c.a * real::cosh(t) + c.b * real::sinh(t);
                assert!((at(&branch, share) - want).length() < 1e-12 * want.length());
            }
        }
    }

    #[test]
    fn pieces_of_every_kind_are_joined_end_to_end() {
        let line = Pcurve::Line(Line2 { origin: Point2::new(0.5, 1.0), direction: Vec2::new(2.0, -1.0) });
        let knots = KnotVector::new(3, vec![0., 0., 0., 0., 0.4, 1., 1., 1., 1.]).unwrap();
        let points = vec![[0., 0.], [1., 3.], [2., -1.], [4., 2.], [5., 0.]];
        let spline = Pcurve::Nurbs(nurbs::Curve::new(knots, points, Some(vec![2.0, 1.0, 3.0, 1.0, 0.5])).unwrap());
        let arc = Pcurve::Conic(conic());
        let list = [(&line, 1.0, -2.0), (&spline, 0.9, 0.1), (&arc, 0.0, 4.0), (&spline, 0.2, 1.0)];
        let parts: Vec<Spline2> = list.iter().map(|&(c, a, b)| piece(c, a, b).unwrap()).collect();
        let whole = join(&parts).unwrap();
        assert_eq!((whole.domain().low, whole.domain().high, whole.knots().degree()), (0.0, 4.0, 3));
        for (i, part) in parts.iter().enumerate() {
            for k in 1..=10 {
                let share = f64::from(k) / 10.0;
                let got = Vec2::from_array(whole.derivs(i as f64 + share - 1e-15, 0)[0]);
                // Joined pieces take over the end before them, so that only the first control point differs.
                if i == 0 || k == 10 {
                    assert!((got - at(part, share)).length() < 1e-11, "{i} {share}");
                }
            }
        }
        let closed = join(&parts[1..2]).unwrap();
        assert!((at(&closed, 0.5) - spline.point(0.5).to_vec()).length() < 1e-13);
    }
}
