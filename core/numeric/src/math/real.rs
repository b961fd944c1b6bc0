//! Transcendental functions that give the same bits on every target, all through `libm`.
//!
//! The standard library's versions come from the platform and differ between native and wasm.

pub use core::f64::consts::{FRAC_PI_2, PI, TAU};

macro_rules! front {
    ($($(#[$doc:meta])* $name:ident($($arg:ident),+);)+) => {
        $($(#[$doc])* #[inline] pub fn $name($($arg: f64),+) -> f64 { libm::$name($($arg),+) })+
    };
}

front! {
    /// Sine of an angle in radians.
    sin(x);
    /// Cosine of an angle in radians.
    cos(x);
    /// Tangent of an angle in radians.
    tan(x);
    /// Arc sine, radians; NaN outside [−1, 1].
    asin(x);
    /// Arc cosine, radians; NaN outside [−1, 1].
    acos(x);
    /// Arc tangent, radians.
    atan(x);
    /// Angle of the vector (x, y) in (−π, π].
    atan2(y, x);
    /// Exponential.
    exp(x);
    /// Natural logarithm.
    log(x);
    /// Base-ten logarithm.
    log10(x);
    /// Power.
    pow(x, y);
    /// Cube root.
    cbrt(x);
    /// Inverse hyperbolic sine.
    asinh(x);
    /// Hyperbolic sine.
    sinh(x);
    /// Hyperbolic cosine.
    cosh(x);
}

/// Hypotenuse without overflow. Of the square root, which IEEE 754 gives to the last bit everywhere: `libm` has its own, of integers.
#[inline]
pub fn hypot(x: f64, y: f64) -> f64 {
    let (x, y) = (x.abs(), y.abs());
    let (long, short) = if x >= y { (x, y) } else { (y, x) };
    // Squares of these neither overflow nor lose what they add; NaN and what is beyond goes the long way.
    if long < 1e150 && short > 1e-150 {
        return (x * x + y * y).sqrt();
    }
    if short == 0.0 || long.is_infinite() || x.is_nan() || y.is_nan() {
        return if x.is_infinite() || y.is_infinite() { f64::INFINITY } else { x + y };
    }
    let share = short / long;
    long * (1.0 + share * share).sqrt()
}

/// Sine and cosine of an angle in radians.
#[inline]
pub fn sin_cos(x: f64) -> (f64, f64) {
    libm::sincos(x)
}

/// Angle between two vectors, 0 to π, accurate near 0 and π (atan2 of cross and dot). Zero vectors give 0.
#[inline]
pub fn angle_between(a: super::Vec3, b: super::Vec3) -> f64 {
    libm::atan2(a.cross(b).length(), a.dot(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::Vec3;

    /// Against `libm`, within two units in the last place.
    #[test]
    fn hypotenuses_are_right_from_end_to_end_of_the_scale() {
        let sizes = [0.0, 5e-324, 1e-310, 1e-200, 3e-151, 2e-150, 1e-9, 0.3, 1.0, 4.0, 7e12, 9e149, 1e151, 1e300, f64::MAX, f64::INFINITY];
        for x in sizes {
            for y in sizes {
                let (got, want) = (hypot(x, -y), libm::hypot(x, y));
                assert!(got == want || (got - want).abs() <= 2.0 * f64::EPSILON * want, "{x} {y}: {got} against {want}");
            }
        }
        assert!(hypot(f64::NAN, 1.0).is_nan() && hypot(1.0, f64::NAN).is_nan());
        assert_eq!(hypot(f64::NAN, f64::INFINITY), f64::INFINITY);
    }

    #[test]
    fn angle_is_accurate_where_arc_cosine_is_not() {
        for tiny in [1e-3, 1e-6, 1e-9] {
            let a = Vec3::new(3.0, 0.0, 0.0);
            let b = Vec3::new(2.0 * cos(tiny), 2.0 * sin(tiny), 0.0);
            assert!((angle_between(a, b) - tiny).abs() < 1e-16);
            assert!((angle_between(a, -b) - (PI - tiny)).abs() < 1e-15);
        }
    }
}
