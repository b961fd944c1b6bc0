//! Truncated Taylor series in (u, v): derivatives of what is computed from a surface, exact and without differencing.

use super::Surface;
use crate::math::Vec3;

/// Highest total order kept: three for a surface, one for its normal, one for the normal's limit at a pole.
pub(super) const ORDER: usize = 5;

const COUNT: usize = (ORDER + 1) * (ORDER + 2) / 2;

/// A number as a series in the distances from one parameter point. Coefficients beyond the order of what it was
/// made from mean nothing; every operation leaves lower ones right.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series([f64; COUNT]);

/// A vector as a series.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series3([Series; 3]);

/// Place of the coefficient of u^i v^j.
const fn at(i: usize, j: usize) -> usize {
    (i + j) * (i + j + 1) / 2 + j
}

/// Pairs of powers with total at most `ORDER`.
fn powers() -> impl Iterator<Item = (usize, usize)> {
    (0..=ORDER).flat_map(|n| (0..=n).map(move |j| (n - j, j)))
}

const FACTORIAL: [f64; ORDER + 1] = [1.0, 1.0, 2.0, 6.0, 24.0, 120.0];

impl Series {
    fn plus(&self, other: &Series) -> Series {
        Series(core::array::from_fn(|k| self.0[k] + other.0[k]))
    }

    fn minus(&self, other: &Series) -> Series {
        Series(core::array::from_fn(|k| self.0[k] - other.0[k]))
    }

    fn times(&self, x: f64) -> Series {
        Series(self.0.map(|c| c * x))
    }

    fn product(&self, other: &Series) -> Series {
        let mut sum = [0.0; COUNT];
        for (i, j) in powers() {
            let a = self.0[at(i, j)];
            if a != 0.0 {
                for (k, l) in powers().take_while(|(k, l)| i + j + k + l <= ORDER) {
                    sum[at(i + k, j + l)] += a * other.0[at(k, l)];
                }
            }
        }
        Series(sum)
    }

    /// 1 / √self, for a positive constant term: each Newton step r ← r (3 − q r²) / 2 doubles the number of right
    /// orders (Brent & Kung, *J. ACM* 25, 1978), so three reach order seven.
    fn inverse_root(&self) -> Series {
        let mut r = [0.0; COUNT];
        r[0] = 1.0 / self.0[0].sqrt();
        let mut r = Series(r);
        for _ in 0..3 {
            let mut rest = self.product(&r).product(&r).times(-1.0);
            rest.0[0] += 3.0;
            r = r.product(&rest).times(0.5);
        }
        r
    }
}

impl Series3 {
    /// The series of a surface (that is no offset) to total order `order` ≤ [`ORDER`].
    pub(super) fn of(surface: &Surface, u: f64, v: f64, order: usize) -> Self {
        let p = surface.partials::<{ ORDER + 1 }>(u, v, order);
        let mut s = Series3([Series([0.0; COUNT]); 3]);
        for (i, j) in powers().take_while(|(i, j)| i + j <= order) {
            let c = p[i][j] / (FACTORIAL[i] * FACTORIAL[j]);
            for (axis, x) in s.0.iter_mut().zip(c.to_array()) {
                axis.0[at(i, j)] = x;
            }
        }
        s
    }

    /// Partial derivative, i times by u and j times by v.
    pub(super) fn partial(&self, i: usize, j: usize) -> Vec3 {
        self.coefficient(i, j) * (FACTORIAL[i] * FACTORIAL[j])
    }

    fn coefficient(&self, i: usize, j: usize) -> Vec3 {
        let [x, y, z] = &self.0;
        Vec3::new(x.0[at(i, j)], y.0[at(i, j)], z.0[at(i, j)])
    }

    fn mapped(&self, from: impl Fn(usize, usize) -> Option<(usize, usize, f64)>) -> Self {
        let mut out = Series3([Series([0.0; COUNT]); 3]);
        for (i, j) in powers() {
            if let Some((k, l, factor)) = from(i, j).filter(|(k, l, _)| k + l <= ORDER) {
                for (to, axis) in out.0.iter_mut().zip(&self.0) {
                    to.0[at(i, j)] = axis.0[at(k, l)] * factor;
                }
            }
        }
        out
    }

    /// Derivative by u; one order less is right.
    pub(super) fn by_u(&self) -> Self {
        self.mapped(|i, j| Some((i + 1, j, (i + 1) as f64)))
    }

    /// Derivative by v; one order less is right.
    pub(super) fn by_v(&self) -> Self {
        self.mapped(|i, j| Some((i, j + 1, (j + 1) as f64)))
    }

    /// The series divided by u, for one that vanishes with u; None when nothing of first order is left.
    pub(super) fn over_u(&self) -> Option<Self> {
        let s = self.mapped(|i, j| Some((i + 1, j, 1.0)));
        (s.partial(0, 0) != Vec3::ZERO).then_some(s)
    }

    /// The series divided by v, as [`Series3::over_u`].
    pub(super) fn over_v(&self) -> Option<Self> {
        let s = self.mapped(|i, j| Some((i, j + 1, 1.0)));
        (s.partial(0, 0) != Vec3::ZERO).then_some(s)
    }

    pub(super) fn plus(&self, other: &Self) -> Self {
        Series3(core::array::from_fn(|k| self.0[k].plus(&other.0[k])))
    }

    pub(super) fn times(&self, x: f64) -> Self {
        Series3(core::array::from_fn(|k| self.0[k].times(x)))
    }

    pub(super) fn cross(&self, other: &Self) -> Self {
        let ([a, b, c], [x, y, z]) = (&self.0, &other.0);
        let minor = |p: &Series, q: &Series, r: &Series, s: &Series| p.product(q).minus(&r.product(s));
        Series3([minor(b, z, c, y), minor(c, x, a, z), minor(a, y, b, x)])
    }

    /// The vector over its own length; not finite where that is zero.
    pub(super) fn unit(&self) -> Self {
        let [x, y, z] = &self.0;
        let square = x.product(x).plus(&y.product(y)).plus(&z.product(z));
        let r = square.inverse_root();
        Series3([x.product(&r), y.product(&r), z.product(&r)])
    }
}
