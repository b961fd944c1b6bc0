//! The parameter of the curve point nearest to a given point.

use crate::geometry::{Curve, CurveFoot, closest_on_curve};
use crate::math::{Point3, Vec3, real};

/// A curve point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nearest {
    /// Parameter.
    pub t: f64,
    /// Distance to the point asked about.
    pub distance: f64,
}

/// Samples a smooth piece is searched with, per degree. Fewer: a second near approach in one span is missed; more:
/// only slower.
const SAMPLES_PER_DEGREE: usize = 4;

/// The nearest point of a curve, exact to rounding; angles of conics lie in (−π, π].
pub(super) fn nearest_on(curve: &Curve, p: Point3) -> Nearest {
    let at = |t: f64| Nearest { t, distance: curve.point(t).distance(p) };
    match curve {
        Curve::Line(line) => at((p - line.origin).dot(line.direction) / line.direction.length_squared()),
        Curve::Circle(circle) => {
            let q = circle.frame.local(p);
            at(real::atan2(q.y, q.x))
        }
        Curve::Ellipse(ellipse) => {
            let q = ellipse.frame.local(p);
            let guess = real::atan2(q.y / ellipse.semi_y, q.x / ellipse.semi_x);
            let span = 0.1;
            let near = nearest(&[guess - span, guess, guess + span], 2, |t| (curve.point(t), curve.tangent(t)), p);
            let first = at(guess);
            if near.distance < first.distance { near } else { first }
        }
        Curve::Parabola(_) | Curve::Hyperbola(_) | Curve::Offset(_) => {
            let foot = anywhere(curve, p);
            Nearest { t: foot.t, distance: foot.distance }
        }
        Curve::Nurbs(spline) => {
            nearest(&spline.knots().breaks(), SAMPLES_PER_DEGREE * spline.knots().degree(), |t| (curve.point(t), curve.tangent(t)), p)
        }
        Curve::Chain(chain) => {
            // Each piece in turn, as pieces know their own smooth parts.
            let mut best = at(0.0);
            for (i, piece) in chain.pieces.iter().enumerate() {
                let breaks = piece_breaks(&piece.curve, piece.start, piece.end);
                let shares: Vec<f64> = breaks.iter().map(|&x| i as f64 + x).collect();
                // The closed right end of a piece is evaluated from its own side.
                let eval = |t: f64| {
                    let inner = piece.start + (piece.end - piece.start) * (t - i as f64);
                    (piece.curve.point(inner), piece.curve.tangent(inner) * (piece.end - piece.start))
                };
                let near = nearest(&shares, 2 * SAMPLES_PER_DEGREE, eval, p);
                if near.distance < best.distance {
                    best = near;
                }
            }
            best
        }
    }
}

/// The foot on a curve that may have no end: the search is widened until the foot lies inside it.
fn anywhere(curve: &Curve, p: Point3) -> CurveFoot {
    let domain = curve.domain();
    if domain.is_bounded() {
        return closest_on_curve(curve, domain.low, domain.high, p, None);
    }
    // Parabolas grow with t², hyperbolas with its exponential, offsets as what they follow.
    let mut reach = 2.0;
    loop {
        let foot = closest_on_curve(curve, -reach, reach, p, None);
        let inside = foot.t.abs() < 0.9 * reach;
        reach *= 4.0;
        if inside || reach > 1e9 || !curve.point(reach).is_finite() {
            return foot;
        }
    }
}

/// Shares in [0, 1] of a piece where smoothness may end, with both ends.
fn piece_breaks(curve: &Curve, start: f64, end: f64) -> Vec<f64> {
    let mut shares: Vec<f64> = curve.breaks_between(start, end).iter().map(|t| (t - start) / (end - start)).collect();
    if end < start {
        shares.reverse();
    }
    shares.insert(0, 0.0);
    shares.push(1.0);
    shares
}

/// The nearest point over the rising `breaks`, each interval searched at `samples` places; `eval` gives point and
/// derivative. An empty list gives parameter 0.
pub(super) fn nearest(breaks: &[f64], samples: usize, eval: impl Fn(f64) -> (Point3, Vec3), p: Point3) -> Nearest {
    let mut sampled: Vec<Nearest> = Vec::new();
    let see = |t: f64| Nearest { t, distance: eval(t).0.distance(p) };
    for pair in breaks.windows(2) {
        let &[a, b] = pair else { continue };
        sampled.extend((0..samples).map(|i| see(a + (b - a) * i as f64 / samples as f64)));
    }
    sampled.extend(breaks.last().map(|&t| see(t)));
    let mut best = sampled.first().copied().unwrap_or(Nearest { t: 0.0, distance: f64::INFINITY });
    // Valleys among the samples, the deepest few: the true nearest lies in one of them.
    let lower = |i: usize, j: usize| sampled.get(j).zip(sampled.get(i)).is_none_or(|(j, i)| i.distance <= j.distance);
    let mut valleys: Vec<usize> = (0..sampled.len()).filter(|&i| lower(i, i.wrapping_sub(1)) && lower(i, i + 1)).collect();
    valleys.sort_by(|&a, &b| {
        let d = |i: usize| sampled.get(i).map_or(f64::INFINITY, |s| s.distance);
        d(a).total_cmp(&d(b))
    });
    for &i in valleys.iter().take(4) {
        let Some(&here) = sampled.get(i) else { continue };
        let left = sampled.get(i.wrapping_sub(1)).unwrap_or(&here).t;
        let right = sampled.get(i + 1).unwrap_or(&here).t;
        let refined = see(foot(left, right, &eval, p));
        for candidate in [here, refined] {
            if candidate.distance < best.distance {
                best = candidate;
            }
        }
    }
    best
}

/// Where the distance to `p` stops falling between `a` and `b`: bisection mixed with secant steps on (C − p)·C′.
fn foot(mut a: f64, mut b: f64, eval: &impl Fn(f64) -> (Point3, Vec3), p: Point3) -> f64 {
    let slope = |t: f64| {
        let (c, d) = eval(t);
        (c - p).dot(d)
    };
    let (mut fa, mut fb) = (slope(a), slope(b));
    // Not falling at the left or not rising at the right: the end itself is nearest.
    if fa >= 0.0 {
        return a;
    }
    if fb <= 0.0 {
        return b;
    }
    for step in 0..100 {
        let secant = a - fa * (b - a) / (fb - fa);
        let t = if step % 3 == 2 || !(secant > a && secant < b) { 0.5 * (a + b) } else { secant };
        if t <= a || t >= b {
            break;
        }
        let ft = slope(t);
        if ft == 0.0 {
            return t;
        }
        if ft < 0.0 {
            (a, fa) = (t, ft);
        } else {
            (b, fb) = (t, ft);
        }
    }
    if -fa < fb { a } else { b }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Chain, ChainPiece, Circle, Ellipse, Line};
    use crate::math::Frame;
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
        vec![
            Curve::Ellipse(Ellipse { frame: frame(), semi_x: 5.0, semi_y: 1.25 }),
            Curve::Chain(Chain { pieces: vec![piece(&circle, 2.0, -1.0), piece(&spline(), 2.0, 0.1), piece(&line, 0.5, 3.0)] }),
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
                let t = if domain.is_bounded() { domain.at(share) } else { share };
                let found = nearest_on(&curve, curve.point(t));
                prop_assert!(found.distance < 1e-12, "{curve:?} at {t}: {found:?}");
            }
        }

        #[test]
        fn is_no_farther_than_the_best_of_many_samples(x in -2.0..18.0f64, y in -5.0..5.0f64, z in -3.0..3.0f64) {
            let (curve, p) = (spline(), Point3::new(x, y, z));
            let found = nearest_on(&curve, p);
            let brute = (0..=4000).map(|i| curve.point(i as f64 / 2000.0).distance(p)).fold(f64::INFINITY, f64::min);
            prop_assert!(found.distance <= brute + 1e-12);
        }
    }
}
