//! Nearest points, signs and sections of meshes.

use super::{MeshIndex, TOUCHING, mesh_section};
use crate::math::{Point3, Vec3, real};
use crate::model::Mesh;
use crate::section::Plane;
use proptest::prelude::*;

/// A ball of meridians and rings; its poles are one corner each. `shape` moves its corners.
fn ball(rings: u32, columns: u32, shape: impl Fn(Vec3) -> Vec3) -> Mesh {
    let mut points = vec![Point3::from_vec(shape(-Vec3::Z))];
    for r in 1..rings {
        let v = real::PI * (f64::from(r) / f64::from(rings) - 0.5);
        for c in 0..columns {
            let u = real::TAU * f64::from(c) / f64::from(columns);
            points.push(Point3::from_vec(shape(Vec3::new(real::cos(v) * real::cos(u), real::cos(v) * real::sin(u), real::sin(v)))));
        }
    }
    let top = points.len() as u32;
    points.push(Point3::from_vec(shape(Vec3::Z)));
    let at = |r: u32, c: u32| match r {
        0 => 0,
        r if r == rings => top,
        r => 1 + (r - 1) * columns + c % columns,
    };
    let mut triangles = Vec::new();
    for r in 0..rings {
        for c in 0..columns {
            let (a, b, d, e) = (at(r, c), at(r, c + 1), at(r + 1, c + 1), at(r + 1, c));
            triangles.extend([[a, b, d], [a, d, e]].into_iter().filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]));
        }
    }
    Mesh { name: String::new(), points, triangles }
}

fn corners(mesh: &Mesh) -> Vec<[Point3; 3]> {
    mesh.triangles.iter().map(|t| t.map(|n| mesh.points[n as usize])).collect()
}

/// How often the shape winds round a point (van Oosterom & Strackee, *The solid angle of a plane triangle*, IEEE Trans. Biomed. Eng.
/// 30(2), 1983): 1 inside, 0 outside.
fn winding(mesh: &Mesh, p: Point3) -> f64 {
    let angle = |t: [Point3; 3]| {
        let [a, b, c] = t.map(|q| q - p);
        let (la, lb, lc) = (a.length(), b.length(), c.length());
        2.0 * real::atan2(a.dot(b.cross(c)), la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb)
    };
    corners(mesh).into_iter().map(angle).sum::<f64>() / (4.0 * real::PI)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Spikes and dents, so that nearest points lie on sharp edges and corners, hollow and proud; the sign against the winding number,
    /// the distance against all triangles.
    #[test]
    fn signs_and_distances_of_a_spiky_ball(
        bumps in prop::collection::vec(0.35f64..1.6, 17), p in prop::array::uniform3(-1.7f64..1.7), rings in 3u32..9, columns in 3u32..9,
    ) {
        let mut n = 0;
        let spikes = core::cell::Cell::new(0usize);
        let mesh = ball(rings, columns, |d| {
            spikes.set(spikes.get() + 1);
            d * bumps[spikes.get() % bumps.len()]
        });
        n += mesh.triangles.len();
        let index = MeshIndex::new(core::slice::from_ref(&mesh)).unwrap();
        prop_assert_eq!(index.triangle_count(), n);
        let p = Point3::new(p[0], p[1], p[2]);
        let got = index.nearest(p).unwrap();
        let want = corners(&mesh).into_iter().map(|t| super::triangle::nearest_on_triangle(p, t).point.distance(p)).fold(f64::INFINITY, f64::min);
        prop_assert_eq!(got.distance, want);
        prop_assert!(!got.border);
        prop_assume!(want > 1e-9);
        prop_assert_eq!(got.signed(p) < 0.0, winding(&mesh, p) > 0.5, "winding {} at {:?}", winding(&mesh, p), got);
    }

    /// Anything a file may hold: no panic, and what is told is the least distance over the triangles that are sound.
    #[test]
    fn any_heap_of_triangles_is_survived(
        points in prop::collection::vec(prop::array::uniform3(prop::sample::select(vec![0.0, -0.0, 1.0, 1.0 + 1e-12, -2.5, 1e300, f64::NAN, f64::INFINITY])), 0..12),
        triangles in prop::collection::vec(prop::array::uniform3(0u32..14), 0..20),
        p in prop::array::uniform3(prop::sample::select(vec![0.3, -4.0, f64::NAN, f64::NEG_INFINITY, 1e200])),
    ) {
        let mesh = Mesh { name: String::new(), points: points.iter().map(|p| Point3::new(p[0], p[1], p[2])).collect(), triangles };
        let p = Point3::new(p[0], p[1], p[2]);
        if let Some(index) = MeshIndex::new(&[mesh]) {
            prop_assert_eq!(index.nearest(p).is_some(), p.is_finite());
            mesh_section(&Plane { normal: Vec3::Z, offset: 0.25 }, &index);
            mesh_section(&Plane { normal: Vec3::NAN, offset: 0.25 }, &index);
        }
    }
}

#[test]
fn nothing_makes_no_index() {
    let p = |x: f64| Point3::new(x, 0.0, 0.0);
    let flat = Mesh { points: vec![p(0.0), p(1.0), p(2.0)], triangles: vec![[0, 1, 2], [0, 0, 1], [0, 1, 9]], ..Mesh::default() };
    let bad = Mesh { points: vec![p(0.0), p(f64::NAN), Point3::new(0.0, 1.0, 0.0)], triangles: vec![[0, 1, 2]], ..Mesh::default() };
    assert!(MeshIndex::new(&[]).is_none() && MeshIndex::new(&[flat]).is_none() && MeshIndex::new(&[bad]).is_none());
}

/// Beyond the open border of a sheet a place lies beside it, over its inside not.
#[test]
fn open_borders_are_told() {
    let p = |x: f64, y: f64| Point3::new(x, y, 0.0);
    let sheet =
        Mesh { points: vec![p(0.0, 0.0), p(4.0, 0.0), p(4.0, 4.0), p(0.0, 4.0)], triangles: vec![[0, 1, 2], [0, 2, 3]], ..Mesh::default() };
    let index = MeshIndex::new(&[sheet]).unwrap();
    let at = |x: f64, y: f64, z: f64| {
        let p = Point3::new(x, y, z);
        let n = index.nearest(p).unwrap();
        (n.signed(p), n.is_beside(p, TOUCHING))
    };
    assert_eq!(at(1.0, 2.0, 0.5), (0.5, false));
    assert_eq!(at(2.0, 2.0, -0.5), (-0.5, false));
    assert_eq!(at(4.0, 2.0, 0.5), (0.5, false));
    assert!(at(5.0, 2.0, 0.0).1);
    assert!(at(4.3, 4.3, 0.1).1);
}

/// At height h a ball of meridians is cut in a polygon whose corners on meridians lie on the meridian's own chord: known to the last
/// digits. Between meridians its sides are straight, so the whole polygon lies within the circle of the cut by no more than the sag.
#[test]
fn a_ball_is_cut_in_a_circle_polygon() {
    let (radius, rings, columns) = (50.0, 24u32, 36u32);
    let mesh = ball(rings, columns, |d| d * radius);
    let index = MeshIndex::new(&[mesh]).unwrap();
    for h in [0.0, 11.3, -33.7, 49.9] {
        let lines = mesh_section(&Plane { normal: Vec3::Z, offset: h }, &index);
        assert_eq!(lines.len(), 1, "{h}");
        let line = &lines[0];
        assert!(line.closed && line.points.first() == line.points.last());
        // The ring below and above, and the share of the way between them.
        let step = real::PI / f64::from(rings);
        let below = (real::asin(h / radius) / step + 1e-12).floor() * step;
        let (low, high) = (radius * real::sin(below), radius * real::sin(below + step));
        let t = (h - low) / (high - low);
        let on_meridian = radius * (real::cos(below) * (1.0 - t) + real::cos(below + step) * t);
        let sag = real::cos(real::PI / f64::from(columns));
        let mut met = 0;
        for p in &line.points {
            let r = real::hypot(p.x, p.y);
            assert!((p.z - h).abs() < 1e-12 * radius);
            assert!(r <= on_meridian + 1e-9 && r >= on_meridian * sag - 1e-9, "{r} for {on_meridian} at {h}");
            let turn = real::atan2(p.y, p.x) / real::TAU * f64::from(columns);
            if (turn - turn.round()).abs() < 1e-9 {
                assert!((r - on_meridian).abs() < 1e-9, "{r} for {on_meridian} at {h}");
                met += 1;
            }
        }
        assert_eq!(met, columns as usize + 1, "every meridian once, the first again at the end");
        // Round once.
        let turns: f64 =
            line.points.windows(2).map(|w| real::atan2(w[0].x * w[1].y - w[0].y * w[1].x, w[0].x * w[1].x + w[0].y * w[1].y)).sum();
        assert!((turns.abs() - real::TAU).abs() < 1e-9);
    }
    assert!(mesh_section(&Plane { normal: Vec3::Z, offset: 50.1 }, &index).is_empty());
}

#[test]
fn a_sheet_is_cut_in_open_lines() {
    let p = |x: f64, y: f64| Point3::new(x, y, 0.1 * x);
    let points = vec![p(0.0, 0.0), p(4.0, 0.0), p(4.0, 4.0), p(0.0, 4.0), p(10.0, 0.0), p(14.0, 0.0), p(12.0, 4.0)];
    let index = MeshIndex::new(&[Mesh { points, triangles: vec![[0, 1, 2], [0, 2, 3], [4, 5, 6]], ..Mesh::default() }]).unwrap();
    let lines = mesh_section(&Plane { normal: Vec3::Y, offset: 1.0 }, &index);
    assert_eq!(lines.iter().map(|l| (l.closed, l.points.len())).collect::<Vec<_>>(), [(false, 3), (false, 2)]);
    let ends = |i: usize| {
        (lines[i].points[0].x.min(lines[i].points.last().unwrap().x), lines[i].points[0].x.max(lines[i].points.last().unwrap().x))
    };
    assert_eq!((ends(0), ends(1)), ((0.0, 4.0), (10.5, 13.5)));
}
