//! What a ray of sight meets, in double precision and by other means than the viewer's.

use rakelight_core::geometry::Surface;
use rakelight_core::math::{Frame, Vec3};
use rakelight_web::camera::Ray;

/// The point of a face over a box of parameters on a ray, and the unit normal there.
///
/// Analytic surfaces: a bracketed root of the signed distance along the ray, nearest the place `start` (parameters).
/// Splines: Newton's method on two planes through the ray, from `start`; a result counts only when it lies on the ray
/// to a billionth of a millimetre.
pub fn cast(surface: &Surface, uv: [f64; 4], start: [f64; 2], ray: &Ray) -> Option<(Vec3, Vec3)> {
    match surface {
        Surface::Nurbs(_) => spline(surface, uv, start, ray),
        _ => analytic(surface, surface.point(start[0], start[1]).to_vec(), ray),
    }
}

fn spline(surface: &Surface, uv: [f64; 4], start: [f64; 2], ray: &Ray) -> Option<(Vec3, Vec3)> {
    let (a, b) = ray.direction.any_orthonormal_pair();
    let [mut u, mut v] = start;
    for _ in 0..40 {
        let at = surface.derivs(u, v, 1);
        let off = at.s.to_vec() - ray.base;
        let (fa, fb) = (off.dot(a), off.dot(b));
        let (au, av, bu, bv) = (at.su.dot(a), at.sv.dot(a), at.su.dot(b), at.sv.dot(b));
        let det = au * bv - av * bu;
        if fa.hypot(fb) < 1e-9 {
            return Some((at.s.to_vec(), at.su.cross(at.sv).try_normalize()?));
        }
        (u, v) = ((u - (fa * bv - fb * av) / det).clamp(uv[0], uv[1]), (v - (fb * au - fa * bu) / det).clamp(uv[2], uv[3]));
    }
    None
}

fn analytic(surface: &Surface, near: Vec3, ray: &Ray) -> Option<(Vec3, Vec3)> {
    let at = |t: f64| ray.base + ray.direction * t;
    let f = |t: f64| signed(surface, at(t)).0;
    // The ray passes close to `near`; the surface is met before or behind it within steps that double.
    let middle = (near - ray.base).dot(ray.direction);
    let mut reach = 1e-3;
    let (mut low, mut high) = loop {
        let ends = (middle - reach, middle + reach);
        if f(ends.0) * f(ends.1) <= 0.0 {
            break ends;
        }
        reach *= 2.0;
        if reach > 1e4 {
            return None;
        }
    };
    let first = f(low) < 0.0;
    for _ in 0..100 {
        let t = 0.5 * (low + high);
        if (f(t) < 0.0) == first { low = t } else { high = t }
    }
    let point = at(0.5 * (low + high));
    Some((point, signed(surface, point).1.normalize()))
}

/// Signed distance from an analytic surface (ISO 10303-42 gives each in its frame) and its gradient.
fn signed(surface: &Surface, p: Vec3) -> (f64, Vec3) {
    let parts = |f: &Frame| {
        let d = p - f.origin.to_vec();
        let height = d.dot(f.z);
        let across = d - f.z * height;
        (across.length(), across.normalize(), height)
    };
    match surface {
        Surface::Plane(s) => ((p - s.frame.origin.to_vec()).dot(s.frame.z), s.frame.z),
        Surface::Cylinder(s) => {
            let (ring, out, _) = parts(&s.frame);
            (ring - s.radius, out)
        }
        Surface::Cone(s) => {
            let (ring, out, height) = parts(&s.frame);
            let (sin, cos) = s.half_angle.sin_cos();
            ((ring - s.radius) * cos - height * sin, out * cos - s.frame.z * sin)
        }
        Surface::Sphere(s) => {
            let d = p - s.frame.origin.to_vec();
            (d.length() - s.radius, d.normalize())
        }
        Surface::Torus(s) => {
            let (ring, out, height) = parts(&s.frame);
            let tube = (ring - s.major).hypot(height);
            (tube - s.minor, (out * (ring - s.major) + s.frame.z * height) / tube)
        }
        _ => unreachable!("a spline"),
    }
}
