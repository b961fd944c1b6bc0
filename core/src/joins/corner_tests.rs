//! Corners against closed forms.

use super::arrangements::{graph_of, model_of, tilted};
use super::corner::{Corner, corners};
use super::{JoinGraph, Sheets};
use crate::math::{Point3, real};
use crate::nurbs::{KnotVector, Surface};

fn corners_of(patches: Vec<Surface>) -> (Vec<Corner>, JoinGraph) {
    let model = model_of(patches);
    let graph = graph_of(&model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    (corners(&Sheets { model: &model, domains: &domains }, &graph), graph)
}

/// A patch of Bézier degrees from its net, row by row in u; weights by `weight`.
fn patch(degrees: (usize, usize), net: impl Fn(usize, usize) -> (Point3, f64)) -> Surface {
    let all: Vec<(Point3, f64)> = (0..=degrees.0).flat_map(|i| (0..=degrees.1).map(move |j| (i, j))).map(|(i, j)| net(i, j)).collect();
    let weights: Vec<f64> = all.iter().map(|x| x.1).collect();
    let rational = weights.iter().any(|w| *w != 1.0);
    let line = |p| KnotVector::bezier(p).unwrap();
    let points = all.into_iter().map(|x| x.0).collect();
    Surface::new(line(degrees.0), line(degrees.1), points, rational.then_some(weights)).unwrap()
}

/// z = a x² + c y² over one quadrant of the plane of a frame, 40 mm wide: Bézier ordinates of x² over an interval from 0 are
/// (0, 0, w²).
fn quadrant((sx, sy): (f64, f64), a: f64, c: f64) -> Surface {
    let f = tilted();
    let at = |i: usize| 20.0 * i as f64;
    let square = |i: usize| if i == 2 { 1600.0 } else { 0.0 };
    patch((2, 2), |i, j| (f.point(sx * at(i), sy * at(j), a * square(i) + c * square(j)), 1.0))
}

/// Four quadratic graphs round a point, tangent there and along all joins: their curvatures in the two directions of the joins
/// are 2a and 2c, so the spread is the largest difference, and the Gaussian sign is that of ac.
#[test]
fn spread_of_curvature_round_a_smooth_corner() {
    let (a, c) = ([2e-3, -1e-3], [5e-4, 1.5e-3]);
    let all = [(0, 0), (1, 0), (1, 1), (0, 1)];
    let sign = |i: usize| if i == 0 { 1.0 } else { -1.0 };
    let (found, _) = corners_of(all.iter().map(|&(i, j)| quadrant((sign(i), sign(j)), a[i], c[j])).collect());
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!((one.faces.len(), one.joins.len(), one.flips), (4, 4, 2));
    assert!(one.point.distance(tilted().point(0.0, 0.0, 0.0)) < 1e-9);
    assert!(one.normals.unwrap() < 1e-6 && one.tangents.unwrap() < 1e-6, "{one:?}");
    assert!((one.curvature.unwrap() - 2.0 * 3e-3).abs() < 1e-11, "{one:?}");
    assert_eq!(one.peak, None);
}

/// Four flat patches of a shallow roof with slopes α and β: of the two pairs of opposite patches, the one of the two single
/// slopes is the furthest apart, its normals by atan √(α² + β² + α²β²), which none of the joins shows.
#[test]
fn spread_of_normals_round_a_shallow_roof() {
    let f = tilted();
    let (alpha, beta) = (real::tan(f64::to_radians(0.6)), real::tan(f64::to_radians(0.3)));
    let sides = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
    let flat = |(sx, sy): (f64, f64)| {
        patch((1, 1), move |i, j| {
            let (x, y) = (sx * 30.0 * i as f64, sy * 30.0 * j as f64);
            (f.point(x, y, alpha * (-x).max(0.0) + beta * (-y).max(0.0)), 1.0)
        })
    };
    let (found, graph) = corners_of(sides.into_iter().map(flat).collect());
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    let want = real::atan((alpha * alpha + beta * beta + alpha * alpha * beta * beta).sqrt()).to_degrees();
    assert!((one.normals.unwrap() - want).abs() < 1e-6, "{one:?} against {want}");
    let most = one.joins.iter().filter_map(|&j| graph.joins[j].summaries.angle).map(|s| s.max.value).fold(0.0, f64::max);
    assert!(most < 0.601, "{most}");
}

/// Three mutually square planes rounded by a ball of radius r: sphere, cylinders and planes. Normals agree; the sphere bends by
/// 1/r where the plane does not, and nothing is tighter than the fillets that enter.
#[test]
fn a_corner_rounded_by_a_ball() {
    let (f, r, l) = (tilted(), 5.0, 40.0);
    let m = l - r;
    let w = 0.5_f64.sqrt();
    // Quarter circle of radius r as a rational quadratic.
    let arc = |i: usize| [(r, 0.0, 1.0), (r, r, w), (0.0, r, 1.0)][i];
    let at = |x: f64, y: f64, z: f64| f.point(x, y, z);
    let run = |j: usize| m * j as f64;
    let patches = vec![
        patch((1, 1), |i, j| (at(l, run(i), run(j)), 1.0)),
        patch((1, 1), |i, j| (at(run(j), l, run(i)), 1.0)),
        patch((1, 1), |i, j| (at(run(i), run(j), l), 1.0)),
        patch((2, 1), |i, j| (at(m + arc(i).0, m + arc(i).1, run(j)), arc(i).2)),
        patch((2, 1), |i, j| (at(run(j), m + arc(i).0, m + arc(i).1), arc(i).2)),
        patch((2, 1), |i, j| (at(m + arc(i).1, run(j), m + arc(i).0), arc(i).2)),
        patch((2, 2), |i, j| {
            let ((x, y, wi), (s, z, wj)) = (arc(i), arc(j));
            (at(m + x * s / r, m + y * s / r, m + z), wi * wj)
        }),
    ];
    let (found, _) = corners_of(patches);
    assert_eq!(found.len(), 3, "{found:#?}");
    for one in &found {
        assert!(one.faces.len() >= 3 && one.normals.unwrap() < 1e-6 && one.flips == 0, "{one:?}");
        assert!((one.peak.unwrap() - 1.0).abs() < 1e-9, "{one:?}");
        let pole = one.point.distance(at(m, m, l)) < 1e-6;
        // At the pole of its parameters the sphere has no curvature to tell; cylinders in different directions do as well.
        assert!((one.curvature.unwrap() - 1.0 / r).abs() < 1e-9, "pole {pole}: {one:?}");
    }
}
