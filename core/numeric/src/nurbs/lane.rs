//! Numbers side by side in a vector register: two doubles are what WebAssembly and plain x86-64 have. Written out, since compilers take such
//! pairs apart again where loops are as short as ours.

use core::ops::{Add, AddAssign, Mul, Sub};
use wide::f64x2;

/// What functions are evaluated in: a number, or several side by side.
pub(super) trait Lane:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Mul<f64, Output = Self> + AddAssign
{
    /// The same number in all places.
    fn all(x: f64) -> Self;
}

impl Lane for f64 {
    #[inline(always)]
    fn all(x: f64) -> Self {
        x
    }
}

impl Lane for f64x2 {
    #[inline(always)]
    fn all(x: f64) -> Self {
        f64x2::splat(x)
    }
}
