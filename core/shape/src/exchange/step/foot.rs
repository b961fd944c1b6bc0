//! The point of a whole curve nearest to a given one, also where the curve has no ends.

use crate::geometry::{Curve, CurveFoot, closest_on_curve};
use crate::math::{Interval, Point3, real};

/// The nearest point of a curve; angles of circles and ellipses lie in [−π, π]. On parabolas, hyperbolas and offsets
/// without ends the point asked about must lie near the curve.
pub(super) fn foot(curve: &Curve, p: Point3) -> CurveFoot {
    let at = |t: f64| {
        let point = curve.point(t);
        CurveFoot { t, point, distance: point.distance(p) }
    };
    match curve {
        Curve::Line(line) => at((p - line.origin).dot(line.direction) / line.direction.length_squared()),
        Curve::Circle(circle) => {
            let q = circle.frame.local(p);
            at(real::atan2(q.y, q.x))
        }
        Curve::Ellipse(_) => closest_on_curve(curve, -real::PI, real::PI, p, None),
        _ => {
            let domain = curve.domain();
            if domain.is_bounded() {
                return closest_on_curve(curve, domain.low, domain.high, p, None);
            }
            let guess = guess(curve, p);
            let around = around(guess);
            closest_on_curve(curve, around.low, around.high, p, Some(guess))
        }
    }
}

/// A parameter near that of a point that lies near a curve without ends.
fn guess(curve: &Curve, p: Point3) -> f64 {
    match curve {
        Curve::Parabola(parabola) => parabola.frame.local(p).y / (2.0 * parabola.focal),
        Curve::Hyperbola(hyperbola) => inverse_sinh(hyperbola.frame.local(p).y / hyperbola.semi_y),
        // Its points lie square to those of its basis.
        Curve::Offset(offset) => foot(&offset.basis, p).t,
        _ => 0.0,
    }
}

/// How far from a guess to look: the foot of a point near the curve lies beside it.
fn around(guess: f64) -> Interval {
    let reach = 1.0 + guess.abs();
    Interval::new(guess - reach, guess + reach)
}

/// The number whose hyperbolic sine is `x`, also for large and small ones.
pub(super) fn inverse_sinh(x: f64) -> f64 {
    let a = x.abs();
    let t = real::log(a + real::hypot(a, 1.0));
    // The logarithm of nearly one has lost digits; one step of Newton's finds them again.
    let t = t - (real::sinh(t) - a) / real::cosh(t);
    if x < 0.0 { -t } else { t }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Chain, ChainPiece, Circle, Ellipse, Hyperbola, Line, OffsetCurve, Parabola};
    use crate::math::{Frame, Vec3};
    use crate::nurbs::{self, KnotVector};
    use proptest::prelude::*;

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(3.0, -1.0, 2.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.3, 1.0, 0.0)))
    }

    fn spline() -> Curve {
        let knots = KnotVector::new(3, vec![0., 0., 0., 0., 0.3, 0.7, 0.7, 2., 2., 2., 2.]).unwrap();
        let points = vec![[0., 0., 0.], [3., 4., 1.], [6., -4., 0.], [9., 3., 2.], [12., 0., -1.], [14., 5., 0.], [16., 0., 0.]];
        Curve::Nurbs(nurbs::Curve::new(knots, points, Some(vec![1.0, 2.0, 0.7, 1.0, 3.0, 1.0, 1.5])).unwrap())
    }

    fn curves() -> Vec<Curve> {
        let circle = Curve::Circle(Circle { frame: frame(), radius: 2.5 });
        let line = Curve::Line(Line { origin: Point3::new(1., 2., 3.), direction: Vec3::new(2., -1., 0.5) });
        let piece = |curve: &Curve, start, end| ChainPiece { curve: Box::new(curve.clone()), start, end };
        let parabola = Curve::Parabola(Parabola { frame: frame(), focal: 0.75 });
        let offset = |basis: &Curve, d| Curve::Offset(OffsetCurve::new(basis.clone(), d, Vec3::new(0.2, 1.0, -0.1)).unwrap());
        vec![
            Curve::Ellipse(Ellipse { frame: frame(), semi_x: 5.0, semi_y: 1.25 }),
            Curve::Chain(Chain { pieces: vec![piece(&circle, 2.0, -1.0), piece(&spline(), 2.0, 0.1), piece(&line, 0.5, 3.0)] }),
            Curve::Hyperbola(Hyperbola { frame: frame(), semi_x: 3.0, semi_y: 0.5 }),
            offset(&line, -0.4),
            offset(&spline(), 0.2),
            parabola,
            circle,
            line,
            spline(),
        ]
    }

    proptest! {
        #[test]
        fn finds_points_of_the_curve_itself(share in 0.0..1.0f64) {
            for curve in curves() {
                let domain = curve.domain();
                let t = if domain.is_bounded() { domain.at(share) } else { 6.0 * share - 3.0 };
                let found = foot(&curve, curve.point(t));
                prop_assert!(found.distance < 1e-12, "{curve:?} at {t}: {found:?}");
            }
        }

        #[test]
        fn is_no_farther_than_the_best_of_many_samples(x in -2.0..18.0f64, y in -5.0..5.0f64, z in -3.0..3.0f64) {
            let (curve, p) = (spline(), Point3::new(x, y, z));
            let found = foot(&curve, p);
            let brute = (0..=4000).map(|i| curve.point(i as f64 / 2000.0).distance(p)).fold(f64::INFINITY, f64::min);
            prop_assert!(found.distance <= brute + 1e-12);
        }

        #[test]
        fn inverse_sinh_inverts(t in -20.0..20.0f64) {
            for t in [t, t * 1e-4, t * 1e-9] {
                let back = inverse_sinh(real::sinh(t));
                prop_assert!((back - t).abs() <= 4e-15 * t.abs(), "{t} {back}");
            }
        }
    }
}
