//! Gauss–Legendre quadrature.

use super::{Interval, real};

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

/// Nodes and weights on [−1, 1] of the rule with `count` points, exact to degree 2 · count − 1: roots of the Legendre
/// polynomial by Newton's method (Abramowitz & Stegun, 25.4.29, with the three-term recurrence 22.7.10). Rising nodes.
pub fn gauss_legendre(count: usize) -> Vec<(f64, f64)> {
    let n = count as f64;
    let mut rule = Vec::with_capacity(count);
    for i in (0..count).rev() {
        let mut x = real::cos(real::PI * (i as f64 + 0.75) / (n + 0.5));
        let mut slope = 1.0;
        // Newton doubles the digits; the guess has two or more.
        for _ in 0..8 {
            let (mut here, mut before) = (x, 1.0);
            for k in 2..=count {
                let k = k as f64;
                (here, before) = (((2.0 * k - 1.0) * x * here - (k - 1.0) * before) / k, here);
            }
            slope = n * (x * here - before) / (x * x - 1.0);
            x -= here / slope;
        }
        rule.push((x, 2.0 / ((1.0 - x * x) * slope * slope)));
    }
    rule
}

/// Positive nodes, Kronrod weights and (for every second one) Gauss weights of the 7–15 pair on [−1, 1]; the last is
/// the middle (Piessens et al., *QUADPACK*, 1983, routine QK15).
const KRONROD_15: [(f64, f64, f64); 8] = [
    (0.991_455_371_120_812_6, 0.022_935_322_010_529_224, 0.0),
    (0.949_107_912_342_758_5, 0.063_092_092_629_978_56, 0.129_484_966_168_869_7),
    (0.864_864_423_359_769_1, 0.104_790_010_322_250_19, 0.0),
    (0.741_531_185_599_394_4, 0.140_653_259_715_525_92, 0.279_705_391_489_276_64),
    (0.586_087_235_467_691_1, 0.169_004_726_639_267_9, 0.0),
    (0.405_845_151_377_397_2, 0.190_350_578_064_785_4, 0.381_830_050_505_118_9),
    (0.207_784_955_007_898_47, 0.204_432_940_075_298_89, 0.0),
    (0.0, 0.209_482_141_084_727_82, 0.417_959_183_673_469_37),
];

/// An integral over one interval with what is known of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The integral.
    pub value: f64,
    /// Likely bound of its error.
    pub error: f64,
    /// Integral of the absolute value, as a scale.
    pub size: f64,
}

/// Integral of `f` over a bounded interval by the 7–15 Gauss–Kronrod pair, exact to degree 22; 15 evaluations.
pub fn kronrod_15(over: Interval, mut f: impl FnMut(f64) -> f64) -> Estimate {
    let (half, middle) = (0.5 * over.length(), 0.5 * (over.low + over.high));
    let (mut fine, mut coarse, mut size) = (0.0, 0.0, 0.0);
    for &(x, w, g) in &KRONROD_15 {
        let low = f(middle - half * x);
        let both = if x == 0.0 { low } else { low + f(middle + half * x) };
        fine += w * both;
        coarse += g * both;
        size += w * both.abs();
    }
    let (value, size) = (fine * half, (size * half).abs());
    // QUADPACK's rule: the difference of the two rules overstates the better one's error.
    let gap = if size > 0.0 { 200.0 * ((fine - coarse) * half).abs() / size } else { 0.0 };
    Estimate { value, error: size * (gap * gap.sqrt()).min(1.0), size }
}

/// Integral by halving until each part's error falls below `tolerance` (absolute), at most `depth` times.
pub fn adaptive(over: Interval, tolerance: f64, depth: u32, f: &mut dyn FnMut(f64) -> f64) -> f64 {
    refined(over, kronrod_15(over, &mut *f), tolerance, depth, f)
}

/// As [`adaptive`], from an estimate of the whole interval already at hand.
pub fn refined(over: Interval, whole: Estimate, tolerance: f64, depth: u32, f: &mut dyn FnMut(f64) -> f64) -> f64 {
    // An error that is no number will not get better by halving.
    if whole.error <= tolerance || depth == 0 || !whole.error.is_finite() {
        return whole.value;
    }
    let middle = over.at(0.5);
    let mut half = |part: Interval| adaptive(part, 0.5 * tolerance, depth - 1, f);
    half(Interval::new(over.low, middle)) + half(Interval::new(middle, over.high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kronrod_is_exact_to_degree_twenty_two_and_halving_meets_its_tolerance() {
        for degree in 0..=22u32 {
            let got = kronrod_15(Interval::new(0.5, 2.0), |x| (0..degree).fold(1.0, |p, _| p * x));
            let power = |b: f64| (0..=degree).fold(1.0, |p, _| p * b) / f64::from(degree + 1);
            let want = power(2.0) - power(0.5);
            assert!((got.value - want).abs() < 2e-15 * want, "degree {degree}: {got:?} against {want}");
        }
        // A corner inside and a root at the end: ∫₀² |x − 0.3| + √x.
        let want = 0.045 + 0.5 * 1.7 * 1.7 + 2.0 / 3.0 * 2.0 * f64::sqrt(2.0);
        for tolerance in [1e-3, 1e-6, 1e-9, 1e-11] {
            let got = adaptive(Interval::new(0.0, 2.0), tolerance, 60, &mut |x| (x - 0.3).abs() + x.sqrt());
            assert!((got - want).abs() < tolerance, "{tolerance}: {got} against {want}");
        }
    }

    #[test]
    fn every_rule_is_exact_to_its_degree_and_the_eighth_is_the_tabled_one() {
        for count in 1..=32usize {
            let rule = gauss_legendre(count);
            // Even powers: odd ones vanish by symmetry, which holds the nodes too.
            for half in 0..count {
                let got: f64 = rule.iter().map(|&(x, w)| w * (0..2 * half).fold(1.0, |p, _| p * x)).sum();
                let want = 2.0 / (2 * half + 1) as f64;
                assert!((got - want).abs() < 1e-13, "{count} points, degree {}: {got} against {want}", 2 * half);
            }
            assert!(rule.windows(2).all(|w| w[0].0 < w[1].0));
        }
        for (a, b) in gauss_legendre(8).iter().zip(GAUSS_8) {
            assert!((a.0 - b.0).abs() < 1e-15 && (a.1 - b.1).abs() < 1e-15, "{a:?} against {b:?}");
        }
    }

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
