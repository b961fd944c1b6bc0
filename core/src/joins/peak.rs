//! The largest value of a function on an interval, refined by Brent's method.

/// Golden section share.
const GOLDEN: f64 = 0.381_966_011_250_105_1;
/// Most evaluations of one refinement: enough for golden section alone to reach 1e-8 of the bracket.
const STEPS: usize = 40;

/// Place and value of the maximum of `f` on [low, high], starting from (x, value) inside or at an end, to about
/// `precision` relative in the value. `f` answers None where it does not apply, which counts as smaller than all.
/// Brent, *Algorithms for Minimization without Derivatives*, 1973, ch. 5.
pub fn refine(mut low: f64, mut high: f64, start: (f64, f64), precision: f64, mut f: impl FnMut(f64) -> Option<f64>) -> (f64, f64) {
    let mut value = |x: f64| f(x).filter(|v| v.is_finite()).unwrap_or(f64::NEG_INFINITY);
    let (mut best, mut second, mut third) = (start, start, start);
    // At an end of the interval the search starts from a point inside.
    if start.0 <= low || start.0 >= high {
        let x = if start.0 <= low { low + GOLDEN * (high - low) } else { high - GOLDEN * (high - low) };
        let inner = (x, value(x));
        if inner.1 > best.1 {
            best = inner;
        } else {
            second = inner;
            // The maximum is the end itself unless the function rises inwards: look close by.
            let near = start.0 + (x - start.0) * 1e-3;
            let close = (near, value(near));
            if close.1 <= start.1 {
                return start;
            }
            best = close;
        }
    }
    let width = high - low;
    let (mut step, mut before) = (0.0f64, 0.0f64);
    for _ in 0..STEPS {
        let middle = 0.5 * (low + high);
        let slack = 1e-7 * width;
        if (best.0 - middle).abs() <= 2.0 * slack - 0.5 * (high - low) {
            break;
        }
        let mut golden = true;
        if before.abs() > slack {
            let r = (best.0 - second.0) * (best.1 - third.1);
            let q = (best.0 - third.0) * (best.1 - second.1);
            let (mut p, mut q) = ((best.0 - third.0) * q - (best.0 - second.0) * r, 2.0 * (q - r));
            if q > 0.0 {
                p = -p
            } else {
                q = -q
            }
            if p.is_finite() && p.abs() < (0.5 * q * before).abs() && p > q * (low - best.0) && p < q * (high - best.0) {
                before = step;
                step = p / q;
                golden = false;
            }
        }
        if golden {
            before = if best.0 < middle { high - best.0 } else { low - best.0 };
            step = GOLDEN * before;
        }
        let x = best.0 + if step.abs() >= slack { step } else { slack * step.signum() };
        let here = (x, value(x));
        if here.1 >= best.1 {
            if x < best.0 {
                high = best.0
            } else {
                low = best.0
            }
            let gain = here.1 - best.1;
            (third, second, best) = (second, best, here);
            if gain <= 0.01 * precision * here.1.abs() && !golden {
                break;
            }
        } else {
            if x < best.0 {
                low = x
            } else {
                high = x
            }
            if here.1 >= second.1 || second.0 == best.0 {
                (third, second) = (second, here);
            } else if here.1 >= third.1 || third.0 == best.0 || third.0 == second.0 {
                third = here;
            }
        }
    }
    if best.1 >= start.1 { best } else { start }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real;

    #[test]
    fn finds_maxima_of_every_kind_to_the_precision_asked() {
        type Case = (&'static str, fn(f64) -> f64, f64);
        let cases: [Case; 5] = [
            ("parabola", |x| 2.0 - (x - 0.337) * (x - 0.337), 2.0),
            ("sine", |x| real::sin(3.0 * x + 0.7), 1.0),
            ("corner", |x| 1.0 - (x - 0.4123).abs(), 1.0),
            ("flat top", |x| 1.0 - real::pow(x - 0.6, 4.0), 1.0),
            ("bump", |x| 1.0 / (1.0 + 50.0 * (x - 0.71) * (x - 0.71)), 1.0),
        ];
        for (name, f, want) in cases {
            for start in [0.1, 0.25, 0.5, 0.77] {
                let got = refine(0.0, 1.0, (start, f(start)), 1e-6, |x| Some(f(x)));
                assert!((got.1 - want).abs() < 1e-6 * want, "{name} from {start}: {got:?}");
            }
        }
    }

    #[test]
    fn an_end_maximum_stays_and_costs_little() {
        let mut calls = 0;
        let got = refine(0.0, 1.0, (1.0, 3.0), 1e-6, |x| {
            calls += 1;
            Some(3.0 * x)
        });
        assert_eq!((got, calls), ((1.0, 3.0), 2));
    }
}
