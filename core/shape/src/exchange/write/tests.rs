//! What is written reads back.

use super::{StepOptions, Written, step};
use crate::exchange::{Import, Limits, read};
use crate::geometry::{
    Chain, ChainPiece, Circle, Cone, Conic2, Curve, Cylinder, Ellipse, Extrusion, Hyperbola, Line, Line2, Offset, OffsetCurve, Parabola,
    Pcurve, Plane, Revolution, Sphere, Surface, Torus,
};
use crate::math::{Frame, Interval, Point2, Point3, Similarity, Vec2, Vec3, real};
use crate::model::{Colour, Edge, EdgeId, EdgeUse, Face, FreeCurve, Loop, Model, PartId, Source, TrimCurve, Vertex, VertexId};
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use proptest::prelude::*;

fn back(model: &Model) -> Import {
    let written = step(model, &StepOptions::default());
    assert_eq!(written, step(model, &StepOptions::default()), "the same model must give the same bytes");
    let Written { text, remarks } = written;
    assert!(remarks.is_empty(), "{remarks:?}");
    let import = read(text.as_bytes(), "x.stp", &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{e}\n{text}"));
    assert!(import.report.unread.is_empty() && import.report.remarks.is_empty(), "{:?}\n{text}", import.report);
    import
}

fn frame() -> Frame {
    Frame::from_axis(Point3::new(-4.0, 11.0, 0.3), Some(Vec3::new(1.0, -2.0, 0.7)), Some(Vec3::new(0.2, 0.1, 1.0)))
}

fn face(surface: Surface, loops: Vec<Loop>) -> Face {
    Face { loops, ..Face::whole(surface) }
}

fn model(faces: Vec<Face>) -> Model {
    Model { name: "trial".into(), faces, parts: vec!["trial".into()], ..Model::default() }
}

/// An edge on the curve from `t0` to `t1`; its ends share vertices already there.
fn add_edge(model: &mut Model, curve: Curve, t0: f64, t1: f64) -> EdgeId {
    let mut vertex = |p: Point3| {
        let known = model.vertices.iter().position(|v| v.point.distance(p) < 1e-9);
        VertexId::new(known.unwrap_or_else(|| {
            model.vertices.push(Vertex { point: p, source: Source::default() });
            model.vertices.len() - 1
        }))
    };
    let (start, end) = (vertex(curve.point(t0)), vertex(curve.point(t1)));
    model.edges.push(Edge { curve, t0, t1, start, end, source: Source::default() });
    EdgeId::new(model.edges.len() - 1)
}

fn same_surface(a: &Surface, b: &Surface) {
    assert_eq!(a.kind(), b.kind());
    for (u, v) in [(0.1, 0.2), (0.5, 0.9), (0.93, 0.37)] {
        let (p, q) = (a.derivs(u, v, 2), b.derivs(u, v, 2));
        assert!(p.s.distance(q.s) < 1e-11 && (p.suv - q.suv).length() < 1e-9, "{a:?}\n{b:?}");
    }
}

#[test]
fn every_analytic_surface_reads_back() {
    let f = frame();
    let surfaces = [
        Surface::Plane(Plane { frame: f }),
        Surface::Cylinder(Cylinder { frame: f, radius: 2.75 }),
        Surface::Cone(Cone { frame: f, radius: 1.5, half_angle: 0.4 }),
        Surface::Sphere(Sphere { frame: f, radius: 6.25 }),
        Surface::Torus(Torus { frame: f, major: 7.0, minor: 2.0 }),
        Surface::Torus(Torus { frame: f, major: 1.0, minor: 2.0 }),
    ];
    for surface in surfaces {
        let point = surface.point(0.3, 0.4);
        let got = back(&model(vec![face(surface.clone(), vec![Loop::Vertex(point)])]));
        same_surface(&surface, &got.model.faces[0].surface);
        assert!(matches!(got.model.faces[0].loops[..], [Loop::Vertex(p)] if p.distance(point) < 1e-12));
    }
}

/// A curve of every kind that can be swept, with a range of it.
fn curves() -> Vec<(Curve, f64, f64)> {
    let f = frame();
    let spline = nurbs::Curve::new(
        KnotVector::new(3, vec![0.0, 0.0, 0.0, 0.0, 0.4, 1.0, 1.0, 1.0, 1.0]).unwrap(),
        vec![[9.0, 0.0, 1.0], [11.0, 2.0, 3.0], [14.0, 1.0, 4.0], [13.0, -2.0, 6.0], [12.0, 0.5, 9.0]],
        Some(vec![1.0, 0.7, 1.3, 1.0, 2.0]),
    );
    let spline = Curve::Nurbs(spline.unwrap());
    vec![
        (Curve::Line(Line { origin: f.point(5.0, 1.0, 0.0), direction: Vec3::new(0.4, -1.5, 2.0) }), -1.0, 3.0),
        (Curve::Circle(Circle { frame: f, radius: 2.5 }), 0.2, 2.9),
        (Curve::Ellipse(Ellipse { frame: f, semi_x: 2.5, semi_y: 4.0 }), 1.0, 5.0),
        (Curve::Parabola(Parabola { frame: f, focal: 1.75 }), -1.5, 2.0),
        (Curve::Hyperbola(Hyperbola { frame: f, semi_x: 1.5, semi_y: 0.7 }), -1.0, 1.25),
        (Curve::Offset(OffsetCurve { basis: Box::new(spline.clone()), distance: -0.4, reference: Vec3::new(0.1, 0.2, 1.0) }), 0.1, 0.9),
        (spline, 0.0, 1.0),
    ]
}

#[test]
fn every_free_curve_reads_back_with_its_name_colour_and_layers() {
    let mut m =
        model(vec![face(Surface::Sphere(Sphere { frame: frame(), radius: 1.0 }), vec![Loop::Vertex(frame().point(0.0, 0.0, -1.0))])]);
    for (i, (curve, t0, t1)) in curves().into_iter().enumerate() {
        for (t0, t1) in [(t0, t1), (t1, t0)] {
            m.curves.push(FreeCurve {
                name: format!("guide {i}"),
                curve: curve.clone(),
                t0,
                t1,
                colour: Some(Colour { red: 0.2, green: 0.4, blue: 0.1 * i as f32 }),
                layers: vec!["construction".into()],
                part: PartId::new(0),
                source: Source::default(),
            });
        }
    }
    let got = back(&m).model;
    assert_eq!(got.curves.len(), m.curves.len());
    for (a, b) in m.curves.iter().zip(&got.curves) {
        assert_eq!((&a.name, a.colour, &a.layers), (&b.name, b.colour, &b.layers));
        for share in [0.0, 0.3, 1.0] {
            let at = |c: &FreeCurve| c.curve.point(c.t0 * (1.0 - share) + c.t1 * share);
            assert!(at(a).distance(at(b)) < 1e-11, "{a:?}\n{b:?}");
        }
    }
}

/// Swept and offset surfaces with a range of (u, v) each.
fn swept() -> Vec<(Surface, Interval, Interval)> {
    let mut all = Vec::new();
    let part = Interval::new(0.3, 1.9);
    // Away from the conics' own axes, about which a circle turns into itself.
    let axis = Frame::from_axis(Point3::new(40.0, 7.0, -9.0), Some(Vec3::new(0.3, 1.0, -0.6)), None);
    for (curve, t0, t1) in curves() {
        let (range, along) = (Interval::new(t0, t1), Box::new(curve));
        let revolution = Surface::Revolution(Revolution { frame: axis, profile: along.clone(), range });
        let extrusion = Surface::Extrusion(Extrusion { directrix: along, direction: Vec3::new(1.0, 2.0, 5.0), range });
        all.push((Surface::Offset(Offset { basis: Box::new(revolution.clone()), distance: 0.125 }), part, range));
        all.push((revolution, part, range));
        all.push((extrusion, range, part));
    }
    let torus = Surface::Torus(Torus { frame: frame(), major: 1.0, minor: 0.25 });
    all.push((Surface::Offset(Offset { basis: Box::new(torus), distance: -0.5 }), part, part));
    all
}

#[test]
fn swept_and_offset_surfaces_read_back_mirrored_or_not() {
    let mirror = Similarity { axes: [-Vec3::X, Vec3::Y, Vec3::Z], scale: 1.0, shift: Vec3::ZERO };
    for (surface, u, v) in swept() {
        for by in [Similarity::IDENTITY, mirror] {
            let mut m = model(Vec::new());
            let corners = [(u.low, v.low), (u.high, v.low), (u.high, v.high), (u.low, v.high)];
            // Straight edges stand for the border: reading needs a closed loop, not one that lies on the surface.
            let mut uses = Vec::new();
            for (i, &(s, t)) in corners.iter().enumerate() {
                let (a, (s, t)) = (surface.point(s, t), corners[(i + 1) % 4]);
                let edge = add_edge(&mut m, Curve::Line(Line { origin: a, direction: surface.point(s, t) - a }), 0.0, 1.0);
                uses.push(EdgeUse { edge, forward: true, pcurve: None });
            }
            m.faces.push(face(surface.clone(), vec![Loop::Edges(uses)]));
            let m = m.transformed(&by);
            let got = back(&m).model;
            let (a, b) = (&m.faces[0], &got.faces[0]);
            let at = [(0.1, 0.2), (0.5, 0.9), (0.93, 0.37)].map(|(s, t)| (u.at(s), v.at(t)));
            let turned = at.iter().any(|&(s, t)| a.surface.point(s, t).distance(b.surface.point(s, t)) > 1e-9);
            let sign = if turned { -1.0 } else { 1.0 };
            let outward = |f: &Face, s: f64, t: f64| f.surface.normal(s, t).unwrap() * if f.same_sense { 1.0 } else { -1.0 };
            for (s, t) in at {
                let (p, q) = (a.surface.point(s, t), b.surface.point(sign * s, t));
                assert!(p.distance(q) < 1e-11 * (1.0 + p.to_vec().length()), "{a:?}\n{b:?}");
                assert!((outward(a, s, t) - outward(b, sign * s, t)).length() < 1e-9, "{a:?}\n{b:?}");
            }
        }
    }
}

/// A quarter of a cylinder: arcs, lines and pcurves of each kind.
fn quarter() -> Model {
    let mut m = model(Vec::new());
    let f = frame();
    let cylinder = Surface::Cylinder(Cylinder { frame: f, radius: 3.0 });
    let arc = |z: f64| Curve::Circle(Circle { frame: Frame { origin: f.point(0.0, 0.0, z), ..f }, radius: 3.0 });
    let line = |u: f64| Curve::Line(Line { origin: cylinder.point(u, 0.0), direction: f.z * 2.0 });
    let straight = |u: f64, v: f64, du: f64, dv: f64| Pcurve::Line(Line2 { origin: Point2::new(u, v), direction: Vec2::new(du, dv) });
    let mut uses = Vec::new();
    // Bottom along u, right side up, top drawn backwards as a chain, left side drawn upward but used downward.
    let chain = Curve::Chain(Chain {
        pieces: vec![
            ChainPiece { curve: Box::new(arc(5.0)), start: 1.75, end: 1.0 },
            ChainPiece { curve: Box::new(arc(5.0)), start: 1.0, end: 0.25 },
        ],
    });
    for (curve, t0, t1, forward, pcurve) in [
        (arc(0.0), 0.25, 1.75, true, (straight(0.0, 0.0, 1.0, 0.0), 0.25, 1.75)),
        (line(1.75), 0.0, 2.5, true, (straight(1.75, 0.0, 0.0, 2.0), 0.0, 2.5)),
        (chain, 0.0, 2.0, true, (straight(1.75, 5.0, -0.75, 0.0), 0.0, 2.0)),
        (line(0.25), 0.0, 2.5, false, (straight(0.25, 0.0, 0.0, 2.0), 0.0, 2.5)),
    ] {
        let edge = add_edge(&mut m, curve, t0, t1);
        let (curve, t0, t1) = pcurve;
        uses.push(EdgeUse { edge, forward, pcurve: Some(TrimCurve { curve, t0, t1 }) });
    }
    let mut one = face(cylinder, vec![Loop::Edges(uses)]);
    one.name = "it's a \"lamp pocket\" — Ärmel".into();
    one.colour = Some(Colour { red: 0.1, green: 0.5, blue: 1.0 });
    one.layers = vec!["skin".into(), "Schicht ß".into()];
    m.faces.push(one);
    m
}

fn same_trims(a: &Model, b: &Model) {
    let uses = |m: &Model| -> Vec<(Edge, EdgeUse, Surface)> {
        let all = m.faces.iter().flat_map(|f| f.loops.iter().flat_map(Loop::uses).map(|u| (u.clone(), f.surface.clone())));
        all.map(|(u, s)| (m.edge(u.edge).unwrap().clone(), u, s)).collect()
    };
    let (ua, ub) = (uses(a), uses(b));
    assert_eq!(ua.len(), ub.len());
    for ((ea, a, sa), (eb, b, sb)) in ua.iter().zip(&ub) {
        assert_eq!((a.forward, a.pcurve.is_some()), (b.forward, b.pcurve.is_some()));
        for share in [0.0, 0.3, 1.0] {
            assert!(ea.point(share).distance(eb.point(share)) < 1e-9, "{ea:?}\n{eb:?}");
            let on = |s: &Surface, u: &EdgeUse| {
                let trim = u.pcurve.as_ref().unwrap();
                let p = trim.curve.point(trim.t0 + (trim.t1 - trim.t0) * share);
                s.point(p.u, p.v)
            };
            // Arcs change their parameter when they become splines, so only their ends must agree.
            if share != 0.3 || !matches!(a.pcurve.as_ref().unwrap().curve, Pcurve::Conic(_)) {
                assert!(on(sa, a).distance(on(sb, b)) < 1e-9, "{a:?}\n{b:?}");
            }
        }
    }
}

#[test]
fn a_trimmed_face_with_name_colour_and_layers_reads_back() {
    let m = quarter();
    let got = back(&m).model;
    same_trims(&m, &got);
    let (a, b) = (&m.faces[0], &got.faces[0]);
    assert_eq!((&a.name, a.colour, a.same_sense), (&b.name, b.colour, b.same_sense));
    assert_eq!(
        {
            let mut l = b.layers.clone();
            l.sort();
            l
        },
        {
            let mut l = a.layers.clone();
            l.sort();
            l
        }
    );
    assert_eq!((got.name.as_str(), got.schema.as_str()), ("trial", "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF"));
}

#[test]
fn a_mirrored_face_reads_back_with_its_outside_outside() {
    let m = quarter();
    let mirror = Similarity { axes: [Vec3::X, -Vec3::Y, Vec3::Z], scale: 1.5, shift: Vec3::new(1.0, 2.0, 3.0) };
    let mirrored = m.transformed(&mirror);
    let area = |m: &Model| m.domain(crate::model::FaceId::new(0)).unwrap().area(&m.faces[0].surface);
    assert!((area(&mirrored) - 2.25 * area(&m)).abs() < 1e-9 * area(&m));
    let got = back(&mirrored).model;
    same_trims(&mirrored, &got);
    let outward = |m: &Model| {
        let u = &m.faces[0].loops[0].uses()[0];
        let trim = u.pcurve.as_ref().unwrap();
        let p = trim.curve.point(trim.t0);
        m.faces[0].surface.normal(p.u, p.v).unwrap() * if m.faces[0].same_sense { 1.0 } else { -1.0 }
    };
    assert!((outward(&mirrored) - outward(&got)).length() < 1e-9);
}

#[test]
fn a_disc_keeps_its_circle_and_conic_pcurve() {
    let mut m = model(Vec::new());
    let f = frame();
    let edge = add_edge(&mut m, Curve::Circle(Circle { frame: f, radius: 2.0 }), 0.5, 0.5 + real::TAU);
    m.edges[0].end = m.edges[0].start;
    m.vertices.truncate(1);
    let conic = Pcurve::Conic(Conic2 { centre: Point2::new(0.0, 0.0), a: Vec2::new(2.0, 0.0), b: Vec2::new(0.0, 2.0) });
    let pcurve = Some(TrimCurve { curve: conic, t0: 0.5, t1: 0.5 + real::TAU });
    m.faces.push(face(Surface::Plane(Plane { frame: f }), vec![Loop::Edges(vec![EdgeUse { edge, forward: true, pcurve }])]));
    let got = back(&m).model;
    same_trims(&m, &got);
    assert!((got.edges[0].t1 - got.edges[0].t0 - real::TAU).abs() < 1e-12);
}

fn knots(degree: usize, steps: &[(f64, usize)], clamped: bool) -> KnotVector {
    let mut at = -1.5;
    let mut all = if clamped { vec![at; degree + 1] } else { (0..=degree).map(|i| at - 0.3 * (degree - i) as f64).collect::<Vec<_>>() };
    for &(step, times) in steps {
        at += step;
        all.extend(core::iter::repeat_n(at, times.min(degree)));
    }
    at += 0.75;
    if clamped {
        all.extend(vec![at; degree + 1]);
    } else {
        all.extend((0..=degree).map(|i| at + 0.45 * i as f64));
    }
    KnotVector::new(degree, all).unwrap()
}

prop_compose! {
    fn vectors()(degree in 1usize..8, steps in proptest::collection::vec((0.01..2.0f64, 1usize..9), 0..4), clamped in any::<bool>()) -> KnotVector {
        knots(degree, &steps, clamped)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn any_patch_reads_back_bit_for_bit(u in vectors(), v in vectors(), rational in any::<bool>(), seed in proptest::collection::vec(-1e3..1e3f64, 7)) {
        let count = u.point_count() * v.point_count();
        // Coordinates from a short list by three unequal strides: no row repeats another.
        let pick = |i: usize, k: usize| seed[(i * k + k) % 7] + i as f64 * 0.37;
        let points = (0..count).map(|i| Point3::new(pick(i, 1), pick(i, 2), pick(i, 3))).collect();
        let weights = rational.then(|| (0..count).map(|i| 0.2 + pick(i, 5).abs()).collect());
        let patch = nurbs::Surface::new(u, v, points, weights).unwrap();
        let got = back(&model(vec![face(Surface::Nurbs(patch.clone()), Vec::new())]));
        prop_assert_eq!(&got.model.faces[0].surface, &Surface::Nurbs(patch));
        prop_assert!(got.model.faces[0].loops.is_empty());
    }

    #[test]
    fn any_spline_edge_reads_back(k in vectors(), rational in any::<bool>(), seed in proptest::collection::vec(-10.0..10.0f64, 7)) {
        let n = k.point_count();
        let points: Vec<[f64; 3]> = (0..n).map(|i| [i as f64 * 5.0, seed[i % 7], seed[(2 * i + 1) % 7]]).collect();
        let weights = rational.then(|| (0..n).map(|i| 0.5 + seed[(3 * i) % 7].abs()).collect());
        let curve = Curve::Nurbs(nurbs::Curve::new(k, points, weights).unwrap());
        let domain = curve.domain();
        let mut m = model(Vec::new());
        let there = add_edge(&mut m, curve.clone(), domain.low, domain.high);
        let (a, b) = (curve.point(domain.low), curve.point(domain.high));
        let home = add_edge(&mut m, Curve::Line(Line { origin: b, direction: a - b }), 0.0, 1.0);
        let uses = [there, home].map(|edge| EdgeUse { edge, forward: true, pcurve: None }).to_vec();
        m.faces.push(face(Surface::Plane(Plane { frame: frame() }), vec![Loop::Edges(uses)]));
        let got = back(&m).model;
        prop_assert_eq!(&got.edges[0].curve, &curve);
        prop_assert_eq!((got.edges[0].t0, got.edges[0].t1), (domain.low, domain.high));
    }
}
