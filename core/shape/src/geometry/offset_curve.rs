//! The curve at a distance from another one.

use super::Curve;
use super::jet::{CurveJet, JET_ORDER, offset_along};
use crate::math::Vec3;

/// C(t) = B(t) + d · V × B′(t) / |V × B′(t)|, B the basis curve, V the reference direction. ISO 10303-42,
/// offset_curve_3d: a positive distance lies in the direction of V × T.
///
/// Where the tangent is parallel to V, or vanishes, no direction is defined and the basis point itself is given.
#[derive(Debug, Clone, PartialEq)]
pub struct OffsetCurve {
    /// The curve it runs along.
    pub basis: Box<Curve>,
    /// Distance d, mm, either sign.
    pub distance: f64,
    /// Reference direction V, not zero; its length does not matter.
    pub reference: Vec3,
}

/// How deep offsets of offsets may nest: each takes one order of differentiation more of what lies below.
/// Larger: derivatives of third order are no longer exact.
const DEPTH: usize = 2;

impl OffsetCurve {
    /// The offset; None when offsets nest more than two deep, or the reference is zero or not finite.
    pub fn new(basis: Curve, distance: f64, reference: Vec3) -> Option<Self> {
        let sound = distance.is_finite() && reference.is_finite() && reference != Vec3::ZERO;
        (sound && depth(&basis) < DEPTH).then(|| Self { basis: Box::new(basis), distance, reference })
    }

    /// Position and derivatives up to `order`.
    pub(super) fn jet(&self, t: f64, order: usize) -> CurveJet {
        let basis = self.basis.jet(t, (order + 1).min(JET_ORDER));
        offset_along(&basis, self.distance, self.reference, order)
    }
}

/// How many offsets lie within one another.
fn depth(curve: &Curve) -> usize {
    match curve {
        Curve::Offset(c) => 1 + depth(&c.basis),
        Curve::Chain(c) => c.pieces.iter().map(|p| depth(&p.curve)).max().unwrap_or(0),
        _ => 0,
    }
}
