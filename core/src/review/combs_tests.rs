//! Combs and probes on forms whose curvatures are known in closed form.

use super::Prepared;
use super::comb::Comb;
use super::combs::{Way, border_combs, iso_combs, join_combs};
use super::probe::{nearest, probe};
use crate::exchange::Import;
use crate::geometry::Surface;
use crate::joins::{JoinGraph, Options};
use crate::math::{Frame, Point2, Point3, Vec3, real};
use crate::model::{Face, FaceId, Model};
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;

fn prepared(surfaces: Vec<Surface>) -> (Prepared, JoinGraph) {
    let faces = surfaces.into_iter().map(Face::whole).collect();
    let model = Model { faces, parts: vec!["one".into()], ..Model::default() };
    let prepared = Prepared::new(Import { model, report: Default::default() });
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).unwrap();
    (prepared, graph)
}

fn frame() -> Frame {
    Frame::from_axis(Point3::new(11.0, -7.0, 5.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
}

/// A wall of constant section: the Bézier curve of control points (x, z) in the frame's x and z, drawn `width` along y.
fn wall(f: &Frame, section: &[(f64, f64)], width: f64) -> Surface {
    let net = section.iter().flat_map(|&(x, z)| [f.point(x, 0.0, z), f.point(x, width, z)]).collect();
    let (u, v) = (KnotVector::bezier(section.len() - 1).unwrap(), KnotVector::bezier(1).unwrap());
    Surface::Nurbs(nurbs::Surface::new(u, v, net, None).unwrap())
}

/// z = x³/c², x from −w to w, as a cubic Bézier curve (exact: blossom of x³).
fn cubic(w: f64, c: f64) -> Vec<(f64, f64)> {
    [-1.0, -1.0 / 3.0, 1.0 / 3.0, 1.0].into_iter().zip([-1.0, 1.0, -1.0, 1.0]).map(|(x, z)| (w * x, w * w * w * z / (c * c))).collect()
}

/// κ = 6x/c² / (1 + 9x⁴/c⁴)^(3/2), the curvature of the graph of x³/c² (any textbook of calculus); it changes sign at x = 0.
#[test]
fn the_comb_of_a_cubic_wall_has_its_closed_form_and_one_inflection() {
    let (f, w, c) = (frame(), 30.0, 50.0);
    let (prepared, graph) = prepared(vec![wall(&f, &cubic(w, c), 20.0)]);
    let sign = graph.orientation.sign(FaceId::new(0));
    for share in [0.2, 0.5, 0.9] {
        let combs = iso_combs(&prepared, &graph, FaceId::new(0), false, share, 1.5);
        let [comb] = combs.as_slice() else { panic!("{} combs", combs.len()) };
        assert!(comb.teeth.len() > 40);
        let ends = [0, comb.teeth.len() - 1].map(|i| f.local(comb.teeth[i].point).x);
        assert!((ends[0] + w).abs() < 1e-6 && (ends[1] - w).abs() < 1e-6, "{ends:?}");
        let mut most = 0.0f64;
        for t in &comb.teeth {
            let x = f.local(t.point).x;
            let slope = 3.0 * x * x / (c * c);
            let want = 6.0 * x / (c * c) / three_halves(1.0 + slope * slope);
            // Su × Sv looks up the frame's z, from where z″ > 0 is hollow.
            assert!((t.curvature + sign * want).abs() < 1e-12, "{} against {want} at {x}", t.curvature);
            most = most.max(t.curvature.abs());
        }
        assert!(most > 0.01);
        let [inflection] = comb.inflections.as_slice() else { panic!("{:?}", comb.inflections) };
        assert!(f.local(*inflection).x.abs() < 1e-6, "{inflection:?}");
        // Straight across.
        let across = iso_combs(&prepared, &graph, FaceId::new(0), true, share, 2.0);
        assert!(across.iter().flat_map(|c| &c.teeth).all(|t| t.curvature.abs() < 1e-12));
        assert!(across.iter().all(|c| c.inflections.is_empty()));
    }
}

/// Teeth stand evenly over the length, however unevenly the parameter runs.
#[test]
fn teeth_stand_evenly() {
    let f = frame();
    let uneven = [(0.0, 0.0), (1.0, 0.0), (3.0, 0.0), (40.0, 0.0)];
    let (prepared, graph) = prepared(vec![wall(&f, &uneven, 20.0)]);
    for spacing in [0.1, 1.0, 7.0] {
        let combs = iso_combs(&prepared, &graph, FaceId::new(0), false, 0.5, spacing);
        let steps: Vec<f64> = combs[0].teeth.windows(2).map(|w| w[0].point.distance(w[1].point)).collect();
        let (low, high) = steps.iter().fold((f64::INFINITY, 0.0f64), |b, s| (b.0.min(*s), b.1.max(*s)));
        assert!(high <= 1.1 * spacing && low >= 0.7 * high, "{low} to {high} for {spacing}");
    }
    for none in [0.0, -1.0, f64::NAN] {
        assert!(iso_combs(&prepared, &graph, FaceId::new(0), false, 0.5, none).is_empty());
    }
    assert!(iso_combs(&prepared, &graph, FaceId::new(9), false, 0.5, 1.0).is_empty());
    assert!(join_combs(&prepared, &graph, 999, Way::Along, 1.0).iter().all(Vec::is_empty));
}

/// z = a x² from either side of x = 0 with different a: flat tangents meet, curvature across is 2a at the vertex on either side,
/// and along the straight join it is zero.
#[test]
fn combs_of_a_join_show_both_sides() {
    let (f, left, right) = (frame(), 0.004, -0.001);
    let half = |from: f64, to: f64, a: f64| vec![(from, a * from * from), (0.5 * (from + to), a * from * to), (to, a * to * to)];
    let (prepared, graph) = prepared(vec![wall(&f, &half(-20.0, 0.0, left), 30.0), wall(&f, &half(0.0, 25.0, right), 30.0)]);
    let join = graph.joins.iter().position(|j| j.faces.len() == 2).expect("a join");
    let [a, b] = join_combs(&prepared, &graph, join, Way::Across, 2.0);
    let told = |all: &[Comb]| all.iter().flat_map(|c| c.teeth.clone()).map(|t| t.curvature * graph_sign(&f, t.normal)).collect::<Vec<_>>();
    let swapped = graph.joins[join].faces[0] == FaceId::new(1);
    let (a_want, b_want) = if swapped { (right, left) } else { (left, right) };
    for (got, want) in [(told(&a), a_want), (told(&b), b_want)] {
        assert!(got.len() > 12);
        got.iter().for_each(|k| assert!((k + 2.0 * want).abs() < 1e-12, "{k} against {}", -2.0 * want));
    }
    let along = join_combs(&prepared, &graph, join, Way::Along, 2.0);
    assert!(along.iter().flatten().flat_map(|c| &c.teeth).all(|t| t.curvature.abs() < 1e-12));
    let outline = graph.joins.iter().position(|j| j.faces.len() == 1).expect("an outline");
    let [alone, none] = join_combs(&prepared, &graph, outline, Way::Along, 2.0);
    assert!(!alone.is_empty() && none.is_empty());
}

fn three_halves(q: f64) -> f64 {
    q * q.sqrt()
}

/// Along the borders of the wall of a cubic: straight ones have none, bent ones the closed form above.
#[test]
fn combs_run_along_all_borders_of_a_face() {
    let (f, w, c) = (frame(), 30.0, 50.0);
    let (prepared, graph) = prepared(vec![wall(&f, &cubic(w, c), 20.0), wall(&f, &[(w, w * w * w / (c * c)), (60.0, 25.0)], 20.0)]);
    for (face, straight_length) in [(0, 40.0), (1, 40.0)] {
        let combs = border_combs(&prepared, &graph, FaceId::new(face), 1.0);
        let mut lengths = [0.0, 0.0];
        for comb in &combs {
            let ends = [0, comb.teeth.len() - 1].map(|i| f.local(comb.teeth[i].point));
            let straight = (ends[0] - ends[1]).length() <= 1.0 || (ends[0].x - ends[1].x).abs() < 1e-6;
            for t in &comb.teeth {
                let x = f.local(t.point).x;
                let slope = 3.0 * x * x / (c * c);
                let want = if straight || face == 1 { 0.0 } else { 6.0 * x.abs() / (c * c) / three_halves(1.0 + slope * slope) };
                assert!((t.curvature.abs() - want).abs() < 1e-9, "{} against {want} at {x}", t.curvature);
            }
            lengths[usize::from(!straight)] += comb.teeth.windows(2).map(|p| p[0].point.distance(p[1].point)).sum::<f64>();
        }
        // All four borders, the one that the other face shares among them.
        assert!((lengths[0] - straight_length).abs() < 1e-6, "{lengths:?}");
        assert!(lengths[1] > if face == 0 { 4.0 * w } else { 2.0 * w }, "{lengths:?}");
    }
    assert!(border_combs(&prepared, &graph, FaceId::new(5), 1.0).is_empty());
}

/// +1 where a normal looks up the frame's z: a hill seen from above is convex.
fn graph_sign(f: &Frame, normal: Vec3) -> f64 {
    normal.dot(f.z).signum()
}

/// On the wall of a cubic: κ as above in one principal direction, zero in the other; its draft to a pull along z is the angle of
/// its tangent, atan |z′|, from 90°.
#[test]
fn a_probe_reads_the_closed_form() {
    let (f, w, c) = (frame(), 30.0, 50.0);
    let (prepared, graph) = prepared(vec![wall(&f, &cubic(w, c), 20.0)]);
    for (u, v) in [(0.1, 0.2), (0.35, 0.9), (0.8, 0.5)] {
        let got = probe(&prepared, &graph, FaceId::new(0), Point2::new(u, v)).unwrap();
        let form = got.form.unwrap();
        let x = w * (2.0 * u - 1.0);
        let (z, slope) = (x * x * x / (c * c), 3.0 * x * x / (c * c));
        let at = f.local(got.point);
        assert!((at - Vec3::new(x, 20.0 * v, z)).length() < 1e-10, "{at:?}");
        let up = graph_sign(&f, form.normal);
        let want = -up * 6.0 * x / (c * c) / three_halves(1.0 + slope * slope);
        let (max, min) = if want > 0.0 { (want, 0.0) } else { (0.0, want) };
        assert!((form.max - max).abs() < 1e-13 && (form.min - min).abs() < 1e-13, "{form:?} against {want}");
        assert!((form.radius() - 1.0 / want.abs()).abs() < 1e-6);
        let straight = if want > 0.0 { form.across } else { form.along };
        assert!(straight.cross(f.y).length() < 1e-9);
        assert!(form.along.dot(form.across).abs() < 1e-12 && form.along.dot(form.normal).abs() < 1e-12);
        let draft = form.draft(f.z * 3.0).unwrap();
        assert!((draft - up * (90.0 - real::atan(slope).to_degrees())).abs() < 1e-10, "{draft}");
        assert!((form.draft(-f.z).unwrap() + draft).abs() < 1e-10);
        assert!(form.draft(f.y).unwrap().abs() < 1e-10, "a wall along the pull");
        assert_eq!(form.draft(Vec3::ZERO), None);
    }
    assert_eq!(probe(&prepared, &graph, FaceId::new(1), Point2::new(0.5, 0.5)), None);
}

/// Above and below a flat wall the nearest point is the foot of the perpendicular (Euclid), beyond its border it lies on the border.
#[test]
fn the_nearest_point_of_a_patch() {
    let f = frame();
    let (prepared, graph) = prepared(vec![wall(&f, &[(-30.0, 0.0), (30.0, 0.0)], 20.0)]);
    let side = graph.orientation.sign(FaceId::new(0));
    for (p, foot) in [((3.0, 7.0, 12.0), (3.0, 7.0, 0.0)), ((-9.0, 1.0, -5.0), (-9.0, 1.0, 0.0)), ((40.0, 5.0, 24.0), (30.0, 5.0, 0.0))] {
        let at = |q: (f64, f64, f64)| f.point(q.0, q.1, q.2);
        let got = nearest(&prepared, &graph, FaceId::new(0), at(p)).unwrap();
        let want = at(p).distance(at(foot));
        assert!((got.distance - want).abs() < 1e-9 && got.point.distance(at(foot)) < 1e-9, "{got:?}");
        assert!((got.signed.unwrap().abs() - want).abs() < 1e-9);
        assert_eq!(got.signed.unwrap() > 0.0, (p.2 > 0.0) == (side > 0.0));
    }
    assert_eq!(nearest(&prepared, &graph, FaceId::new(7), Point3::ORIGIN), None);
}
