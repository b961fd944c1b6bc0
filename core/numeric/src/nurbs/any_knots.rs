//! Knot vectors for property tests.

use super::KnotVector;
use proptest::prelude::*;

/// Degree 1 to 7, up to four inner knots of any multiplicity, clamped or not, from anywhere.
pub fn any_knots() -> impl Strategy<Value = KnotVector> {
    (1usize..=7, proptest::collection::vec((0.05f64..3.0, 1usize..=7), 0..5), any::<bool>(), -4.0f64..4.0).prop_map(
        |(p, inner, clamped, start)| {
            let mut t = start;
            let mut knots: Vec<f64> = (0..=p).map(|i| if clamped { t } else { t - 0.3 * (p - i) as f64 }).collect();
            for (step, m) in inner {
                t += step;
                knots.extend(core::iter::repeat_n(t, m.min(p)));
            }
            t += 0.7;
            knots.extend((0..=p).map(|i| if clamped { t } else { t + 0.4 * i as f64 }));
            KnotVector::new(p, knots).unwrap()
        },
    )
}
