//! The point of a space curve closest to a point in space.

use super::Curve;
use crate::math::{Arrange, Interval, Point3, Vec3};

/// A point of a curve and how far it lies from the point asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurveFoot {
    /// Parameter.
    pub t: f64,
    /// Position, mm.
    pub point: Point3,
    /// Distance to the point asked about, mm.
    pub distance: f64,
}

/// Samples between two breaks for a first guess. Smaller: a winding span may lose the true foot.
const SAMPLES: usize = 12;

/// How many minima of the samples are refined; a corner counts twice. Smaller: the wrong one of two nearly equal feet
/// is kept.
const STARTS: usize = 4;

/// The closest point of the stretch from `a` to `b` (finite, either order), near `seed` or, without one, anywhere.
/// Ends count: beyond them the foot is the end. Never fails.
pub fn closest_on_curve(curve: &Curve, a: f64, b: f64, p: Point3, seed: Option<f64>) -> CurveFoot {
    let over = Interval::new(a.min(b), a.max(b));
    if let Some(t) = seed {
        return newton(curve, over, p, t);
    }
    let mut stops = vec![over.low];
    stops.extend(curve.breaks_between(a, b));
    stops.push(over.high);
    // Span by span: at a corner the derivatives of the next span lead nowhere.
    let mut minima: Vec<(f64, f64, Interval)> = Vec::new();
    for w in stops.windows(2) {
        let span = Interval::new(w[0], w[1]);
        let at = |i: usize| span.at(i as f64 / SAMPLES as f64);
        let far: Vec<f64> = (0..=SAMPLES).map(|i| curve.point(at(i)).distance(p)).collect();
        let higher = |i: Option<usize>, than: f64| i.and_then(|i| far.get(i)).is_none_or(|&x| x >= than);
        for (i, &x) in far.iter().enumerate() {
            if higher(i.checked_sub(1), x) && higher(i.checked_add(1), x) {
                let inside = at(i).clamp(span.low + 1e-7 * span.length(), span.high - 1e-7 * span.length());
                minima.push((x, inside, span));
            }
        }
    }
    minima.arrange_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut best: Option<CurveFoot> = None;
    for (_, t, span) in minima.into_iter().take(STARTS) {
        let foot = newton(curve, span, p, t);
        if best.is_none_or(|b| foot.distance < b.distance) {
            best = Some(foot);
        }
    }
    best.unwrap_or_else(|| newton(curve, over, p, over.low))
}

/// Newton on half the squared distance (NB §6.1), kept inside, halving steps that do not come closer.
fn newton(curve: &Curve, over: Interval, p: Point3, seed: f64) -> CurveFoot {
    let mut t = over.clamp(seed);
    let mut d = curve.derivs(t, 2);
    let offset = |d: &[[f64; 3]; 4]| Vec3::from_array(d[0]) - p.to_vec();
    let still = 1e-12 * (1.0 + p.to_vec().abs().max_element());
    // Rounding of positions hides the last digits of the distance.
    let noise = 0.02 * still;
    for _ in 0..40 {
        let (r, first, second) = (offset(&d), Vec3::from_array(d[1]), Vec3::from_array(d[2]));
        let speed = first.length_squared();
        if speed == 0.0 {
            break;
        }
        let hessian = speed + r.dot(second);
        let step = -r.dot(first) / if hessian > 1e-3 * speed { hessian } else { speed };
        let mut share = 1.0;
        let mut taken = None;
        for _ in 0..20 {
            let next = over.clamp(t + share * step);
            let e = curve.derivs(next, 2);
            if offset(&e).length() <= r.length() * (1.0 + 1e-14) + noise {
                taken = Some((next, e));
                break;
            }
            share *= 0.5;
        }
        let Some((next, e)) = taken else { break };
        let moved = (next - t).abs() * speed.sqrt();
        (t, d) = (next, e);
        if moved <= still {
            break;
        }
    }
    CurveFoot { t, point: Point3::from_vec(Vec3::from_array(d[0])), distance: offset(&d).length() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Circle, Ellipse, Line};
    use crate::math::{Frame, real};
    use crate::nurbs::{self, KnotVector};

    #[test]
    fn finds_the_foot_on_every_kind_of_curve() {
        let frame = Frame::from_axis(Point3::new(1.0, 2.0, -3.0), Some(Vec3::new(0.3, -1.0, 2.0)), None);
        let knots = KnotVector::uniform(4, 3).unwrap();
        let points =
            (0..knots.point_count()).map(|i| [10.0 * i as f64, 7.0 * real::sin(1.3 * i as f64), 4.0 * real::cos(2.1 * i as f64)]).collect();
        let curves = [
            (Curve::Line(Line { origin: Point3::new(4.0, 5.0, 6.0), direction: Vec3::new(1.0, -2.0, 0.5) }), -3.0, 8.0),
            (Curve::Circle(Circle { frame, radius: 5.0 }), 0.2, 5.9),
            (Curve::Ellipse(Ellipse { frame, semi_x: 9.0, semi_y: 4.0 }), 0.1, 3.0),
            (Curve::Nurbs(nurbs::Curve::new(knots, points, None).unwrap()), 0.0, 1.0),
        ];
        for (curve, a, b) in &curves {
            for share in [0.0, 0.13, 0.5, 0.77, 1.0] {
                let t = a + (b - a) * share;
                let foot = closest_on_curve(curve, *b, *a, curve.point(t), None);
                assert!(foot.distance < 1e-12, "{curve:?} at {t}: {foot:?}");
                assert!((foot.t - t).abs() < 1e-10);
            }
        }
    }
}
