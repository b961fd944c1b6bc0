//! Traced stripes against formulas. On every kind of analytic surface the stripe function along one parameter line has
//! the form k + (a cos t + b sin t)/(c cos t + d sin t) or is linear, so that the place of a value is known in closed
//! form (isophotes: Poeschl, CAGD 1(2), 1984; highlight lines: Beier & Chen, CAD 26(4), 1994; the forms are elementary).

use super::{Precision, Reading, Trace, trace_face};
use crate::geometry::{Cone, Cylinder, Domain, Plane, Sphere, Surface, Torus};
use crate::highlight::{Eye, Family, LampRig, edges, stripe_value};
use crate::math::{Frame, Interval, Point2, Point3, Vec3, real};
use crate::model::{Face, FaceId, Model};
use crate::tessellate::{FaceMesh, Tessellator, Tolerance};

pub(super) fn model_of(surface: Surface) -> Model {
    Model { faces: vec![Face::whole(surface)], parts: vec!["one".into()], ..Model::default() }
}

fn meshed(surface: &Surface, u: Interval, v: Interval) -> (Domain, FaceMesh) {
    let domain = Domain::rectangle(surface, u, v).unwrap();
    let (model, domains) = (model_of(surface.clone()), vec![Some(domain.clone())]);
    let mesh = Tessellator::new(&model, &domains, &Tolerance::for_size(2000.0)).face(FaceId::new(0)).unwrap();
    (domain, mesh)
}

fn frame() -> Frame {
    Frame::from_axis(Point3::new(40.0, -120.0, 70.0), Some(Vec3::new(1.0, 2.0, 4.0)), Some(Vec3::new(0.3, 1.0, 0.0)))
}

fn rigs(family: Family) -> Vec<LampRig> {
    let spacing = if family == Family::Isophote { [0.05, 0.11, 0.4] } else { [37.0, 90.0, 211.0] };
    (0..6u32)
        .map(|k| {
            let t = 0.9 * f64::from(k);
            let rig = LampRig {
                family,
                direction: Vec3::new(0.8 * real::cos(t), 0.8 * real::sin(t), 1.0),
                across: Vec3::new(real::sin(1.7 * t), 1.0, real::cos(t)),
                centre: Vec3::new(10.0, -60.0, 40.0),
                distance: 900.0 + 100.0 * t,
                count: 11 + k,
                spacing: spacing[k as usize % 3],
                width: 0.37 * spacing[k as usize % 3],
                eye: if k % 2 == 0 { Eye::Far(Vec3::new(0.4, -0.5, 1.0)) } else { Eye::At(Vec3::new(200.0, -900.0, 1700.0)) },
            };
            rig.checked().unwrap()
        })
        .collect()
}

/// The parts of a traced surface that formulas need.
enum Form {
    /// Normal and foot of the normal's line do not depend on v; the foot moves along `way` with v.
    Straight,
    /// The normal is cos v e(u) + sin v z, its line passes through the ring's centre for that u.
    Round,
}

/// The parameter v on the line u at which the function has a value, nearest to a guess.
fn exact_v(s: &Surface, form: &Form, rig: &LampRig, u: f64, value: f64, guess: f64) -> Option<f64> {
    match form {
        Form::Straight => {
            let f = |v: f64| {
                let d = s.derivs(u, v, 1);
                stripe_value(rig, d.s.to_vec(), d.su.cross(d.sv))
            };
            // Linear in v: two values give it all. (The value of the formula itself is checked beside it.)
            let (a, b) = (f(guess - 100.0)?, f(guess + 100.0)?);
            Some(guess - 100.0 + 200.0 * (value - a) / (b - a))
        }
        Form::Round => {
            let normal = |v: f64| s.normal(u, v).unwrap_or_default();
            let (e, z) = (normal(0.0), normal(real::FRAC_PI_2));
            // The centre of the section circle: a point less the radius along the normal.
            let (p, q) = (s.point(u, 0.0), s.point(u, real::FRAC_PI_2));
            let radius = (p - q).dot(e);
            let centre = p.to_vec() - e * radius;
            let (d, a) = (rig.direction, rig.across);
            let way = if rig.family == Family::Isophote {
                // cos v (e·d) + sin v (z·d) = ±cos value.
                let (x, y) = (e.dot(d), z.dot(d));
                let (size, turn) = (real::hypot(x, y), real::atan2(y, x));
                let all = [1.0, -1.0].into_iter().flat_map(|sign| {
                    let c = real::acos(sign * real::cos(value) / size);
                    [turn + c, turn - c]
                });
                return all
                    .map(|v| near(v, guess))
                    .filter(|v| v.is_finite())
                    .min_by(|x, y| (x - guess).abs().total_cmp(&(y - guess).abs()));
            } else {
                let from = centre - rig.centre;
                let (along, height) = (from.dot(a), rig.distance - from.dot(d));
                // n·(height a − (value − along) d) = 0.
                a * height - d * (value - along)
            };
            let v = real::atan2(-e.dot(way), z.dot(way));
            [v, v + real::PI].map(|v| near(v, guess)).into_iter().min_by(|x, y| (x - guess).abs().total_cmp(&(y - guess).abs()))
        }
    }
}

fn near(v: f64, guess: f64) -> f64 {
    v + real::TAU * ((guess - v) / real::TAU).round()
}

/// Each traced point within 1e-6 mm of the formula's, and its value within 1e-8.
fn check_points(s: &Surface, form: &Form, rig: &LampRig, trace: &Trace) -> f64 {
    let mut worst = 0.0f64;
    for piece in &trace.pieces {
        for (uv, p) in piece.uv.iter().zip(&piece.points) {
            let d = s.derivs(uv.u, uv.v, 1);
            let f = stripe_value(rig, d.s.to_vec(), d.su.cross(d.sv)).unwrap();
            // Next to the horizon the function is so steep that its last digits stand for less than an atom.
            let steep = Reading::at(rig, &s.derivs(uv.u, uv.v, 3)).and_then(|r| r.gradient()).unwrap().length();
            assert!((f - piece.value).abs() <= 1e-8f64.max(1e-9 * steep), "{f} {}", piece.value);
            let Some(v) = exact_v(s, form, rig, uv.u, piece.value, uv.v) else { continue };
            // Where the line u runs along the stripe its v says nothing: the nearest of both ways counts.
            let by_v = s.point(uv.u, v).distance(*p);
            let slope = |h: f64| stripe_value(rig, s.point(uv.u, uv.v + h).to_vec(), s.normal(uv.u, uv.v + h).unwrap()).unwrap_or(f64::NAN);
            let rate = (slope(1e-4) - slope(-1e-4)) / 2e-4;
            if rate.is_finite() && rate.abs() > 1e-3 * d.sv.length() * 1e-3 {
                worst = worst.max(by_v);
            }
        }
    }
    worst
}

/// The number of places where a polyline in (u, v) passes over the line v = `at`.
fn passes(trace: &Trace, at: f64) -> usize {
    let over = |w: &[Point2]| (w[0].v > at) != (w[1].v > at);
    trace.pieces.iter().map(|p| p.uv.windows(2).filter(|w| over(w)).count()).sum()
}

/// Every edge that a dense walk along a parameter line meets is traced, and no other.
fn check_complete(s: &Surface, rig: &LampRig, trace: &Trace, u: Interval, v: Interval) {
    for k in 1..8 {
        let at = v.at(f64::from(k) / 8.0 + 0.003);
        let value = |i: usize| {
            let u = u.at(i as f64 / 4_000.0);
            let d = s.derivs(u, at, 1);
            let n = d.su.cross(d.sv);
            stripe_value(rig, d.s.to_vec(), n).map(|f| (f, n.dot(rig.direction) >= 0.0))
        };
        let reach = if rig.family == Family::Isophote { 2.0 } else { 1e4 };
        let all = edges(rig, -reach, reach);
        let mut want = 0;
        let mut last = value(0);
        for i in 1..=4_000 {
            let here = value(i);
            if let (Some(a), Some(b)) = (last, here) {
                // On the far side of the horizon of a highlight line what is above is below.
                let above = |x: (f64, bool), c: f64| (x.0 >= c) == (x.1 || rig.family != Family::HighlightLine);
                want += all.iter().filter(|c| above(a, **c) != above(b, **c)).count();
            }
            last = here;
        }
        assert_eq!(passes(trace, at), want, "{rig:?} at v = {at}");
    }
}

fn sweep(s: &Surface, form: &Form, u: (f64, f64), v: (f64, f64)) {
    let (u, v) = (Interval::new(u.0, u.1), Interval::new(v.0, v.1));
    let (domain, mesh) = meshed(s, u, v);
    let mut found = 0;
    for family in [Family::Isophote, Family::HighlightLine] {
        for rig in rigs(family) {
            let trace = trace_face(&rig, s, &domain, &mesh, &Precision::default());
            assert!(!trace.capped);
            found += trace.pieces.len();
            let worst = check_points(s, form, &rig, &trace);
            assert!(worst <= 1e-6, "{worst} mm, {rig:?}");
            check_complete(s, &rig, &trace, u, v);
        }
    }
    assert!(found > 20, "{found} pieces");
}

#[test]
fn cylinder() {
    for radius in [3.0, 80.0, 2000.0] {
        let turn = if radius > 1000.0 { 0.6 } else { 3.0 };
        sweep(&Surface::Cylinder(Cylinder { frame: frame(), radius }), &Form::Straight, (0.2, 0.2 + turn), (-300.0, 450.0));
    }
}

#[test]
fn cone() {
    let s = Surface::Cone(Cone { frame: frame(), radius: 150.0, half_angle: 0.3 });
    sweep(&s, &Form::Straight, (0.4, 2.9), (-200.0, 400.0));
}

#[test]
fn sphere() {
    for radius in [30.0, 400.0] {
        sweep(&Surface::Sphere(Sphere { frame: frame(), radius }), &Form::Round, (0.3, 3.2), (-1.1, 1.2));
    }
}

#[test]
fn torus() {
    for (major, minor) in [(300.0, 40.0), (90.0, 60.0)] {
        sweep(&Surface::Torus(Torus { frame: frame(), major, minor }), &Form::Round, (0.1, 3.4), (-1.4, 2.3));
    }
}

/// A plane has one isophote value, and highlight lines that are straight, parallel and even: in its own (u, v) the
/// function is linear.
#[test]
fn plane() {
    let s = Surface::Plane(Plane { frame: frame() });
    let (u, v) = (Interval::new(-300.0, 200.0), Interval::new(-100.0, 400.0));
    let (domain, mesh) = meshed(&s, u, v);
    for rig in rigs(Family::Isophote) {
        assert_eq!(trace_face(&rig, &s, &domain, &mesh, &Precision::default()).pieces, Vec::new());
    }
    for rig in rigs(Family::HighlightLine) {
        let trace = trace_face(&rig, &s, &domain, &mesh, &Precision::default());
        let n = s.normal(0.0, 0.0).unwrap();
        let f = |u: f64, v: f64| {
            let from = s.point(u, v).to_vec() - rig.centre;
            from.dot(rig.across) + n.dot(rig.across) * (rig.distance - from.dot(rig.direction)) / n.dot(rig.direction)
        };
        let (o, a, b) = (f(0.0, 0.0), f(1.0, 0.0), f(0.0, 1.0));
        let rate = real::hypot(a - o, b - o);
        for piece in &trace.pieces {
            for uv in &piece.uv {
                let off = (o + (a - o) * uv.u + (b - o) * uv.v - piece.value) / rate;
                assert!(off.abs() < 1e-6, "{off}");
            }
        }
        check_complete(&s, &rig, &trace, u, v);
    }
}

/// Reflection lines have no closed form on curved surfaces; each traced point is checked by the law of reflection: the
/// ray from the lamp plane's point, and the one to the eye, make equal angles with the normal and lie in one plane with
/// it (Klass, CAD 12(2), 1980).
#[test]
fn reflection_lines_obey_the_law_of_reflection() {
    let shapes = [
        (Surface::Sphere(Sphere { frame: frame(), radius: 400.0 }), (0.3, 3.2), (-1.1, 1.2)),
        (Surface::Torus(Torus { frame: frame(), major: 300.0, minor: 90.0 }), (0.1, 3.4), (-1.4, 2.3)),
        (Surface::Cylinder(Cylinder { frame: frame(), radius: 900.0 }), (0.2, 1.9), (-300.0, 450.0)),
    ];
    for (s, u, v) in shapes {
        let (u, v) = (Interval::new(u.0, u.1), Interval::new(v.0, v.1));
        let (domain, mesh) = meshed(&s, u, v);
        let mut points = 0;
        for rig in rigs(Family::ReflectionLine) {
            let trace = trace_face(&rig, &s, &domain, &mesh, &Precision::default());
            for piece in &trace.pieces {
                for uv in &piece.uv {
                    points += 1;
                    let (p, n) = (s.point(uv.u, uv.v).to_vec(), s.normal(uv.u, uv.v).unwrap());
                    let eye = match rig.eye {
                        Eye::Far(way) => way,
                        Eye::At(place) => (place - p).normalize(),
                    };
                    // The lamp's point seen in the mirror, found by walking the mirrored ray to the lamp plane.
                    let ray = n * (2.0 * n.dot(eye)) - eye;
                    let reach = (rig.distance - (p - rig.centre).dot(rig.direction)) / ray.dot(rig.direction);
                    let lamp = p + ray * reach;
                    assert!(reach > 0.0);
                    let in_lamp = (lamp - rig.centre).dot(rig.across) - piece.value;
                    assert!(in_lamp.abs() < 1e-7, "{in_lamp}");
                    let to_lamp = (lamp - p).normalize();
                    assert!((to_lamp.dot(n) - eye.dot(n)).abs() < 1e-12 && to_lamp.cross(eye).dot(n).abs() < 1e-12);
                }
            }
            check_complete(&s, &rig, &trace, u, v);
        }
        assert!(points > 1000, "{points}");
    }
}
