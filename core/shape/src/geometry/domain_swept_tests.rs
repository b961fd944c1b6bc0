//! Areas of faces on swept and offset surfaces, by the theorem of Pappus (*Collection* VII): the area swept by a curve
//! turning about an axis is its length times the way of its centroid.

use super::domain_tests::{bounded, check, frame, ring};
use super::*;
use crate::math::{Interval, Point3, Vec3, real};
use crate::nurbs::{self, KnotVector};
use real::{PI, TAU};

fn line(p: Point3, q: Point3) -> Curve {
    Curve::Line(Line { origin: p, direction: q - p })
}

fn turned(profile: Curve, range: Interval) -> Surface {
    Surface::Revolution(Revolution { frame: frame(), profile: Box::new(profile), range })
}

/// Integrals along a profile by its own speed, in 4,000 steps of Simpson's rule: length, and length times distance
/// from the axis.
fn pappus(c: &Curve, a: f64, b: f64) -> (f64, f64) {
    let f = frame();
    let n = 4000;
    let h = (b - a) / f64::from(n);
    (0..=n).fold((0.0, 0.0), |(length, moment), i| {
        let t = a + h * f64::from(i);
        let q = f.local(c.point(t));
        let w = c.tangent(t).length() * h / 3.0
            * if i == 0 || i == n {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
        (length + w, moment + w * real::hypot(q.x, q.y))
    })
}

fn wavy() -> Curve {
    let f = frame();
    let knots = KnotVector::new(3, vec![0., 0., 0., 0., 1., 2., 3., 3., 3., 3.]).unwrap();
    let at = |x: f64, z: f64| f.point(x, 0.0, z).to_array();
    let points = vec![at(5.0, 0.0), at(8.0, 1.0), at(3.0, 4.0), at(6.0, 6.0), at(9.0, 9.0), at(4.0, 10.0)];
    Curve::Nurbs(nurbs::Curve::new(knots, points, None).unwrap())
}

/// A closed spline ring in the meridian plane, with a corner at its seam.
fn drop() -> Curve {
    let f = frame();
    let at = |x: f64, z: f64| f.point(x, 0.0, z).to_array();
    let points = vec![at(8.0, 0.0), at(12.0, 1.0), at(12.0, 6.0), at(6.0, 6.0), at(5.0, 1.0), at(8.0, 0.0)];
    Curve::Nurbs(nurbs::Curve::new(KnotVector::uniform(3, 3).unwrap(), points, None).unwrap())
}

fn circle_at(c: &Curve, t: f64, start: f64) -> Curve {
    let q = frame().local(c.point(t));
    ring(q.z, real::hypot(q.x, q.y), start)
}

#[test]
fn bands_and_sectors_of_a_turned_spline() {
    let c = wavy();
    let s = turned(c.clone(), c.domain());
    let whole = pappus(&c, 0.0, 1.0).1 + pappus(&c, 1.0, 2.0).1 + pappus(&c, 2.0, 3.0).1;
    check("whole", &s, bounded(&s, &[]), TAU * whole, &[(1.0, 0.5), (6.0, 2.9)], &[]);
    let part = pappus(&c, 0.4, 1.0).1 + pappus(&c, 1.0, 1.7).1;
    for (a, b) in [(0.0, 0.0), (1.0, 4.0), (3.0, 0.5)] {
        let band = vec![vec![(circle_at(&c, 0.4, a), 0.0, TAU, true)], vec![(circle_at(&c, 1.7, b), 0.0, TAU, false)]];
        check("band", &s, bounded(&s, &band), TAU * part, &[(0.1, 1.0), (4.0, 1.6)], &[(0.1, 0.3), (4.0, 1.8)]);
    }
    // Seam edges as files have them: the profile itself, once forward and once back.
    let seamed = vec![vec![
        (circle_at(&c, 0.4, 0.0), 0.0, TAU, true),
        (c.clone(), 0.4, 1.7, true),
        (circle_at(&c, 1.7, 0.0), 0.0, TAU, false),
        (c.clone(), 0.4, 1.7, false),
    ]];
    check("seamed band", &s, bounded(&s, &seamed), TAU * part, &[(0.1, 1.0)], &[(0.1, 0.3)]);
    let up = Surface::point(&s, 0.9, 0.0);
    let q = frame().local(up);
    let (sin, cos) = real::sin_cos(0.9);
    assert!((q - Vec3::new(5.0 * cos, 5.0 * sin, 0.0)).length() < 1e-12);
}

#[test]
fn rings_of_a_closed_profile_with_and_without_a_corner() {
    let c = drop();
    let s = turned(c.clone(), c.domain());
    let moment = |a: f64, b: f64| {
        let stops = [a, 1.0 / 3.0, 2.0 / 3.0, b];
        stops.windows(2).filter(|w| w[1] > w[0]).map(|w| pappus(&c, w[0].max(a), w[1].min(b)).1).sum::<f64>()
    };
    assert_eq!(s.periods(), (Some(TAU), None));
    assert!(closures(&s).1.is_some());
    check("whole ring", &s, bounded(&s, &[]), TAU * moment(0.0, 1.0), &[(1.0, 0.5)], &[]);
    // Over the seam of the profile: the region above 0.8 and below 0.2.
    let over = vec![vec![(circle_at(&c, 0.8, 0.3), 0.0, TAU, true)], vec![(circle_at(&c, 0.2, 2.0), 0.0, TAU, false)]];
    let rest = moment(0.0, 1.0) - (pappus(&c, 0.2, 1.0 / 3.0).1 + pappus(&c, 1.0 / 3.0, 2.0 / 3.0).1 + pappus(&c, 2.0 / 3.0, 0.8).1);
    check("over the seam", &s, bounded(&s, &over), TAU * rest, &[(1.0, 0.1), (1.0, 0.9)], &[(1.0, 0.5)]);
    let f = frame();
    let round =
        Curve::Circle(Circle { frame: crate::math::Frame { origin: f.point(9.0, 0.0, 0.0), x: f.x, y: f.z, z: -f.y }, radius: 2.0 });
    let torus = turned(round.clone(), Interval::new(0.0, TAU));
    assert_eq!(torus.periods(), (Some(TAU), Some(TAU)));
    check("torus", &torus, bounded(&torus, &[]), TAU * TAU * 18.0, &[(1.0, 0.5)], &[]);
    let half = vec![vec![(circle_at(&round, 0.5, 0.3), 0.0, TAU, true)], vec![(circle_at(&round, 2.5, 2.0), 0.0, TAU, false)]];
    check("half torus", &torus, bounded(&torus, &half), TAU * pappus(&round, 0.5, 2.5).1, &[(1.0, 1.0), (5.0, 7.0)], &[(1.0, 0.1)]);
}

#[test]
fn cones_and_domes_close_at_their_poles() {
    let f = frame();
    let c = line(f.point(4.0, 0.0, 0.0), f.point(0.0, 0.0, 3.0));
    let cone = turned(c.clone(), Interval::new(0.0, 1.0));
    check("whole cone", &cone, bounded(&cone, &[]), PI * 4.0 * 5.0, &[(1.0, 0.5)], &[]);
    let cap = vec![vec![(circle_at(&c, 0.25, 1.0), 0.0, TAU, true)]];
    for range in [Interval::new(0.0, 1.0), Interval::ALL, Interval::new(-1.0, 3.0)] {
        let s = turned(c.clone(), range);
        check("cap", &s, bounded(&s, &cap), PI * 3.0 * 3.75, &[(1.0, 0.5), (4.0, 0.99)], &[(1.0, 0.2)]);
    }
    // A slice with its tip on the pole: two straight edges and an arc.
    let rim = |t: f64| f.point(3.0 * real::cos(t), 3.0 * real::sin(t), 0.75);
    let tip = f.point(0.0, 0.0, 3.0);
    let slice = vec![vec![
        (circle_at(&c, 0.25, 0.0), 0.5, 1.7, true),
        (line(rim(1.7), tip), 0.0, 1.0, true),
        (line(tip, rim(0.5)), 0.0, 1.0, true),
    ]];
    check("slice", &cone, bounded(&cone, &slice), PI * 3.0 * 3.75 * 1.2 / TAU, &[(1.0, 0.5)], &[(2.0, 0.5), (1.0, 0.2)]);
    let half = Curve::Circle(Circle { frame: crate::math::Frame { origin: f.origin, x: f.x, y: f.z, z: -f.y }, radius: 6.0 });
    let ball = turned(half.clone(), Interval::new(-PI / 2.0, PI / 2.0));
    check("ball", &ball, bounded(&ball, &[]), 4.0 * PI * 36.0, &[(1.0, 0.5)], &[]);
    let rest = vec![vec![(circle_at(&half, 0.5, 0.3), 0.0, TAU, false)]];
    check("ball without its cap", &ball, bounded(&ball, &rest), TAU * 36.0 * (1.0 + real::sin(0.5)), &[(1.0, 0.4)], &[(1.0, 0.6)]);
    let big = Surface::Offset(Offset { basis: Box::new(ball), distance: 1.5 });
    check("offset ball", &big, bounded(&big, &[]), 4.0 * PI * 56.25, &[(1.0, 0.5)], &[]);
}

#[test]
fn walls_of_open_closed_and_round_directrices() {
    let f = frame();
    let direction = f.vector(0.0, 2.0, 0.0);
    let wall = |c: &Curve, range| Surface::Extrusion(Extrusion { directrix: Box::new(c.clone()), direction, range });
    let moved = |c: &Curve, v: f64| {
        let by = crate::math::Similarity { shift: direction * v, ..crate::math::Similarity::IDENTITY };
        c.transformed(&by)
    };
    let c = wavy();
    let s = wall(&c, c.domain());
    let length = pappus(&c, 0.0, 1.0).0 + pappus(&c, 1.0, 2.0).0 + pappus(&c, 2.0, 3.0).0;
    let up = |t: f64| line(c.point(t) - direction, c.point(t) + direction * 3.0);
    let all = vec![vec![
        (moved(&c, -1.0), 0.0, 3.0, true),
        (up(3.0), 0.0, 1.0, true),
        (moved(&c, 3.0), 0.0, 3.0, false),
        (up(0.0), 0.0, 1.0, false),
    ]];
    check("open wall", &s, bounded(&s, &all), length * 8.0, &[(1.5, 0.0), (2.9, 2.9)], &[(1.5, 3.1)]);
    // A closed spline, whose seam is a border, and a round one, whose parameter runs on.
    let c = drop();
    let ring_length = pappus(&c, 0.0, 1.0 / 3.0).0 + pappus(&c, 1.0 / 3.0, 2.0 / 3.0).0 + pappus(&c, 2.0 / 3.0, 1.0).0;
    let s = wall(&c, c.domain());
    let band = vec![vec![(moved(&c, -1.0), 0.0, 1.0, true)], vec![(moved(&c, 3.0), 0.0, 1.0, false)]];
    check("closed wall", &s, bounded(&s, &band), ring_length * 8.0, &[(0.5, 0.0)], &[(0.5, 3.1)]);
    let c = Curve::Ellipse(Ellipse { frame: crate::math::Frame { origin: f.origin, x: f.x, y: f.z, z: -f.y }, semi_x: 5.0, semi_y: 2.0 });
    let s = wall(&c, Interval::new(0.0, TAU));
    assert_eq!(s.periods(), (Some(TAU), None));
    let band = vec![vec![(moved(&c, -1.0), 1.0, 1.0 + TAU, true)], vec![(moved(&c, 3.0), 0.0, TAU, false)]];
    check("round wall", &s, bounded(&s, &band), pappus(&c, 0.0, TAU).0 * 8.0, &[(0.5, 0.0), (7.0, 2.0)], &[(0.5, 3.1)]);
}

/// A ruled strip between two parallel congruent curves is a wall; an offset torus is a torus.
#[test]
fn ruled_and_offset_surfaces_have_the_area_of_what_they_are() {
    let f = frame();
    let c = wavy();
    let by = crate::math::Similarity { shift: f.y * 3.0, ..crate::math::Similarity::IDENTITY };
    let ruled = Surface::Ruled(Ruled {
        first: Box::new(c.clone()),
        first_range: (0.0, 3.0),
        second: Box::new(c.transformed(&by)),
        second_range: (0.0, 3.0),
    });
    let length = pappus(&c, 0.0, 1.0).0 + pappus(&c, 1.0, 2.0).0 + pappus(&c, 2.0, 3.0).0;
    check("ruled wall", &ruled, bounded(&ruled, &[]), length * 3.0, &[(0.5, 0.5)], &[]);
    let torus = Surface::Torus(Torus { frame: f, major: 9.0, minor: 2.0 });
    let thick = Surface::Offset(Offset { basis: Box::new(torus), distance: 0.5 });
    check("thick torus", &thick, bounded(&thick, &[]), TAU * TAU * 9.0 * 2.5, &[(0.5, 0.5)], &[]);
}
