//! B-spline basis functions and their derivatives.

use super::KnotVector;

/// Highest degree accepted. Larger costs stack in every evaluation; real files stay well below (≤ 25 seen).
pub const MAX_DEGREE: usize = 31;

const ORDER: usize = MAX_DEGREE + 1;

/// Values and derivatives of the degree + 1 basis functions that do not vanish on a span.
///
/// `rows[k][r]` is the k-th derivative of function `first + r`.
#[derive(Debug, Clone)]
pub struct BasisDerivs<const K: usize = 4> {
    /// Index of the first control point that counts.
    pub first: usize,
    /// Rows of derivative order 0 to K − 1; entries beyond the degree are 0.
    pub rows: [[f64; ORDER]; K],
}

impl<const K: usize> BasisDerivs<K> {
    /// Evaluates on `span` (see [`KnotVector::span`]) up to derivative `order` ≤ K − 1; higher rows stay 0.
    ///
    /// Values by Cox–de Boor (NB A2.2); each derivative is the difference of two functions one degree lower
    /// (NB eq. 2.7), so no table of all degrees is kept.
    pub fn at(knots: &KnotVector, span: usize, t: f64, order: usize) -> Self {
        let p = knots.degree();
        let mut rows = [[0.0; ORDER]; K];
        let mut n = [0.0; ORDER];
        let (mut left, mut right) = ([0.0; ORDER + 1], [0.0; ORDER + 1]);
        let k = knots.knots();
        n[0] = 1.0;
        let highest = order.min(K - 1).min(p);
        for d in 0..=p {
            // Functions of degree p − m, differenced m times, are the m-th derivative.
            let m = p - d;
            if m <= highest {
                rows[m] = n;
                for e in d + 1..=p {
                    difference(&mut rows[m], k, span, e);
                }
            }
            if d < p {
                raise(&mut n, &mut left, &mut right, k, span, t, d + 1);
            }
        }
        Self { first: span - p, rows }
    }
}

/// From functions of degree d − 1 to degree d on the same span.
fn raise(n: &mut [f64; ORDER], left: &mut [f64; ORDER + 1], right: &mut [f64; ORDER + 1], k: &[f64], span: usize, t: f64, d: usize) {
    left[d] = t - k[span + 1 - d];
    right[d] = k[span + d] - t;
    let mut saved = 0.0;
    for r in 0..d {
        let share = n[r] / (right[r + 1] + left[d - r]);
        n[r] = saved + right[r + 1] * share;
        saved = left[d - r] * share;
    }
    n[d] = saved;
}

/// Replaces coefficients over functions of degree d − 1 by those of the derivative over degree d.
fn difference(row: &mut [f64; ORDER], k: &[f64], span: usize, d: usize) {
    let mut before = 0.0;
    for r in 0..=d {
        let i = span - d + r;
        let here = if r < d { row[r] / (k[i + d + 1] - k[i + 1]) } else { 0.0 };
        row[r] = d as f64 * (before - here);
        before = here;
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
