//! Sweeps between edges give the surfaces that they must, and the distance of those from them is nothing.

use super::model_tests::whole;
use super::{Comparison, Reference, Statistics, SweepWish, edge_sweep, face_distances};
use crate::geometry::{Circle, Curve, Cylinder, Line, Ruled, Surface, SweepError, Torus};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{Edge, EdgeId, FaceId, Model, Source, VertexId};
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use crate::reference::ModelIndex;

fn frame() -> Frame {
    Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

fn edges(all: Vec<(Curve, f64, f64)>) -> Model {
    let of = |(curve, t0, t1)| Edge { curve, t0, t1, start: VertexId::new(0), end: VertexId::new(0), source: Source::default() };
    Model { edges: all.into_iter().map(of).collect(), ..Model::default() }
}

fn line(a: Point3, b: Point3) -> (Curve, f64, f64) {
    (Curve::Line(Line { origin: a, direction: b - a }), 0.0, 1.0)
}

/// Largest distance of a surface from the sweep of rails 0 and 1, section 2 and, if there is one, 3; whichever way each is run.
fn off(model: &Model, face: (Surface, Option<(Interval, Interval)>)) -> f64 {
    let last = (model.edges.len() > 3).then(|| EdgeId::new(3));
    let wish = SweepWish { rails: [EdgeId::new(0), EdgeId::new(1)], first: EdgeId::new(2), last, tolerance: 1e-7 };
    let (own, domains) = whole(vec![face]);
    let sheets = Sheets { model: &own, domains: &domains };
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    let mut worst = 0.0f64;
    for turned in [0, 1, 2, 4, 15] {
        let mut model = model.clone();
        for (_, e) in model.edges.iter_mut().enumerate().filter(|(i, _)| turned >> i & 1 == 1) {
            (e.t0, e.t1) = (e.t1, e.t0);
        }
        let sweep = edge_sweep(&model, &wish).unwrap();
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
    let model = edges(vec![line(at(from, 0.0), at(from, 300.0)), line(at(to, 0.0), at(to, 300.0)), arc]);
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
    let model = edges(vec![around(v0), around(v1), arc]);
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
    let model = edges(vec![a.clone(), b.clone(), line(end(&a, 0.1), end(&b, 0.1)), line(end(&a, 1.3), end(&b, 1.3))]);
    let ruled = Surface::Ruled(Ruled { first: Box::new(a.0), first_range: (0.1, 1.3), second: Box::new(b.0), second_range: (0.1, 1.3) });
    let got = off(&model, (ruled, None));
    assert!(got < 1e-6, "{got}");
}

/// A patch that bulges off the sweep by a known height.
#[test]
fn a_patch_off_the_sweep_is_off_by_its_bulge() {
    let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
    let model = edges(vec![
        line(p(0.0, 0.0, 0.0), p(300.0, 0.0, 0.0)),
        line(p(0.0, 120.0, 0.0), p(300.0, 120.0, 0.0)),
        line(p(0.0, 0.0, 0.0), p(0.0, 120.0, 0.0)),
    ]);
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
    let model = edges(vec![line(p(0.0, 0.0), p(300.0, 0.0)), line(p(0.0, 120.0), p(300.0, 120.0)), line(p(0.0, 3.0), p(0.0, 120.0))]);
    let wish = |rails: [usize; 2]| SweepWish { rails: rails.map(EdgeId::new), first: EdgeId::new(2), last: None, tolerance: 1e-3 };
    assert!(matches!(edge_sweep(&model, &wish([0, 1])), Err(SweepError::SectionEnds(d)) if (d - 3.0).abs() < 1e-9));
    assert_eq!(edge_sweep(&model, &wish([0, 7])).map(|_| ()), Err(SweepError::Stretch));
    assert!(edge_sweep(&model, &wish([0, 0])).is_err());
}
