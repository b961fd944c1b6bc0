//! Curvature at a point: of a section in a given direction, and the principal ones.

use crate::math::{Vec3, real};
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

/// Principal curvatures with their directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Principal {
    /// The curvatures.
    pub curvatures: Curvatures,
    /// Unit direction of the larger; any one where both are equal.
    pub along: Vec3,
    /// Unit direction of the smaller, square to it.
    pub across: Vec3,
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

    /// The one with the smaller radius, 1/mm; of two alike, the positive one.
    pub fn tightest(self) -> f64 {
        if self.max.abs() >= self.min.abs() { self.max } else { self.min }
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
pub fn curvatures(d: &SurfaceDerivs, normal: Vec3) -> Option<Curvatures> {
    principal(d, normal).map(|p| p.curvatures)
}

/// Principal curvatures and directions, signed by unit `normal`. None where Su and Sv are parallel.
///
/// The second fundamental form (do Carmo, *Differential Geometry of Curves and Surfaces*, §3.3) in an orthonormal basis of
/// the tangent plane: a symmetric matrix, whose eigenvalues keep all digits also where they are equal (from mean and
/// Gaussian curvature they would keep half of them there).
pub fn principal(d: &SurfaceDerivs, normal: Vec3) -> Option<Principal> {
    let e1 = d.su.try_normalize()?;
    let e2 = normal.cross(e1);
    // Su = (α, 0) and Sv = (β, γ) in that basis.
    let (alpha, beta, gamma) = (d.su.length(), d.sv.dot(e1), d.sv.dot(e2));
    // The sine between Su and Sv; at 1e-12 they are parallel to rounding.
    if gamma.is_nan() || gamma.abs() <= 1e-12 * d.sv.length() {
        return None;
    }
    let (l, m, n) = (d.suu.dot(normal), d.suv.dot(normal), d.svv.dot(normal));
    let lean = beta / alpha;
    let a = l / (alpha * alpha);
    let b = (m - lean * l) / (alpha * gamma);
    let c = (n - lean * (2.0 * m - lean * l)) / (gamma * gamma);
    let (mean, half) = (0.5 * (a + c), 0.5 * (a - c));
    let spread = real::hypot(half, b);
    // Of the larger curvature: half way to twice the angle.
    let turn = 0.5 * real::atan2(b, half);
    let (sin, cos) = real::sin_cos(turn);
    let along = e1 * cos + e2 * sin;
    Some(Principal { curvatures: Curvatures { max: mean + spread, min: mean - spread }, along, across: normal.cross(along) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Sphere, Torus};
    use crate::math::{Frame, Point3};
    use crate::nurbs::{KnotVector, Surface};

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

    fn relative(got: f64, want: f64) -> f64 {
        (got - want).abs() / want.abs()
    }

    /// The Bézier patch of z(x, y) over x, y in −3..4, of degree 2 each way: its control heights are those of the
    /// polarised polynomial, given.
    fn graph_of(blossom: impl Fn([f64; 2], [f64; 2]) -> f64) -> Surface {
        let knots = || KnotVector::bezier(2).unwrap();
        let (low, high) = (-3.0, 4.0);
        let pairs = [[low, low], [low, high], [high, high]];
        let f = frame();
        let net = pairs.iter().flat_map(|x| pairs.iter().map(|y| f.point(0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1]), blossom(*x, *y))));
        Surface::new(knots(), knots(), net.collect(), None).unwrap()
    }

    /// Checks principal curvatures of z = (p x² + q y²)/2 + m x y everywhere by the curvatures of a graph (do Carmo
    /// §3.3, example 5): K = (rt − s²)/w⁴, H = ((1 + zy²) r − 2 zx zy s + (1 + zx²) t)/(2 w³), w² = 1 + zx² + zy².
    fn check_graph(p: f64, q: f64, m: f64) {
        let s = graph_of(|x, y| 0.5 * (p * x[0] * x[1] + q * y[0] * y[1]) + 0.25 * m * (x[0] + x[1]) * (y[0] + y[1]));
        for i in 0..=8 {
            for j in 0..=8 {
                let (u, v) = (f64::from(i) / 8.0, f64::from(j) / 8.0);
                let (x, y) = (-3.0 + 7.0 * u, -3.0 + 7.0 * v);
                let (zx, zy) = (p * x + m * y, q * y + m * x);
                let w = (1.0 + zx * zx + zy * zy).sqrt();
                let gaussian = (p * q - m * m) / (w * w * w * w);
                let mean = ((1.0 + zy * zy) * p - 2.0 * zx * zy * m + (1.0 + zx * zx) * q) / (2.0 * w * w * w);
                let spread = (mean * mean - gaussian).sqrt();
                let d = s.derivs(u, v, 2);
                let got = principal(&d, d.su.cross(d.sv).normalize()).unwrap();
                for (got, want) in [(got.curvatures.max, mean + spread), (got.curvatures.min, mean - spread)] {
                    assert!((got - want).abs() <= 1e-10 * (mean.abs() + spread), "{got} against {want} at {x}, {y}");
                    if want.abs() > 0.01 * spread {
                        assert!(relative(got, want) < 1e-10, "{got} against {want} at {x}, {y}");
                    }
                }
                // Euler: a section in a principal direction has that curvature.
                let n = d.su.cross(d.sv).normalize();
                let third = s.derivs(u, v, 3);
                let along = section(&third, n, got.along).unwrap().curvature;
                let across = section(&third, n, got.across).unwrap().curvature;
                assert!(relative(along, got.curvatures.max) < 1e-10 && relative(across, got.curvatures.min) < 1e-10);
            }
        }
    }

    #[test]
    fn saddle_and_elliptic_paraboloid_have_their_closed_form_curvatures() {
        check_graph(0.0, 0.0, 1.0);
        check_graph(0.4, 1.1, 0.0);
        check_graph(2.0, 0.01, 0.0);
        check_graph(0.5, -0.7, 0.2);
    }

    #[test]
    fn a_sphere_keeps_all_digits_though_every_point_is_umbilic() {
        for radius in [0.3, 12.0, 2500.0] {
            let s = Sphere { frame: frame(), radius };
            for (u, v) in [(0.1, 0.0), (0.7, -0.4), (2.9, 1.2), (5.0, -1.5)] {
                let d = s.derivs(u, v);
                let k = curvatures(&d, d.su.cross(d.sv).normalize()).unwrap();
                assert!(relative(k.max, -1.0 / radius) < 1e-12 && relative(k.min, -1.0 / radius) < 1e-12, "{k:?}");
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
