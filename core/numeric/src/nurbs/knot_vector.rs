//! Knot vectors.

use super::extraction::Extraction;
use super::{MAX_DEGREE, NurbsError};
use crate::math::Interval;
use std::sync::OnceLock;

/// A checked knot vector with its degree; clamped or not.
///
/// Invariants: degree 1 to [`MAX_DEGREE`], finite and non-decreasing knots, a domain of positive length, no inner
/// knot standing more often than the degree (the spline is at least continuous).
#[derive(Clone)]
pub struct KnotVector {
    degree: usize,
    knots: Vec<f64>,
    /// 1 / length of the only span of a clamped vector; 0 of all others.
    alone: f64,
    /// Of all others of low degree: made when first evaluated.
    extraction: OnceLock<Box<Extraction>>,
}

/// What is made of them is no part of what they are.
impl PartialEq for KnotVector {
    fn eq(&self, other: &Self) -> bool {
        self.degree == other.degree && self.knots == other.knots
    }
}

impl core::fmt::Debug for KnotVector {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("KnotVector").field("degree", &self.degree).field("knots", &self.knots).finish()
    }
}

impl KnotVector {
    /// Checks and takes a full (not compressed) knot sequence.
    ///
    /// # Errors
    /// Names the first invariant broken.
    pub fn new(degree: usize, knots: Vec<f64>) -> Result<Self, NurbsError> {
        if degree == 0 || degree > MAX_DEGREE {
            return Err(NurbsError::Degree(degree));
        }
        if knots.len() < 2 * (degree + 1) {
            let points = knots.len().saturating_sub(degree + 1);
            return Err(NurbsError::KnotCount { points, degree, knots: knots.len() });
        }
        if knots.iter().any(|k| !k.is_finite()) {
            return Err(NurbsError::NotFinite);
        }
        if let Some(i) = knots.windows(2).position(|w| w[1] < w[0]) {
            return Err(NurbsError::Decreasing(i + 1));
        }
        let mut vector = Self { degree, knots, alone: 0.0, extraction: OnceLock::new() };
        let domain = vector.domain();
        if domain.length() <= 0.0 {
            return Err(NurbsError::Empty);
        }
        if vector.point_count() == degree + 1 && vector.is_clamped() {
            vector.alone = 1.0 / domain.length();
        }
        for (value, multiplicity) in vector.interior() {
            if multiplicity > degree {
                return Err(NurbsError::Multiplicity(value));
            }
        }
        Ok(vector)
    }

    /// The clamped knot vector of one Bézier segment over [0, 1].
    ///
    /// # Errors
    /// As [`KnotVector::new`].
    pub fn bezier(degree: usize) -> Result<Self, NurbsError> {
        let mut knots = vec![0.0; degree + 1];
        knots.resize(2 * (degree + 1), 1.0);
        Self::new(degree, knots)
    }

    /// The clamped knot vector with `spans` equal spans over [0, 1].
    ///
    /// # Errors
    /// As [`KnotVector::new`]; zero spans are an empty vector.
    pub fn uniform(degree: usize, spans: usize) -> Result<Self, NurbsError> {
        if spans == 0 {
            return Err(NurbsError::Empty);
        }
        let mut knots = vec![0.0; degree + 1];
        knots.extend((1..spans).map(|i| i as f64 / spans as f64));
        knots.extend(core::iter::repeat_n(1.0, degree + 1));
        Self::new(degree, knots)
    }

    /// The clamped knot vector over a domain with these inner knots, rising, each as often as stated.
    ///
    /// # Errors
    /// As [`KnotVector::new`].
    pub fn clamped(degree: usize, over: Interval, inner: &[(f64, usize)]) -> Result<Self, NurbsError> {
        let mut knots = vec![over.low; degree + 1];
        inner.iter().for_each(|&(t, m)| knots.extend(core::iter::repeat_n(t, m)));
        knots.extend(core::iter::repeat_n(over.high, degree + 1));
        Self::new(degree, knots)
    }

    /// The degree.
    pub fn degree(&self) -> usize {
        self.degree
    }

    /// The full knot sequence.
    pub fn knots(&self) -> &[f64] {
        &self.knots
    }

    /// 1 / length of the only span, where there is only one and it is clamped.
    #[inline]
    pub(super) fn alone(&self) -> Option<f64> {
        (self.alone > 0.0).then_some(self.alone)
    }

    /// Of a low degree.
    #[inline]
    pub(super) fn extraction(&self) -> &Extraction {
        self.extraction.get_or_init(|| Box::new(Extraction::new(self.degree, &self.knots)))
    }

    /// Number of control points this vector goes with.
    pub fn point_count(&self) -> usize {
        self.knots.len() - self.degree - 1
    }

    /// The interval on which the basis sums to one.
    pub fn domain(&self) -> Interval {
        Interval::new(self.knots[self.degree], self.knots[self.knots.len() - self.degree - 1])
    }

    /// Distinct knots strictly inside the domain with their multiplicities, rising.
    pub fn interior(&self) -> Vec<(f64, usize)> {
        let domain = self.domain();
        let mut found: Vec<(f64, usize)> = Vec::new();
        for &k in self.knots.iter().filter(|&&k| k > domain.low && k < domain.high) {
            match found.last_mut() {
                Some(last) if last.0 == k => last.1 += 1,
                _ => found.push((k, 1)),
            }
        }
        found
    }

    /// Breakpoints: domain ends and distinct interior knots, rising.
    pub fn breaks(&self) -> Vec<f64> {
        let domain = self.domain();
        let mut breaks = vec![domain.low];
        breaks.extend(self.interior().iter().map(|&(k, _)| k));
        breaks.push(domain.high);
        breaks
    }

    /// Number of spans of positive length.
    pub fn span_count(&self) -> usize {
        self.interior().len() + 1
    }

    /// Index i of the span from `knots[i]` to below `knots[i+1]` that holds `t`; beyond the domain the first or last span.
    /// At an inner knot this is the span on its right. NB A2.1.
    pub fn span(&self, t: f64) -> usize {
        let last = self.point_count() - 1;
        if t >= self.knots[last + 1] {
            return self.last_span();
        }
        // Number of knots ≤ t among the candidates, minus one.
        let i = self.degree + self.knots[self.degree..=last].partition_point(|&k| k <= t);
        i.saturating_sub(1).clamp(self.degree, last)
    }

    /// As [`KnotVector::span`], but at an inner knot the span on its left.
    pub fn span_left(&self, t: f64) -> usize {
        let (first, last) = (self.degree, self.point_count() - 1);
        let below = first + self.knots[first..=last].partition_point(|&k| k < t);
        let mut i = below.saturating_sub(1).clamp(first, last);
        while i < last && self.knots[i] == self.knots[i + 1] {
            i += 1;
        }
        i
    }

    fn last_span(&self) -> usize {
        let mut i = self.point_count() - 1;
        while i > self.degree && self.knots[i] == self.knots[i + 1] {
            i -= 1;
        }
        i
    }

    /// Greville abscissae: the mean of `degree` consecutive knots for each control point.
    pub fn greville(&self) -> Vec<f64> {
        (0..self.point_count()).map(|i| self.knots[i + 1..=i + self.degree].iter().sum::<f64>() / self.degree as f64).collect()
    }

    /// True when the first and last knots stand degree + 1 times.
    pub fn is_clamped(&self) -> bool {
        let (p, n) = (self.degree, self.knots.len());
        self.knots[0] == self.knots[p] && self.knots[n - 1] == self.knots[n - 1 - p]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_on_both_sides_of_a_repeated_knot() {
        let k = KnotVector::new(3, vec![0., 0., 0., 0., 1., 1., 2., 3., 3., 3., 3.]).unwrap();
        assert_eq!(k.domain(), Interval::new(0.0, 3.0));
        assert_eq!(
            (k.span(-1.0), k.span(0.0), k.span(0.5), k.span(1.0), k.span(1.5), k.span(2.0), k.span(3.0), k.span(9.0)),
            (3, 3, 3, 5, 5, 6, 6, 6)
        );
        assert_eq!((k.span_left(0.0), k.span_left(1.0), k.span_left(2.0), k.span_left(3.0)), (3, 3, 5, 6));
        assert_eq!(k.interior(), vec![(1.0, 2), (2.0, 1)]);
        assert_eq!((k.span_count(), k.point_count()), (3, 7));
    }

    #[test]
    fn unclamped_domain_starts_at_the_degree_th_knot() {
        let k = KnotVector::new(2, vec![0., 1., 2., 3., 4., 5., 6.]).unwrap();
        assert_eq!(k.domain(), Interval::new(2.0, 4.0));
        assert_eq!((k.span(2.0), k.span(3.0), k.span(4.0), k.span_left(3.0)), (2, 3, 3, 2));
        assert!(!k.is_clamped());
        assert_eq!(k.greville(), vec![1.5, 2.5, 3.5, 4.5]);
    }

    #[test]
    fn refuses_each_kind_of_bad_vector() {
        assert_eq!(KnotVector::new(0, vec![0., 1.]), Err(NurbsError::Degree(0)));
        assert!(matches!(KnotVector::new(3, vec![0., 1.]), Err(NurbsError::KnotCount { .. })));
        assert_eq!(KnotVector::new(1, vec![0., 0., 1., 0.5]), Err(NurbsError::Decreasing(3)));
        assert_eq!(KnotVector::new(1, vec![0., 2., 2., 3.]), Err(NurbsError::Empty));
        assert_eq!(KnotVector::new(1, vec![0., 0., f64::NAN, 1.]), Err(NurbsError::NotFinite));
        assert_eq!(KnotVector::new(1, vec![0., 0., 1., 1., 2., 2.]), Err(NurbsError::Multiplicity(1.0)));
    }
}
