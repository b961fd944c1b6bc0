//! Sweeps between edges give the surfaces that they must, and the distance of those from them is nothing.

use super::model_tests::whole;
use super::{Comparison, JoinSweep, Reference, Statistics, face_distances, patch_sides, sweep_between, sweep_of_joins};
use crate::geometry::{Circle, Curve, Cylinder, Line, Ruled, Stretch, Surface, SweepError, Torus};
use crate::joins::{Join, JoinGraph, Options, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::FaceId;
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use crate::reference::ModelIndex;

fn frame() -> Frame {
    Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

fn line(a: Point3, b: Point3) -> (Curve, f64, f64) {
    (Curve::Line(Line { origin: a, direction: b - a }), 0.0, 1.0)
}

/// Largest distance of a surface from the sweep of rails 0 and 1, section 2 and, if there is one, 3; whichever way each is run.
fn off(all: &[(Curve, f64, f64)], face: (Surface, Option<(Interval, Interval)>)) -> f64 {
    let (own, domains) = whole(vec![face]);
    let sheets = Sheets { model: &own, domains: &domains };
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    let mut worst = 0.0f64;
    for turned in [0, 1, 2, 4, 15] {
        let one = |i: usize| {
            all.get(i).map(|(curve, from, to)| {
                let (from, to) = if turned >> i & 1 == 1 { (*to, *from) } else { (*from, *to) };
                Stretch { curve: curve.clone(), from, to }
            })
        };
        let of = |i: usize| one(i).unwrap();
        let sweep = sweep_between([of(0), of(1)], of(2), one(3), 1e-7).unwrap();
        let reference = Reference::of_surface("sweep", sweep.surface, 20.0, &mut Silent).unwrap();
        let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &[] };
        let found = face_distances(&of, FaceId::new(0)).unwrap();
        let s = Statistics::new(&[found]).unwrap();
        assert_eq!(s.far, 0.0);
        worst = worst.max(s.most.1.value.abs()).max(s.least.1.value.abs());
    }
    worst
}

#[test]
fn straight_rails_and_an_arc_give_a_cylinder() {
    let f = frame();
    let (from, to) = (0.3, 1.9);
    let at = |a: f64, z: f64| f.point(60.0 * real::cos(a), 60.0 * real::sin(a), z);
    let arc = (Curve::Circle(Circle { frame: f, radius: 60.0 }), from, to);
    let model = vec![line(at(from, 0.0), at(from, 300.0)), line(at(to, 0.0), at(to, 300.0)), arc];
    let cylinder = Surface::Cylinder(Cylinder { frame: f, radius: 60.0 });
    let got = off(&model, (cylinder, Some((Interval::new(from, to), Interval::new(0.0, 300.0)))));
    assert!(got < 1e-6, "{got}");
}

#[test]
fn concentric_rails_and_an_arc_give_a_surface_of_revolution() {
    let f = frame();
    let (major, minor) = (200.0, 50.0);
    let (v0, v1, u0, u1) = (-0.5, 1.2, 0.2, 1.6);
    let around = |v: f64| {
        let frame = Frame { origin: f.point(0.0, 0.0, minor * real::sin(v)), ..f };
        (Curve::Circle(Circle { frame, radius: major + minor * real::cos(v) }), u0, u1)
    };
    let out = f.vector(real::cos(u0), real::sin(u0), 0.0);
    let section = Frame { origin: f.origin + out * major, x: out, y: f.z, z: out.cross(f.z) };
    let arc = (Curve::Circle(Circle { frame: section, radius: minor }), v0, v1);
    let model = vec![around(v0), around(v1), arc];
    let torus = Surface::Torus(Torus { frame: f, major, minor });
    let got = off(&model, (torus, Some((Interval::new(u0, u1), Interval::new(v0, v1)))));
    assert!(got < 1e-6, "{got}");
}

/// Straight sections at both ends are straight between: the ruled surface, here between rails of even speed.
#[test]
fn straight_sections_give_a_ruled_surface() {
    let f = frame();
    let arc = |radius: f64, z: f64| (Curve::Circle(Circle { frame: Frame { origin: f.point(0.0, 0.0, z), ..f }, radius }), 0.1, 1.3);
    let (a, b) = (arc(180.0, 0.0), arc(140.0, 70.0));
    let end = |c: &(Curve, f64, f64), t: f64| c.0.point(t);
    let model = vec![a.clone(), b.clone(), line(end(&a, 0.1), end(&b, 0.1)), line(end(&a, 1.3), end(&b, 1.3))];
    let ruled = Surface::Ruled(Ruled { first: Box::new(a.0), first_range: (0.1, 1.3), second: Box::new(b.0), second_range: (0.1, 1.3) });
    let got = off(&model, (ruled, None));
    assert!(got < 1e-6, "{got}");
}

/// A patch that bulges off the sweep by a known height.
#[test]
fn a_patch_off_the_sweep_is_off_by_its_bulge() {
    let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
    let model = vec![
        line(p(0.0, 0.0, 0.0), p(300.0, 0.0, 0.0)),
        line(p(0.0, 120.0, 0.0), p(300.0, 120.0, 0.0)),
        line(p(0.0, 0.0, 0.0), p(0.0, 120.0, 0.0)),
    ];
    let knots = || KnotVector::bezier(2).unwrap();
    // A quarter of the middle control point's height is left in the middle.
    let points = (0..9).map(|k| p(150.0 * f64::from(k / 3), 60.0 * f64::from(k % 3), if k == 4 { 1.2 } else { 0.0 })).collect();
    let bulge = Surface::Nurbs(nurbs::Surface::new(knots(), knots(), points, None).unwrap());
    let got = off(&model, (bulge, None));
    assert!((got - 0.3).abs() < 1e-7, "{got}");
}

#[test]
fn what_makes_no_sweep_says_why() {
    let p = |x: f64, y: f64| Point3::new(x, y, 0.0);
    let of = |(curve, from, to)| Stretch { curve, from, to };
    let rail = |y: f64| of(line(p(0.0, y), p(300.0, y)));
    let section = |low: f64| of(line(p(0.0, low), p(0.0, 120.0)));
    let made = |a: f64, b: f64| sweep_between([rail(a), rail(b)], section(3.0), None, 1e-3).map(|_| ());
    assert!(matches!(made(0.0, 120.0), Err(SweepError::SectionEnds(d)) if (d - 3.0).abs() < 1e-9));
    assert!(made(3.0, 3.0).is_err());
    assert_eq!(made(3.0, 120.0), Ok(()));
}

/// Rails that reach past the sections are cut there; past a single section inside them the longer part counts.
#[test]
fn rails_are_cut_where_sections_meet_them() {
    let p = |x: f64, y: f64| Point3::new(x, y, 0.0);
    let of = |(curve, from, to)| Stretch { curve, from, to };
    let rails = || [0.0, 120.0].map(|y| of(line(p(-50.0, y), p(300.0, y))));
    let section = |x: f64| of(line(p(x, 0.0), p(x, 120.0)));
    for (first, last, from, to) in [(0.0, Some(200.0), 0.0, 200.0), (200.0, Some(0.0), 200.0, 0.0), (250.0, None, 250.0, -50.0)] {
        let sweep = sweep_between(rails(), section(first), last.map(section), 1e-6).unwrap();
        for (s, want) in [(0.0, from), (1.0, to)] {
            assert!(sweep.exact.point(s, 0.0).unwrap().distance(p(want, 0.0)) < 1e-9, "{first} {last:?}: {s}");
        }
    }
}

/// The sides of a patch that is a sweep itself, picked as outlines, give that patch; the rail of one side is two outlines.
#[test]
fn outlines_of_a_swept_patch_give_it_back() {
    let p = |x: f64, y: f64| Point3::new(x, y, 12.0 * real::sin(0.02 * y));
    let patch = |from: f64, to: f64| {
        let points = (0..2).flat_map(|i| (0..6).map(move |j| (i, j)));
        let points = points.map(|(i, j)| p(if i == 0 { from } else { to }, 20.0 * f64::from(j))).collect();
        Surface::Nurbs(nurbs::Surface::new(KnotVector::bezier(1).unwrap(), KnotVector::bezier(5).unwrap(), points, None).unwrap())
    };
    let (own, domains) = whole(vec![(patch(0.0, 100.0), None), (patch(100.0, 260.0), None)]);
    let sheets = Sheets { model: &own, domains: &domains };
    let graph = JoinGraph::find(&sheets, &[10_000.0, 16_000.0], &Options::default(), &mut Silent).unwrap();
    let along = |y: f64| {
        let on = |j: &Join| j.faces.len() == 1 && (j.mid.y - y).abs() < 1e-6;
        graph.joins.iter().enumerate().filter(|(_, j)| on(j)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    let at = |x: f64| {
        let on = |j: &Join| (j.mid.x - x).abs() < 1e-6;
        graph.joins.iter().enumerate().filter(|(_, j)| on(j)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    let rails = [along(0.0), along(100.0)];
    assert_eq!(rails.each_ref().map(Vec::len), [2, 2], "{:?}", graph.joins.iter().map(|j| j.mid).collect::<Vec<_>>());
    for last in [Vec::new(), at(260.0)] {
        let wish = JoinSweep { rails: rails.clone(), first: at(0.0), last, tolerance: 1e-3 };
        let sweep = sweep_of_joins(&sheets, &graph, &wish).unwrap();
        let reference = Reference::of_surface("sweep", sweep.surface, 20.0, &mut Silent).unwrap();
        let reviewed = ModelIndex::reviewed(&sheets, &graph, &mut Silent);
        let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &[] };
        for face in 0..2 {
            let found = face_distances(&of, FaceId::new(face)).unwrap();
            let s = Statistics::new(&[found]).unwrap();
            assert_eq!(s.far, 0.0);
            assert!(s.beside < 1.0, "{}", s.beside);
            let worst = s.most.1.value.abs().max(s.least.1.value.abs());
            assert!(worst < 2e-3, "{worst}");
            let tilt = s.tilt.expect("normals of both");
            assert!(tilt.most.1.value < 0.01, "{}", tilt.most.1.value);
        }
    }
    // The sides of one patch, told by themselves: the longer two are the rails.
    let own = patch_sides(&sheets, &graph, FaceId::new(1), 1e-3).unwrap();
    let lines = |joins: &[usize]| joins.iter().map(|j| graph.joins[*j].mid).collect::<Vec<Point3>>();
    assert!(own.rails.each_ref().map(|r| lines(r)).iter().flatten().all(|p| (p.x - 180.0).abs() < 1e-6));
    let ends = [lines(&own.first), lines(&own.last)];
    assert!((ends[0][0].x - 100.0).abs() < 1e-6 && (ends[1][0].x - 260.0).abs() < 1e-6);
    assert!(sweep_of_joins(&sheets, &graph, &own).is_ok());
    assert_eq!(patch_sides(&sheets, &graph, FaceId::new(9), 1e-3), None);
    // What is no path, and what is not there.
    let apart = JoinSweep { rails: [vec![rails[0][0], rails[1][1]], rails[1].clone()], first: at(0.0), last: Vec::new(), tolerance: 1e-3 };
    assert!(matches!(sweep_of_joins(&sheets, &graph, &apart), Err(SweepError::Apart(_))));
    let none = JoinSweep { rails: [vec![99], rails[1].clone()], ..apart };
    assert_eq!(sweep_of_joins(&sheets, &graph, &none).map(|_| ()), Err(SweepError::Stretch));
}

/// A plane held against another that it crosses at a known angle.
#[test]
fn the_tilt_is_the_angle_between_the_normals() {
    let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
    let angle = 2.0_f64;
    let rise = real::sin(angle.to_radians()) / real::cos(angle.to_radians());
    let of = |(curve, from, to)| Stretch { curve, from, to };
    let rail = |y: f64| of(line(p(-20.0, y, -20.0 * rise), p(120.0, y, 120.0 * rise)));
    let section = of(line(p(-20.0, -20.0, -20.0 * rise), p(-20.0, 140.0, -20.0 * rise)));
    let sweep = sweep_between([rail(-20.0), rail(140.0)], section, None, 1e-6).unwrap();
    let flat = (0..4).map(|k| p(100.0 * f64::from(k / 2), 120.0 * f64::from(k % 2), 0.0)).collect();
    let knots = || KnotVector::bezier(1).unwrap();
    let flat = Surface::Nurbs(nurbs::Surface::new(knots(), knots(), flat, None).unwrap());
    let (own, domains) = whole(vec![(flat, None)]);
    let sheets = Sheets { model: &own, domains: &domains };
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    let reference = Reference::of_surface("sweep", sweep.surface, 20.0, &mut Silent).unwrap();
    let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &[] };
    let s = Statistics::new(&[face_distances(&of, FaceId::new(0)).unwrap()]).unwrap();
    let tilt = s.tilt.expect("normals of both");
    assert!((tilt.rms - angle).abs() < 1e-6 && (tilt.most.1.value - angle).abs() < 1e-6, "{tilt:?}");
    assert!((s.most.1.value.abs().max(s.least.1.value.abs()) - 100.0 * real::sin(angle.to_radians())).abs() < 1e-6);
}
