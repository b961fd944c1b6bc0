//! A scan of a hundred thousand triangles, written, read and held against two hundred patches: each distance against all triangles.

use std::time::Instant;

use rakelight_core::exchange::{self, Limits};
use rakelight_core::geometry::Surface;
use rakelight_core::joins::{JoinGraph, Sheets};
use rakelight_core::math::{Point3, Vec3, real};
use rakelight_core::model::{Face, Mesh, Model};
use rakelight_core::nurbs::{self, KnotVector};
use rakelight_core::progress::Silent;
use rakelight_core::reference::{Comparison, FaceDistances, ModelIndex, Reference, Soup, Statistics, face_distances, facing, far_regions};
use rakelight_tests::dice::Dice;

/// Patches and their size, mm.
const PATCHES: (usize, usize) = (20, 10);
const SIZE: f64 = 60.0;
/// Quads of the scan; two triangles each.
const QUADS: (usize, usize) = (250, 200);

fn form(x: f64, y: f64) -> f64 {
    40.0 * real::sin(x / 310.0) * real::cos(y / 220.0) + 8.0 * real::sin((x + 2.0 * y) / 140.0)
}

/// Bicubic patches through heights of the form: at Greville abscissae, so a little off it, which does no harm here.
fn patches() -> Model {
    let mut model = Model { parts: vec![String::new()], ..Model::default() };
    for i in 0..PATCHES.0 {
        for j in 0..PATCHES.1 {
            let at = |k: usize| {
                let (x, y) = (SIZE * (i as f64 + (k / 4) as f64 / 3.0), SIZE * (j as f64 + (k % 4) as f64 / 3.0));
                Point3::new(x, y, form(x, y))
            };
            let knots = || KnotVector::bezier(3).expect("a degree");
            let patch = nurbs::Surface::new(knots(), knots(), (0..16).map(at).collect(), None).expect("a patch");
            model.faces.push(Face::whole(Surface::Nurbs(patch)));
        }
    }
    model
}

/// The scan as the bytes of a binary PLY: the form with noise, reaching a little beyond the patches.
fn scan() -> Vec<u8> {
    let mut dice = Dice::new(7);
    let (nx, ny) = QUADS;
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty double x\nproperty double y\nproperty double z\n\
         element face {}\nproperty list uchar int vertex_indices\nend_header\n",
        (nx + 1) * (ny + 1),
        2 * nx * ny
    )
    .into_bytes();
    for i in 0..=nx {
        for j in 0..=ny {
            let x = -15.0 + (SIZE * PATCHES.0 as f64 + 30.0) * i as f64 / nx as f64 + dice.within(-0.8, 0.8);
            let y = -15.0 + (SIZE * PATCHES.1 as f64 + 30.0) * j as f64 / ny as f64 + dice.within(-0.5, 0.5);
            let z = form(x, y) + dice.within(-0.04, 0.04);
            bytes.extend([x, y, z].into_iter().flat_map(f64::to_le_bytes));
        }
    }
    for i in 0..nx {
        for j in 0..ny {
            let at = |i: usize, j: usize| (i * (ny + 1) + j) as i32;
            for t in [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]] {
                bytes.push(3);
                bytes.extend(t.into_iter().flat_map(i32::to_le_bytes));
            }
        }
    }
    bytes
}

/// Distance to a triangle by its plane and its three sides: another way than the core's.
fn off_triangle(p: Point3, [a, b, c]: [Point3; 3]) -> f64 {
    let side = |x: Point3, y: Point3| {
        let way = y - x;
        p.distance(x + way * ((p - x).dot(way) / way.length_squared()).clamp(0.0, 1.0))
    };
    let n: Vec3 = (b - a).cross(c - a).normalize();
    let q = p - n * (p - a).dot(n);
    if [(a, b), (b, c), (c, a)].iter().all(|&(x, y)| (y - x).cross(q - x).dot(n) >= 0.0) {
        return (p - a).dot(n).abs();
    }
    side(a, b).min(side(b, c)).min(side(c, a))
}

/// In the plain run every so-manieth sample is looked up among all triangles; in the full run every one, triangles whose ball is
/// farther than the least distance so far passed over.
#[test]
fn a_scan_of_100_000_triangles_against_200_patches() {
    let bytes = scan();
    let began = Instant::now();
    let import = exchange::read(&bytes, "scan.ply", &Limits::default(), &mut Silent).expect("a mesh");
    let read = began.elapsed();
    let mesh: Mesh = import.model.meshes[0].clone();
    assert_eq!(mesh.triangles.len(), 100_000);
    let model = patches();
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let sheets = Sheets { model: &model, domains: &domains };
    let began = Instant::now();
    let reviewed = ModelIndex::reviewed(&sheets, &JoinGraph::default(), &mut Silent);
    let indexed = began.elapsed();
    let reference = Reference::new("scan.ply", import.model, 5.0, &mut Silent).expect("a reference");
    let prepared = began.elapsed();
    let turned = facing(&reference, &sheets, &reviewed);
    let of = Comparison { reference: &reference, sheets, reviewed: &reviewed, turned: &turned };
    let faced = began.elapsed();
    let distances: Vec<FaceDistances> = reviewed.faces().filter_map(|id| face_distances(&of, id)).collect();
    let measured = began.elapsed();
    let missing = far_regions(&Soup::of_reference(&reference), 5.0, |p| of.to_reviewed(p, 5.0), &Silent);
    let extra = far_regions(&Soup::of_model(&reviewed), 5.0, |p| of.to_reference(p, 5.0), &Silent);
    let whole = began.elapsed();
    let samples: usize = distances.iter().map(|d| d.samples.len()).sum();
    let statistics = Statistics::new(&distances).expect("distances");
    println!(
        "scan of 100,000 triangles against 200 patches: read {read:.0?}, patches {indexed:.0?}, mesh {:.0?}, facing {:.0?}, \
         {samples} distances {:.0?}, missing and extra {:.0?}; in all {whole:.0?}; rms {:.4} mm, {:.4} to {:.4} mm",
        prepared - indexed,
        faced - prepared,
        measured - faced,
        whole - measured,
        statistics.rms,
        statistics.least.1.value,
        statistics.most.1.value,
    );
    assert_eq!((distances.len(), turned.as_slice()), (200, [1.0].as_slice()));
    assert!(statistics.rms > 0.005 && statistics.rms < 2.0);

    // A rim of 15 mm round the patches, of which 5 are near: with round corners.
    let (w, h) = (SIZE * PATCHES.0 as f64, SIZE * PATCHES.1 as f64);
    let flat = (w + 30.0) * (h + 30.0) - (w * h + 10.0 * (w + h) + real::PI * 25.0);
    let area: f64 = missing.iter().map(|m| m.area).sum();
    assert!(missing.len() == 1 && area > flat * 0.98 && area < flat * 1.06, "{} parts, {area} of {flat}", missing.len());
    assert!(extra.is_empty());

    let triangles: Vec<[Point3; 3]> = mesh.triangles.iter().map(|t| t.map(|n| mesh.points[n as usize])).collect();
    let balls: Vec<(Point3, f64)> = triangles
        .iter()
        .map(|t| {
            let middle = Point3::from_vec((t[0].to_vec() + t[1].to_vec() + t[2].to_vec()) / 3.0);
            (middle, t.iter().map(|c| c.distance(middle)).fold(0.0, f64::max))
        })
        .collect();
    let full = std::env::var_os("RAKELIGHT_FULL").is_some();
    let (mut worst, mut looked) = (0.0f64, 0);
    for d in &distances {
        let surface = &model.faces[d.face.index()].surface;
        for s in d.samples.iter().step_by(if full { 1 } else { 1 + samples / 400 }) {
            let p = surface.point(s.uv.u, s.uv.v);
            let mut least = f64::INFINITY;
            for (t, (middle, reach)) in triangles.iter().zip(&balls) {
                if !full || middle.distance(p) - reach < least {
                    least = least.min(off_triangle(p, *t));
                }
            }
            worst = worst.max((s.value.abs() - least).abs());
            looked += 1;
        }
    }
    println!("{looked} of them against all triangles: {worst:.1e} mm off at most");
    assert!(looked >= 200 && worst <= 1e-6, "{worst} mm");
}
