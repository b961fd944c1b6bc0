//! The form of the cowl: its profile, its ridges, the hood between them and the cheeks below.
//!
//! x runs from the nose to the rear, y to the right, z up; the wheels' ground lies below z = 0. Along each form
//! runs v in [0, 1], from the lower front edge over the nose to the rear edge.

use super::master::{COLUMNS, Master, stations};
use crate::math::{Interval, Vec3, quadrature, real};

/// Length of the centre profile, mm.
const PROFILE_LENGTH: f64 = 1125.0;
/// Lowest point of the centre profile, mm.
const CHIN: (f64, f64) = (34.0, 84.0);
/// Degree of the hood from the centre plane to the ridge.
const HOOD_DEGREE: usize = 6;

/// The right half of the hood, from the centre plane (u = 0) to the ridge (u = 1).
///
/// Across, it is an even function of y, so the mirrored half goes on to every order.
pub(super) fn hood() -> Master {
    let row = |i: usize| {
        let n = HOOD_DEGREE;
        let share = i as f64 / n as f64;
        // Bézier points of s² and s⁴ in degree 6.
        let square = (i * i.saturating_sub(1)) as f64 / (n * (n - 1)) as f64;
        let fourth = (0..4).map(|k| i.saturating_sub(k) as f64 / (n - k) as f64).product::<f64>();
        move |v: f64| {
            let f = Frame::at(v);
            f.point - f.out * (drop(v) * (CROWN * square + (1.0 - CROWN) * fourth)) + Vec3::Y * (half_width(v) * share)
        }
    };
    Master { rows: (0..=HOOD_DEGREE).map(|i| sampled(row(i))).collect() }
}

/// The right cheek, from the ridge (u = 0) to the lower edge (u = 1). `crease` is the angle (degrees) by which the
/// cheek turns down from the hood along the ridge; positive is a convex ridge.
pub(super) fn cheek(crease: impl Fn(f64) -> f64) -> Master {
    let columns: Vec<Vec<Vec3>> = stations().iter().map(|&v| cheek_section(v, crease(v))).collect();
    Master { rows: super::patch::transposed(&columns) }
}

/// The intended ridge angle, degrees: soft over the nose, crisp at the rear.
pub(super) fn ridge_angle(v: f64) -> f64 {
    bezier(&[5.0, 6.5, 9.5, 13.0, 15.0, 16.0], v)
}

/// Share of the crown that is parabolic; the rest rolls off towards the ridge.
const CROWN: f64 = 0.72;

/// Half the distance between the ridges, mm.
fn half_width(v: f64) -> f64 {
    bezier(&[168.0, 172.0, 186.0, 210.0, 234.0, 246.0], v)
}

/// How far the ridge lies below the centre profile, mm.
fn drop(v: f64) -> f64 {
    bezier(&[40.0, 42.0, 46.0, 46.0, 42.0, 40.0], v)
}

/// Centre (x, z) and radius of the wheel arch seen from the side, mm.
const ARCH: (f64, f64, f64) = (716.0, -2.0, 278.0);

/// Angle around the arch's centre, radians: from low in front of the wheel, over it, to the rear edge.
fn arch_angle(v: f64) -> f64 {
    bezier(&[166.0, 147.0, 124.0, 98.0, 72.0, 48.0], v).to_radians()
}

/// The lower edge of the cheek, the wheel arch.
fn lower_edge(v: f64) -> Vec3 {
    let (sin, cos) = real::sin_cos(arch_angle(v));
    let y = bezier(&[316.0, 326.0, 336.0, 343.0, 346.0, 346.0], v);
    Vec3::new(ARCH.0 + ARCH.2 * cos, y, ARCH.1 + ARCH.2 * sin)
}

/// Direction in which the cheek arrives at its lower edge, unit: towards the arch's centre, a little inwards.
fn lower_direction(v: f64) -> Vec3 {
    let (sin, cos) = real::sin_cos(arch_angle(v));
    Vec3::new(-cos, bezier(&[0.12, 0.10, 0.06, 0.02, -0.02, -0.04], v), -sin).normalize()
}

/// Bézier points of the cheek's section at v.
fn cheek_section(v: f64, crease: f64) -> Vec<Vec3> {
    let f = Frame::at(v);
    let ridge = |v: f64| {
        let f = Frame::at(v);
        f.point - f.out * drop(v) + Vec3::Y * half_width(v)
    };
    let start = ridge(v);
    let h = 1e-4;
    let along = (ridge((v + h).min(1.0)) - ridge((v - h).max(0.0))).normalize();
    let leaving = Vec3::Y * half_width(v) - f.out * (drop(v) * (2.0 * CROWN + 4.0 * (1.0 - CROWN)));
    let across = (leaving - along * along.dot(leaving)).normalize();
    let outward = along.cross(across).normalize();
    let outward = if outward.dot(f.out) < 0.0 { -outward } else { outward };
    let (sin, cos) = real::sin_cos(crease.to_radians());
    let first = across * cos - outward * sin;
    let end = lower_edge(v);
    let length = (end - start).length();
    let q1 = start + first * (length * bezier(&[0.34, 0.34, 0.36, 0.40, 0.42, 0.42], v));
    let q2 = end - lower_direction(v) * (length * bezier(&[0.36, 0.36, 0.40, 0.42, 0.42, 0.40], v));
    // A cubic raised to degree 5 (NB eq. 5.36, twice).
    vec![
        start,
        (start * 2.0 + q1 * 3.0) / 5.0,
        (start + q1 * 6.0 + q2 * 3.0) / 10.0,
        (q1 * 3.0 + q2 * 6.0 + end) / 10.0,
        (q2 * 3.0 + end * 2.0) / 5.0,
        end,
    ]
}

/// The centre profile at v: point, and the outward direction in the centre plane.
struct Frame {
    point: Vec3,
    out: Vec3,
}

impl Frame {
    fn at(v: f64) -> Frame {
        let steps = 24;
        let mut point = Vec3::new(CHIN.0, 0.0, CHIN.1);
        for k in 0..steps {
            let part = Interval::new(v * f64::from(k) / f64::from(steps), v * f64::from(k + 1) / f64::from(steps));
            point.x += PROFILE_LENGTH * quadrature::gauss_8(part, |t| real::cos(climb(t)));
            point.z += PROFILE_LENGTH * quadrature::gauss_8(part, |t| real::sin(climb(t)));
        }
        let (sin, cos) = real::sin_cos(climb(v));
        Frame { point, out: Vec3::new(-sin, 0.0, cos) }
    }
}

/// Angle of the centre profile against the ground, radians: upright at the chin, one bend at the nose, then a hood
/// that flattens steadily towards the rear.
fn climb(v: f64) -> f64 {
    let bend = 1.0 / (1.0 + real::exp((v - 0.25) / 0.04));
    (4.0 + 19.0 * (1.0 - v) + 72.0 * bend).to_radians()
}

/// Control points of a row: its values at the stations (Schoenberg's operator, which never adds an inflection).
fn sampled(row: impl Fn(f64) -> Vec3) -> Vec<Vec3> {
    let at: [f64; COLUMNS] = stations();
    at.iter().map(|&v| row(v)).collect()
}

/// A number that varies along the cowl, given by its Bézier ordinates.
fn bezier(ordinates: &[f64], t: f64) -> f64 {
    let mut d = ordinates.to_vec();
    while d.len() > 1 {
        for i in 0..d.len() - 1 {
            d[i] = d[i] * (1.0 - t) + d[i + 1] * t;
        }
        d.pop();
    }
    d[0]
}
