//! Ripples of known size stay in the residual; form does not.

use super::*;
use crate::math::least_squares::LeastSquares;
use crate::math::{Point2, Point3, Vec3, real};
use crate::nurbs::fit::{SurfaceGrid, fit_grid};
use crate::nurbs::{self, KnotVector};

/// A form over shares (a, b): point and unit normal, and its flat coordinates in mm.
pub(crate) struct Form {
    pub name: &'static str,
    pub size: (f64, f64),
    at: Box<dyn Fn(f64, f64) -> (Point3, Vec3)>,
}

fn cylinder(radius: f64, size: (f64, f64), even: bool) -> Form {
    let at = move |a: f64, b: f64| {
        let a = if even { a } else { a + 0.3 * a * (1.0 - a) };
        let (sin, cos) = real::sin_cos((a - 0.5) * size.0 / radius);
        (Point3::new(radius * sin, size.1 * b, radius * cos), Vec3::new(sin, 0.0, cos))
    };
    Form { name: if even { "cylinder" } else { "cylinder, uneven" }, size, at: Box::new(at) }
}

/// A Bézier patch of degree 5 over a rectangle, heights by control point.
fn quintic(name: &'static str, size: (f64, f64), height: impl Fn(f64, f64) -> f64) -> (Form, nurbs::Surface) {
    let k = KnotVector::bezier(5).unwrap();
    let points = (0..36)
        .map(|i| {
            let (a, b) = ((i / 6) as f64 / 5.0, (i % 6) as f64 / 5.0);
            Point3::new(size.0 * a, size.1 * b, height(a, b))
        })
        .collect();
    let s = nurbs::Surface::new(k.clone(), k, points, None).unwrap();
    let t = s.clone();
    let at = move |a: f64, b: f64| {
        let d = t.derivs(a, b, 1);
        (d.s, d.su.cross(d.sv).normalize())
    };
    (Form { name, size, at: Box::new(at) }, s)
}

fn crowned(size: (f64, f64)) -> (Form, nurbs::Surface) {
    quintic("degree 5", size, |a, b| 120.0 * a * (1.0 - a) + 70.0 * b * (1.3 - b) + 50.0 * a * a * a * b + 30.0 * real::cos(4.0 * a + b))
}

fn s_shaped(size: (f64, f64)) -> (Form, nurbs::Surface) {
    quintic("S-shape", size, |a, b| {
        let x = 2.0 * a - 1.0;
        let y = 2.0 * b - 1.0;
        140.0 * x * (x * x - 0.6) * (1.0 + 0.3 * y) + 60.0 * y * y * y - 40.0 * y
    })
}

pub(crate) struct Ripple {
    pub amplitude: f64,
    pub length: f64,
    pub angle: f64,
    pub phase: f64,
}

fn wave_shares(form: &Form, r: &Ripple, a: f64, b: f64) -> f64 {
    let (sin, cos) = real::sin_cos(r.angle);
    let a = if form.name == "cylinder, uneven" { a + 0.3 * a * (1.0 - a) } else { a };
    cos * form.size.0 * a + sin * form.size.1 * b
}

/// The form with the ripple on its normal, as a spline fine enough to hold it.
pub(crate) fn rippled(form: &Form, r: &Ripple) -> nurbs::Surface {
    let count = |size: f64| (6.0 * size / r.length) as usize + 6;
    let (nu, nv) = (count(form.size.0), count(form.size.1));
    let (ku, kv) = (KnotVector::uniform(5, nu).unwrap(), KnotVector::uniform(5, nv).unwrap());
    let shares = |n: usize| (0..=3 * n).map(|i| i as f64 / (3 * n) as f64).collect::<Vec<f64>>();
    let (u, v) = (shares(nu + 2), shares(nv + 2));
    let mut points = Vec::new();
    for &a in &u {
        for &b in &v {
            let (p, n) = (form.at)(a, b);
            points.push(p + n * (r.amplitude * real::cos(real::TAU * wave_shares(form, r, a, b) / r.length + r.phase)));
        }
    }
    fit_grid(&ku, &kv, &SurfaceGrid { u, v, points, weights_u: None, weights_v: None }, None, &[]).unwrap()
}

/// Amplitude and wavelength of the best sine along the ripple's direction, with a constant: by least squares at each
/// wavelength, over wavelengths within a half of the true one.
fn sine(form: &Form, r: &Ripple, values: &[(f64, f64, f64)]) -> (f64, f64) {
    let at = |length: f64| {
        let mut system = LeastSquares::new(3, 1);
        for &(a, b, z) in values {
            let (sin, cos) = real::sin_cos(real::TAU * wave_shares(form, r, a, b) / length);
            system.add(0, &[1.0, cos, sin], &[z]);
        }
        let x = system.solve().unwrap();
        let left: f64 = values
            .iter()
            .map(|&(a, b, z)| {
                let (sin, cos) = real::sin_cos(real::TAU * wave_shares(form, r, a, b) / length);
                let miss = x[0][0] + x[1][0] * cos + x[2][0] * sin - z;
                miss * miss
            })
            .sum();
        (left, real::hypot(x[1][0], x[2][0]))
    };
    let mut best = (f64::INFINITY, 0.0, 0.0);
    for i in 0..=40 {
        let length = r.length * (0.8 + 0.4 * f64::from(i) / 40.0);
        let (left, amplitude) = at(length);
        if left < best.0 {
            best = (left, amplitude, length);
        }
    }
    (best.1, best.2)
}

const SIZE: (f64, f64) = (900.0, 630.0);

pub(crate) fn forms() -> [Form; 4] {
    [cylinder(800.0, SIZE, true), cylinder(800.0, SIZE, false), crowned(SIZE).0, s_shaped(SIZE).0]
}

pub(crate) fn whole(s: &Surface) -> Domain {
    domain_of::natural(s, &SurfaceSearch::new(s)).unwrap()
}

/// Residuals over shares of the face; the steps, 17 mm, fold no wavelength tried onto another.
fn residuals(fair: &FairReference, s: &Surface, keep: impl Fn(f64, f64) -> bool) -> Vec<(f64, f64, f64)> {
    let mut values = Vec::new();
    for i in 0..53 {
        for j in 0..37 {
            let (a, b) = ((f64::from(i) + 0.5) / 53.0, (f64::from(j) + 0.5) / 37.0);
            if keep(a, b) {
                values.push((a, b, fair.residual(s, Point2::new(a, b)).unwrap()));
            }
        }
    }
    values
}

#[test]
fn ripples_stay_with_their_amplitude_and_wavelength() {
    for form in &forms() {
        for length in [40.0, 120.0] {
            for (angle, phase) in [(0.0, 1.57), (real::FRAC_PI_2, 0.4), (0.6, 1.0)] {
                for amplitude in [0.02, 0.1, 0.5] {
                    let r = Ripple { amplitude, length, angle, phase };
                    let s = Surface::Nurbs(rippled(form, &r));
                    let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
                    let (a, l) = sine(form, &r, &residuals(&fair, &s, |_, _| true));
                    let name = form.name;
                    assert!((a / amplitude - 1.0).abs() < 0.1, "{name}, λ {length}, angle {angle}: {a} for {amplitude}");
                    assert!((l / length - 1.0).abs() < 0.05, "{name}, angle {angle}: λ {l} for {length}");
                }
            }
        }
    }
}

#[test]
fn clean_forms_leave_nothing_s_shapes_included() {
    for (form, s) in [crowned(SIZE), s_shaped(SIZE)] {
        let s = Surface::Nurbs(s);
        let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
        assert!(fair.deviation().max < 1e-9, "{}: {:?}", form.name, fair.deviation());
        assert_eq!(fair.degrees(), (5, 5));
    }
    // What one span of degree 5 cannot follow: below a tenth of the smallest ripple for a true cylinder. Uneven parameters
    // are not made up for in three rounds; the figure is held here so that it is known.
    for (form, most) in [(cylinder(800.0, SIZE, true), 1.3e-3), (cylinder(800.0, SIZE, false), 1.6e-2)] {
        let none = Ripple { amplitude: 0.0, length: 120.0, angle: 0.0, phase: 0.0 };
        let s = Surface::Nurbs(rippled(&form, &none));
        let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
        assert!(fair.deviation().max < most, "{}: {:?}", form.name, fair.deviation());
    }
}

#[test]
fn only_the_region_within_the_trim_counts() {
    // A hexagon of the S-shape; outside it the surface runs away, which would spoil a fit to the whole.
    let (form, _) = s_shaped(SIZE);
    let r = Ripple { amplitude: 0.1, length: 60.0, angle: 0.3, phase: 0.7 };
    let clean = rippled(&form, &r);
    let columns = clean.knots_v().point_count();
    let rows = clean.knots_u().point_count();
    let points = clean.points().iter().enumerate().map(|(i, p)| {
        let corner = i / columns < rows / 16 || i % columns < columns / 16;
        if corner { *p + Vec3::Z * 15.0 } else { *p }
    });
    let spoilt = nurbs::Surface::new(clean.knots_u().clone(), clean.knots_v().clone(), points.collect(), None).unwrap();
    let s = Surface::Nurbs(spoilt);
    let corners = [(0.25, 0.2), (0.7, 0.2), (0.98, 0.5), (0.9, 0.98), (0.4, 0.95), (0.15, 0.6)].map(|(u, v)| Point2::new(u, v));
    let next = corners.iter().cycle().skip(1);
    let sides = corners.iter().zip(next).map(|(&a, &b)| DomainSide::straight(&s, a, b, SideOrigin::Bridge)).collect();
    let domain = Domain { loops: vec![DomainLoop { sides }], ..whole(&s) };
    let fair = FairReference::new(&s, &domain, (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    assert!(fair.deviation().max < 0.15, "{:?}", fair.deviation());
    let region = Region::new(&domain);
    let (a, l) = sine(&form, &r, &residuals(&fair, &s, |a, b| region.contains(Point2::new(a, b))));
    assert!((a / 0.1 - 1.0).abs() < 0.1 && (l / 60.0 - 1.0).abs() < 0.05, "{a}, {l}");
    // The whole, step and all, is another matter.
    let all = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    assert!(all.deviation().max > 2.0);
}

#[test]
fn a_bump_towards_the_normal_is_positive_and_a_tube_is_refused() {
    let r = Ripple { amplitude: 0.3, length: 90.0, angle: 0.0, phase: 0.0 };
    let form = cylinder(800.0, SIZE, true);
    let s = Surface::Nurbs(rippled(&form, &r));
    let fair = FairReference::new(&s, &whole(&s), (FAIR_DEGREE, FAIR_DEGREE)).unwrap();
    let inner = Point2::new(0.5, 0.4);
    let outward = (form.at)(0.5, 0.4).1.dot(s.normal(inner.u, inner.v).unwrap());
    // At the middle the ripple is at 5 whole waves: a crest.
    let crest = fair.residual(&s, inner).unwrap() * outward;
    assert!((crest - 0.3).abs() < 0.03, "{crest}");
    let tube = Surface::Cylinder(Cylinder { frame: crate::math::Frame::from_axis(Point3::ORIGIN, None, None), radius: 50.0 });
    let sides = [(0.0, 0.0), (5.0, 0.0), (5.0, 90.0), (0.0, 90.0), (0.0, 0.0)].map(|(u, v)| Point2::new(u, v));
    let sides = sides.windows(2).map(|w| DomainSide::straight(&tube, w[0], w[1], SideOrigin::Bridge)).collect();
    let domain = Domain { loops: vec![DomainLoop { sides }], ..whole(&s) };
    assert!(matches!(FairReference::new(&tube, &domain, (5, 5)), Err(FairError::Bend(_))));
}
