//! Feature lines on strips whose angle along the line is known in closed form.

use super::arrangements::{graph_of, model_of, tilted};
use super::feature::{FeatureLine, LineKind, feature_lines};
use super::{JoinGraph, Sheets};
use crate::math::{Vec3, real};
use crate::nurbs::{KnotVector, Surface};

fn lines_of(patches: Vec<Surface>) -> (Vec<FeatureLine>, JoinGraph) {
    let mut model = model_of(patches);
    // Rows run along y first: up is against Su × Sv.
    model.faces.iter_mut().for_each(|f| f.same_sense = false);
    let graph = graph_of(&model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let found = feature_lines(&Sheets { model: &model, domains: &domains }, &graph);
    (found, graph)
}

const LENGTH: f64 = 200.0;
const WIDTH: f64 = 40.0;

/// The lines in short.
fn told(lines: &[FeatureLine]) -> String {
    let of = |l: &FeatureLine| {
        let (a, b) = (l.stops.first().unwrap(), l.stops.last().unwrap());
        format!("{:?} {:?} {:?} {} stops, {:?} {} to {:?} {}", l.kind, l.faces, l.joins, l.stops.len(), a.point, a.angle, b.point, b.angle)
    };
    lines.iter().map(of).collect::<Vec<_>>().join("\n")
}

/// A flat strip on one side of the x axis of a frame, and on the other a strip that falls away by the slope s(x) = Σ ordinates ×
/// basis functions of `knots`: ruled across, so the angle along the axis is atan s(x).
fn strips(knots: &KnotVector, slopes: &[f64]) -> Vec<Surface> {
    let f = tilted();
    let line = || KnotVector::bezier(1).unwrap();
    let xs: Vec<f64> = knots.greville();
    let net = |y: f64, fall: f64| -> Vec<_> {
        let row = |at: f64| xs.iter().zip(slopes).map(move |(x, s)| (*x, at, -at.abs() * fall * s));
        let rows = if y < 0.0 { [y, 0.0] } else { [0.0, y] };
        let mut points = Vec::new();
        for at in rows {
            points.extend(row(at).map(|(x, y, z)| f.point(x, y, z)));
        }
        points
    };
    let flat = Surface::new(line(), knots.clone(), net(-WIDTH, 0.0), None).unwrap();
    let falling = Surface::new(line(), knots.clone(), net(WIDTH, 1.0), None).unwrap();
    vec![flat, falling]
}

fn straight() -> KnotVector {
    KnotVector::new(1, vec![0.0, 0.0, LENGTH, LENGTH]).unwrap()
}

/// The place along the x axis.
fn x_of(line: &FeatureLine, p: crate::math::Point3) -> f64 {
    let f = tilted();
    assert!(line.stops.len() > 16);
    (p - f.point(0.0, 0.0, 0.0)).dot(f.x)
}

#[test]
fn a_crease_keeps_its_signed_angle() {
    for (slope, sign) in [(0.2, 1.0), (-0.2, -1.0)] {
        let (found, _) = lines_of(strips(&straight(), &[slope, slope]));
        let [one] = found.as_slice() else { panic!("{}", told(&found)) };
        assert_eq!((one.kind, one.closed, one.faces.len()), (LineKind::Crease, false, 2));
        let want = sign * real::atan(0.2).to_degrees();
        assert!(one.stops.iter().all(|s| (s.angle - want).abs() < 1e-9), "{one:?}");
        assert!(one.flips().is_empty() && one.fades(0.5).is_empty());
    }
}

/// s = k (x − x0): the angle passes through zero at x0, whose place is wanted within 1 mm.
#[test]
fn a_flip_is_placed_where_the_angle_passes_through_zero() {
    for x0 in [30.0, 77.7, 150.0] {
        let k = 2e-3;
        let (found, _) = lines_of(strips(&straight(), &[-k * x0, k * (LENGTH - x0)]));
        let [one] = found.as_slice() else { panic!("{}", told(&found)) };
        let flips = one.flips();
        let [flip] = flips.as_slice() else { panic!("{x0}: {flips:?}") };
        let [zero] = flip.zeros.as_slice() else { panic!("{flip:?}") };
        assert!((x_of(one, zero.point) - x0).abs() < 0.05, "{} against {x0}", x_of(one, zero.point));
        let lesser = if x0 < 100.0 { -real::atan(k * x0) } else { real::atan(k * (LENGTH - x0)) };
        assert!((flip.peak.angle - lesser.to_degrees()).abs() < 1e-6, "{flip:?}");
        assert!((flip.length - x0.min(LENGTH - x0)).abs() < 0.05, "{flip:?}");
        assert!(one.fades(0.5).is_empty(), "{:?}", one.fades(0.5));
    }
}

/// A cubic spline that is zero up to x0 and rises as its cube from there: the line fades out, and no flip is told. With the
/// slope k (x − x0)³ the angle has half its size at x0 + (L − x0)/∛2 as long as it is small.
#[test]
fn a_line_that_fades_out_is_no_flip() {
    let x0 = 80.0;
    let knots = KnotVector::new(3, vec![0.0, 0.0, 0.0, 0.0, x0, x0, x0, LENGTH, LENGTH, LENGTH, LENGTH]).unwrap();
    for end in [0.12, -0.12] {
        let (found, _) = lines_of(strips(&knots, &[0.0, 0.0, 0.0, 0.0, 0.0, 0.0, end]));
        let [one] = found.as_slice() else { panic!("{}", told(&found)) };
        assert!(one.flips().is_empty());
        let fades = one.fades(0.5);
        let [fade] = fades.as_slice() else { panic!("{fades:?}") };
        // Zero within 0.02°: k t³ = 3.49e-4.
        let gone = real::cbrt(3.49e-4 / 0.12) * (LENGTH - x0);
        assert!((x_of(one, fade.at.point) - (x0 + gone)).abs() < 2.1, "{} against {}", x_of(one, fade.at.point), x0 + gone);
        let half = (LENGTH - x0) / real::cbrt(2.0);
        assert!((fade.length - (half - gone)).abs() < 4.0, "{fade:?} against {}", half - gone);
    }
}

/// Convex, then nothing for a while, then concave: two lines that fade out, and no flip.
#[test]
fn a_line_that_stays_away_and_comes_back_the_other_way_is_no_flip() {
    let knots = KnotVector::new(1, vec![0.0, 0.0, 60.0, 120.0, LENGTH, LENGTH]).unwrap();
    let (mut found, _) = lines_of(strips(&knots, &[0.1, 0.0, 0.0, -0.1]));
    // Where the slope bends the falling strip has creases of its own across.
    found.retain(|l| l.faces.len() == 2);
    let [one] = found.as_slice() else { panic!("{}", told(&found)) };
    assert!(one.flips().is_empty(), "{:?}", one.flips());
    assert_eq!(one.fades(0.5).len(), 2, "{:?}", one.fades(0.5));
}

/// A crease along a sine in plan inflects where the sine is zero between its ends, and in side view nowhere.
#[test]
fn a_line_inflects_where_its_plan_does() {
    let f = tilted();
    let wave = |x: f64| 12.0 * real::sin(x / LENGTH * 2.0 * real::TAU);
    // A cubic through the wave is near enough: zeros move by far less than a station.
    let n = 60;
    let knots = {
        let mut k = vec![0.0; 4];
        k.extend((1..n).map(|i| LENGTH * f64::from(i) / f64::from(n)));
        k.extend([LENGTH; 4]);
        KnotVector::new(3, k).unwrap()
    };
    let xs = knots.greville();
    let line = || KnotVector::bezier(1).unwrap();
    let strip = |from: f64, to: f64, fall: f64| {
        let at = |x: f64, d: f64| f.point(x, wave(x) + d, -fall * d.abs());
        let mut points: Vec<_> = xs.iter().map(|&x| at(x, from)).collect();
        points.extend(xs.iter().map(|&x| at(x, to)));
        Surface::new(line(), knots.clone(), points, None).unwrap()
    };
    let (found, _) = lines_of(vec![strip(-WIDTH, 0.0, 0.0), strip(0.0, WIDTH, 0.2)]);
    let [one] = found.as_slice() else { panic!("{}", told(&found)) };
    let places: Vec<f64> = one.inflections(f.z).into_iter().map(|p| x_of(one, p)).collect();
    assert_eq!(places.len(), 3, "{places:?}");
    let mut rising = places.clone();
    rising.sort_by(f64::total_cmp);
    for (got, want) in rising.iter().zip([50.0, 100.0, 150.0]) {
        assert!((got - want).abs() < 2.5, "{got} against {want}");
    }
    assert!(one.inflections(f.y).is_empty());
}

/// Two flat walls rounded by a cylinder of radius r: one rounded line whose angle is the walls', 90°, convex from outside; as a
/// groove, concave.
#[test]
fn a_rounded_edge_is_a_line_of_its_walls_angle() {
    let (f, r, wall) = (tilted(), 3.0, 40.0);
    let w = 0.5_f64.sqrt();
    let line = || KnotVector::bezier(1).unwrap();
    let flat = |along: Vec3, at: (f64, f64)| {
        let p = |s: f64, x: f64| f.point(at.0, at.1, 0.0) + f.z * x + along * s;
        Surface::new(line(), line(), vec![p(0.0, 0.0), p(0.0, 100.0), p(wall, 0.0), p(wall, 100.0)], None).unwrap()
    };
    let arc = [(r, 0.0, 1.0), (r, r, w), (0.0, r, 1.0)];
    let points = arc.iter().flat_map(|a| [f.point(a.0, a.1, 0.0), f.point(a.0, a.1, 100.0)]).collect();
    let weights = arc.iter().flat_map(|a| [a.2, a.2]).collect();
    let rounded = Surface::new(KnotVector::bezier(2).unwrap(), line(), points, Some(weights)).unwrap();
    for outward in [true, false] {
        let mut model = model_of(vec![flat(-f.y, (r, 0.0)), flat(-f.x, (0.0, r)), rounded.clone()]);
        // The side that the file states for all faces decides which way an open skin faces.
        let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        let middle = f.point(-20.0, -20.0, 50.0);
        for face in &mut model.faces {
            let (u, v) = face.surface.domain();
            let d = face.surface.derivs(u.at(0.5), v.at(0.5), 1);
            face.same_sense = (d.su.cross(d.sv).dot(d.s - middle) > 0.0) == outward;
        }
        let graph = graph_of(&model);
        let found = feature_lines(&Sheets { model: &model, domains: &domains }, &graph);
        let [one] = found.as_slice() else { panic!("{}", told(&found)) };
        assert_eq!((one.kind, one.faces.len()), (LineKind::Transition, 1));
        let want = if outward { 90.0 } else { -90.0 };
        assert!(one.stops.iter().all(|s| (s.angle - want).abs() < 1e-6), "{one:?}");
    }
}
