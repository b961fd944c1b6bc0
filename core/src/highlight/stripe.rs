//! The stripe function: the value whose bands are the stripes. The viewer's shader holds its
//! twin, and a browser test bounds the difference.

use super::rig::{Family, LampRig};
use crate::math::Vec3;
use crate::math::real::atan2;

/// Value of the stripe function at a surface point (mm) with a normal of any length and sign.
///
/// Isophote: angle between the light direction and the normal turned to the lamp side, radians,
/// 0 to π/2 (Poeschl 1984; the angle, not its cosine). Highlight line: where the line along the
/// normal pierces the lamp plane, along `across`, mm from the rig's axis (Beier & Chen 1994);
/// the sign of the normal does not matter for a line. `None` for a zero normal and for a normal
/// that never pierces the lamp plane.
pub fn stripe_value(rig: &LampRig, point: Vec3, normal: Vec3) -> Option<f64> {
    let facing = normal.dot(rig.direction);
    match rig.family {
        Family::Isophote => {
            let across = normal.cross(rig.direction).length();
            (across > 0.0 || facing != 0.0).then(|| atan2(across, facing.abs()))
        }
        Family::HighlightLine => {
            let from = point - rig.centre;
            let height = rig.distance - from.dot(rig.direction);
            let f = (from + normal * (height / facing)).dot(rig.across);
            // Nearer than this to the lamp plane's direction, rounding alone decides where it pierces.
            (facing.abs() > 1e-12 * normal.length()).then_some(f)
        }
    }
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
        Family::HighlightLine => f64::from(rig.count.saturating_sub(1)) / 2.0,
    }
}

fn last_lamp(rig: &LampRig) -> f64 {
    match rig.family {
        Family::Isophote => f64::INFINITY,
        Family::HighlightLine => f64::from(rig.count.saturating_sub(1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real::{cos, sin};
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
}
