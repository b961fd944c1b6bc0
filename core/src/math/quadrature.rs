//! Gauss–Legendre quadrature.

use super::Interval;

/// Nodes and weights on [−1, 1] of the 8-point rule, exact to degree 15 (Abramowitz & Stegun, table 25.4).
pub const GAUSS_8: [(f64, f64); 8] = [
    (-0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
    (-0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (-0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (-0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];

/// Integral of `f` over a bounded interval by the 8-point rule.
pub fn gauss_8(over: Interval, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (half, middle) = (0.5 * over.length(), 0.5 * (over.low + over.high));
    GAUSS_8.iter().map(|&(x, w)| w * f(middle + half * x)).sum::<f64>() * half
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_for_every_monomial_up_to_degree_fifteen() {
        for degree in 0..=15u32 {
            let got = gauss_8(Interval::new(0.5, 2.0), |x| (0..degree).fold(1.0, |p, _| p * x));
            let power = |b: f64| (0..=degree).fold(1.0, |p, _| p * b) / f64::from(degree + 1);
            let want = power(2.0) - power(0.5);
            assert!((got - want).abs() < 1e-13 * want, "degree {degree}: {got} against {want}");
        }
    }
}
