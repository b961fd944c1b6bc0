//! Root of a function between two places where its signs differ.

/// Most evaluations. Larger: wasted on functions that jump; smaller: roots of high order are left rough.
const ROUNDS: usize = 120;

/// The place between `low` and `high` where `f` is zero, given its values there, of opposite sign. Stops where |f| is at
/// most `small` or the bracket is down to rounding. False position with the stale end's value halved (the Illinois
/// method: Dowell & Jarratt, *BIT* 11, 1971), and bisection every third step so that no function makes it slow. None
/// where `f` is not defined.
pub fn root(low: (f64, f64), high: (f64, f64), small: f64, mut f: impl FnMut(f64) -> Option<f64>) -> Option<f64> {
    let ((mut a, mut at_a), (mut b, mut at_b)) = (low, high);
    for (x, y) in [low, high] {
        if y.abs() <= small {
            return Some(x);
        }
    }
    // Which end was kept last, and how often in a row.
    let mut kept = (0, 0);
    for round in 0..ROUNDS {
        let even = 0.5 * (a + b);
        let guess = b - at_b * (b - a) / (at_b - at_a);
        let inside = (guess - a) * (guess - b) < 0.0;
        let x = if inside && round % 3 != 2 { guess } else { even };
        if x == a || x == b {
            return Some(x);
        }
        let y = f(x)?;
        if y.abs() <= small {
            return Some(x);
        }
        if (y > 0.0) == (at_a > 0.0) {
            (a, at_a) = (x, y);
            kept = if kept.0 == 1 { (1, kept.1 + 1) } else { (1, 1) };
            if kept.1 > 1 {
                at_b *= 0.5;
            }
        } else {
            (b, at_b) = (x, y);
            kept = if kept.0 == 2 { (2, kept.1 + 1) } else { (2, 1) };
            if kept.1 > 1 {
                at_a *= 0.5;
            }
        }
        if (b - a).abs() <= 4.0 * f64::EPSILON * a.abs().max(b.abs()) {
            return Some(0.5 * (a + b));
        }
    }
    Some(0.5 * (a + b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real;

    #[test]
    fn roots_of_smooth_flat_and_jumping_functions() {
        let mut calls = 0;
        let mut find = |low: f64, high: f64, g: &dyn Fn(f64) -> f64| {
            root((low, g(low)), (high, g(high)), 0.0, |x| {
                calls += 1;
                Some(g(x))
            })
            .expect("a root")
        };
        assert!((find(0.0, 2.0, &|x| real::cos(x)) - real::FRAC_PI_2).abs() < 1e-15);
        assert!((find(-1.0, 4.0, &|x| (x - 0.3) * (x - 0.3) * (x - 0.3)) - 0.3).abs() < 1e-5);
        assert!((find(5.0, -3.0, &|x| if x > 1.25 { 1.0 } else { -1.0 }) - 1.25).abs() < 1e-14);
        assert!((find(1e-9, 1e9, &|x| real::log(x / 7.0)) - 7.0).abs() < 1e-13);
        assert!(calls < 400, "{calls}");
    }

    #[test]
    fn ends_that_are_roots_and_undefined_functions() {
        assert_eq!(root((2.0, 0.0), (3.0, 1.0), 0.0, |_| None), Some(2.0));
        assert_eq!(root((2.0, -1.0), (3.0, 1.0), 0.0, |_| None), None);
    }
}
