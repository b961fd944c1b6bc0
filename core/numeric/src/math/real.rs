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
    /// Hypotenuse without overflow.
    hypot(x, y);
    /// Cube root.
    cbrt(x);
    /// Inverse hyperbolic sine.
    asinh(x);
    /// Hyperbolic sine.
    sinh(x);
    /// Hyperbolic cosine.
    cosh(x);
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
