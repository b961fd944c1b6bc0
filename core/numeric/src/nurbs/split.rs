//! Parts of splines, as splines of their own over the same parameter.

use super::{Curve, Direction, KnotVector, NurbsError, Surface};

impl<const D: usize> Curve<D> {
    /// The part from `a` to `b` (inside the domain, a < b), clamped at both; the parameter stays.
    ///
    /// # Errors
    /// [`NurbsError::Outside`] for an end beyond the domain, [`NurbsError::Empty`] when a ≥ b.
    pub fn between(&self, a: f64, b: f64) -> Result<Self, NurbsError> {
        Self::from_rows(self.rows().over(part(self.knots(), a, b)?), self.weights().is_some())
    }

    /// The parts before and after `t`, strictly inside the domain.
    ///
    /// # Errors
    /// As [`Curve::between`].
    pub fn split(&self, t: f64) -> Result<(Self, Self), NurbsError> {
        let d = self.domain();
        Ok((self.between(d.low, t)?, self.between(t, d.high)?))
    }
}

impl Surface {
    /// The part from `a` to `b` along one direction, clamped at both; the parameters stay.
    ///
    /// # Errors
    /// As [`Curve::between`].
    pub fn between(&self, along: Direction, a: f64, b: f64) -> Result<Self, NurbsError> {
        self.with_rows(along, self.rows(along).over(part(self.knots_along(along), a, b)?))
    }

    /// The parts before and after `t` along one direction.
    ///
    /// # Errors
    /// As [`Curve::between`].
    pub fn split(&self, along: Direction, t: f64) -> Result<(Self, Self), NurbsError> {
        let d = self.knots_along(along).domain();
        Ok((self.between(along, d.low, t)?, self.between(along, t, d.high)?))
    }
}

/// The clamped knot vector of a part.
fn part(knots: &KnotVector, a: f64, b: f64) -> Result<KnotVector, NurbsError> {
    let domain = knots.domain();
    for t in [a, b] {
        if !domain.contains(t, 0.0) {
            return Err(NurbsError::Outside(t));
        }
    }
    if a >= b {
        return Err(NurbsError::Empty);
    }
    let p = knots.degree();
    let mut all = vec![a; p + 1];
    all.extend(knots.knots().iter().copied().filter(|&t| t > a && t < b));
    all.resize(all.len() + p + 1, b);
    KnotVector::new(p, all)
}
