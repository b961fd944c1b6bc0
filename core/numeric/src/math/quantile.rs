//! Quantiles of weighted samples.

use super::Arrange;

/// The values below which the given shares (0 to 1) of all weight lie. Each sample stands at the middle of its own weight, straight
/// in between, and beyond the outermost samples their values: for equal weights the rule of Hazen (definition 5 of Hyndman & Fan,
/// *Sample Quantiles in Statistical Packages*, The American Statistician 50(4), 1996). Samples that are not finite and weights that
/// are not positive count for nothing; empty without any other.
pub fn quantiles(samples: impl IntoIterator<Item = (f64, f64)>, shares: &[f64]) -> Vec<f64> {
    let counts = |s: &(f64, f64)| s.0.is_finite() && s.1.is_finite() && s.1 > 0.0;
    let mut all: Vec<(f64, f64)> = samples.into_iter().filter(counts).collect();
    all.arrange_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let total: f64 = all.iter().map(|s| s.1).sum();
    // From weights to the shares at which the samples stand.
    let mut before = 0.0;
    for s in &mut all {
        let own = s.1;
        s.1 = (before + 0.5 * own) / total;
        before += own;
    }
    let at = |share: f64| {
        let after = all.partition_point(|s| s.1 < share);
        match (after.checked_sub(1).and_then(|i| all.get(i)), all.get(after)) {
            (Some(a), Some(b)) if b.1 > a.1 => Some(a.0 + (b.0 - a.0) * ((share - a.1) / (b.1 - a.1))),
            (_, Some(b)) => Some(b.0),
            (Some(a), None) => Some(a.0),
            (None, None) => None,
        }
    };
    shares.iter().filter_map(|&share| at(share)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The sample and definition 5 of R's `quantile(x, type = 5)` on 1…10: (n p + 1/2)-th value.
    #[test]
    fn equal_weights_follow_hazen() {
        let got = quantiles((1..=10).rev().map(|i| (f64::from(i), 3.0)), &[0.0, 0.02, 0.25, 0.5, 0.75, 0.98, 1.0]);
        assert_eq!(got, [1.0, 1.0, 3.0, 5.5, 8.0, 10.0, 10.0]);
    }

    #[test]
    fn what_is_no_number_counts_for_nothing() {
        assert_eq!(quantiles([(f64::NAN, 1.0), (1.0, 0.0), (f64::INFINITY, 2.0), (1.0, f64::NAN)], &[0.5]), Vec::<f64>::new());
        assert_eq!(quantiles([(f64::NAN, 1.0), (4.0, 2.0)], &[0.1, 0.9]), [4.0, 4.0]);
    }

    proptest! {
        /// A sample of weight k is k samples of weight 1 when values are apart: the quantiles lie within the neighbours.
        #[test]
        fn quantiles_rise_and_weights_count(values in prop::collection::vec((-50i32..50, 1u8..5), 1..40)) {
            let shares: Vec<f64> = (0..=100).map(|i| f64::from(i) / 100.0).collect();
            let weighted = quantiles(values.iter().map(|v| (f64::from(v.0), f64::from(v.1))), &shares);
            prop_assert!(weighted.windows(2).all(|w| w[0] <= w[1]));
            // Split by weight, the share below each quantile is the share asked for, to within the largest sample.
            let total: f64 = values.iter().map(|v| f64::from(v.1)).sum();
            for (share, q) in shares.iter().zip(&weighted) {
                let below: f64 = values.iter().filter(|v| f64::from(v.0) < *q).map(|v| f64::from(v.1)).sum();
                let up_to: f64 = values.iter().filter(|v| f64::from(v.0) <= *q).map(|v| f64::from(v.1)).sum();
                prop_assert!(below / total <= share + 2.5 / total && up_to / total >= share - 2.5 / total);
            }
        }
    }
}
