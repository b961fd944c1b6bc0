//! The basis functions of one span with their derivatives, side by side: what evaluation runs on.

use super::curve::BINOMIAL;
use super::lane::Lane;
use super::{KnotVector, MAX_DEGREE};

/// Functions held where the degree is low, as it mostly is: less to clear and to carry.
pub(super) const LOW: usize = BINOMIAL.len();

/// Functions held for any degree.
pub(super) const ANY: usize = MAX_DEGREE + 1;

/// Values and derivatives of the functions that do not vanish on a span, of degree below N: entry `[c][k]` is the k-th derivative of
/// function `first + c`.
pub(super) struct Functions<const K: usize, const N: usize> {
    pub first: usize,
    pub at: [[f64; K]; N],
}

impl<const K: usize, const N: usize> Functions<K, N> {
    /// Evaluates on `span` (see [`KnotVector::span`]) up to derivative `order` ≤ K − 1; the others stay 0. The degree is below N.
    #[inline(always)]
    pub fn at(knots: &KnotVector, span: usize, t: f64, order: usize) -> Self {
        let p = knots.degree();
        let mut functions = Self { first: span - p, at: [[0.0; K]; N] };
        let at = &mut functions.at;
        if N == LOW {
            low(at, knots, span, t, order);
        } else {
            among(at, knots, span, t, order);
        }
        functions
    }
}

/// The functions of degree below [`LOW`] at `t`.
#[inline(always)]
pub(super) fn low<T: Lane, const K: usize, const N: usize>(at: &mut [[T; K]; N], knots: &KnotVector, span: usize, t: T, order: usize) {
    let Some(inverse) = knots.alone() else {
        return extracted(at, knots, span, t, order);
    };
    let p = knots.degree();
    let (low, high) = (T::all(knots.knots()[p]), T::all(knots.knots()[p + 1]));
    bernstein(at, p, (t - low) * inverse, (high - t) * inverse, inverse, order);
}

/// On a span among others: Bernstein's polynomials by the span's extraction.
#[inline(never)]
fn extracted<T: Lane, const K: usize, const N: usize>(at: &mut [[T; K]; N], knots: &KnotVector, span: usize, t: T, order: usize) {
    let p = knots.degree();
    let (low, high) = (T::all(knots.knots()[span]), T::all(knots.knots()[span + 1]));
    let (inverse, shares) = knots.extraction().of(span);
    let mut own = [[T::all(0.0); K]; N];
    bernstein(&mut own, p, (t - low) * inverse, (high - t) * inverse, inverse, order);
    for (entry, shares) in at.iter_mut().zip(shares.chunks_exact(p + 1)) {
        for (share, own) in shares.iter().zip(&own) {
            (0..K).for_each(|k| entry[k] += own[k] * *share);
        }
    }
}

/// Bernstein's polynomials of degree p below [`LOW`] at the shares `s` and `w` = 1 − s of a span, and their derivatives, which are differences
/// of those of lower degree (NB eq. 1.10). All loops run over all places, used or not: known lengths are worth more than what is saved.
#[inline(always)]
fn bernstein<T: Lane, const K: usize, const N: usize>(at: &mut [[T; K]; N], p: usize, s: T, w: T, inverse: f64, order: usize) {
    let zero = T::all(0.0);
    let mut rising = [T::all(1.0); N];
    // Powers of w from the highest down, so that those of any degree begin somewhere in it.
    let mut falling = [zero; 3 * LOW];
    falling[N - 1] = T::all(1.0);
    for i in 1..N {
        rising[i] = rising[i - 1] * s;
        falling[N - 1 - i] = falling[N - i] * w;
    }
    let mut scale = 1.0;
    for m in 0..K.min(p + 1) {
        if m > order {
            break;
        }
        let d = p - m;
        // Of degree p − m, after m zeros; the sum over i of C(m, i) (−1)^i of those i places on is the difference taken m times.
        let mut lower = [zero; 2 * LOW];
        let from = N - 1 - d;
        for i in 0..N {
            lower[LOW + i] = rising[i] * falling[from + i] * (BINOMIAL[d][i] * scale);
        }
        for (c, entry) in at.iter_mut().enumerate() {
            let here = |back: usize| lower[LOW + c - back];
            entry[m] = match m {
                0 => here(0),
                1 => here(1) - here(0),
                2 => here(2) - here(1) * 2.0 + here(0),
                3 => here(3) - here(0) + (here(1) - here(2)) * 3.0,
                _ => (0..=m).fold(zero, |sum, i| sum + here(i) * if (m - i).is_multiple_of(2) { BINOMIAL[m][i] } else { -BINOMIAL[m][i] }),
            };
        }
        scale *= d as f64 * inverse;
    }
}

/// Functions of any degree: values by Cox–de Boor (NB A2.2), each derivative as the difference of two functions one degree lower (NB eq. 2.7).
#[inline(never)]
fn among<const K: usize, const N: usize>(at: &mut [[f64; K]; N], knots: &KnotVector, span: usize, t: f64, order: usize) {
    let (p, k) = (knots.degree(), knots.knots());
    let mut n = [0.0; N];
    n[0] = 1.0;
    let highest = order.min(K - 1).min(p);
    for d in 0..=p {
        // Functions of degree p − m, differenced m times, are the m-th derivative.
        let m = p - d;
        if m <= highest {
            let mut row = n;
            for e in d + 1..=p {
                let mut before = 0.0;
                for (value, (low, high)) in row.iter_mut().zip(around(k, span, e)) {
                    let here = *value / (high - low);
                    *value = e as f64 * (before - here);
                    before = here;
                }
                row[e] = e as f64 * before;
            }
            for (entry, value) in at[..=p].iter_mut().zip(&row) {
                entry[m] = *value;
            }
        }
        if d < p {
            raise(&mut n, k, span, t, d + 1);
        }
    }
}

/// The d knots up to the start of a span, and the d knots from its end on.
#[inline]
fn around(k: &[f64], span: usize, d: usize) -> impl Iterator<Item = (&f64, &f64)> {
    k[span + 1 - d..=span].iter().zip(&k[span + 1..=span + d])
}

/// From functions of degree d − 1 to degree d on the same span.
#[inline]
pub(super) fn raise<const N: usize>(n: &mut [f64; N], k: &[f64], span: usize, t: f64, d: usize) {
    let mut saved = 0.0;
    for (value, (low, high)) in n.iter_mut().zip(around(k, span, d)) {
        let (left, right) = (t - low, high - t);
        let share = *value / (right + left);
        *value = saved + right * share;
        saved = left * share;
    }
    n[d] = saved;
}
