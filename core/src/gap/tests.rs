//! Gaps built to measure: widths, heights and radii that are known in closed form.

use super::built::{LENGTH, Line, on, panel, rolled, shifted};
use super::{BrinkKind, Gap, between, gaps, line_offset};
use crate::joins::arrangements::{graph_of, model_of, tilted};
use crate::joins::{Class, Sheets};
use crate::math::{Frame, Point3, Vec3, real};
use crate::model::{FaceId, Model};

/// The gaps of a model.
fn found(model: &Model) -> Vec<Gap> {
    with(model, gaps)
}

fn with<T>(model: &Model, ask: impl Fn(&Sheets<'_>, &crate::joins::JoinGraph, &[f64]) -> T) -> T {
    let graph = graph_of(model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let areas: Vec<f64> = model.faces().map(|(id, f)| domains[id.index()].as_ref().unwrap().area(&f.surface)).collect();
    ask(&Sheets { model, domains: &domains }, &graph, &areas)
}

fn close(got: f64, want: f64, share: f64, what: &str) {
    assert!((got - want).abs() <= share * want.abs().max(1e-9), "{what}: {got} against {want}");
}

/// Between lines y = 0 and y = w0 + s x the mid-curve halves their angle α; at r from where they meet the gap is 2 r tan(α/2) wide.
fn wedge(f: &Frame, line: Line, middle: Point3) -> f64 {
    let slope = (line.1 - line.0) / LENGTH;
    if slope == 0.0 {
        return line.0;
    }
    let r = f.local(middle) - Vec3::new(-line.0 / slope, 0.0, 0.0);
    2.0 * real::hypot(r.x, r.y) * real::tan(0.5 * real::atan(slope.abs()))
}

#[test]
fn bare_edges_of_planes_read_a_drift_of_width_and_of_flush() {
    let f = tilted();
    for (line, rise) in [((3.5, 3.5), (0.0, 0.0)), ((3.1, 4.9), (0.0, 0.0)), ((5.0, 2.8), (0.2, 1.1)), ((3.5, 3.5), (-0.7, -0.7))] {
        let raised = move |x: f64, _: f64| on(rise, x);
        let model = model_of(vec![panel(&f, (-120.0, -120.0), (0.0, 0.0), &|_, _| 0.0), panel(&f, line, (100.0, 100.0), &raised)]);
        let all = found(&model);
        let [gap] = all.as_slice() else { panic!("{}: {line:?}", all.len()) };
        assert_eq!(gap.faces, [vec![FaceId::new(0)], vec![FaceId::new(1)]]);
        assert!(gap.stations.len() >= 96 && !gap.closed);
        assert!(gap.length > LENGTH - 8.0, "{}", gap.length);
        for (s, change) in gap.stations.iter().zip(gap.changes()) {
            close(s.width, wedge(&f, line, s.middle), 5e-3, "width");
            let x = f.local(s.middle).x;
            let want = on(rise, x);
            assert!((s.flush.unwrap() - want).abs() <= 5e-3 * want.abs() + 1e-9, "{:?} against {want} at {x}", s.flush);
            let slope = (line.1 - line.0) / LENGTH;
            let want = 200.0 * real::tan(0.5 * real::atan(slope));
            assert!((change.abs() - want.abs()).abs() <= 5e-3 * want.abs() + 1e-6, "{change} against {want}");
            assert!(s.sides.iter().all(|x| x.kind == BrinkKind::Bare && x.radius == 0.0));
        }
    }
}

/// Roundings are read at their outermost points, wherever the outlines of the flanges lie.
#[test]
fn roundings_with_flanges_are_read_at_their_outermost_points() {
    let f = tilted();
    for (line, r, q, deep) in
        [((3.5, 3.5), 1.5, 1.5, 11.0), ((2.0, 4.1), 1.5, 0.6, 11.0), ((1.2, 1.2), 0.8, 4.0, 30.0), ((6.0, 4.0), 10.0, 2.0, 6.0)]
    {
        let edges = (shifted((0.0, 0.0), -r), shifted(line, q));
        let flat = |_: f64, _: f64| 0.0;
        let mut patches = vec![panel(&f, (-120.0, -120.0), edges.0, &flat), panel(&f, edges.1, (100.0, 100.0), &flat)];
        patches.extend(rolled(&f, edges.0, 1.0, r, deep));
        patches.extend(rolled(&f, edges.1, -1.0, q, deep));
        let all = found(&model_of(patches));
        let [gap] = all.as_slice() else { panic!("{} of {line:?}: {:?}", all.len(), all.iter().map(|g| &g.faces).collect::<Vec<_>>()) };
        assert_eq!(gap.faces, [vec![FaceId::new(0)], vec![FaceId::new(1)]]);
        assert!(gap.length > LENGTH - 8.0, "{}", gap.length);
        for s in &gap.stations {
            close(s.width, wedge(&f, line, s.middle), 5e-3, "width");
            assert!(s.flush.unwrap().abs() < 1e-9);
            close(s.sides[0].radius, r, 5e-3, "master's radius");
            close(s.sides[1].radius, q, 5e-3, "slave's radius");
            assert!(s.sides.iter().all(|x| x.kind == BrinkKind::Rounded));
            // Seen from the side that the flanges do not point to.
            assert!(s.view.dot(f.z) > 0.999_999);
        }
    }
}

/// Sharp flanges: no rounding, radius 0.
#[test]
fn sharp_edges_have_no_radius() {
    let f = tilted();
    let flat = |_: f64, _: f64| 0.0;
    let mut patches = vec![panel(&f, (-120.0, -120.0), (0.0, 0.0), &flat), panel(&f, (4.0, 4.0), (100.0, 100.0), &flat)];
    patches.extend([rolled(&f, (0.0, 0.0), 1.0, 1e-9, 8.0)[1].clone(), rolled(&f, (4.0, 4.0), -1.0, 1e-9, 8.0)[1].clone()]);
    let all = found(&model_of(patches));
    let [gap] = all.as_slice() else { panic!("{}", all.len()) };
    for s in &gap.stations {
        close(s.width, 4.0, 5e-3, "width");
        assert!(s.sides.iter().all(|x| x.kind == BrinkKind::Sharp && x.radius == 0.0) && s.view.dot(f.z) > 0.999_999);
    }
}

/// On a freeform surface: the plan's lines lifted onto it. The width is that between the lifted edges in the plane of the section,
/// across the normal; a slave raised by h stands proud by h times the normal's rise.
#[test]
fn freeform_panels_read_the_same() {
    let f = tilted();
    let form = |x: f64, y: f64| 8e-4 * x * x - 1.1e-3 * y * y + 3e-4 * x * y - 0.1 * x;
    for (line, rise) in [((3.2, 4.6), (0.0, 0.0)), ((3.5, 3.5), (0.3, 1.3))] {
        let raised = move |x: f64, y: f64| form(x, y) + on(rise, x);
        let model = model_of(vec![panel(&f, (-120.0, -120.0), (0.0, 0.0), &form), panel(&f, line, (100.0, 100.0), &raised)]);
        let all = found(&model);
        let [gap] = all.as_slice() else { panic!("{}", all.len()) };
        for w in gap.stations.windows(3) {
            let s = &w[1];
            // The plane square to the mid-curve, and where the two edges cross it, by bisection.
            let along = (w[2].middle - w[0].middle).normalize();
            let crossing = |edge: &dyn Fn(f64) -> Point3| {
                let (mut low, mut high) = (-10.0, LENGTH + 10.0);
                let sign = (edge(high) - edge(low)).dot(along).signum();
                for _ in 0..80 {
                    let x = 0.5 * (low + high);
                    if (edge(x) - s.middle).dot(along) * sign < 0.0 { low = x } else { high = x }
                }
                edge(low)
            };
            let p = crossing(&|x| f.point(x, 0.0, form(x, 0.0)));
            let q = crossing(&|x| f.point(x, on(line, x), raised(x, on(line, x))));
            let across = s.view.cross(along);
            close(s.width, (q - p).dot(across).abs(), 5e-3, "width");
            let at = f.local(s.middle);
            let (dx, dy) = (16e-4 * at.x + 3e-4 * at.y - 0.1, -2.2e-3 * at.y + 3e-4 * at.x);
            let want = on(rise, at.x) / (1.0 + dx * dx + dy * dy).sqrt();
            assert!((s.flush.unwrap() - want).abs() <= 5e-3 * want.abs() + 1e-6, "{:?} against {want}", s.flush);
        }
    }
}

/// Two sectors of a cylinder, cut along rulings γ apart: the width is the chord 2 R sin(γ/2), and both run on to the same surface.
#[test]
fn cylinders_read_the_chord() {
    use crate::geometry::{Cylinder, Domain, Surface};
    use crate::joins::{JoinGraph, Options};
    use crate::math::Interval;
    let tube = Surface::Cylinder(Cylinder { frame: tilted(), radius: 90.0 });
    let gamma = 0.05;
    let faces = [(0.2, 1.4), (1.4 + gamma, 2.1)];
    let domains: Vec<Option<Domain>> =
        faces.iter().map(|(a, b)| Domain::rectangle(&tube, Interval::new(*a, *b), Interval::new(0.0, 150.0)).ok()).collect();
    let areas: Vec<f64> = domains.iter().map(|d| d.as_ref().unwrap().area(&tube)).collect();
    let model = Model { faces: faces.iter().map(|_| crate::model::Face::whole(tube.clone())).collect(), ..Model::default() };
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut crate::progress::Silent).unwrap();
    let all = gaps(&sheets, &graph, &areas);
    let [gap] = all.as_slice() else { panic!("{}", all.len()) };
    for s in &gap.stations {
        close(s.width, 180.0 * real::sin(0.5 * gamma), 1e-6, "width");
        close(s.fold, gamma.to_degrees(), 1e-6, "fold");
        assert!(s.flush.unwrap().abs() < 1e-9);
    }
}

/// The first of two picked is the master: heights change their sign, widths stay.
#[test]
fn of_two_picked_the_first_is_the_master() {
    let f = tilted();
    let model = model_of(vec![panel(&f, (-120.0, -120.0), (0.0, 0.0), &|_, _| 0.0), panel(&f, (3.5, 4.0), (90.0, 90.0), &|_, _| 0.6)]);
    let pick = |a: usize, b: usize| with(&model, |sheets, graph, _| between(sheets, graph, FaceId::new(a), FaceId::new(b)));
    let (one, other) = (pick(0, 1), pick(1, 0));
    assert_eq!(found(&model), one);
    assert_eq!((one.len(), other.len()), (1, 1));
    assert_eq!(other[0].faces, [vec![FaceId::new(1)], vec![FaceId::new(0)]]);
    assert!(one[0].stations.iter().all(|s| (s.flush.unwrap() - 0.6).abs() < 1e-6));
    assert!(other[0].stations.iter().all(|s| (s.flush.unwrap() + 0.6).abs() < 1e-6));
}

/// No gap: panels too far apart, a slot within one skin, panels one above the other, and corners that come near each other.
#[test]
fn what_is_no_gap_is_none() {
    let f = tilted();
    let flat = |_: f64, _: f64| 0.0;
    let first = || panel(&f, (-120.0, -120.0), (0.0, 0.0), &flat);
    let apart = |line: Line, height: f64| model_of(vec![first(), panel(&f, line, (100.0, 100.0), &move |_, _| height)]);
    assert_eq!(found(&apart((11.5, 11.5), 0.0)).len(), 1);
    assert!(found(&apart((12.5, 12.5), 0.0)).is_empty());
    assert!(found(&apart((-60.0, -60.0), 6.0)).is_empty(), "one above the other");
    // Joined round an end, with a slot between.
    let slot = model_of(vec![first(), panel(&f, (4.0, 4.0), (100.0, 100.0), &flat), {
        let f = Frame { origin: f.point(-LENGTH, 0.0, 0.0), ..f };
        panel(&f, (-120.0, -120.0), (100.0, 100.0), &flat)
    }]);
    assert!(found(&slot).is_empty(), "a slot");
    let corner = Frame { origin: f.point(LENGTH + 4.0, 4.0, 0.0), ..f };
    assert!(found(&model_of(vec![first(), panel(&corner, (0.0, 0.0), (100.0, 100.0), &flat)])).is_empty(), "corners");
}

/// Lines that drift apart: y = 0 and y = w0 + s x, read square to the second one.
#[test]
fn the_offset_between_two_edges_and_its_change() {
    let f = tilted();
    let (line, flat) = ((30.0, 36.0), |_: f64, _: f64| 0.0);
    let model = model_of(vec![panel(&f, (-120.0, -120.0), (0.0, 0.0), &flat), panel(&f, line, (100.0, 100.0), &flat)]);
    with(&model, |sheets, graph, _| {
        let edge = |face: usize, y: f64| {
            let of =
                |j: &crate::joins::Join| j.class == Class::Outline && j.faces == [FaceId::new(face)] && (f.local(j.mid).y - y).abs() < 1.0;
            graph.joins.iter().position(of).unwrap()
        };
        let read = line_offset(sheets, graph, edge(0, 0.0), edge(1, 33.0));
        assert!(read.len() > 12);
        let slope = 6.0 / LENGTH;
        for r in &read {
            let x = f.local(r.point).x;
            close(r.offset, on(line, x) / (1.0 + slope * slope).sqrt(), 1e-9, "offset");
            close(r.change.abs(), 100.0 * slope / (1.0 + slope * slope).sqrt(), 1e-6, "change");
        }
    });
}
