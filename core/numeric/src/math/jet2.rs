//! Numbers that carry their first and second derivatives in two variables along.

use super::real;
use core::ops::{Add, Div, Mul, Neg, Sub};

/// What a formula needs of its numbers, so that it is written once for values and once more for derivatives.
pub trait Scalar: Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Neg<Output = Self> {
    /// A number that does not depend on the variables.
    fn constant(x: f64) -> Self;
    /// The value without derivatives.
    fn value(self) -> f64;
    /// Square root; derivatives are not finite at zero.
    fn root(self) -> Self;
    /// Angle of the vector (x, self), radians, in (−π, π].
    fn angle_over(self, x: Self) -> Self;
}

impl Scalar for f64 {
    fn constant(x: f64) -> Self {
        x
    }
    fn value(self) -> f64 {
        self
    }
    fn root(self) -> Self {
        self.sqrt()
    }
    fn angle_over(self, x: Self) -> Self {
        real::atan2(self, x)
    }
}

/// A value with gradient and Hessian in (u, v): the 2-jet of a function at a parameter point. Sums, products and
/// functions follow the chain rule exactly (Griewank & Walther, *Evaluating Derivatives*, 2nd ed., ch. 13: Taylor
/// arithmetic); nothing is differenced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet2 {
    /// Value.
    pub f: f64,
    /// ∂f/∂u.
    pub u: f64,
    /// ∂f/∂v.
    pub v: f64,
    /// ∂²f/∂u².
    pub uu: f64,
    /// ∂²f/∂u∂v.
    pub uv: f64,
    /// ∂²f/∂v².
    pub vv: f64,
}

impl Jet2 {
    /// g(f) from g, g′ and g″ at the value.
    fn chained(self, g: f64, g1: f64, g2: f64) -> Self {
        Self {
            f: g,
            u: g1 * self.u,
            v: g1 * self.v,
            uu: g1 * self.uu + g2 * self.u * self.u,
            uv: g1 * self.uv + g2 * self.u * self.v,
            vv: g1 * self.vv + g2 * self.v * self.v,
        }
    }

    fn each(self, other: Self, g: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            f: g(self.f, other.f),
            u: g(self.u, other.u),
            v: g(self.v, other.v),
            uu: g(self.uu, other.uu),
            uv: g(self.uv, other.uv),
            vv: g(self.vv, other.vv),
        }
    }
}

impl Add for Jet2 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.each(other, |a, b| a + b)
    }
}

impl Sub for Jet2 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.each(other, |a, b| a - b)
    }
}

impl Neg for Jet2 {
    type Output = Self;
    fn neg(self) -> Self {
        self.chained(-self.f, -1.0, 0.0)
    }
}

impl Mul for Jet2 {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Self {
            f: self.f * o.f,
            u: self.u * o.f + self.f * o.u,
            v: self.v * o.f + self.f * o.v,
            uu: self.uu * o.f + 2.0 * self.u * o.u + self.f * o.uu,
            uv: self.uv * o.f + self.u * o.v + self.v * o.u + self.f * o.uv,
            vv: self.vv * o.f + 2.0 * self.v * o.v + self.f * o.vv,
        }
    }
}

impl Div for Jet2 {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        let r = 1.0 / o.f;
        self * o.chained(r, -r * r, 2.0 * r * r * r)
    }
}

impl Scalar for Jet2 {
    fn constant(x: f64) -> Self {
        Self { f: x, u: 0.0, v: 0.0, uu: 0.0, uv: 0.0, vv: 0.0 }
    }
    fn value(self) -> f64 {
        self.f
    }
    fn root(self) -> Self {
        let r = self.f.sqrt();
        self.chained(r, 0.5 / r, -0.25 / (r * self.f))
    }
    fn angle_over(self, x: Self) -> Self {
        let f = real::atan2(self.f, x.f);
        // The angle's derivatives are those of the quotient's arc tangent, on whichever quotient is bounded.
        let turned = if x.f.abs() >= self.f.abs() {
            let q = self / x;
            let r = 1.0 / (1.0 + q.f * q.f);
            q.chained(f, r, -2.0 * q.f * r * r)
        } else {
            let q = x / self;
            let r = 1.0 / (1.0 + q.f * q.f);
            q.chained(f, -r, 2.0 * q.f * r * r)
        };
        Self { f, ..turned }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A formula with every operation in it.
    fn formula<S: Scalar>(u: S, v: S) -> S {
        let c = S::constant;
        let a = u * v - c(0.7) * u / (c(2.0) + v * v) + (c(3.0) + u * u * v).root();
        let b = (u - v * c(2.0)) * c(0.5) - c(1.5);
        a.angle_over(-b) + a / (c(5.0) + b * b)
    }

    proptest! {
        /// Against central differences of the value, Richardson-extrapolated once.
        #[test]
        fn derivatives_are_those_of_the_value(u in 0.1f64..1.5, v in 0.1f64..1.5) {
            let zero = Jet2::constant(0.0);
            let got = formula(Jet2 { f: u, u: 1.0, ..zero }, Jet2 { f: v, v: 1.0, ..zero });
            let f = |x: f64, y: f64| formula(u + x, v + y);
            prop_assert!((got.f - f(0.0, 0.0)).abs() < 1e-14 * (1.0 + got.f.abs()));
            let twice = |g: &dyn Fn(f64) -> f64| (4.0 * g(1e-3) - g(2e-3)) / 3.0;
            let by = |x: f64, y: f64| twice(&|h| (f(h * x, h * y) - f(-h * x, -h * y)) / (2.0 * h));
            prop_assert!((got.u - by(1.0, 0.0)).abs() < 1e-8 && (got.v - by(0.0, 1.0)).abs() < 1e-8);
            let bend = |x: f64, y: f64| twice(&|h| (f(h * x, h * y) - 2.0 * f(0.0, 0.0) + f(-h * x, -h * y)) / (h * h));
            prop_assert!((got.uu - bend(1.0, 0.0)).abs() < 1e-6 && (got.vv - bend(0.0, 1.0)).abs() < 1e-6);
            let both = got.uu + 2.0 * got.uv + got.vv;
            prop_assert!((both - bend(1.0, 1.0)).abs() < 1e-6);
        }
    }
}
