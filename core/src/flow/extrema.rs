//! Waves of a sampled function: its extrema, small ones left out.

/// An extremum inside a run of samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extremum {
    /// Place, in the unit of the samples' places.
    pub at: f64,
    /// Value.
    pub value: f64,
}

/// The extrema strictly inside a run of samples (place rising, value), minima and maxima in turn, that stand out by at
/// least `least`: neighbours closer in value cancel, the closest first (persistence of a function on a line: Edelsbrunner
/// & Harer, *Computational Topology*, §VII.1). Each is refined by the parabola through three samples.
pub(super) fn extrema(samples: &[(f64, f64)], least: f64) -> Vec<Extremum> {
    let turns = |w: &[(f64, f64)]| (w[1].1 - w[0].1) * (w[2].1 - w[1].1) < 0.0;
    let inner = samples.windows(3).enumerate().filter(|(_, w)| turns(w)).map(|(i, _)| i + 1);
    // Both ends take part: a run down to the end of the line cancels as any other.
    let last = samples.len().saturating_sub(1);
    let mut all: Vec<usize> = [0].into_iter().chain(inner).chain([last]).collect();
    all.dedup();
    let value = |i: usize| samples.get(i).map_or(0.0, |s| s.1);
    while all.len() > 2 {
        let swings = all.windows(2).enumerate().map(|(k, w)| ((value(w[1]) - value(w[0])).abs(), k));
        let Some((swing, k)) = swings.min_by(|x, y| x.0.total_cmp(&y.0)) else { break };
        if swing >= least {
            break;
        }
        // At an end only the inner one goes, so that the line keeps its ends.
        let (from, to) = if k == 0 {
            (1, 2)
        } else if k + 2 == all.len() {
            (k, k + 1)
        } else {
            (k, k + 2)
        };
        all.drain(from..to);
    }
    // What is left may run on past what was dropped: only true turns are extrema.
    let mut out = Vec::new();
    for w in all.windows(3) {
        if (value(w[1]) - value(w[0])) * (value(w[2]) - value(w[1])) < 0.0 {
            out.extend(refined(samples, w[1]));
        }
    }
    out
}

fn refined(samples: &[(f64, f64)], i: usize) -> Option<Extremum> {
    let (&(x0, y0), &(x1, y1), &(x2, y2)) = (samples.get(i.checked_sub(1)?)?, samples.get(i)?, samples.get(i + 1)?);
    let (a, b) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
    let bend = (b - a) / (x2 - x0);
    if bend == 0.0 {
        return Some(Extremum { at: x1, value: y1 });
    }
    let at = (0.5 * (x0 + x1) - 0.5 * a / bend).clamp(x0, x2);
    Some(Extremum { at, value: y0 + a * (at - x0) + bend * (at - x0) * (at - x1) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real;
    use proptest::prelude::*;

    proptest! {
        /// A wave with noise on it and a slope below it keeps its extrema, and no other.
        #[test]
        fn waves_stand_out_of_noise(length in 0.7f64..2.0, phase in 0.0f64..6.0, noise in proptest::collection::vec(-0.01f64..0.01, 301)) {
            let f = |x: f64| real::cos(real::TAU * x / length + phase) + 0.02 * x;
            let samples: Vec<(f64, f64)> = noise.iter().enumerate().map(|(i, n)| (0.03 * i as f64, f(0.03 * i as f64) + n)).collect();
            let got = extrema(&samples, 0.2);
            // Those of the wave itself, but for what stands within a quarter wave of an end.
            let of = |k: f64| (k * real::PI - phase) * length / real::TAU;
            let all: Vec<f64> = (-4..40).map(|k| of(f64::from(k))).filter(|x| *x > 0.0 && *x < 9.0).collect();
            let sure = all.iter().filter(|x| **x > 0.25 * length && **x < 9.0 - 0.25 * length).count();
            prop_assert!(got.len() >= sure && got.len() <= all.len(), "{} of {}", got.len(), all.len());
            for e in &got {
                prop_assert!(all.iter().any(|x| (x - e.at).abs() < 0.1 * length), "{e:?}");
                prop_assert!((e.value.abs() - 1.0).abs() < 0.25);
            }
        }
    }

    #[test]
    fn monotone_and_flat_runs_have_none_and_parabolas_are_exact() {
        assert_eq!(extrema(&[(0.0, 1.0), (1.0, 2.0), (2.0, 3.0)], 0.1), Vec::new());
        assert_eq!(extrema(&[(0.0, 1.0), (1.0, 1.0), (2.0, 1.0)], 0.1), Vec::new());
        assert_eq!(extrema(&[], 0.1), Vec::new());
        let parabola: Vec<(f64, f64)> = [0.0, 0.3, 1.1, 1.7, 2.5].iter().map(|&x| (x, 4.0 - 3.0 * (x - 1.23) * (x - 1.23))).collect();
        let got = extrema(&parabola, 0.1);
        assert!(got.len() == 1 && (got[0].at - 1.23).abs() < 1e-12 && (got[0].value - 4.0).abs() < 1e-12, "{got:?}");
    }
}
