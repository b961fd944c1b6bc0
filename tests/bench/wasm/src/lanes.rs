//! Two numbers side by side, in one vector register where the machine has one.

use std::ops::{Add, AddAssign, Mul, Sub};

/// Two numbers.
#[derive(Clone, Copy)]
pub struct Lanes(pub [f64; 2]);

impl Lanes {
    pub const ZERO: Self = Self([0.0; 2]);

    #[inline(always)]
    pub fn both(x: f64) -> Self {
        Self([x; 2])
    }
}

impl Add for Lanes {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self([self.0[0] + other.0[0], self.0[1] + other.0[1]])
    }
}

impl Sub for Lanes {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        Self([self.0[0] - other.0[0], self.0[1] - other.0[1]])
    }
}

impl Mul for Lanes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self([self.0[0] * other.0[0], self.0[1] * other.0[1]])
    }
}

impl AddAssign for Lanes {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
