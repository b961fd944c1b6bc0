//! The stripe function: the value whose bands are the stripes. The viewer's shader holds its
//! twin, and a browser test bounds the difference.

use super::rig::{Eye, Family, LampRig};
use crate::math::{Scalar, Vec3};

/// Value of the stripe function at a surface point (mm) with a normal of any length and sign.
///
/// Isophote: angle between the light direction and the normal turned to the lamp side, radians,
/// 0 to π/2 (Poeschl 1984; the angle, not its cosine). Highlight line: where the line along the
/// normal pierces the lamp plane, along `across`, mm from the rig's axis (Beier & Chen 1994).
/// Reflection line: the same for the mirrored sight line (Klass 1980). The sign of the normal
/// matters to none of them. `None` for a zero normal, for a line that never pierces the lamp
/// plane, and for a mirrored sight line that runs away from it.
pub fn stripe_value(rig: &LampRig, point: Vec3, normal: Vec3) -> Option<f64> {
    stripe_of(rig, point.to_array(), normal.to_array())
}

/// [`stripe_value`] in units of lamps: whole numbers are the lamps' middles, counted from 0.
pub fn stripe_place(rig: &LampRig, point: Vec3, normal: Vec3) -> Option<f64> {
    stripe_value(rig, point, normal).map(|value| place(rig, value))
}

/// As [`stripe_value`], for numbers that may carry derivatives along.
pub fn stripe_of<S: Scalar>(rig: &LampRig, point: [S; 3], normal: [S; 3]) -> Option<S> {
    let direction = rig.direction.to_array().map(S::constant);
    let facing = dot(normal, direction);
    if rig.family == Family::Isophote {
        let side = if facing.value() < 0.0 { -facing } else { facing };
        let across = cross(normal, direction);
        let across = dot(across, across).root();
        return (across.value() > 0.0 || facing.value() != 0.0).then(|| across.angle_over(side));
    }
    let p = pierce(rig, point, normal);
    p.lit.then(|| p.along + p.side * (p.height / p.towards))
}

/// Where a line from the surface pierces the lamp plane, before the division that has no result along the horizon. The
/// value is `along` + `side`·`height`/`towards`, so it is c where [`Pierce::excess`] of c is zero, which is smooth
/// everywhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pierce<S> {
    /// Place of the surface point across the lamps, mm from the rig's axis.
    pub along: S,
    /// Component of the line's direction across the lamps.
    pub side: S,
    /// Distance from the surface point to the lamp plane, mm.
    pub height: S,
    /// Component of the line's direction towards the lamps.
    pub towards: S,
    /// True where there is a value: the line pierces the plane, and a mirrored sight line runs towards it.
    pub lit: bool,
}

impl<S: Scalar> Pierce<S> {
    /// (value − c)·towards.
    pub fn excess(&self, c: f64) -> S {
        (self.along - S::constant(c)) * self.towards + self.side * self.height
    }
}

/// The line of a highlight or reflection line's rig; directions as long as the normal, and its square.
pub fn pierce<S: Scalar>(rig: &LampRig, point: [S; 3], normal: [S; 3]) -> Pierce<S> {
    let (direction, across) = (rig.direction.to_array().map(S::constant), rig.across.to_array().map(S::constant));
    let from = minus(point, rig.centre.to_array().map(S::constant));
    let height = S::constant(rig.distance) - dot(from, direction);
    let mirror = rig.family == Family::ReflectionLine;
    let ray = if mirror { mirrored(to_eye(rig, point), normal) } else { normal };
    let towards = dot(ray, direction);
    // Nearer than this to the lamp plane's direction, rounding alone decides where it pierces.
    let least = 1e-12 * dot(ray, ray).value().sqrt();
    // A mirrored sight line is a ray, not a line: the lamps must lie before it.
    let lit = if mirror { towards.value() > least && height.value() > 0.0 } else { towards.value().abs() > least };
    Pierce { along: dot(from, across), side: dot(ray, across), height, towards, lit }
}

/// From the surface to the eye, of any length.
fn to_eye<S: Scalar>(rig: &LampRig, point: [S; 3]) -> [S; 3] {
    match rig.eye {
        Eye::Far(way) => way.to_array().map(S::constant),
        Eye::At(place) => minus(place.to_array().map(S::constant), point),
    }
}

/// The direction to the eye mirrored about the normal, times the normal's length squared.
fn mirrored<S: Scalar>(eye: [S; 3], normal: [S; 3]) -> [S; 3] {
    let twice = S::constant(2.0) * dot(eye, normal);
    let square = dot(normal, normal);
    core::array::from_fn(|k| normal[k] * twice - eye[k] * square)
}

fn dot<S: Scalar>(a: [S; 3], b: [S; 3]) -> S {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn minus<S: Scalar>(a: [S; 3], b: [S; 3]) -> [S; 3] {
    core::array::from_fn(|k| a[k] - b[k])
}

fn cross<S: Scalar>(a: [S; 3], b: [S; 3]) -> [S; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// True when a stripe function's value lies inside a stripe.
pub fn in_stripe(rig: &LampRig, value: f64) -> bool {
    let place = place(rig, value);
    let lamp = place.round();
    (place - lamp).abs() * rig.spacing < rig.width / 2.0 && lamp >= 0.0 && lamp <= last_lamp(rig)
}

/// Values at which a stripe begins or ends, rising, between `low` and `high`.
pub fn edges(rig: &LampRig, low: f64, high: f64) -> Vec<f64> {
    let first = (place(rig, low) - 1.0).floor().max(0.0);
    let last = (place(rig, high) + 1.0).ceil().min(last_lamp(rig));
    let mut out = Vec::new();
    let mut lamp = first;
    // A pixel-sized stripe is the least of use; more edges than that are a rig set wrong.
    while lamp <= last && out.len() < 100_000 {
        for side in [-0.5, 0.5] {
            let value = (lamp - middle(rig)) * rig.spacing + side * rig.width;
            if value >= low && value <= high {
                out.push(value);
            }
        }
        lamp += 1.0;
    }
    out
}

/// The value in units of lamps: whole numbers are the lamps' middles, counted from 0.
fn place(rig: &LampRig, value: f64) -> f64 {
    value / rig.spacing + middle(rig)
}

/// Place of the rig's axis in units of lamps.
fn middle(rig: &LampRig) -> f64 {
    match rig.family {
        Family::Isophote => 0.0,
        _ => f64::from(rig.count.saturating_sub(1)) / 2.0,
    }
}

fn last_lamp(rig: &LampRig) -> f64 {
    match rig.family {
        Family::Isophote => f64::INFINITY,
        _ => f64::from(rig.count.saturating_sub(1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real::{cos, sin};
    use proptest::prelude::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn rig(family: Family, count: u32, spacing: f64, width: f64) -> LampRig {
        LampRig {
            family,
            direction: Vec3::new(0.2, -0.4, 1.1),
            across: Vec3::new(1.0, 0.6, 0.1),
            centre: Vec3::new(12.0, -7.0, 3.0),
            distance: 450.0,
            count,
            spacing,
            width,
            eye: Eye::At(Vec3::new(-300.0, 120.0, 900.0)),
        }
        .checked()
        .expect("sound")
    }

    #[test]
    fn isophote_is_the_angle_itself() {
        let r = rig(Family::Isophote, 1, 0.1, 0.05);
        for k in 0..=40 {
            let angle = FRAC_PI_2 * f64::from(k) / 40.0;
            for sign in [1.0, -1.0] {
                let n = (r.direction * cos(angle) + r.across * sin(angle)) * (sign * 3.7);
                let f = stripe_value(&r, Vec3::ONE, n).expect("a normal");
                assert!((f - angle).abs() < 1e-14, "{f} {angle}");
            }
        }
        assert_eq!(stripe_value(&r, Vec3::ONE, Vec3::ZERO), None);
    }

    /// On a sphere the highlight line value has the closed form
    /// across·(centre of the sphere) + height·(n·across)/(n·direction), height from the sphere's centre.
    #[test]
    fn highlight_line_on_a_sphere_has_its_closed_form() {
        let r = rig(Family::HighlightLine, 5, 40.0, 20.0);
        let (middle, radius) = (Vec3::new(-3.0, 22.0, 9.0), 133.0);
        for k in 0..50 {
            let t = f64::from(k) * 0.37;
            let n = Vec3::new(cos(t), sin(t), sin(t * 1.7)).normalize();
            let p = middle + n * radius;
            let from = middle - r.centre;
            let height = r.distance - from.dot(r.direction);
            let exact = from.dot(r.across) + height * n.dot(r.across) / n.dot(r.direction);
            let f = stripe_value(&r, p, -n * 0.2).expect("pierces");
            assert!((f - exact).abs() < 1e-9 * (1.0 + exact.abs()), "{f} {exact}");
        }
        assert_eq!(stripe_value(&r, Vec3::ONE, r.across), None);
    }

    #[test]
    fn edges_are_where_membership_changes() {
        for (family, low, high) in [(Family::Isophote, 0.0, FRAC_PI_2), (Family::HighlightLine, -400.0, 400.0)] {
            for count in [1, 2, 7, 8] {
                let spacing = if family == Family::Isophote { 0.11 } else { 37.0 };
                let r = rig(family, count, spacing, spacing * 0.4);
                let all = edges(&r, low, high);
                assert!(all.windows(2).all(|w| w[0] < w[1]));
                let h = spacing * 1e-6;
                for e in &all {
                    assert_ne!(in_stripe(&r, e - h), in_stripe(&r, e + h), "{e}");
                }
                let changes = (0..20_000)
                    .map(|k| low + (high - low) * (f64::from(k) + 0.5) / 20_000.0)
                    .map(|f| in_stripe(&r, f))
                    .collect::<Vec<_>>()
                    .windows(2)
                    .filter(|w| w[0] != w[1])
                    .count();
                assert_eq!(changes, all.len(), "{family:?} {count}");
            }
        }
    }

    #[test]
    fn a_plane_is_one_value_of_angle_and_even_stripes_of_place() {
        let iso = rig(Family::Isophote, 1, 0.1, 0.05);
        let line = rig(Family::HighlightLine, 9, 40.0, 20.0);
        let n = Vec3::new(0.1, 0.2, 0.9).normalize();
        let (a, b) = (n.any_orthonormal_pair().0, n.any_orthonormal_pair().1);
        let at = |s: f64, t: f64| a * s + b * t;
        let first = stripe_value(&iso, at(0.0, 0.0), n);
        assert_eq!(first, stripe_value(&iso, at(50.0, -80.0), n));
        let f = |s: f64, t: f64| stripe_value(&line, at(s, t), n).expect("pierces");
        let step = f(1.0, 0.0) - f(0.0, 0.0);
        assert!((f(90.0, 13.0) - f(0.0, 13.0) - 90.0 * step).abs() < 1e-9);
        assert!(step.abs() <= 1.0 / n.dot(line.direction).abs() && PI > 3.0);
    }

    /// In a flat mirror the lamps' images lie where the mirrored eye sees them straight (law of reflection).
    #[test]
    fn a_flat_mirror_shows_the_lamps_from_the_mirrored_eye() {
        let n = Vec3::new(0.3, -0.1, 0.9).normalize();
        let r = rig(Family::ReflectionLine, 9, 40.0, 20.0);
        let Eye::At(eye) = r.eye else { panic!("a near eye") };
        let image = eye - n * (2.0 * eye.dot(n));
        let mut seen = 0;
        for k in 0..400 {
            let (s, t) = (f64::from(k % 20) * 30.0 - 300.0, f64::from(k / 20) * 30.0 - 300.0);
            let (a, b) = n.any_orthonormal_pair();
            let p = a * s + b * t;
            let ray = p - image;
            let towards = ray.dot(r.direction);
            let height = r.distance - (p - r.centre).dot(r.direction);
            let want = (towards > 0.0 && height > 0.0).then(|| (p - r.centre + ray * (height / towards)).dot(r.across));
            let got = stripe_value(&r, p, n * -2.5);
            assert_eq!(got.is_some(), want.is_some());
            if let (Some(got), Some(want)) = (got, want) {
                seen += 1;
                assert!((got - want).abs() < 1e-9 * (1.0 + want.abs()), "{got} {want}");
            }
        }
        assert!(seen > 100, "{seen}");
    }

    proptest! {
        /// The mirrored ray itself, built by turning the sight line half a turn about the normal.
        #[test]
        fn a_far_eye_is_the_limit_of_a_near_one(x in -1.0f64..1.0, y in -1.0f64..1.0, u in -50.0f64..50.0, v in -50.0f64..50.0) {
            let (p, n) = (Vec3::new(u, v, 3.0), Vec3::new(x * 0.4, y * 0.4, 1.0));
            let way = Vec3::new(0.2, 0.1, 1.0).normalize();
            let far = LampRig { eye: Eye::Far(way), ..rig(Family::ReflectionLine, 5, 40.0, 20.0) };
            let near = LampRig { eye: Eye::At(way * 1e9), ..far };
            if let (Some(a), Some(b)) = (stripe_value(&far, p, n), stripe_value(&near, p, n)) {
                prop_assert!((a - b).abs() < 1e-3 * (1.0 + a.abs()), "{a} {b}");
            }
        }
    }
}
