//! Nearest points of trimmed models.

use super::{Comparison, Nearest, Reference, Soup, TOUCHING, facing, far_regions};
use crate::geometry::{Circle, Curve, Cylinder, Domain, Plane, Sphere, Surface};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{Edge, EdgeId, EdgeUse, Face, FaceId, Loop, Model, Source, Vertex, VertexId};
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use crate::reference::ModelIndex;
use proptest::prelude::*;

fn frame() -> Frame {
    Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

/// A plane face between circles about the frame's origin: a disc, or a ring.
pub(super) fn ring(outer: f64, inner: Option<f64>, frame: Frame) -> Model {
    let mut model = Model { parts: vec![String::new()], ..Model::default() };
    let mut face = Face::whole(Surface::Plane(Plane { frame }));
    for (radius, forward) in [Some((outer, true)), inner.map(|r| (r, false))].into_iter().flatten() {
        let at = VertexId::new(model.vertices.len());
        model.vertices.push(Vertex { point: frame.point(radius, 0.0, 0.0), source: Source::default() });
        let curve = Curve::Circle(Circle { frame, radius });
        let edge = EdgeId::new(model.edges.len());
        model.edges.push(Edge { curve, t0: 0.0, t1: real::TAU, start: at, end: at, source: Source::default() });
        face.loops.push(Loop::Edges(vec![EdgeUse { edge, forward, pcurve: None }]));
    }
    model.faces.push(face);
    model
}

pub(super) fn whole(surfaces: Vec<(Surface, Option<(Interval, Interval)>)>) -> (Model, Vec<Option<Domain>>) {
    let mut model = Model { parts: vec![String::new()], ..Model::default() };
    let mut domains = Vec::new();
    for (s, over) in surfaces {
        let (u, v) = over.unwrap_or_else(|| s.domain());
        domains.push(Some(Domain::rectangle(&s, u, v).unwrap()));
        model.faces.push(Face::whole(s));
    }
    (model, domains)
}

/// The nearest point by itself, with a sheet of its own as the model that is held against it.
fn nearest(model: &Model, domains: &[Option<Domain>], p: Point3) -> Nearest {
    let sheets = Sheets { model, domains };
    let index = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    index.nearest(&sheets, p, &[]).unwrap()
}

fn domains_of(model: &Model) -> Vec<Option<Domain>> {
    model.faces().map(|(id, _)| model.domain(id).ok()).collect()
}

/// Discs and rings, whose distance is plane geometry.
#[test]
fn a_ring_is_as_far_as_its_rims_tell() {
    let f = frame();
    for (outer, inner) in [(40.0, None), (40.0, Some(11.0)), (300.0, Some(299.0))] {
        let model = ring(outer, inner, f);
        let domains = domains_of(&model);
        let sheets = Sheets { model: &model, domains: &domains };
        let index = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
        for i in 0..400 {
            let (r, a, z) = (outer * 1.4 * f64::from(i) / 400.0, 2.39 * f64::from(i), 3.0 * real::sin(1.7 * f64::from(i)));
            let p = f.point(r * real::cos(a), r * real::sin(a), z);
            let got = index.nearest(&sheets, p, &[]).unwrap();
            let off = (r - outer).max(inner.unwrap_or(0.0) - r).max(0.0);
            let want = real::hypot(off, z);
            assert!((got.distance - want).abs() < 1e-9, "{} against {want} at {r}", got.distance);
            assert_eq!(got.border, off > 0.0, "{r}");
            assert!((got.signed(p) - if z < 0.0 { -want } else { want }).abs() < 1e-9);
            assert_eq!(got.is_beside(p, TOUCHING), off > 0.06 * want.max(1e-3), "{off} of {want}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn round_faces_give_their_closed_forms(u in -3.0f64..3.0, v in -1.5f64..1.5, lift in -8.9f64..30.0) {
        let f = frame();
        let (ball, pipe) = (Surface::Sphere(Sphere { frame: f, radius: 9.0 }), Surface::Cylinder(Cylinder { frame: f, radius: 9.0 }));
        for (s, over) in [(ball, None), (pipe, Some((Interval::new(0.0, real::TAU), Interval::new(-20.0, 20.0))))] {
            let (model, domains) = whole(vec![(s.clone(), over)]);
            let p = s.point(u, v) + s.normal(u, v).unwrap() * lift;
            let got = nearest(&model, &domains, p);
            prop_assert!((got.distance - lift.abs()).abs() < 1e-9, "{} against {lift}: {got:?}", got.distance);
            prop_assert!((got.signed(p) - lift).abs() < 1e-9);
            prop_assert!(!got.border);
        }
    }

    /// A waved patch with a circle cut out by its trim, against a dense look at all of it.
    #[test]
    fn a_waved_patch_against_looking_everywhere(bumps in prop::collection::vec(-1.0f64..1.0, 19), x in -20.0f64..120.0, y in -20.0f64..100.0, z in -25.0f64..25.0) {
        let (ku, kv) = (KnotVector::uniform(3, 2).unwrap(), KnotVector::uniform(3, 2).unwrap());
        let points = (0..25).map(|k| Point3::new(25.0 * f64::from(k / 5), 20.0 * f64::from(k % 5), 9.0 * bumps[k as usize % bumps.len()])).collect();
        let s = Surface::Nurbs(nurbs::Surface::new(ku, kv, points, None).unwrap());
        let over = (Interval::new(0.1, 0.85), Interval::new(0.2, 1.0));
        let (model, domains) = whole(vec![(s.clone(), Some(over))]);
        let p = Point3::new(x, y, z);
        let got = nearest(&model, &domains, p);
        let look = |i: i32, j: i32| s.point(over.0.at(f64::from(i) / 200.0), over.1.at(f64::from(j) / 200.0)).distance(p);
        let least = (0..=200).flat_map(|i| (0..=200).map(move |j| (i, j))).map(|(i, j)| look(i, j)).fold(f64::INFINITY, f64::min);
        // Half a step of the look, 0.25 mm, over the distance there.
        prop_assert!(got.distance <= least + 1e-9, "{} above {least}", got.distance);
        prop_assert!(got.distance >= least - 0.2, "{} far below {least}", got.distance);
        let uv = got.uv.unwrap();
        prop_assert!(s.point(uv.u, uv.v).distance(got.point) < 1e-9);
        prop_assert!(over.0.contains(uv.u, 1e-9) && over.1.contains(uv.v, 1e-9), "{uv:?}");
    }
}

/// A roof of two patches, proud and hollow: beyond the edge neither face's own normal tells the side.
#[test]
fn beyond_a_sharp_edge_the_sign_is_that_of_both_faces() {
    for rise in [-80.0, 80.0] {
        let patch = |x: f64| {
            let at = |i: f64, y: f64| Point3::new(x * i, y, rise * (1.0 - i));
            let line = || KnotVector::bezier(1).unwrap();
            let mut points = vec![at(0.0, 0.0), at(0.0, 200.0), at(1.0, 0.0), at(1.0, 200.0)];
            if x < 0.0 {
                points = vec![at(1.0, 0.0), at(1.0, 200.0), at(0.0, 0.0), at(0.0, 200.0)];
            }
            Surface::Nurbs(nurbs::Surface::new(line(), line(), points, None).unwrap())
        };
        let (model, domains) = whole(vec![(patch(100.0), None), (patch(-100.0), None)]);
        for (dx, up) in [(0.0, 1.0), (3.0, 1.0), (-3.0, 1.0), (0.0, -1.0), (2.0, -1.0)] {
            // Above the ridge is outside, below is inside, however it slants.
            let p = Point3::new(dx, 90.0, rise + 8.0 * up);
            let got = nearest(&model, &domains, p);
            assert!(got.signed(p) * up > 0.0, "{got:?} at {p:?}");
            assert!(!got.border);
        }
    }
}

/// Loose faces that face either way are turned by the model beside them.
#[test]
fn a_reference_that_faces_the_other_way_is_turned() {
    let plate = |z: f64, turn: bool| {
        let at = |x: f64, y: f64| Point3::new(100.0 * x, 80.0 * if turn { 1.0 - y } else { y }, z);
        let line = || KnotVector::bezier(1).unwrap();
        let points = vec![at(0.0, 0.0), at(0.0, 1.0), at(1.0, 0.0), at(1.0, 1.0)];
        Surface::Nurbs(nurbs::Surface::new(line(), line(), points, None).unwrap())
    };
    let (model, domains) = whole(vec![(plate(0.5, false), None)]);
    let sheets = Sheets { model: &model, domains: &domains };
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    for turn in [false, true] {
        let reference = Reference::of_surface("plate", plate(0.0, turn), 5.0, &mut Silent).unwrap();
        let turned = facing(&reference, &sheets, &reviewed);
        assert_eq!(turned, [if turn { -1.0 } else { 1.0 }]);
        let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &turned };
        let p = Point3::new(40.0, 40.0, 0.5);
        assert_eq!(of.on_reference(p).unwrap().signed(p), 0.5);
        assert_eq!(of.is_turned(), turn);
    }
}

/// A hole of known size in the model, and one face that is not there at all.
#[test]
fn a_hole_and_a_missing_face_have_their_areas() {
    let (f, plate) = (frame(), |f: Frame| ring(100.0, None, f));
    for (hole, far) in [(30.0, 5.0), (30.0, 0.5), (8.0, 1.0)] {
        let model = ring(100.0, Some(hole), f);
        let domains = domains_of(&model);
        let sheets = Sheets { model: &model, domains: &domains };
        let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
        let reference = Reference::new("plate", plate(f), far, &mut Silent).unwrap();
        let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &[] };
        let found = far_regions(&Soup::of_reference(&reference), far, |p| of.to_reviewed(p, far), &Silent);
        let want = real::PI * (hole - far) * (hole - far);
        assert_eq!(found.len(), 1);
        assert!((found[0].area - want).abs() < 0.01 * want, "{} against {want}", found[0].area);
        assert!(found[0].point.distance(f.origin) < 0.1 * hole + 1.0 && (found[0].distance - hole).abs() < 0.1 * hole + 1.0);
        // And the other way round nothing is extra.
        assert!(far_regions(&Soup::of_model(&reviewed), far, |p| of.to_reference(p, far), &Silent).is_empty());
    }
}

#[test]
fn what_is_no_reference_is_refused() {
    assert!(Reference::new("", Model::default(), 5.0, &mut Silent).is_err());
    let nan = nurbs::Surface::new(
        KnotVector::bezier(1).unwrap(),
        KnotVector::bezier(1).unwrap(),
        [0.0, 1.0, 2.0, 3.0].map(|x| Point3::new(x, 0.0, 0.0)).to_vec(),
        None,
    );
    // A patch folded to a line has no triangles.
    if let Ok(s) = nan {
        assert!(Reference::of_surface("line", Surface::Nurbs(s), 5.0, &mut Silent).is_err());
    }
    let good = Reference::new("", ring(10.0, None, frame()), f64::NAN, &mut Silent).unwrap();
    assert_eq!(good.far, super::FAR);
    let (model, domains) = whole(Vec::new());
    let sheets = Sheets { model: &model, domains: &domains };
    let empty = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    assert!(empty.nearest(&sheets, Point3::ORIGIN, &[]).is_none());
    let of = Comparison { reference: &good, sheets, reviewed: &empty, turned: &[] };
    assert!(of.on_reference(Point3::new(f64::NAN, 0.0, 0.0)).is_none() && of.to_reviewed(Point3::ORIGIN, 1.0).is_none());
    assert!(super::face_distances(&of, FaceId::new(0)).is_none());
}
