//! Sections against closed forms.

use super::{Plane, Precision, Profile, SectionFace, SectionLine, apart, section, stack};
use crate::geometry::{Cylinder, Domain, Sphere, Surface, Torus};
use crate::joins::arrangements::{graph_of, master, model_of, tilted};
use crate::joins::{JoinGraph, Options, Sheets};
use crate::math::{Interval, Point3, Vec3, real};
use crate::model::{Face, Model};
use crate::nurbs::{self, Direction, KnotVector};
use crate::progress::Silent;
use crate::tessellate::{Tolerance, tessellate};

fn cut_with(model: &Model, graph: &JoinGraph, plane: &Plane, precision: &Precision) -> Vec<SectionLine> {
    let domains: Vec<Option<Domain>> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    cut_in(model, &domains, graph, plane, precision)
}

fn cut_in(model: &Model, domains: &[Option<Domain>], graph: &JoinGraph, plane: &Plane, precision: &Precision) -> Vec<SectionLine> {
    let sheets = Sheets { model, domains };
    let meshes = tessellate(model, domains, &Tolerance::for_model(model), &mut Silent);
    let faces = SectionFace::all(&sheets, &meshes, graph);
    assert_eq!(faces.len(), model.faces.len());
    section(plane, &faces, graph, precision)
}

fn cut(model: &Model, plane: &Plane) -> Vec<SectionLine> {
    cut_with(model, &graph_of(model), plane, &Precision::default())
}

fn whole(surface: Surface) -> Model {
    Model { faces: vec![Face::whole(surface)], parts: vec!["one".into()], ..Model::default() }
}

fn in_plane(lines: &[SectionLine], plane: &Plane) {
    assert!(!lines.is_empty());
    for p in lines.iter().flat_map(|l| &l.points) {
        assert!(plane.distance(p.point).abs() < 1e-6, "{}", plane.distance(p.point));
    }
}

/// A plane at distance d from the centre of a sphere of radius r cuts a circle of radius √(r² − d²).
#[test]
fn a_sphere_is_cut_in_circles() {
    let (f, r) = (tilted(), 80.0);
    let model = whole(Surface::Sphere(Sphere { frame: f, radius: r }));
    for (way, d) in [(f.z, 30.0), (f.x * 0.6 + f.z * 0.8, -55.0), (f.y, 0.5)] {
        let plane = Plane::through(f.origin + way * d, way).unwrap();
        let lines = cut(&model, &plane);
        in_plane(&lines, &plane);
        let ring = real::hypot(r, 0.0) * real::sin(real::acos(d / r));
        let length: f64 = lines.iter().map(|l| l.points.last().unwrap().along).sum();
        assert!((length - real::TAU * ring).abs() < 1e-3 * ring, "{length} against {}", real::TAU * ring);
        for p in lines.iter().flat_map(|l| &l.points) {
            assert!((p.curvature.abs() - 1.0 / ring).abs() < 1e-9, "{} against {}", p.curvature, 1.0 / ring);
            assert!(((p.point - f.origin).length() - r).abs() < 1e-9);
        }
    }
}

/// Through its axis a torus is cut in two circles of the tube's radius; across it in two rings.
#[test]
fn a_torus_is_cut_in_its_tube() {
    let (f, major, minor) = (tilted(), 60.0, 20.0);
    let model = whole(Surface::Torus(Torus { frame: f, major, minor }));
    let through = Plane::through(f.origin, f.y).unwrap();
    let lines = cut(&model, &through);
    in_plane(&lines, &through);
    let length: f64 = lines.iter().map(|l| l.points.last().unwrap().along).sum();
    assert!((length - 2.0 * real::TAU * minor).abs() < 1e-3 * length, "{length}");
    assert!(lines.iter().flat_map(|l| &l.points).all(|p| (p.curvature.abs() - 1.0 / minor).abs() < 1e-9));
    let across = Plane::through(f.origin, f.z).unwrap();
    let radii: Vec<f64> = cut(&model, &across).iter().flat_map(|l| l.points.clone()).map(|p| 1.0 / p.curvature.abs()).collect();
    assert!(radii.iter().all(|r| (r - 80.0).abs() < 1e-6 || (r - 40.0).abs() < 1e-6));
    assert!(radii.iter().any(|r| *r > 60.0) && radii.iter().any(|r| *r < 60.0));
}

/// A patch cut in two is followed over the cut: the section is that of the whole, to rounding.
#[test]
fn a_section_runs_on_over_a_join() {
    let bumps: Vec<f64> = (0..41).map(|n| 0.6 * real::sin(1.7 * f64::from(n))).collect();
    let one = master(5, 4, 1, &bumps, false);
    let (a, b) = one.split(Direction::U, 0.45).unwrap();
    let (u, v) = one.domain();
    let (p, q) = (one.derivs(u.at(0.0), v.at(0.4), 0).s, one.derivs(u.at(1.0), v.at(0.55), 0).s);
    let normal = (q - p).cross(one.derivs(u.at(0.5), v.at(0.5), 1).su.cross(one.derivs(u.at(0.5), v.at(0.5), 1).sv));
    let plane = Plane::through(p, normal).unwrap();
    let (whole, parts) = (cut(&model_of(vec![one.clone()]), &plane), cut(&model_of(vec![a, b]), &plane));
    in_plane(&parts, &plane);
    let ([x], [y]) = (whole.as_slice(), parts.as_slice()) else { panic!("{} and {}", whole.len(), parts.len()) };
    assert_eq!((x.starts.len(), y.starts.len()), (0, 1));
    let ends = |l: &SectionLine| l.points.last().unwrap().along;
    assert!((ends(x) - ends(y)).abs() < 1e-3, "{} against {}", ends(x), ends(y));
    let joint = &y.points[y.starts[0] - 1..=y.starts[0]];
    assert!(joint[0].point.distance(joint[1].point) < 1e-6 && (joint[0].curvature - joint[1].curvature).abs() < 1e-9);
}

/// A quarter of an ellipse (a cos t, b sin t) pulled along z, as a rational quadratic.
fn ellipse(a: f64, b: f64) -> (Model, Plane) {
    let f = tilted();
    let w = 0.5_f64.sqrt();
    let net = [(a, 0.0, 1.0), (a, b, w), (0.0, b, 1.0)];
    let points = net.iter().flat_map(|p| [f.point(p.0, p.1, 0.0), f.point(p.0, p.1, 50.0)]).collect();
    let weights = net.iter().flat_map(|p| [p.2, p.2]).collect();
    let (u, v) = (KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap());
    let surface = nurbs::Surface::new(u, v, points, Some(weights)).unwrap();
    (model_of(vec![surface]), Plane::through(f.point(0.0, 0.0, 20.0), f.z).unwrap())
}

/// Arc length of the ellipse from t0 to t1 by a fine Simpson's rule.
fn arc(a: f64, b: f64, t0: f64, t1: f64) -> f64 {
    let speed = |t: f64| real::hypot(a * real::sin(t), b * real::cos(t));
    let n = 2000;
    let h = (t1 - t0) / f64::from(n);
    let inner: f64 = (1..n).map(|i| speed(t0 + h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    h / 3.0 * (speed(t0) + inner + speed(t1))
}

/// Turning of a quarter ellipse by thirds of its length: the tangent at t points along (−a sin t, b cos t). Within 0.5 % of the
/// exact section, as is the curvature ab / (a² sin² t + b² cos² t)^(3/2) and the height over the chord, (√2 − 1) ab / √(a² + b²).
#[test]
fn turning_by_thirds_of_an_ellipse() {
    for (a, b) in [(100.0, 60.0), (200.0, 35.0), (50.0, 50.0)] {
        let (model, plane) = ellipse(a, b);
        let lines = cut(&model, &plane);
        in_plane(&lines, &plane);
        let [line] = lines.as_slice() else { panic!("{}", lines.len()) };
        let profile = Profile::new(line, plane.normal).unwrap();
        let total = arc(a, b, 0.0, 0.5 * real::PI);
        assert!((profile.length() - total).abs() < 1e-4 * total, "{} against {total}", profile.length());
        let parameter = |length: f64| {
            let (mut low, mut high) = (0.0, 0.5 * real::PI);
            for _ in 0..60 {
                let t = 0.5 * (low + high);
                if arc(a, b, 0.0, t) < length { low = t } else { high = t }
            }
            0.5 * (low + high)
        };
        // Angle of the tangent from its direction at t = 0.
        let turned = |t: f64| real::atan2(a * real::sin(t), b * real::cos(t));
        let (one, two) = (turned(parameter(total / 3.0)), turned(parameter(2.0 * total / 3.0)));
        let mut want = [one, two - one, 0.5 * real::PI - two];
        let got = profile.thirds();
        let begins_at_a = line.points[0].point.distance(tilted().point(a, 0.0, 20.0)) < 1e-6;
        if !begins_at_a {
            want.reverse();
        }
        for (g, w) in got.iter().zip(want) {
            assert!((g.abs() - w).abs() < 0.005 * w, "{got:?} against {want:?}");
        }
        let crown = profile.crown().unwrap().0.abs();
        let height = (2.0_f64.sqrt() - 1.0) * a * b / real::hypot(a, b);
        assert!((crown - height).abs() < 1e-3 * height, "{crown} against {height}");
        for p in &line.points {
            let q = p.point - tilted().point(0.0, 0.0, 20.0);
            let (s, c) = (q.dot(tilted().y) / b, q.dot(tilted().x) / a);
            let speed = real::hypot(a * s, b * c);
            let k = a * b / (speed * speed * speed);
            assert!((p.curvature.abs() - k).abs() < 1e-9 + 1e-7 * k, "{} against {k}", p.curvature);
        }
        assert!(profile.inflections().is_empty());
    }
}

/// y = c x³ has its inflection at x = 0, and no curvature there.
#[test]
fn a_cubic_inflects_in_its_middle() {
    let f = tilted();
    let (w, c) = (60.0, 1e-4);
    // Bézier ordinates of c x³ over (−w, w).
    let heights = [-1.0, 1.0, -1.0, 1.0].map(|s| s * c * w * w * w);
    let at = |i: usize, z: f64| f.point(-w + 2.0 * w * i as f64 / 3.0, heights[i], z);
    let points = (0..4).flat_map(|i| [at(i, 0.0), at(i, 40.0)]).collect();
    let surface = nurbs::Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap();
    let plane = Plane::through(f.point(0.0, 0.0, 11.0), f.z).unwrap();
    let lines = cut(&model_of(vec![surface]), &plane);
    let profile = Profile::new(&lines[0], plane.normal).unwrap();
    let [(along, point)] = profile.inflections()[..] else { panic!("{:?}", profile.inflections()) };
    assert!(point.distance(f.point(0.0, 0.0, 11.0)) < 0.01, "{along}: {point:?}");
    // Of both halves the steepest bend stands out once.
    assert_eq!(profile.extrema().len(), 2);
}

#[test]
fn a_stack_holds_the_multiples_of_its_spacing() {
    let corners = [Point3::new(-101.0, 0.0, 0.0), Point3::new(250.0, 10.0, 10.0)];
    let planes = stack(Vec3::X * 3.0, 50.0, corners);
    assert_eq!(planes.iter().map(|p| p.offset).collect::<Vec<_>>(), [-100.0, -50.0, 0.0, 50.0, 100.0, 150.0, 200.0, 250.0]);
    assert!(stack(Vec3::X, 0.0, corners).is_empty() && stack(Vec3::ZERO, 1.0, corners).is_empty());
    assert!(stack(Vec3::X, 1e-9, corners).len() <= 1000);
}

/// Each section of these faces is closed, runs once round without a gap, and has one of the lengths wanted, in mm.
fn closed_lines(surface: Surface, rectangle: Option<(Interval, Interval)>, plane: &Plane, want: &[f64]) {
    let model = whole(surface);
    let domain = match rectangle {
        Some((u, v)) => Domain::rectangle(&model.faces[0].surface, u, v).unwrap(),
        None => model.domain(model.faces().next().unwrap().0).unwrap(),
    };
    let areas = [domain.area(&model.faces[0].surface)];
    let domains = [Some(domain)];
    let graph = JoinGraph::find(&Sheets { model: &model, domains: &domains }, &areas, &Options::default(), &mut Silent).unwrap();
    let precision = Precision::default();
    let lines = cut_in(&model, &domains, &graph, plane, &precision);
    in_plane(&lines, plane);
    let mut got: Vec<f64> = lines.iter().map(|l| l.points.last().unwrap().along).collect();
    got.sort_by(f64::total_cmp);
    assert_eq!(got.len(), want.len(), "{got:?} against {want:?} at {plane:?}");
    for (g, w) in got.iter().zip(want) {
        assert!((g - w).abs() < 1e-4 * w, "{got:?} against {want:?} at {plane:?}");
    }
    for line in &lines {
        let (first, last) = (line.points[0], line.points[line.points.len() - 1]);
        assert!(line.closed && first.point.distance(last.point) < 1e-6, "{plane:?}");
        assert!(line.points.windows(2).all(|w| w[0].point.distance(w[1].point) <= precision.step));
    }
}

/// Whatever a closed face's seam and poles, and however the plane lies to them, a section is one closed line for each curve of it.
#[test]
fn closed_faces_are_cut_in_closed_lines() {
    let f = tilted();
    let r = 80.0;
    let sphere = || Surface::Sphere(Sphere { frame: f, radius: r });
    let ring = |d: f64| real::TAU * (r * r - d * d).sqrt();
    for (way, d) in [
        (f.z, 0.0),
        (f.z, 30.0),
        (f.z, -79.0),
        (f.y, 0.0),
        (f.x, 0.0),
        (f.y, 0.5),
        (f.x * 0.6 + f.z * 0.8, -55.0),
        (f.x * 0.6 + f.y * 0.8, 0.0),
    ] {
        let plane = Plane::through(f.origin + way * d, way).unwrap();
        closed_lines(sphere(), None, &plane, &[ring(d)]);
    }
    let (major, minor) = (60.0, 20.0);
    let torus = || Surface::Torus(Torus { frame: f, major, minor });
    let tube = real::TAU * minor;
    for way in [f.y, f.x, f.x * 0.6 + f.y * 0.8] {
        closed_lines(torus(), None, &Plane::through(f.origin, way).unwrap(), &[tube, tube]);
    }
    for d in [0.0, 12.0, -19.0_f64] {
        let half = (minor * minor - d * d).sqrt();
        let plane = Plane::through(f.origin + f.z * d, f.z).unwrap();
        closed_lines(torus(), None, &plane, &[real::TAU * (major - half), real::TAU * (major + half)]);
    }
    let (radius, height) = (30.0, 100.0);
    let cylinder = || Surface::Cylinder(Cylinder { frame: f, radius });
    let all = Some((Interval::new(0.0, real::TAU), Interval::new(0.0, height)));
    for lean in [0.0, 0.4, 0.9_f64] {
        let (sin, cos) = real::sin_cos(lean);
        for turn in [0.0, 1.3, 3.0] {
            let (s, c) = real::sin_cos(turn);
            let way = f.z * cos + (f.x * c + f.y * s) * sin;
            let plane = Plane::through(f.origin + f.z * 50.0, way).unwrap();
            // An ellipse with half axes r and r / cos.
            let length = arc(radius / cos, radius, 0.0, real::TAU);
            closed_lines(cylinder(), all, &plane, &[length]);
            closed_lines(tube_of(radius, height), None, &plane, &[length]);
        }
    }
}

/// A closed tube as a rational spline: nine points round (The NURBS Book, ch. 7.5) by a line.
fn tube_of(radius: f64, height: f64) -> Surface {
    let (f, w) = (tilted(), 0.5_f64.sqrt());
    let round = [(1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (-1.0, 1.0), (-1.0, 0.0), (-1.0, -1.0), (0.0, -1.0), (1.0, -1.0), (1.0, 0.0)];
    let points = round.iter().flat_map(|&(x, y)| [0.0, height].map(|z| f.point(radius * x, radius * y, z))).collect();
    let weights = (0..9).flat_map(|i| [if i % 2 == 1 { w } else { 1.0 }; 2]).collect();
    let knots = KnotVector::new(2, [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4].map(f64::from).to_vec()).unwrap();
    Surface::Nurbs(nurbs::Surface::new(knots, KnotVector::bezier(1).unwrap(), points, Some(weights)).unwrap())
}

/// Cuts of spheres about one centre are rings about one, as far apart as their radii; and a cut that ends short of another lies off it by
/// what is missing, whichever of the two is asked first.
#[test]
fn cuts_lie_as_far_apart_as_their_radii_or_as_what_is_missing() {
    let f = tilted();
    let sag = Precision::default().sag;
    for (way, d) in [(f.z, 0.0), (f.x * 0.6 + f.z * 0.8, -55.0), (f.y, 21.0)] {
        let plane = Plane::through(f.origin + way * d, way).unwrap();
        let of = |radius: f64| cut(&whole(Surface::Sphere(Sphere { frame: f, radius })), &plane);
        let ring = |r: f64| (r * r - d * d).sqrt();
        for more in [0.3, 2.0, 40.0] {
            let (a, b) = (of(80.0), of(80.0 + more));
            let want = ring(80.0 + more) - ring(80.0);
            let (far, at) = apart(&a, &b).unwrap();
            assert!((far - want).abs() < 2.0 * sag, "{far} against {want}");
            assert!(a.iter().chain(&b).flat_map(|l| &l.points).any(|p| p.point == at));
            assert_eq!(apart(&b, &a).unwrap().0, far);
        }
        assert!(apart(&of(80.0), &of(80.0)).unwrap().0 < 1e-9);
        assert_eq!(apart(&of(80.0), &[]), None);
    }
    // Along its axis a half tube is cut in straight lines, of which one model has less.
    let lines = |height: f64| {
        let surface = Surface::Cylinder(Cylinder { frame: f, radius: 30.0 });
        let domains = [Domain::rectangle(&surface, Interval::new(0.2, 1.4), Interval::new(0.0, height)).ok()];
        let areas = [domains[0].as_ref().unwrap().area(&surface)];
        let model = whole(surface);
        let graph = JoinGraph::find(&Sheets { model: &model, domains: &domains }, &areas, &Options::default(), &mut Silent).unwrap();
        let plane = Plane::through(f.origin, f.x * 0.8 - f.y * 0.6).unwrap();
        cut_in(&model, &domains, &graph, &plane, &Precision::default())
    };
    let (whole, short) = (lines(100.0), lines(63.0));
    assert!(!whole.is_empty() && !short.is_empty());
    for (a, b) in [(&whole, &short), (&short, &whole)] {
        assert!((apart(a, b).unwrap().0 - 37.0).abs() < 1e-6);
    }
}
