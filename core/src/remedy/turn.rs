//! The least of a function of one number.

/// Steps of the scan. Larger: slower; smaller: another valley is taken.
const STEPS: usize = 48;

/// Rounds of narrowing: each leaves 0.62 of the range.
const ROUNDS: usize = 32;

/// Where a function is least over a range, and its value: scanned, then narrowed by the golden section.
pub(super) fn least(low: f64, high: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    let at = |k: usize| low + (high - low) * k as f64 / STEPS as f64;
    let scan: Vec<f64> = (0..=STEPS).map(|k| f(at(k))).collect();
    let k = (0..=STEPS).fold(0, |best, k| if scan[k] < scan[best] { k } else { best });
    let (mut a, mut b) = (at(k.saturating_sub(1)), at((k + 1).min(STEPS)));
    const GOLDEN: f64 = 0.618_033_988_749_895;
    for _ in 0..ROUNDS {
        let (x, y) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        if f(x) < f(y) { b = y } else { a = x }
    }
    let middle = 0.5 * (a + b);
    let value = f(middle);
    if value <= scan[k] { (middle, value) } else { (at(k), scan[k]) }
}

#[cfg(test)]
mod tests {
    use super::least;

    #[test]
    fn the_deepest_of_two_valleys_is_found() {
        let f = |x: f64| ((x + 2.0) * (x + 2.0)).min((x - 1.0) * (x - 1.0) - 0.5);
        let (at, value) = least(-4.0, 4.0, f);
        assert!((at - 1.0).abs() < 1e-6 && (value + 0.5).abs() < 1e-9, "{at} {value}");
        assert_eq!(least(0.0, 1.0, |x| x).0, 0.0);
    }
}
