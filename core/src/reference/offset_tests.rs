//! Distances, root mean squares and shares of faces that lie off their reference by known amounts.

use super::model_tests::whole;
use super::{Comparison, FaceDistances, Reference, Statistics, face_distances, facing};
use crate::geometry::{Cylinder, Domain, Sphere, Surface};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{FaceId, Mesh, Model};
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use crate::reference::ModelIndex;

type Piece = (Surface, Option<(Interval, Interval)>);

fn frame() -> Frame {
    Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

/// z over [0, x] × [0, y], straight both ways.
fn plate(x: f64, y: f64, z: impl Fn(f64, f64) -> f64) -> Surface {
    let line = || KnotVector::bezier(1).unwrap();
    let points = [(0.0, 0.0), (0.0, y), (x, 0.0), (x, y)].map(|(x, y)| Point3::new(x, y, z(x, y))).to_vec();
    Surface::Nurbs(nurbs::Surface::new(line(), line(), points, None).unwrap())
}

fn distances(own: Piece, reference: &Reference) -> Vec<FaceDistances> {
    let (model, domains): (Model, Vec<Option<Domain>>) = whole(vec![own]);
    let sheets = Sheets { model: &model, domains: &domains };
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    let turned = facing(reference, &sheets, &reviewed);
    let of = Comparison { reference, sheets, reviewed: &reviewed, turned: &turned };
    face_distances(&of, FaceId::new(0)).into_iter().collect()
}

fn of(pieces: Vec<Piece>) -> Reference {
    let (model, domains) = whole(pieces);
    Reference::of_faces("own", model, domains, 20.0, &mut Silent).unwrap()
}

fn check(faces: &[FaceDistances], want: f64, name: &str) {
    let s = Statistics::new(faces).unwrap();
    for (got, want) in [(s.mean, want), (s.rms, want.abs()), (s.least.1.value, want), (s.most.1.value, want), (s.quantiles[50], want)] {
        assert!((got - want).abs() < 1e-8, "{name}: {got} against {want}");
    }
    assert_eq!(Statistics::within(faces, want.abs() + 1e-6), 1.0, "{name}");
    assert_eq!(Statistics::within(faces, want.abs() - 1e-6), 0.0, "{name}");
    assert!((s.bins.iter().map(|b| b.share).sum::<f64>() - 1.0).abs() < 1e-9);
    assert_eq!((s.far, s.beside), (0.0, 0.0), "{name}");
}

/// Concentric faces: the same distance all over, out of the reference and back from it.
#[test]
fn offset_planes_cylinders_and_balls_are_off_by_their_offset() {
    let f = frame();
    let part = (Interval::new(0.3, 2.1), Interval::new(-20.0, 30.0));
    let wide = (Interval::new(0.1, 2.3), Interval::new(-40.0, 50.0));
    let cap = (Interval::new(0.3, 2.1), Interval::new(-0.4, 0.9));
    for off in [0.37, -0.8, 12.0] {
        let pipe = |radius: f64, over| (Surface::Cylinder(Cylinder { frame: f, radius }), Some(over));
        check(&distances(pipe(60.0 + off, part), &of(vec![pipe(60.0, wide)])), off, "cylinder");
        let ball = |radius: f64, over| (Surface::Sphere(Sphere { frame: f, radius }), over);
        check(&distances(ball(45.0 + off, Some(cap)), &of(vec![ball(45.0, None)])), off, "ball");
        let flat = |z: f64| (plate(200.0, 90.0, |_, _| z), None);
        check(&distances(flat(off), &of(vec![flat(0.0)])), off, "plane");
        // The same as a mesh, whichever way it faces.
        for turn in [false, true] {
            let points = vec![Point3::ORIGIN, Point3::new(200.0, 0.0, 0.0), Point3::new(200.0, 90.0, 0.0), Point3::new(0.0, 90.0, 0.0)];
            let triangles = if turn { vec![[0, 2, 1], [0, 3, 2]] } else { vec![[0, 1, 2], [0, 2, 3]] };
            let model = Model { meshes: vec![Mesh { name: String::new(), points, triangles }], ..Model::default() };
            check(&distances(flat(off), &Reference::new("mesh", model, 20.0, &mut Silent).unwrap()), off, "mesh");
        }
    }
}

/// A plate that tilts from −1 to 1 over the reference: distances are even between them, so all that is asked is known.
#[test]
fn a_tilted_plate_has_even_distances() {
    let tilted = plate(200.0, 90.0, |x, _| 0.01 * x - 1.0);
    let faces = distances((tilted, None), &of(vec![(plate(260.0, 150.0, |_, _| 0.0), None)]));
    let s = Statistics::new(&faces).unwrap();
    assert!(s.mean.abs() < 1e-9, "{}", s.mean);
    assert!((s.rms - 1.0 / 3f64.sqrt()).abs() < 1e-9, "{}", s.rms);
    assert!((s.least.1.value + 1.0).abs() < 1e-4 && (s.most.1.value - 1.0).abs() < 1e-4, "{s:?}");
    for limit in [0.1, 0.5, 0.77] {
        let share = Statistics::within(&faces, limit);
        assert!((share - limit).abs() < 1e-9, "{share} within {limit}");
    }
    assert!((s.area - 200.0 * 90.0 * 1.00005).abs() < 1.0);
    // Even bars.
    assert!(s.bins.iter().all(|b| (b.share - 1.0 / s.bins.len() as f64).abs() < 2e-3), "{:?}", s.bins);
}

/// A dent of a known depth between cells: its least place is climbed down to.
#[test]
fn the_depth_of_a_dent_is_found_where_it_is() {
    let knots = || KnotVector::bezier(4).unwrap();
    let (depth, n) = (0.9, 5);
    // The middle control point alone: B₂²(½)² = (6/16)² of it is left.
    let points = (0..n * n).map(|k| {
        let (i, j) = (k / n, k % n);
        let down = if (i, j) == (2, 2) { depth / (0.375 * 0.375) } else { 0.0 };
        Point3::new(61.0 * i as f64, 47.0 * j as f64, -down)
    });
    let own = Surface::Nurbs(nurbs::Surface::new(knots(), knots(), points.collect(), None).unwrap());
    let faces = distances((own, None), &of(vec![(plate(244.0, 188.0, |_, _| 0.0), None)]));
    let least = faces[0].least.unwrap();
    assert!((least.value + depth).abs() < 1e-7, "{least:?}");
    assert!((least.uv.u - 0.5).abs() < 1e-3 && (least.uv.v - 0.5).abs() < 1e-3);
    // ∫ B₂(u) du = 1/5 both ways, over the area of the plate: the mean of a height field over a plane, by area of the dented face.
    let s = Statistics::new(&faces).unwrap();
    let want = -depth / (0.375 * 0.375) / 25.0;
    assert!((s.mean - want).abs() < 2e-3 * want.abs(), "{} against {want}", s.mean);
}

/// What overhangs the reference's border is no distance, and beyond the limit it is far.
#[test]
fn what_overhangs_is_beside_and_then_far() {
    let own = plate(200.0, 100.0, |_, _| 0.3);
    let (model, domains) = whole(vec![(plate(150.0, 100.0, |_, _| 0.0), None)]);
    let reference = Reference::of_faces("short", model, domains, 10.0, &mut Silent).unwrap();
    let faces = distances((own, None), &reference);
    let s = Statistics::new(&faces).unwrap();
    assert!((s.most.1.value - 0.3).abs() < 2e-3 && (s.least.1.value - 0.3).abs() < 1e-9, "{s:?}");
    // Far begins where √(x² + 0.3²) = 10.
    let far = 100.0 * (50.0 - (100.0f64 - 0.09).sqrt());
    assert!((s.far - far).abs() < 0.02 * far, "{} against {far}", s.far);
    assert!((s.area + s.beside + s.far - 2e4).abs() < 1e-6 * 2e4);
}

/// A noisy mesh costs no more than it may, and gives its own height.
#[test]
fn a_mesh_of_noise_stays_within_bounds() {
    let n = 60u32;
    let z = |k: u32| 0.05 * real::sin(7.3 * f64::from(k * k % 977));
    let points = (0..n * n).map(|k| Point3::new(4.0 * f64::from(k / n), 3.0 * f64::from(k % n), z(k))).collect();
    let quad = |k: u32| [[k, k + n, k + n + 1], [k, k + n + 1, k + 1]];
    let triangles = (0..n - 1).flat_map(|i| (0..n - 1).flat_map(move |j| quad(i * n + j))).collect();
    let model = Model { meshes: vec![Mesh { name: String::new(), points, triangles }], ..Model::default() };
    let reference = Reference::new("noise", model, 5.0, &mut Silent).unwrap();
    let faces = distances((plate(230.0, 170.0, |_, _| 0.0), None), &reference);
    let s = Statistics::new(&faces).unwrap();
    assert!(faces[0].samples.len() <= 60_000 && s.least.1.value < -0.03 && s.most.1.value > 0.03 && s.most.1.value < 0.051);
}
