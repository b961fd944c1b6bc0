//! Sweeps that have a closed form, and what every sweep keeps.

use super::*;
use crate::math::{Frame, Point3, Similarity, Vec3, real};
use crate::nurbs::{self, KnotVector};
use proptest::prelude::*;

fn frame() -> Frame {
    Frame::from_axis(Point3::new(30.0, -14.0, 55.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

fn stretch(curve: Curve, from: f64, to: f64) -> Stretch {
    Stretch { curve, from, to }
}

fn line(from: Point3, to: Point3) -> Stretch {
    stretch(Curve::Line(Line { origin: from, direction: to - from }), 0.0, 1.0)
}

fn spline(points: &[Point3], weights: Option<Vec<f64>>, degree: usize) -> Curve {
    let knots = KnotVector::uniform(degree, points.len() - degree).unwrap();
    Curve::Nurbs(nurbs::Curve::new(knots, points.iter().map(|p| p.to_array()).collect(), weights).unwrap())
}

/// A section from `a` to `b` that bulges in two directions; rational or not.
fn section(a: Point3, b: Point3, bulge: &[f64], degree: usize, rational: bool) -> Stretch {
    let (x, side) = (b - a, (b - a).any_orthogonal_vector().normalize() * (b - a).length());
    let other = x.cross(side).normalize() * x.length();
    let count = degree + 3;
    let at = |i: usize| {
        let share = i as f64 / (count - 1) as f64;
        let inner = if i == 0 || i + 1 == count { 0.0 } else { 1.0 };
        a + x * share + (side * bulge[i] + other * bulge[i + 11]) * (0.4 * inner)
    };
    let points: Vec<Point3> = (0..count).map(at).collect();
    stretch(spline(&points, rational.then(|| (0..count).map(|i| 1.0 + 0.5 * bulge[i + 5]).collect()), degree), 0.0, 1.0)
}

fn section_point(s: &Stretch, r: f64) -> Point3 {
    Point3::from_vec(s.curve.to_nurbs(s.from, s.to).unwrap().derivs(r, 0)[0].into())
}

/// Largest distance at equal parameters of the spline form from what the sweep should be.
fn off(form: &nurbs::Surface, want: &dyn Fn(f64, f64) -> Point3) -> f64 {
    let mut worst = 0.0f64;
    for i in 0..=60 {
        for j in 0..=12 {
            let (s, r) = (f64::from(i) / 60.0, f64::from(j) / 12.0);
            worst = worst.max(form.derivs(s, r, 0).s.distance(want(s, r)));
        }
    }
    worst
}

fn numbers() -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(-1.0f64..1.0, 40)
}

/// Rails that run side by side, as splines.
fn wavy_rails(n: &[f64], degree: usize) -> [Stretch; 2] {
    let points = |y: f64, k: usize| -> Vec<Point3> {
        (0..degree + 4).map(|i| Point3::new(120.0 * i as f64 + 20.0 * n[i + k], y + 25.0 * n[i + k + 5], 30.0 * n[i + k + 10])).collect()
    };
    [stretch(spline(&points(0.0, 0), None, degree), 0.0, 1.0), stretch(spline(&points(260.0, 9), None, degree), 0.0, 1.0)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn parallel_straight_rails_give_an_extrusion(
        n in numbers(), degree in 2usize..=5, rational: bool, slant in -200.0f64..200.0, length in 50.0f64..2000.0, by_length: bool,
    ) {
        let f = frame();
        let (a, b) = (f.point(3.0, 40.0, 0.0), f.point(250.0, -10.0, slant));
        let push = f.z * length;
        let section = section(a, b, &n, degree, rational);
        let pairing = if by_length { Pairing::Length } else { Pairing::Parameter };
        let sweep = RailSweep::new([line(a, a + push), line(b, b + push)], &section, None, pairing, 1e-6).unwrap();
        let want = |s: f64, r: f64| section_point(&section, r) + push * s;
        for (s, r) in [(0.0, 0.3), (0.4, 0.0), (0.71, 0.52), (1.0, 1.0)] {
            prop_assert!(sweep.point(s, r).unwrap().distance(want(s, r)) < 1e-9);
        }
        let form = sweep.to_nurbs(1e-8).unwrap();
        prop_assert_eq!(form.knots_u().span_count(), 1);
        prop_assert!(off(&form, &want) < 1e-9, "{}", off(&form, &want));
    }

    #[test]
    fn concentric_arcs_give_a_surface_of_revolution(
        n in numbers(), degree in 2usize..=5, rational: bool, turn in 0.1f64..3.0, height in -300.0f64..300.0, back: bool, by_length: bool,
        digits in 1i32..=7,
    ) {
        let f = frame();
        let higher = Frame { origin: f.origin + f.z * height, ..f };
        let arc = |frame: Frame, radius: f64| stretch(Curve::Circle(Circle { frame, radius }), 0.3, if back { 0.3 - turn } else { 0.3 + turn });
        let rails = [arc(f, 400.0), arc(higher, 620.0)];
        let section = section(rails[0].curve.point(0.3), rails[1].curve.point(0.3), &n, degree, rational);
        let pairing = if by_length { Pairing::Length } else { Pairing::Parameter };
        let sweep = RailSweep::new(rails, &section, None, pairing, 1e-6).unwrap();
        let want = |s: f64, r: f64| {
            let q = f.local(section_point(&section, r));
            let (sin, cos) = real::sin_cos(if back { -s * turn } else { s * turn });
            f.point(q.x * cos - q.y * sin, q.x * sin + q.y * cos, q.z)
        };
        for (s, r) in [(0.0, 0.3), (0.4, 0.0), (0.71, 0.52), (1.0, 1.0)] {
            prop_assert!(sweep.point(s, r).unwrap().distance(want(s, r)) < 1e-9);
        }
        let tolerance = (0..digits).fold(1.0, |t, _| 0.1 * t);
        let form = sweep.to_nurbs(tolerance).unwrap();
        prop_assert!(off(&form, &want) <= tolerance, "{} of {tolerance}", off(&form, &want));
    }

    #[test]
    fn straight_rails_from_one_point_give_a_cone(n in numbers(), degree in 2usize..=5, rational: bool, left in 0.02f64..0.9) {
        let f = frame();
        let apex = f.point(10.0, 20.0, 900.0);
        let (a, b) = (f.point(3.0, 40.0, 0.0), f.point(250.0, -10.0, 30.0));
        let to = |p: Point3| line(p, apex + (p - apex) * left);
        let section = section(a, b, &n, degree, rational);
        let sweep = RailSweep::new([to(a), to(b)], &section, None, Pairing::Parameter, 1e-6).unwrap();
        let want = |s: f64, r: f64| apex + (section_point(&section, r) - apex) * (1.0 - s + s * left);
        let form = sweep.to_nurbs(1e-8).unwrap();
        prop_assert!(off(&form, &want) < 1e-9, "{}", off(&form, &want));
    }

    #[test]
    fn any_sweep_lies_on_its_rails_and_moves_with_them(
        n in numbers(), degree in 2usize..=5, rational: bool, two: bool, by_length: bool, scale in 0.2f64..5.0, digits in 1i32..=5,
    ) {
        let rails = wavy_rails(&n, degree);
        let end = |k: usize, t: f64| rails[k].curve.point(t);
        let first = section(end(0, 0.0), end(1, 0.0), &n, degree, rational);
        let last = section(end(0, 1.0), end(1, 1.0), &n[9..], 3, false);
        let pairing = if by_length { Pairing::Length } else { Pairing::Parameter };
        let tolerance = (0..digits).fold(1.0, |t, _| 0.1 * t);
        let sweep = RailSweep::new(rails.clone(), &first, two.then_some(&last), pairing, tolerance).unwrap();
        let form = sweep.to_nurbs(tolerance).unwrap();
        prop_assert!(off(&form, &|s, r| sweep.point(s, r).unwrap()) <= tolerance);
        for i in 0..=20 {
            let s = f64::from(i) / 20.0;
            for (k, r) in [(0, 0.0), (1, 1.0)] {
                let p = form.derivs(s, r, 0).s;
                let foot = closest_on_curve(&rails[k].curve, 0.0, 1.0, p, None);
                prop_assert!(foot.distance <= tolerance, "{} off rail {k}", foot.distance);
                if !by_length {
                    prop_assert!(p.distance(rails[k].curve.point(s)) <= tolerance);
                }
            }
        }
        // Its ends are the sections.
        for i in 0..=10 {
            let r = f64::from(i) / 10.0;
            let worst = if rational && two { tolerance } else { 1e-9 };
            prop_assert!(form.derivs(0.0, r, 0).s.distance(section_point(&first, r)) <= worst);
            if two {
                prop_assert!(form.derivs(1.0, r, 0).s.distance(section_point(&last, r)) <= worst);
            }
        }
        let by = Similarity { scale, ..moved() };
        let carried = |s: &Stretch| stretch(s.curve.transformed(&by), s.from, s.to);
        let last = carried(&last);
        let again = RailSweep::new([carried(&rails[0]), carried(&rails[1])], &carried(&first), two.then_some(&last), pairing, tolerance * scale).unwrap();
        for (s, r) in [(0.0, 0.3), (0.4, 0.0), (0.71, 0.52), (1.0, 1.0), (0.13, 0.9)] {
            let worst = if rational && two { 0.2 * tolerance * scale } else { 1e-8 * scale };
            prop_assert!(again.point(s, r).unwrap().distance(by.point(sweep.point(s, r).unwrap())) < worst);
        }
    }
}

fn moved() -> Similarity {
    let home = Frame::from_axis(Point3::ORIGIN, Some(Vec3::Z), Some(Vec3::X));
    Similarity::between(&home, &frame())
}

#[test]
fn equal_lengths_undo_an_uneven_parameter() {
    // The same straight rails, one of them run slowly at first.
    let f = frame();
    let (a, b) = (f.point(0.0, 0.0, 0.0), f.point(200.0, 0.0, 0.0));
    let uneven = spline(&[0.0, 0.05, 0.2, 0.5, 1.0].map(|s| b + f.z * (800.0 * s)), None, 3);
    let section = section(a, b, &[0.3; 40], 3, false);
    let rails = [line(a, a + f.z * 800.0), stretch(uneven, 0.0, 1.0)];
    let sweep = RailSweep::new(rails.clone(), &section, None, Pairing::Length, 1e-6).unwrap();
    let want = |s: f64, r: f64| section_point(&section, r) + f.z * (800.0 * s);
    for i in 0..=30 {
        let s = f64::from(i) / 30.0;
        assert!(sweep.point(s, 0.4).unwrap().distance(want(s, 0.4)) < 1e-8);
    }
    let slanting = RailSweep::new(rails, &section, None, Pairing::Parameter, 1e-6).unwrap();
    assert!(slanting.point(0.5, 1.0).unwrap().distance(want(0.5, 1.0)) > 100.0);
}

#[test]
fn two_sections_blend_linearly() {
    // Arcs of different height over one chord: halfway, every point is the mean of the two.
    let f = frame();
    let (a, b, push) = (f.point(-100.0, 0.0, 0.0), f.point(100.0, 0.0, 0.0), f.z * 700.0);
    let arc = |radius: f64, lift: Vec3| {
        let (drop, half) = ((radius * radius - 1e4f64).sqrt(), real::asin(100.0 / radius));
        let turned = Frame { origin: f.origin - f.y * drop + lift, x: f.y, y: -f.x, z: f.z };
        stretch(Curve::Circle(Circle { frame: turned, radius }), half, -half)
    };
    let (first, last) = (arc(150.0, Vec3::ZERO), arc(900.0, push));
    let rails = [line(a, a + push), line(b, b + push)];
    let sweep = RailSweep::new(rails, &first, Some(&last), Pairing::Parameter, 1e-5).unwrap();
    for (s, r) in [(0.0, 0.2), (0.5, 0.5), (0.25, 0.8), (1.0, 0.3)] {
        let want = section_point(&first, r).lerp(section_point(&last, r) - push, s) + push * s;
        assert!(sweep.point(s, r).unwrap().distance(want) < 1e-5);
    }
}

#[test]
fn says_what_is_wrong() {
    let p = |x: f64, y: f64| Point3::new(x, y, 0.0);
    let section = line(p(0.0, 0.0), p(0.0, 100.0));
    let sweep = |a: Stretch, b: Stretch| RailSweep::new([a, b], &section, None, Pairing::Parameter, 1e-3).map(|_| ());
    let straight = line(p(0.0, 0.0), p(500.0, 0.0));
    assert_eq!(sweep(straight.clone(), line(p(0.0, 100.0), p(500.0, 90.0))), Ok(()));
    // Across each other at a place no look falls on, and meeting at the end.
    let crossing = sweep(straight.clone(), line(p(0.0, 100.0), p(500.0, -37.0)));
    assert!(matches!(crossing, Err(SweepError::Crossing(s)) if (s - 100.0 / 137.0).abs() < 1e-6), "{crossing:?}");
    assert!(matches!(sweep(straight.clone(), line(p(0.0, 100.0), p(500.0, 0.0))), Err(SweepError::Crossing(_))));
    // Run against each other.
    assert_eq!(sweep(straight.clone(), line(p(0.0, 100.0), p(-500.0, 100.0))), Err(SweepError::NoFrame(0.0)));
    // One behind the other.
    let behind = RailSweep::new(
        [straight.clone(), line(p(600.0, 0.0), p(1100.0, 0.0))],
        &line(p(0.0, 0.0), p(600.0, 0.0)),
        None,
        Pairing::Parameter,
        1e-3,
    );
    assert!(matches!(behind.map(|_| ()), Err(SweepError::NoFrame(_))));
    let corner = spline(&[p(0.0, 100.0), p(200.0, 100.0), p(500.0, 130.0)], None, 1);
    assert!(matches!(sweep(straight.clone(), stretch(corner, 0.0, 1.0)), Err(SweepError::Corner(s)) if (s - 0.5).abs() < 1e-9));
    let off = sweep(straight.clone(), line(p(0.0, 103.0), p(500.0, 90.0)));
    assert!(matches!(off, Err(SweepError::SectionEnds(d)) if (d - 3.0).abs() < 1e-9), "{off:?}");
    assert_eq!(sweep(straight.clone(), stretch(straight.curve.clone(), 0.4, 0.4)), Err(SweepError::Stretch));
    assert_eq!(sweep(straight.clone(), stretch(straight.curve.clone(), 0.4, f64::NAN)), Err(SweepError::Stretch));
}
