//! Domains on patches that close on themselves: a tube and a ball as rational splines.

use super::domain_tests::{bounded, check, frame, meridian, ring};
use super::*;
use crate::math::{Frame, Point3, real};
use crate::nurbs::{self, KnotVector};
use real::{PI, TAU};

/// Full circle of nine control points (NB Ex7.2) as (cos-like, sin-like, weight).
fn circle() -> (KnotVector, Vec<(f64, f64, f64)>) {
    let h = 0.5f64.sqrt();
    let knots = KnotVector::new(2, vec![0., 0., 0., 0.25, 0.25, 0.5, 0.5, 0.75, 0.75, 1., 1., 1.]).unwrap();
    let at = [(1., 0.), (1., 1.), (0., 1.), (-1., 1.), (-1., 0.), (-1., -1.), (0., -1.), (1., -1.), (1., 0.)];
    (knots, at.iter().enumerate().map(|(i, &(x, y))| (x, y, if i % 2 == 0 { 1.0 } else { h })).collect())
}

/// Cylinder about the frame's z from z = −10 to 15, of degree 2 by 1.
pub(super) fn tube(radius: f64) -> Surface {
    let (ku, c) = circle();
    let f = frame();
    let mut points = Vec::new();
    let mut weights = Vec::new();
    for &(x, y, w) in &c {
        for z in [-10.0, 15.0] {
            points.push(f.point(radius * x, radius * y, z));
            weights.push(w);
        }
    }
    Surface::Nurbs(nurbs::Surface::new(ku, KnotVector::bezier(1).unwrap(), points, Some(weights)).unwrap())
}

/// Sphere about the frame's origin: the circle turned about z, poles at v = 0 and 1.
fn ball(radius: f64) -> Surface {
    let (ku, c) = circle();
    let h = 0.5f64.sqrt();
    let f = frame();
    let half = [(0., -1., 1.), (1., -1., h), (1., 0., 1.), (1., 1., h), (0., 1., 1.)];
    let kv = KnotVector::new(2, vec![0., 0., 0., 0.5, 0.5, 1., 1., 1.]).unwrap();
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    for &(x, y, w) in &c {
        for &(rho, z, wz) in &half {
            points.push(f.point(radius * rho * x, radius * rho * y, radius * z));
            weights.push(w * wz);
        }
    }
    Surface::Nurbs(nurbs::Surface::new(ku, kv, points, Some(weights)).unwrap())
}

fn uv(surface: &Surface, p: Point3) -> (f64, f64) {
    let foot = SurfaceSearch::new(surface).closest(surface, p);
    assert!(foot.distance < 1e-9);
    (foot.uv.u, foot.uv.v)
}

#[test]
fn bands_of_a_closed_tube_with_and_without_a_seam_edge() {
    let r = 7.0;
    let s = tube(r);
    assert_eq!(closures(&s), (Some(1.0), None));
    let on = |turn: f64, z: f64| uv(&s, frame().point(r * real::cos(turn), r * real::sin(turn), z));
    // Loops that start on the seam, and others that run over it.
    for (a, b) in [(0.0, 0.0), (0.0, 2.0), (1.3, 0.0), (1.3, 4.4), (PI, PI), (PI, 0.7)] {
        let band = vec![vec![(ring(-2.0, r, a), 0.0, TAU, true)], vec![(ring(9.0, r, b), 0.0, TAU, false)]];
        check(
            "spline band",
            &s,
            bounded(&s, &band),
            TAU * r * 11.0,
            &[on(0.2, 0.0), on(4.0, 8.5), on(6.1, -1.5)],
            &[on(0.2, -2.5), on(3.0, 9.5)],
        );
    }
    let edge = Curve::Line(Line { origin: frame().point(r, 0.0, -2.0), direction: frame().z * 11.0 });
    let seamed = vec![vec![
        (ring(-2.0, r, 0.0), 0.0, TAU, true),
        (edge.clone(), 0.0, 1.0, true),
        (ring(9.0, r, 0.0), 0.0, TAU, false),
        (edge, 0.0, 1.0, false),
    ]];
    check("spline band with seam", &s, bounded(&s, &seamed), TAU * r * 11.0, &[on(0.2, 0.0), on(4.0, 8.5)], &[on(0.2, -2.5)]);
    // A patch over the seam, bounded by two arcs and two rulings.
    let rail = |turn: f64| {
        Curve::Line(Line { origin: frame().point(r * real::cos(turn), r * real::sin(turn), -2.0), direction: frame().z * 11.0 })
    };
    let over = vec![vec![
        (ring(-2.0, r, 5.0), 0.0, 2.5, true),
        (rail(7.5), 0.0, 1.0, true),
        (ring(9.0, r, 5.0), 0.0, 2.5, false),
        (rail(5.0), 0.0, 1.0, false),
    ]];
    check("patch over the seam", &s, bounded(&s, &over), 2.5 * r * 11.0, &[on(0.2, 0.0), on(5.5, 8.5)], &[on(4.0, 0.0), on(1.5, 0.0)]);
    check("whole tube", &s, bounded(&s, &[]), TAU * r * 25.0, &[on(0.2, 0.0)], &[]);
}

#[test]
fn caps_and_discs_of_a_closed_ball() {
    let r = 9.0;
    let s = ball(r);
    let f = frame();
    let all = 4.0 * PI * r * r;
    let on = |u: f64, v: f64| {
        let (sin, cos) = real::sin_cos(v);
        uv(&s, f.point(r * cos * real::cos(u), r * cos * real::sin(u), r * sin))
    };
    check("whole ball", &s, bounded(&s, &[]), all, &[on(1.0, 0.3)], &[]);
    let cap = |v: f64| TAU * r * r * (1.0 - real::sin(v));
    for start in [0.0, 0.4, PI] {
        let at = ring(r * real::sin(0.5), r * real::cos(0.5), start);
        check("cap", &s, bounded(&s, &[vec![(at.clone(), 0.0, TAU, true)]]), cap(0.5), &[on(1.0, 0.6), on(4.0, 1.4)], &[on(1.0, 0.4)]);
        check("rest", &s, bounded(&s, &[vec![(at, 0.0, TAU, false)]]), all - cap(0.5), &[on(1.0, 0.4), on(4.0, -1.4)], &[on(1.0, 0.6)]);
    }
    let (a, b, c) = (meridian(f.origin, r, 0.3), meridian(f.origin, r, 1.9), ring(0.0, r, 0.0));
    let octant = vec![vec![(c, 0.3, 1.9, true), (b, 0.0, PI / 2.0, true), (a, 0.0, PI / 2.0, false)]];
    check("octant", &s, bounded(&s, &octant), all * 1.6 / TAU / 2.0, &[on(1.0, 0.4), on(1.8, 1.4)], &[on(2.1, 0.5), on(1.0, -0.1)]);
    // Discs, also across the seam at angle 0.
    for u in [0.0, 0.1, 2.0] {
        let (sin, cos) = real::sin_cos(u);
        let n = (f.x * cos + f.y * sin) * 0.9 + f.z * 0.2;
        let n = n.normalize();
        let x = n.any_orthonormal_vector();
        let alpha = 0.5;
        let circle =
            Circle { frame: Frame { origin: f.origin + n * (r * real::cos(alpha)), x, y: n.cross(x), z: n }, radius: r * real::sin(alpha) };
        let disc = TAU * r * r * (1.0 - real::cos(alpha));
        let inside = uv(&s, f.origin + n * r);
        let beside = uv(&s, f.origin + (n + f.z * 0.2).normalize() * r);
        check("disc", &s, bounded(&s, &[vec![(Curve::Circle(circle), 0.0, TAU, true)]]), disc, &[beside, inside], &[on(u + PI, 0.0)]);
    }
}

/// Nodes of a trim over the seam stay in the patch's domain, and its two stretches meet it from either side.
#[test]
fn a_trim_over_the_seam_is_cut_there() {
    let s = tube(7.0);
    let search = SurfaceSearch::new(&s);
    let trim = Trim::foot_of(&s, &search, &ring(0.0, 7.0, 0.0), 5.0, 7.5).unwrap();
    let cuts = trim.cuts();
    assert_eq!(cuts.len(), 1);
    assert!((cuts[0] - (TAU - 5.0) / 2.5).abs() < 1e-9, "{cuts:?}");
    assert!(trim.nodes().all(|n| (0.0..=1.0).contains(&n.uv.u)));
    let worst = (0..=100).map(|i| f64::from(i) / 100.0).map(|t| {
        let angle = 5.0 + 2.5 * t;
        trim.at(&s, t).point.distance(frame().point(7.0 * real::cos(angle), 7.0 * real::sin(angle), 0.0))
    });
    assert!(worst.fold(0.0, f64::max) < 1e-9);
}
