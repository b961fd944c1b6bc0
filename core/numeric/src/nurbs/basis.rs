//! B-spline basis functions and their derivatives.

use super::KnotVector;
use super::functions::{ANY, Functions, LOW};

/// Highest degree accepted. Larger costs stack in every evaluation; real files stay well below (≤ 25 seen).
pub const MAX_DEGREE: usize = 31;

/// Values and derivatives of the degree + 1 basis functions that do not vanish on a span.
///
/// `rows[k][r]` is the k-th derivative of function `first + r`.
#[derive(Debug, Clone)]
pub struct BasisDerivs<const K: usize = 4> {
    /// Index of the first control point that counts.
    pub first: usize,
    /// Rows of derivative order 0 to K − 1; entries beyond the degree are 0.
    pub rows: [[f64; ANY]; K],
}

impl<const K: usize> BasisDerivs<K> {
    /// Evaluates on `span` (see [`KnotVector::span`]) up to derivative `order` ≤ K − 1; higher rows stay 0.
    pub fn at(knots: &KnotVector, span: usize, t: f64, order: usize) -> Self {
        if knots.degree() < LOW {
            Self::of(&Functions::<K, LOW>::at(knots, span, t, order))
        } else {
            Self::of(&Functions::<K, ANY>::at(knots, span, t, order))
        }
    }

    fn of<const N: usize>(functions: &Functions<K, N>) -> Self {
        let mut rows = [[0.0; ANY]; K];
        for (c, of_one) in functions.at.iter().enumerate() {
            for (row, value) in rows.iter_mut().zip(of_one) {
                row[c] = *value;
            }
        }
        Self { first: functions.first, rows }
    }
}

#[cfg(test)]
mod tests {
    use super::super::any_knots::any_knots;
    use super::*;
    use proptest::prelude::*;

    /// The obviously right twin: NB eq. 2.5 and 2.7 as they stand, with 0/0 = 0.
    fn slow(k: &[f64], i: usize, p: usize, t: f64, span: usize, order: usize) -> f64 {
        let over = |a: f64, b: f64| if b == 0.0 { 0.0 } else { a / b };
        match (order, p) {
            (0, 0) => f64::from(u8::from(i == span)),
            (0, _) => {
                over(t - k[i], k[i + p] - k[i]) * slow(k, i, p - 1, t, span, 0)
                    + over(k[i + p + 1] - t, k[i + p + 1] - k[i + 1]) * slow(k, i + 1, p - 1, t, span, 0)
            }
            (_, 0) => 0.0,
            _ => {
                p as f64
                    * (over(slow(k, i, p - 1, t, span, order - 1), k[i + p] - k[i])
                        - over(slow(k, i + 1, p - 1, t, span, order - 1), k[i + p + 1] - k[i + 1]))
            }
        }
    }

    proptest! {
        #[test]
        fn agrees_with_the_recursive_definition(k in any_knots(), share in 0.0f64..=1.0) {
            let t = k.domain().at(share);
            for span in [k.span(t), k.span_left(t)] {
                let b = BasisDerivs::<6>::at(&k, span, t, 5);
                for order in 0..=5 {
                    let scale = (0..=k.degree()).map(|r| b.rows[order][r].abs()).fold(1.0, f64::max);
                    for r in 0..=k.degree() {
                        let want = slow(k.knots(), b.first + r, k.degree(), t, span, order);
                        prop_assert!((b.rows[order][r] - want).abs() <= 1e-12 * scale, "order {order} r {r}: {} against {want}", b.rows[order][r]);
                    }
                }
                prop_assert!((b.rows[0].iter().sum::<f64>() - 1.0).abs() < 1e-13);
            }
        }
    }
}
