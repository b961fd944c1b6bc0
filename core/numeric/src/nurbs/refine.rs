//! Knot insertion: more control points, same shape. NB §5.2 and §5.3.

use super::blossom::Rows;
use super::{Curve, Direction, KnotVector, NurbsError, Surface};
use crate::math::Arrange;

impl<const D: usize> Curve<D> {
    /// The same curve with the given knots (rising or not, repeated for multiplicity) added inside its domain.
    ///
    /// # Errors
    /// [`NurbsError::Multiplicity`] when a knot would stand more often than the degree, [`NurbsError::Outside`] for
    /// one on or beyond the ends of the domain.
    pub fn with_knots(&self, added: &[f64]) -> Result<Self, NurbsError> {
        Self::from_rows(self.rows().over(merged(self.knots(), added)?), self.weights().is_some())
    }

    /// The same curve with its end knots standing degree + 1 times, so that it starts and ends at control points.
    ///
    /// # Errors
    /// None in practice: a checked curve stays sound.
    pub fn clamped(&self) -> Result<Self, NurbsError> {
        let d = self.domain();
        self.between(d.low, d.high)
    }
}

impl Surface {
    /// The same surface with the given knots added along one direction.
    ///
    /// # Errors
    /// As [`Curve::with_knots`].
    pub fn with_knots(&self, along: Direction, added: &[f64]) -> Result<Self, NurbsError> {
        let rows: Rows = self.rows(along);
        self.with_rows(along, rows.over(merged(self.knots_along(along), added)?))
    }

    /// The same surface with both knot vectors clamped.
    ///
    /// # Errors
    /// None in practice: a checked surface stays sound.
    pub fn clamped(&self) -> Result<Self, NurbsError> {
        let (u, v) = self.domain();
        self.between(Direction::U, u.low, u.high)?.between(Direction::V, v.low, v.high)
    }
}

fn merged(knots: &KnotVector, added: &[f64]) -> Result<KnotVector, NurbsError> {
    let domain = knots.domain();
    if let Some(&t) = added.iter().find(|&&t| !(t > domain.low && t < domain.high)) {
        return Err(NurbsError::Outside(t));
    }
    let mut all = knots.knots().to_vec();
    all.extend_from_slice(added);
    all.arrange_by(f64::total_cmp);
    KnotVector::new(knots.degree(), all)
}
