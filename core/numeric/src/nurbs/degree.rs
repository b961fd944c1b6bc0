//! Degree elevation: same shape, higher degree. NB §5.5, by polar forms.

use super::blossom::Rows;
use super::{Curve, Direction, KnotVector, NurbsError, Surface};

impl<const D: usize> Curve<D> {
    /// The same curve one degree higher; every knot stands once more, so smoothness at knots stays as declared.
    ///
    /// # Errors
    /// [`NurbsError::Degree`] above the largest degree.
    pub fn elevated(&self) -> Result<Self, NurbsError> {
        Self::from_rows(elevate(&self.rows())?, self.weights().is_some())
    }
}

impl Surface {
    /// The same surface one degree higher along one direction.
    ///
    /// # Errors
    /// As [`Curve::elevated`].
    pub fn elevated(&self, along: Direction) -> Result<Self, NurbsError> {
        self.with_rows(along, elevate(&self.rows(along))?)
    }
}

/// The polar form of degree p + 1 is the mean of the polar forms of degree p with one argument left out in turn
/// (Ramshaw 1987, §11).
fn elevate(old: &Rows) -> Result<Rows, NurbsError> {
    let knots = raised(&old.knots)?;
    let p = knots.degree();
    let mut rows = Vec::with_capacity(knots.point_count());
    for i in 0..knots.point_count() {
        let span = old.span_for(&knots, i);
        let arguments = knots.knots().get(i + 1..=i + p).unwrap_or(&[]);
        let mut mean: Vec<f64> = Vec::new();
        for out in 0..p {
            let rest: Vec<f64> = arguments.iter().enumerate().filter(|(j, _)| *j != out).map(|(_, &t)| t).collect();
            let value = old.blossom(span, &rest);
            if mean.is_empty() {
                mean = value;
            } else {
                mean.iter_mut().zip(value).for_each(|(m, x)| *m += x);
            }
        }
        mean.iter_mut().for_each(|m| *m /= p as f64);
        rows.push(mean);
    }
    Ok(Rows { knots, rows })
}

/// Every knot once more. An unclamped vector gains knots at its outer ends that its domain does not need: they are
/// taken off, so that degree-th knots stay the domain's ends.
fn raised(knots: &KnotVector) -> Result<KnotVector, NurbsError> {
    let (domain, p) = (knots.domain(), knots.degree());
    let mut all: Vec<f64> = Vec::with_capacity(2 * knots.knots().len());
    for &t in knots.knots() {
        if all.last() != Some(&t) {
            all.push(t);
        }
        all.push(t);
    }
    // Index of the domain's ends must become p + 1 from either side.
    let below = all.iter().filter(|&&t| t <= domain.low).count();
    let above = all.iter().filter(|&&t| t >= domain.high).count();
    let start = below.saturating_sub(p + 2);
    let end = all.len() - above.saturating_sub(p + 2);
    KnotVector::new(p + 1, all.get(start..end).unwrap_or(&[]).to_vec())
}
