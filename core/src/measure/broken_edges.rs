//! Edges that can be touched, flanges, and edges off their surface: sound, and broken once by a known amount.

use super::broken_once::all_findings;
use super::broken_stripes::all_of;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::gap::built::{LENGTH, flat_panel, rolled, shifted};
use crate::geometry::{Sphere, Surface, Torus};
use crate::joins::arrangements::{flat, model_of, tilted};
use crate::math::{Frame, Interval, Point3, real};
use crate::nurbs;

fn of(found: Vec<Finding>, measure: MeasureId) -> Vec<Finding> {
    found.into_iter().filter(|f| f.measure == measure).collect()
}

fn ring(frame: Frame, minor: f64) -> (Surface, Interval, Interval) {
    let turn = Interval::new(0.0, real::TAU);
    (Surface::Torus(Torus { frame, major: 20.0, minor }), turn, turn)
}

fn ball(frame: Frame, radius: f64) -> (Surface, Interval, Interval) {
    let high = 0.5 * real::PI;
    (Surface::Sphere(Sphere { frame, radius }), Interval::new(0.0, real::TAU), Interval::new(-high, high))
}

/// A ring of tube r bends by r; within a ball of 60 mm radius no sphere of 100 mm diameter gets at it.
#[test]
fn a_tight_edge_is_found_where_it_can_be_touched() {
    let exposed = |parts| of(all_of(&Yardstick::default(), parts), MeasureId::EdgeExposed);
    for (r, severity) in [(3.0, None), (2.0, Some(Severity::Polish)), (0.8, Some(Severity::Fix))] {
        let found = exposed(vec![ring(tilted(), r)]);
        assert_eq!(found.len(), usize::from(severity.is_some()), "{found:#?}");
        for one in &found {
            assert_eq!((Some(one.severity), one.faces.len()), (severity, 1));
            assert!((one.value - r).abs() < 1e-9 && one.remedy.contains("regulations"), "{one:#?}");
        }
    }
    assert!(exposed(vec![ball(tilted(), 30.0)]).is_empty());
    assert!(exposed(vec![ring(tilted(), 2.0), ball(tilted(), 60.0)]).is_empty(), "shut in");
}

/// A block of 60 × 80 × 100 mm: twelve sharp edges.
fn block(f: &Frame, turned: bool) -> Vec<nurbs::Surface> {
    let (a, b, c) = (60.0, 80.0, 100.0);
    let side = |origin: Point3, x, y, (w, h)| flat(&Frame { origin, x, y, z: x.cross(y) }, (0.0, 0.0), (w, h));
    let at = |x: f64, y: f64, z: f64| f.point(x, y, z);
    let mut all = Vec::new();
    for (near, x, y, away, size) in [
        (at(0.0, 0.0, 0.0), f.x, f.y, f.z * c, (a, b)),
        (at(0.0, 0.0, 0.0), f.y, f.z, f.x * a, (b, c)),
        (at(0.0, 0.0, 0.0), f.z, f.x, f.y * b, (c, a)),
    ] {
        all.push(side(near + away, x, y, size));
        all.push(side(near, y, x, (size.1, size.0)));
    }
    if turned { all.iter().map(crate::joins::arrangements::turned_over).collect() } else { all }
}

/// Seen from outside, whichever way the file turns the normals.
#[test]
fn sharp_edges_of_a_block_are_one_finding_of_their_length() {
    for turned in [false, true] {
        let found = of(all_findings(&model_of(block(&tilted(), turned)), Zone::Visible, &Yardstick::default()), MeasureId::EdgeExposed);
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.severity, one.value, one.faces.len()), (Severity::Polish, 0.0, 6));
        assert!((one.extent - 4.0 * 240.0).abs() < 1e-6, "{}", one.extent);
    }
}

#[test]
fn an_open_sheet_ends_in_an_outline() {
    let sheet = flat_panel(&tilted(), (0.0, 0.0), (100.0, 100.0));
    let found = of(all_findings(&model_of(vec![sheet]), Zone::Visible, &Yardstick::default()), MeasureId::EdgeExposed);
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!((one.severity, one.value), (Severity::Polish, 0.0));
    assert!((one.extent - 2.0 * (LENGTH + 100.0)).abs() < 1e-6, "{}", one.extent);
}

/// A flange has its width from the rounding to the outline, its angle and its return radius; a limit for it is the user's.
#[test]
fn a_flange_has_its_width() {
    let f = tilted();
    for (r, deep) in [(1.5, 11.0), (6.0, 20.0)] {
        let edge = shifted((0.0, 0.0), -r);
        let mut patches = vec![flat_panel(&f, (-120.0, -120.0), edge)];
        patches.extend(rolled(&f, edge, 1.0, r, deep));
        let model = model_of(patches);
        let found = |fix: Option<f64>| {
            let mut yardstick = Yardstick::default();
            yardstick.rows.iter_mut().find(|x| x.measure == MeasureId::EdgeFlange).unwrap().zones[0].fix = fix;
            of(all_findings(&model, Zone::Visible, &yardstick), MeasureId::EdgeFlange)
        };
        assert!(found(None).is_empty() && found(Some(0.99 * deep)).is_empty());
        let all = found(Some(1.01 * deep));
        let [one] = all.as_slice() else { panic!("{all:#?}") };
        assert!((one.value - deep).abs() < 1e-3 * deep && one.severity == Severity::Fix, "{} against {deep}", one.value);
        let words = format!("turned by 90.0° to 90.0° out of the panel with a return radius of {r:.2} mm");
        assert!(one.remedy.contains(&words), "{}", one.remedy);
    }
}

/// A disc in a plane, bounded by a circle that lies `off` mm above it: that is how far the edge is off the surface.
#[test]
fn an_edge_off_its_surface_has_its_distance() {
    use crate::geometry::{Circle, Curve, Plane};
    use crate::model::{Edge, EdgeId, EdgeUse, Face, Loop, Model, Source, Vertex, VertexId};
    let f = tilted();
    let disc = |off: f64| {
        let circle = Circle { frame: Frame { origin: f.point(0.0, 0.0, off), ..f }, radius: 40.0 };
        let start = VertexId::new(0);
        let edge = Edge { curve: Curve::Circle(circle), t0: 0.0, t1: real::TAU, start, end: start, source: Source::default() };
        let used = EdgeUse { edge: EdgeId::new(0), forward: true, pcurve: None };
        let face = Face { loops: vec![Loop::Edges(vec![used])], ..Face::whole(Surface::Plane(Plane { frame: f })) };
        let vertices = vec![Vertex { point: f.point(40.0, 0.0, off), source: Source::default() }];
        Model { faces: vec![face], edges: vec![edge], vertices, parts: vec!["one".into()], ..Model::default() }
    };
    for (off, severity) in [(0.0, None), (0.008, None), (0.03, Some(Severity::Polish)), (0.08, Some(Severity::Fix))] {
        let found = of(all_findings(&disc(off), Zone::Visible, &Yardstick::default()), MeasureId::EdgeTrim);
        assert_eq!(found.len(), usize::from(severity.is_some()), "{found:#?}");
        for one in &found {
            assert_eq!(Some(one.severity), severity);
            assert!((one.value - off).abs() < 1e-9, "{} against {off}", one.value);
        }
    }
}
