//! Surfaces of known form with ripples of known size, for tests here and in the core.

use super::{Domain, Surface, SurfaceSearch, domain_of};
use crate::math::{Point3, Vec3, real};
use crate::nurbs::fit::{SurfaceGrid, fit_grid};
use crate::nurbs::{self, KnotVector};

/// A form over shares (a, b): point and unit normal, and its flat coordinates in mm.
#[allow(missing_debug_implementations)]
pub struct Form {
    /// What it is called.
    pub name: &'static str,
    /// Of the flat one, mm.
    pub size: (f64, f64),
    pub(super) at: Box<dyn Fn(f64, f64) -> (Point3, Vec3)>,
}

pub(super) fn cylinder(radius: f64, size: (f64, f64), even: bool) -> Form {
    let at = move |a: f64, b: f64| {
        let a = if even { a } else { a + 0.3 * a * (1.0 - a) };
        let (sin, cos) = real::sin_cos((a - 0.5) * size.0 / radius);
        (Point3::new(radius * sin, size.1 * b, radius * cos), Vec3::new(sin, 0.0, cos))
    };
    Form { name: if even { "cylinder" } else { "cylinder, uneven" }, size, at: Box::new(at) }
}

/// A Bézier patch of degree 5 over a rectangle, heights by control point.
pub(super) fn quintic(name: &'static str, size: (f64, f64), height: impl Fn(f64, f64) -> f64) -> (Form, nurbs::Surface) {
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

pub(super) fn crowned(size: (f64, f64)) -> (Form, nurbs::Surface) {
    quintic("degree 5", size, |a, b| 120.0 * a * (1.0 - a) + 70.0 * b * (1.3 - b) + 50.0 * a * a * a * b + 30.0 * real::cos(4.0 * a + b))
}

pub(super) fn s_shaped(size: (f64, f64)) -> (Form, nurbs::Surface) {
    quintic("S-shape", size, |a, b| {
        let x = 2.0 * a - 1.0;
        let y = 2.0 * b - 1.0;
        140.0 * x * (x * x - 0.6) * (1.0 + 0.3 * y) + 60.0 * y * y * y - 40.0 * y
    })
}

/// A sine on a form.
#[derive(Debug)]
pub struct Ripple {
    /// Of its crests over the form, mm.
    pub amplitude: f64,
    /// From crest to crest, mm.
    pub length: f64,
    /// Of its direction from that of the first share, radians.
    pub angle: f64,
    /// Radians.
    pub phase: f64,
}

pub(super) fn wave_shares(form: &Form, r: &Ripple, a: f64, b: f64) -> f64 {
    let (sin, cos) = real::sin_cos(r.angle);
    let a = if form.name == "cylinder, uneven" { a + 0.3 * a * (1.0 - a) } else { a };
    cos * form.size.0 * a + sin * form.size.1 * b
}

/// The form with the ripple on its normal, as a spline fine enough to hold it.
///
/// # Panics
/// No such spline can be fitted.
pub fn rippled(form: &Form, r: &Ripple) -> nurbs::Surface {
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

pub(super) const SIZE: (f64, f64) = (900.0, 630.0);

/// Forms that a fair reference holds.
pub fn forms() -> [Form; 4] {
    [cylinder(800.0, SIZE, true), cylinder(800.0, SIZE, false), crowned(SIZE).0, s_shaped(SIZE).0]
}

/// A patch as a face.
///
/// # Panics
/// It has no border.
pub fn whole(s: &Surface) -> Domain {
    domain_of::natural(s, &SurfaceSearch::new(s)).unwrap()
}
