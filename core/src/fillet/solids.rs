//! Whole bodies built from patches: every blend face is found, and no other.

use super::profiles::{Carry, Plane2, sheet};
use super::tests::found;
use super::{BlendKind, Fillets};
use crate::geometry::{Sphere, Surface, spline_form};
use crate::joins::arrangements::{model_of, tilted};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::nurbs;

const QUARTER: f64 = real::FRAC_PI_2;

/// A bilinear patch.
fn flat(corners: [Point3; 4]) -> nurbs::Surface {
    let line = || nurbs::KnotVector::bezier(1).unwrap();
    nurbs::Surface::new(line(), line(), corners.to_vec(), None).unwrap()
}

/// Axes of the face whose normal is `axis` times `sign`: normal, then two in its plane.
fn axes(f: &Frame, axis: usize, sign: f64) -> [Vec3; 3] {
    let unit = |k: usize| [f.vector(1.0, 0.0, 0.0), f.vector(0.0, 1.0, 0.0), f.vector(0.0, 0.0, 1.0)][k % 3];
    [unit(axis) * sign, unit(axis + 1), unit(axis + 2)]
}

/// A box with all edges rounded: six planes, twelve cylinders, eight eighths of a sphere. Names tell what each is.
fn rounded_box(size: [f64; 3], r: f64) -> Vec<(Option<BlendKind>, nurbs::Surface)> {
    let f = tilted();
    let o = f.point(0.0, 0.0, 0.0);
    let inner = size.map(|s| 0.5 * s - r);
    let mut all = Vec::new();
    for axis in 0..3 {
        for sign in [-1.0, 1.0] {
            let [n, a, b] = axes(&f, axis, sign);
            let (x, y, z) = (a * inner[(axis + 1) % 3], b * inner[(axis + 2) % 3], n * (inner[axis] + r));
            all.push((None, flat([o + z - x - y, o + z - x + y, o + z + x - y, o + z + x + y])));
        }
        // Edges along the axis.
        for (p, q) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
            let [n, a, b] = axes(&f, axis, 1.0);
            let (a, b) = (a * p, b * q);
            let middle = o + a * inner[(axis + 1) % 3] + b * inner[(axis + 2) % 3];
            // The profile's x and y along a and b, carried along n.
            let along = Frame::from_axis(middle - n * inner[axis], Some(n), Some(a));
            let flip = along.vector(0.0, 1.0, 0.0).dot(b);
            let arc = Plane2::arc([0.0, 0.0], r, 0.0, QUARTER * flip);
            all.push((Some(BlendKind::Edge), sheet(&along, &arc, Carry::Along(2.0 * inner[axis]))));
        }
    }
    for corner in 0..8 {
        let side = |k: usize| if corner >> k & 1 == 1 { 1.0 } else { -1.0 };
        let [x, y, z] = [0, 1, 2].map(|k| axes(&f, k, side(k))[0]);
        let centre = o + x * inner[0] + y * inner[1] + z * inner[2];
        let sphere = Surface::Sphere(Sphere { frame: Frame::from_axis(centre, Some(z), Some(x)), radius: r });
        let turned = Frame::from_axis(centre, Some(z), Some(x)).vector(0.0, 1.0, 0.0).dot(y) < 0.0;
        let u = if turned { Interval::new(-QUARTER, 0.0) } else { Interval::new(0.0, QUARTER) };
        all.push((Some(BlendKind::Corner), spline_form(&sphere, u, Interval::new(0.0, QUARTER), 1e-9).unwrap()));
    }
    all
}

fn hold(name: &str, pieces: Vec<(Option<BlendKind>, nurbs::Surface)>) -> Fillets {
    let (kinds, patches): (Vec<_>, Vec<_>) = pieces.into_iter().unzip();
    let all = found(&model_of(patches));
    let got: Vec<_> = all.blends.iter().map(|b| b.as_ref().map(|b| b.kind)).collect();
    assert_eq!(got, kinds, "{name}");
    all
}

#[test]
fn a_box_with_all_edges_rounded() {
    for (size, r) in [([80.0, 50.0, 30.0], 4.0), ([300.0, 40.0, 40.0], 12.0), ([20.0, 14.0, 9.0], 0.7)] {
        let all = hold("rounded box", rounded_box(size, r));
        assert_eq!(all.chains.len(), 12);
        for s in all.chains.iter().flat_map(|c| &c.stations) {
            let setting = s.setting.unwrap();
            assert!(s.convex, "edges of a body stand out");
            assert!((s.radius - r).abs() < 1e-6 * r && (setting.opening - 90.0).abs() < 1e-6 && setting.balance() > 1.0 - 1e-6);
        }
    }
}

/// A profile of lines and rounds, carried on: concave and convex, with a chamfer and a slot's end, which are no blends.
#[test]
fn a_bracket_of_plates() {
    let corner = |a: [f64; 2], b: [f64; 2], c: [f64; 2], r: f64| {
        // The round of radius r at b between the ways from a and to c: touching points and the arc.
        let way = |p: [f64; 2], q: [f64; 2]| {
            let l = real::hypot(q[0] - p[0], q[1] - p[1]);
            [(q[0] - p[0]) / l, (q[1] - p[1]) / l]
        };
        let (u, v) = (way(b, a), way(b, c));
        let half = 0.5 * real::acos(u[0] * v[0] + u[1] * v[1]);
        let t = r / real::tan(half);
        let (p, q) = ([b[0] + u[0] * t, b[1] + u[1] * t], [b[0] + v[0] * t, b[1] + v[1] * t]);
        (p, q, Plane2::conic(p, b, q, real::sin(half)))
    };
    let points = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [110.0, 55.0], [110.0, 100.0], [118.0, 108.0], [160.0, 108.0]];
    let radii = [6.0, 9.0, 4.0, 0.0, 0.0];
    for carry in [Carry::Along(35.0), Carry::Along(4.0), Carry::Round(200.0, 0.6)] {
        let (mut pieces, mut from) = (Vec::new(), points[0]);
        for (w, r) in points.windows(3).zip(radii) {
            let (p, q, round) = if r > 0.0 { corner(w[0], w[1], w[2], r) } else { (w[1], w[1], Plane2::line(w[1], w[1])) };
            pieces.push((None, sheet(&tilted(), &Plane2::line(from, p), carry)));
            if r > 0.0 {
                pieces.push((Some(BlendKind::Edge), sheet(&tilted(), &round, carry)));
            }
            from = q;
        }
        pieces.push((None, sheet(&tilted(), &Plane2::line(from, points[6]), carry)));
        // Half a turn between parallel walls: an end, not a blend.
        let end = Plane2::arc([160.0, 120.0], 12.0, -QUARTER, 0.0);
        let over = Plane2::arc([160.0, 120.0], 12.0, 0.0, QUARTER);
        pieces.push((None, sheet(&tilted(), &end, carry)));
        pieces.push((None, sheet(&tilted(), &over, carry)));
        pieces.push((None, sheet(&tilted(), &Plane2::line([160.0, 132.0], [120.0, 132.0]), carry)));
        let all = hold("bracket", pieces);
        assert_eq!(all.chains.len(), 3);
    }
}

/// A boss on a plate, all of it turned: a round at its foot and one at its rim, in pieces of a quarter.
#[test]
fn a_boss_on_a_plate() {
    let profile = [
        (None, Plane2::line([0.0, 60.0], [0.0, 26.0])),
        (Some(BlendKind::Edge), Plane2::arc([5.0, 26.0], 5.0, -real::PI, -QUARTER)),
        (None, Plane2::line([5.0, 21.0], [30.0, 21.0])),
        (Some(BlendKind::Edge), Plane2::arc([30.0, 19.0], 2.0, QUARTER, 0.0)),
        (None, Plane2::line([32.0, 19.0], [32.0, 6.0])),
    ];
    // Turned about y = 0, from the four quarters of a turn.
    let mut pieces = Vec::new();
    let f = tilted();
    for k in 0..4 {
        let t = f64::from(k) * QUARTER;
        let (sin, cos) = real::sin_cos(t);
        // The frame turned about its own x.
        let [x, y, z] = [f.vector(1.0, 0.0, 0.0), f.vector(0.0, cos, sin), f.vector(0.0, -sin, cos)];
        let turned = Frame::from_axis(f.point(0.0, 0.0, 0.0), Some(z), Some(x));
        assert!(turned.vector(0.0, 1.0, 0.0).dot(y) > 0.99);
        pieces.extend(profile.iter().map(|(kind, c)| (*kind, sheet(&turned, c, Carry::Round(0.0, QUARTER)))));
    }
    let all = hold("boss", pieces);
    assert_eq!(all.chains.len(), 2, "the quarters of a rim are one fillet");
    for (chain, r) in all.chains.iter().zip([5.0, 2.0]) {
        assert_eq!(chain.faces.len(), 4);
        assert!(chain.stations.iter().all(|s| (s.radius - r).abs() < 1e-4 * r && s.setting.unwrap().balance() > 0.999));
    }
    // Which side of an open sheet is out is a matter of definition; that foot and rim bend opposite ways is not.
    let convex: Vec<Vec<bool>> = all.chains.iter().map(|c| c.stations.iter().map(|s| s.convex).collect()).collect();
    assert!(convex[0].iter().all(|&c| c == convex[0][0]) && convex[1].iter().all(|&c| c != convex[0][0]), "{convex:?}");
}

/// Between two planes at a right angle a cone: its radius grows along the edge. All in one section in closed form.
#[test]
fn a_fillet_that_widens() {
    let f = tilted();
    for (from, to, length) in [(4.0, 10.0, 60.0), (6.0, 7.0, 25.0), (9.0, 3.0, 80.0)] {
        let a = |x: f64| from + (to - from) * x / length;
        let at = |x: f64, y: f64, z: f64| f.point(x, y, z);
        let wall = flat([at(0.0, a(0.0), 0.0), at(0.0, 50.0, 0.0), at(length, a(length), 0.0), at(length, 50.0, 0.0)]);
        let floor = flat([at(0.0, 0.0, a(0.0)), at(0.0, 0.0, 50.0), at(length, 0.0, a(length)), at(length, 0.0, 50.0)]);
        let w = core::f64::consts::FRAC_1_SQRT_2;
        let (bezier, line) = (nurbs::KnotVector::bezier(2).unwrap(), nurbs::KnotVector::bezier(1).unwrap());
        let row = |x: f64| [at(x, a(x), 0.0), at(x, 0.0, 0.0), at(x, 0.0, a(x))];
        let (p, q) = (row(0.0), row(length));
        let net = (0..3).flat_map(|k| [p[k], q[k]]).collect();
        let cone = nurbs::Surface::new(bezier, line, net, Some(vec![1.0, 1.0, w, w, 1.0, 1.0])).unwrap();
        let all = hold("widening", vec![(None, wall), (None, floor), (Some(BlendKind::Edge), cone)]);
        let [chain] = &all.chains[..] else { panic!("{} fillets", all.chains.len()) };
        let k = (to - from) / length;
        for s in &chain.stations {
            // The spine runs along (1, k/2, k/2) through (x, a/2, a/2); its plane meets the edge at x + k·a/2 and the wall's rail,
            // (x′, a(x′), 0), where (x′ − x) + (k/2)(a(x′) − a) = 0.
            let local = f.local(s.spine);
            let (x, here) = (local.x, a(local.x));
            assert!((local.y - 0.5 * here).abs() < 1e-6 && (local.z - 0.5 * here).abs() < 1e-6, "{local:?}");
            let edge = x + 0.5 * k * here;
            // a(x′) = a + k (x′ − x): x′ = x.
            let setback = real::hypot(edge - x, here);
            let setting = s.setting.unwrap();
            assert!(setting.setbacks.iter().all(|b| (b - setback).abs() < 2e-3 * setback), "{:?} {setback}", setting.setbacks);
            // Directions from the edge point to the touching points.
            let cosine = (edge - x) * (edge - x) / (setback * setback);
            assert!((setting.opening - real::acos(cosine).to_degrees()).abs() < 0.05);
        }
    }
}

/// A blend whose rails are curves of its own on two planes that do not reach each other, as faces are blended rather than edges: rails are
/// parabolas, sections conics with their shoulder on the line where the planes, run on, meet. Walls that end the planes are no blends.
#[test]
fn a_face_blend_between_planes_that_do_not_reach_each_other() {
    let f = tilted();
    for (opening, at_a, at_b, w) in
        [(90.0, [12.0, 20.0, 9.0], [10.0, 15.0, 14.0], 0.7), (115.0, [8.0, 5.0, 11.0], [9.0, 14.0, 7.0], 0.55_f64)]
    {
        let (sin, cos) = real::sin_cos(f64::to_radians(opening));
        let z = [0.0, 45.0, 90.0];
        let on_a = |i: usize, reach: f64| f.point(-reach, 0.0, z[i]);
        let on_b = |i: usize, reach: f64| f.point(-reach * cos, reach * sin, z[i]);
        let (line, bezier) = (|| nurbs::KnotVector::bezier(1).unwrap(), || nurbs::KnotVector::bezier(2).unwrap());
        let ruled = |of: &dyn Fn(usize) -> [Point3; 2]| {
            let net = (0..2).flat_map(|k| (0..3).map(move |i| of(i)[k])).collect();
            nurbs::Surface::new(line(), bezier(), net, None).unwrap()
        };
        let floor = ruled(&|i| [on_a(i, 70.0), on_a(i, at_a[i])]);
        let slope = ruled(&|i| [on_b(i, at_b[i]), on_b(i, 60.0)]);
        let section = |i: usize| [on_a(i, at_a[i]), f.point(0.0, 0.0, z[i]), on_b(i, at_b[i])];
        let net = (0..3).flat_map(|k| (0..3).map(move |i| section(i)[k])).collect();
        let weights = [1.0, w, 1.0].into_iter().flat_map(|x| [x; 3]).collect();
        let blend = nurbs::Surface::new(bezier(), bezier(), net, Some(weights)).unwrap();
        let up = f.vector(0.0, 1.0, 0.0);
        let wall = flat([on_a(0, 70.0), on_a(0, 70.0) + up * 30.0, on_a(2, 70.0), on_a(2, 70.0) + up * 30.0]);
        let all = hold("face blend", vec![(None, floor), (Some(BlendKind::Edge), blend), (None, slope), (None, wall)]);
        let [chain] = &all.chains[..] else { panic!("{} fillets", all.chains.len()) };
        assert!(chain.stations.len() >= 9);
        for s in &chain.stations {
            // The theoretical edge is the line where the planes meet, wherever the rails run.
            let edge = f.local(s.setting.unwrap().edge);
            assert!(real::hypot(edge.x, edge.y) < 1e-3, "{edge:?}");
        }
    }
}
