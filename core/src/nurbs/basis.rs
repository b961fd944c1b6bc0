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
        // Written in place: this is where most of a reading's time goes, and a row more to clear or to copy is felt.
        let mut basis = Self { first: span - p, rows: [[0.0; ORDER]; K] };
        let mut n = [0.0; ORDER];
        let k = knots.knots();
        n[0] = 1.0;
        let highest = order.min(K - 1).min(p);
        for d in 0..=p {
            // Functions of degree p − m, differenced m times, are the m-th derivative.
            let m = p - d;
            if m <= highest {
                let row = &mut basis.rows[m];
                for (value, &function) in row.iter_mut().zip(&n[..=d]) {
                    *value = function;
                }
                for e in d + 1..=p {
                    difference(row, k, span, e);
                }
            }
            if d < p {
                raise(&mut n, k, span, t, d + 1);
            }
        }
        basis
    }
}

/// The d knots up to the start of a span, and the d knots from its end on.
#[inline]
fn around(k: &[f64], span: usize, d: usize) -> impl Iterator<Item = (&f64, &f64)> {
    k[span + 1 - d..=span].iter().zip(&k[span + 1..=span + d])
}

/// From functions of degree d − 1 to degree d on the same span.
#[inline]
fn raise(n: &mut [f64; ORDER], k: &[f64], span: usize, t: f64, d: usize) {
    let mut saved = 0.0;
    for (value, (low, high)) in n.iter_mut().zip(around(k, span, d)) {
        let (left, right) = (t - low, high - t);
        let share = *value / (right + left);
        *value = saved + right * share;
        saved = left * share;
    }
    n[d] = saved;
}

/// Replaces coefficients over functions of degree d − 1 by those of the derivative over degree d.
#[inline]
fn difference(row: &mut [f64; ORDER], k: &[f64], span: usize, d: usize) {
    let mut before = 0.0;
    for (value, (low, high)) in row.iter_mut().zip(around(k, span, d)) {
        let here = *value / (high - low);
        *value = d as f64 * (before - here);
        before = here;
    }
    row[d] = d as f64 * before;
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
