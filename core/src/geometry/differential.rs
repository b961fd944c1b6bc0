//! Curvature at a point: of a section in a given direction, and the principal ones.

use crate::math::Vec3;
use crate::nurbs::SurfaceDerivs;

/// The plane section through a point, normal to the tangent plane, in one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Normal curvature κ, 1/mm, positive where the section bends towards the normal.
    pub curvature: f64,
    /// κ′ = dκ/ds along the direction, 1/mm².
    pub slope: f64,
}

/// Principal curvatures at a point, 1/mm, signed by the normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curvatures {
    /// Larger principal curvature.
    pub max: f64,
    /// Smaller principal curvature.
    pub min: f64,
}

impl Curvatures {
    /// Gaussian curvature, 1/mm².
    pub fn gaussian(self) -> f64 {
        self.max * self.min
    }

    /// Mean curvature, 1/mm.
    pub fn mean(self) -> f64 {
        0.5 * (self.max + self.min)
    }
}

/// Solves Su·a + Sv·b = w for a tangent vector w; None where Su and Sv are parallel.
fn in_tangent_plane(d: &SurfaceDerivs, w: Vec3) -> Option<(f64, f64)> {
    let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
    let det = e * g - f * f;
    // Relative to e·g this is the squared sine between Su and Sv; at 1e-24 they are parallel to rounding.
    if det.is_nan() || det <= 1e-24 * e * g || e * g == 0.0 {
        return None;
    }
    let (x, y) = (w.dot(d.su), w.dot(d.sv));
    Some(((g * x - f * y) / det, (e * y - f * x) / det))
}

/// Curvature and its slope of the section in unit tangent direction `b`, signed by unit `normal` (either side).
///
/// Solves Su u′ + Sv v′ = b, then Su u″ + Sv v″ = −(tangential part of Q2) with
/// Q2 = Suu u′² + 2 Suv u′v′ + Svv v′²; κ = Q2·n and
/// κ′ = [Suuu u′³ + 3 Suuv u′²v′ + 3 Suvv u′v′² + Svvv v′³ + 3 (Suu u′u″ + Suv (u′v″ + u″v′) + Svv v′v″)]·n
/// (Frenet equations of a plane curve). None where Su and Sv are parallel.
pub fn section(d: &SurfaceDerivs, normal: Vec3, b: Vec3) -> Option<Section> {
    let (u, v) = in_tangent_plane(d, b)?;
    let q2 = d.suu * (u * u) + d.suv * (2.0 * u * v) + d.svv * (v * v);
    let (a, c) = in_tangent_plane(d, normal * q2.dot(normal) - q2)?;
    let q3 = d.suuu * (u * u * u) + d.suuv * (3.0 * u * u * v) + d.suvv * (3.0 * u * v * v) + d.svvv * (v * v * v);
    let mixed = d.suu * (u * a) + d.suv * (u * c + a * v) + d.svv * (v * c);
    Some(Section { curvature: q2.dot(normal), slope: (q3 + mixed * 3.0).dot(normal) })
}

/// Principal curvatures, signed by unit `normal`. None where Su and Sv are parallel.
/// From the first and second fundamental forms (do Carmo, *Differential Geometry of Curves and Surfaces*, §3.3).
pub fn curvatures(d: &SurfaceDerivs, normal: Vec3) -> Option<Curvatures> {
    let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
    let det = e * g - f * f;
    if det.is_nan() || det <= 1e-24 * e * g || e * g == 0.0 {
        return None;
    }
    let (l, m, n) = (d.suu.dot(normal), d.suv.dot(normal), d.svv.dot(normal));
    let mean = (e * n - 2.0 * f * m + g * l) / (2.0 * det);
    let gaussian = (l * n - m * m) / det;
    let spread = (mean * mean - gaussian).max(0.0).sqrt();
    Some(Curvatures { max: mean + spread, min: mean - spread })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Sphere, Torus};
    use crate::math::{Frame, Point3, real};

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(11.0, -7.0, 5.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
    }

    /// Closed forms: do Carmo §3.3, example 5 (torus): κ = 1/r and cos v / (R + r cos v).
    #[test]
    fn torus_has_its_closed_form_curvatures() {
        let t = Torus { frame: frame(), major: 20.0, minor: 6.0 };
        for i in 0..12 {
            for v in [-2.9, -1.3, 0.2, 1.1, 2.4] {
                let d = t.derivs(f64::from(i) * 0.5, v);
                let n = d.su.cross(d.sv).normalize();
                let k = curvatures(&d, n).unwrap();
                let across = -real::cos(v) / (20.0 + 6.0 * real::cos(v));
                let (lo, hi) = ((-1.0 / 6.0f64).min(across), (-1.0 / 6.0f64).max(across));
                assert!((k.min - lo).abs() < 1e-12 && (k.max - hi).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn every_section_of_a_sphere_is_a_circle() {
        let s = Sphere { frame: frame(), radius: 12.0 };
        let d = s.derivs(0.7, -0.4);
        let n = d.su.cross(d.sv).normalize();
        for turn in 0..8 {
            let (sin, cos) = real::sin_cos(f64::from(turn) * 0.4);
            let b = d.su.normalize() * cos + d.sv.normalize() * sin;
            let got = section(&d, n, b).unwrap();
            assert!((got.curvature + 1.0 / 12.0).abs() < 1e-13 && got.slope.abs() < 1e-13);
        }
    }

    /// Section of an elliptic torus-like tube: the slope agrees with a central difference of curvature along
    /// the plane section, traced by projecting back onto the section plane.
    #[test]
    fn slope_agrees_with_a_traced_section() {
        let t = Torus { frame: frame(), major: 20.0, minor: 6.0 };
        let (u0, v0) = (0.4, 0.9);
        let d = t.derivs(u0, v0);
        let n = d.su.cross(d.sv).normalize();
        let b = (d.su.normalize() * 0.6 + d.sv.normalize() * 0.8).normalize();
        let want = section(&d, n, b).unwrap();
        // Curvature of the plane curve {S = p + x b + y n}: trace y(x) by Newton in (u, v), differentiate densely.
        let side = n.cross(b);
        let height = |x: f64| {
            let (mut u, mut v) = (u0, v0);
            for _ in 0..50 {
                let e = t.derivs(u, v);
                let r = e.s - d.s;
                let (f0, f1) = (r.dot(b) - x, r.dot(side));
                let (a, b_, c, g) = (e.su.dot(b), e.sv.dot(b), e.su.dot(side), e.sv.dot(side));
                let det = a * g - b_ * c;
                u -= (f0 * g - f1 * b_) / det;
                v -= (f1 * a - f0 * c) / det;
            }
            (t.derivs(u, v).s - d.s).dot(n)
        };
        let h = 0.02;
        let (m2, m1, p1, p2) = (height(-2.0 * h), height(-h), height(h), height(2.0 * h));
        let second = (-p2 + 16.0 * p1 + 16.0 * m1 - m2) / (12.0 * h * h);
        let third = (p2 - 2.0 * p1 + 2.0 * m1 - m2) / (2.0 * h * h * h);
        assert!((second - want.curvature).abs() < 1e-7, "{second} against {}", want.curvature);
        assert!((third - want.slope).abs() < 2e-5 * want.slope.abs().max(1.0), "{third} against {}", want.slope);
    }
}
