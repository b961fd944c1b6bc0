//! Spread, climb, kink and the leap over a gap on shapes whose answer is known.

use super::closed_forms::model_of;
use super::*;
use crate::geometry::{Cone, Cylinder, Domain, Surface, Torus};
use crate::highlight::{Eye, Family, LampRig};
use crate::joins::arrangements::master;
use crate::joins::{Border, Class, JoinGraph, Meeting, Options, Sheets};
use crate::math::{Frame, Interval, Point3, Similarity, Vec3, real};
use crate::model::Model;
use crate::nurbs::{self, KnotVector};
use crate::progress::Silent;
use crate::tessellate::{Tolerance, tessellate};

fn frame() -> Frame {
    Frame::from_axis(Point3::new(40.0, -120.0, 70.0), Some(Vec3::new(1.0, 2.0, 4.0)), Some(Vec3::new(0.3, 1.0, 0.0)))
}

fn isophotes(direction: Vec3, spacing: f64) -> LampRig {
    let rig = LampRig {
        family: Family::Isophote,
        direction,
        across: LampRig::across(direction, 0.0),
        centre: Vec3::ZERO,
        distance: 1000.0,
        count: 5,
        spacing,
        width: 0.5 * spacing,
        eye: Eye::Far(Vec3::Z),
    };
    rig.checked().unwrap()
}

/// The stripes of faces cut from surfaces, and the walk along each line.
fn traced(faces: Vec<(Surface, Interval, Interval)>, rig: &LampRig) -> (Stripes, Vec<Vec<Stop>>, Vec<Leap>) {
    let domains: Vec<Option<Domain>> = faces.iter().map(|(s, u, v)| Domain::rectangle(s, *u, *v).ok()).collect();
    let areas: Vec<f64> = faces.iter().zip(&domains).map(|(f, d)| d.as_ref().unwrap().area(&f.0)).collect();
    let faces = faces.into_iter().flat_map(|(s, _, _)| model_of(s).faces).collect();
    let model = Model { faces, parts: vec!["one".into()], ..Model::default() };
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).unwrap();
    let meshes = tessellate(&model, &domains, &Tolerance::for_size(800.0), &mut Silent);
    let all = stripes(rig, &sheets, &meshes, &graph, &Precision::default(), &mut Silent);
    let walks = all.lines.iter().map(|l| walk(rig, &sheets, &graph, &all, l)).collect();
    let traced = leaps(rig, &sheets, &all);
    // Solved for at the outlines alone they are the same.
    let outlines = (0..graph.joins.len()).filter(|&i| graph.joins[i].class == Class::Outline).flat_map(|i| graph.tracks(i));
    let direct = leaps_between(rig, &sheets, outlines);
    assert_eq!(traced.len(), direct.len());
    for l in &traced {
        let like = |m: &&Leap| m.value == l.value && m.a.1.distance(l.a.1).min(m.b.1.distance(l.a.1)) < 1e-6;
        let twin = direct.iter().find(like).expect("solved for too");
        assert!((twin.offset - l.offset).abs() < 1e-6 && (twin.angle - l.angle).abs() < 1e-5, "{l:?} {twin:?}");
    }
    (all, walks, traced)
}

/// Isophotes of a cone are its rulings; their spacing grows as the distance from the apex.
#[test]
fn spread_on_a_cone_is_the_ratio_of_distances_from_the_apex() {
    let (f, radius, half_angle) = (frame(), 150.0, 0.3);
    let s = Surface::Cone(Cone { frame: f, radius, half_angle });
    let (low, high) = (-200.0, 400.0);
    let rho = |v: f64| radius + v * real::tan(half_angle);
    let rig = isophotes(f.x + f.y * 0.4 + f.z * 0.5, 0.08);
    let (_, walks, _) = traced(vec![(s, Interval::new(0.0, 1.3), Interval::new(low, high))], &rig);
    let mut seen = 0;
    for stops in walks {
        let got = spread(&stops).unwrap();
        assert!((got.ratio - rho(high) / rho(low)).abs() < 1e-9, "{got:?}");
        let opens = (stops[stops.len() - 1].point - f.origin).dot(f.z) > (stops[0].point - f.origin).dot(f.z);
        assert_eq!(got.course, if opens { Course::Opening } else { Course::Closing });
        // Against the axis a ruling has half the opening angle, at both ends.
        let climb = climb(&stops, &|_| f.z).unwrap();
        assert!(climb.start.abs() < 1e-6 && climb.change().abs() < 1e-6, "{climb:?}");
        seen += 1;
    }
    assert!(seen > 5, "{seen}");
}

/// z = k(x) y² / 2 with k designed: under a light near z, values are nearly the slope k y, so that stripes lie at
/// y = c/k(x) and are spaced as 1/k(x), to second order in the slope.
fn designed(k: impl Fn(f64) -> f64) -> Surface {
    // Degree 5 × 2 in its own (u, v): exact for k of degree 5, whose Bézier ordinates are found by interpolation.
    let n = 5usize;
    let choose = |n: usize, i: usize| (0..i).fold(1.0, |c, j| c * (n - j) as f64 / (j + 1) as f64);
    let basis = |i: usize, t: f64| choose(n, i) * (0..i).fold(1.0, |p, _| p * t) * (i..n).fold(1.0, |p, _| p * (1.0 - t));
    // Gauss elimination on the 6 × 6 collocation at even places.
    let mut rows: Vec<Vec<f64>> = (0..=n)
        .map(|r| {
            let t = r as f64 / n as f64;
            (0..=n).map(|i| basis(i, t)).chain([k(600.0 * t)]).collect()
        })
        .collect();
    for c in 0..=n {
        let pivot = (c..=n).max_by(|a, b| rows[*a][c].abs().total_cmp(&rows[*b][c].abs())).unwrap();
        rows.swap(c, pivot);
        for r in 0..=n {
            if r != c {
                let m = rows[r][c] / rows[c][c];
                let from = rows[c].clone();
                rows[r].iter_mut().zip(from).for_each(|(x, y)| *x -= m * y);
            }
        }
    }
    let ordinates: Vec<f64> = (0..=n).map(|i| rows[i][n + 1] / rows[i][i]).collect();
    let half = 200.0;
    let net = (0..=n)
        .flat_map(|i| {
            let (x, q) = (600.0 * i as f64 / n as f64, 0.5 * ordinates[i] * half * half);
            [(-half, q), (0.0, -q), (half, q)].map(|(y, z)| Point3::new(x, y, z))
        })
        .collect();
    Surface::Nurbs(nurbs::Surface::new(KnotVector::bezier(n).unwrap(), KnotVector::bezier(2).unwrap(), net, None).unwrap())
}

const WHOLE: Interval = Interval { low: 0.0, high: 1.0 };

#[test]
fn spread_and_climb_of_a_designed_taper() {
    let k0 = 4e-4;
    // A light in the y–z plane, tilted: stripes of all values lie on one side of its apex.
    let rig = isophotes(Vec3::new(0.0, -0.6, 1.0), 0.012);
    for taper in [0.25, 0.6, -0.35] {
        let k = |x: f64| k0 * (1.0 + taper * x / 600.0);
        let (_, walks, _) = traced(vec![(designed(k), WHOLE, WHOLE)], &rig);
        let mut seen = 0;
        // Stripes that run from end to end.
        for stops in walks.iter().filter(|s| (s[0].point.x - s[s.len() - 1].point.x).abs() > 599.0) {
            let got = spread(stops).unwrap();
            let want = (1.0 + taper).max(1.0 / (1.0 + taper));
            assert!((got.ratio - want).abs() < 0.05 * want, "{} against {want}", got.ratio);
            let wider_at_start = stops[0].point.x < 1.0;
            assert_eq!(got.course == Course::Closing, wider_at_start == (taper > 0.0));
            // y = c/k(x): y′ = −y k′/k, seen in plan; the slope of the patch itself is small.
            let plan = |s: &Stop| real::atan(-s.point.y * k0 * taper / 600.0 / k(s.point.x)).to_degrees();
            let turned = plan(&stops[stops.len() - 1]) - plan(&stops[0]);
            let climb = climb(stops, &|_| Vec3::X).unwrap();
            // Angles of some degrees; those next to the crown line are too small to be graded by a share.
            if turned.abs() > 0.5 {
                assert!((climb.change().abs() - turned.abs()).abs() < 0.05 * turned.abs(), "{} against {turned}", climb.change());
                seen += 1;
            }
        }
        assert!(seen >= 4, "{seen} of {}", walks.len());
    }
}

#[test]
fn a_waist_pinches_and_a_cylinder_is_even() {
    let rig = isophotes(Vec3::new(0.0, -0.6, 1.0), 0.012);
    let waist = |x: f64| 4e-4 * (1.0 + 0.5 * (1.0 - (x / 300.0 - 1.0) * (x / 300.0 - 1.0)));
    // Slope of the function: k across and k′ y along; k′ is nought in the waist itself.
    let slope = |peak: f64, y: f64| real::hypot(4e-4, 4e-4 * peak * 2.0 / 300.0 * y);
    for (surface, course, peak) in [(designed(waist), Course::Pinched, 0.5), (designed(|_| 4e-4), Course::Even, 0.0)] {
        let (_, walks, _) = traced(vec![(surface, WHOLE, WHOLE)], &rig);
        let through: Vec<_> = walks.iter().filter(|s| (s[0].point.x - s[s.len() - 1].point.x).abs() > 599.0).collect();
        assert!(through.len() > 4);
        for stops in through {
            let got = spread(stops).unwrap();
            assert_eq!(got.course, course, "{got:?}");
            let want = slope(peak, stops[0].point.y) / (4e-4 * (1.0 + peak));
            assert!((got.narrowest.0 / got.start - want).abs() < 0.05 * want, "{got:?} {want}");
        }
    }
}

#[test]
fn panels_cut_from_one_surface_read_no_leap() {
    let bumps: Vec<f64> = (0..41).map(|k| 0.5 * real::sin(2.7 * f64::from(k))).collect();
    for rational in [false, true] {
        let s = Surface::Nurbs(master(5, 4, 1, &bumps, rational));
        let d = s.derivs(0.5, 0.5, 1);
        let n = d.su.cross(d.sv).normalize();
        let rig = isophotes(n + d.sv.normalize() * 0.9, 0.04);
        let panels = vec![(s.clone(), Interval::new(0.0, 0.45), WHOLE), (s.clone(), Interval::new(0.462, 1.0), WHOLE)];
        let (_, _, leaps) = traced(panels, &rig);
        assert!(leaps.len() > 3, "{}", leaps.len());
        for l in leaps {
            assert!(l.offset < 1e-6 && l.angle < 1e-5, "{l:?}");
        }
    }
}

/// Isophotes of a cylinder are its rulings. A panel turned about the axis by θ carries them along by the chord
/// 2 r sin(θ/2); a shift adds to it; a turn by θ about the radius in the middle of the gap is their angle there.
#[test]
fn a_turned_and_shifted_panel_reads_what_the_formula_gives() {
    let (f, radius, theta) = (frame(), 300.0, f64::to_radians(0.5));
    let rig = isophotes(f.x + f.y * 1.2, 0.08);
    let s = Surface::Cylinder(Cylinder { frame: f, radius });
    let turned = |axis: Vec3, about: Point3, shift: Vec3| {
        let turn = |v: Vec3| {
            let (sin, cos) = real::sin_cos(theta);
            v * cos + axis.cross(v) * sin + axis * axis.dot(v) * (1.0 - cos)
        };
        let moved = Frame { origin: about + turn(f.origin - about) + shift, x: turn(f.x), y: turn(f.y), z: turn(f.z) };
        Surface::Cylinder(Cylinder { frame: moved, radius })
    };
    let (u, left, right) = (Interval::new(-0.6, 1.0), Interval::new(-200.0, 0.0), Interval::new(3.5, 240.0));
    // About the axis, with a shift square to it.
    for shift in [Vec3::ZERO, f.x * 0.3, f.y * -0.3, f.x * 0.2 + f.y * 0.2] {
        let other = turned(f.z, f.origin, shift);
        let (_, _, leaps) = traced(vec![(s.clone(), u, left), (other, u, right)], &rig);
        assert!(leaps.len() > 5, "{}", leaps.len());
        for l in leaps {
            // The light stays, so a ruling of the turned panel with one value stands where it stood, less the turn of
            // the panel: the normal that has the value is the same, the point on it moves with the axis only.
            let n = (l.a.1 - f.origin) - f.z * (l.a.1 - f.origin).dot(f.z);
            let want = shift.length();
            assert!((l.offset - want).abs() < 1e-6, "{l:?} {want} {n}");
            assert!(l.angle < 1e-5, "{l:?}");
        }
    }
    // About the radius that stands in the middle of the gap, at the middle of the panel, and shifted by 0.3 mm as well.
    let radial = (f.x * real::cos(0.2) + f.y * real::sin(0.2)).normalize();
    let about = f.origin + f.z * 1.75 + radial * radius;
    for shift in [Vec3::ZERO, f.x * 0.3, (f.y - f.z).normalize() * 0.3] {
        let other = turned(radial, about, shift);
        let Surface::Cylinder(Cylinder { frame: g, .. }) = other.clone() else { panic!("a cylinder") };
        let (_, _, between) = traced(vec![(s.clone(), u, left), (other, u, right)], &rig);
        assert!(between.len() > 5, "{}", between.len());
        for l in between {
            assert!((l.angle - 0.5).abs() < 1e-5, "{l:?}");
            // Normals at the angle c from the light stand at turns of acos(cos c / |light across|) from it: rulings that end at
            // z = 0 of the one, at 3.5 of the other, and run on along their own axes to the plane half way.
            let end = |f: &Frame, z: f64, near: Point3| {
                let across = rig.direction - f.z * rig.direction.dot(f.z);
                let turn = real::acos(real::cos(l.value) / across.length());
                let (x, y) = (across.normalize(), f.z.cross(across).normalize());
                let points = [turn, -turn].map(|t| f.origin + (x * real::cos(t) + y * real::sin(t)) * radius + f.z * z);
                if points[0].distance(near) < points[1].distance(near) { points[0] } else { points[1] }
            };
            let (p, q) = (end(&f, 0.0, l.a.1), end(&g, 3.5, l.b.1));
            let way = (f.z + g.z).normalize();
            let middle = p.lerp(q, 0.5);
            let on = |p: Point3, z: Vec3| p + z * ((middle - p).dot(way) / z.dot(way));
            let want = on(p, f.z).distance(on(q, g.z));
            assert!((l.offset - want).abs() < 1e-6, "{l:?} {want}");
            assert!((l.middle[0].distance(l.middle[1]) - l.offset).abs() < 1e-12);
        }
    }
}

/// Two tori with one outer equator touch along it: curvature 1/(R+r) along and 1/r across. The largest kink of isophotes
/// with gradients (k₁ cos, k₂ sin) and (k₁ cos, k₃ sin) is atan √(k₃/k₂) − atan √(k₂/k₃), at tan² = k₁²/(k₂k₃)
/// (elementary).
#[test]
fn the_largest_kink_over_all_lamps() {
    let f = frame();
    for (r1, r2) in [(20.0, 30.0), (20.0, 21.0), (5.0, 12.0)] {
        let border = |minor: f64, side: f64| {
            let t = Torus { frame: f, major: 200.0 - minor, minor };
            let d = t.derivs(0.7, 0.0);
            Border { derivs: d, along: d.su.normalize() * side }
        };
        let meeting = Meeting { a: border(r1, 1.0), b: Some(border(r2, -1.0)), sign: 1.0, smooth: f64::INFINITY };
        let (k2, k3) = (1.0 / r1, 1.0 / r2);
        let want = (real::atan((k3 / k2).sqrt()) - real::atan((k2 / k3).sqrt())).abs().to_degrees();
        let (got, light) = largest_kink(&meeting, 0.0).unwrap();
        assert!((got - want).abs() < 1e-9, "{got} {want}");
        assert!((light.length() - 1.0).abs() < 1e-12);
    }
    // One torus met by itself has none; a plane on one side leaves no stripe to kink.
    let t = Torus { frame: f, major: 100.0, minor: 30.0 };
    let d = t.derivs(0.7, 0.0);
    let a = Border { derivs: d, along: d.su };
    let same = Meeting { a, b: Some(Border { along: -d.su, ..a }), sign: 1.0, smooth: f64::INFINITY };
    assert!(largest_kink(&same, 0.0).unwrap().0 < 1e-6);
    assert!(largest_kink(&Meeting { b: None, ..same }, 0.0).is_none());
}

/// Moving model and rig together changes no length or angle.
#[test]
fn rigid_motion_changes_nothing() {
    let k = |x: f64| 4e-4 * (1.0 + 0.4 * x / 600.0);
    let surface = designed(k);
    let by = Similarity::between(&Frame { origin: Point3::ORIGIN, x: Vec3::X, y: Vec3::Y, z: Vec3::Z }, &frame());
    let moved = surface.transformed(&by).0;
    let rig = isophotes(Vec3::new(0.0, -0.6, 1.0), 0.012);
    let turned = isophotes(by.vector(rig.direction), 0.012);
    let (_, one, _) = traced(vec![(surface, WHOLE, WHOLE)], &rig);
    let (_, two, _) = traced(vec![(moved, WHOLE, WHOLE)], &turned);
    assert_eq!(one.len(), two.len());
    for (a, b) in one.iter().zip(&two) {
        let (x, y) = (spread(a).unwrap(), spread(b).unwrap());
        assert!((x.ratio - y.ratio).abs() < 1e-8 && (x.start - y.start).abs() < 1e-6, "{x:?} {y:?}");
    }
}

/// What is handed out says what was traced: paths in millimetres, and numbers that read back.
#[test]
fn drawing_and_record_hold_every_line() {
    let k = |x: f64| 4e-4 * (1.0 + 0.4 * x / 600.0);
    let (all, _, _) = traced(vec![(designed(k), WHOLE, WHOLE)], &isophotes(Vec3::new(0.0, -0.6, 1.0), 0.012));
    let text = svg(&all, Vec3::X, Vec3::Y);
    assert_eq!(text.matches("<path ").count(), all.lines.len());
    // 600 mm long and a margin of 5 mm on either side.
    assert!(text.contains("width=\"610.000mm\"") && text.contains("viewBox=\"-5.000 "), "{}", &text[..200]);
    let moves = text.matches('M').count();
    assert_eq!(moves, all.lines.len(), "one path a line, unbroken");
    let back: serde_json::Value = serde_json::from_str(&json(&all)).unwrap();
    let lines = back["lines"].as_array().unwrap();
    assert_eq!(lines.len(), all.lines.len());
    let first = &all.pieces[all.lines[0].pieces[0].0].1;
    let told = lines[0]["pieces"][0]["points"].as_array().unwrap();
    assert_eq!(told.len(), first.points.len());
    let at = if all.lines[0].pieces[0].1 { first.points.len() - 1 } else { 0 };
    assert_eq!(told[0][2].as_f64().unwrap(), first.points[at].z, "shortest form, the same bits");
    assert_eq!(svg(&Stripes::default(), Vec3::X, Vec3::Y).matches("<path").count(), 0);
}
