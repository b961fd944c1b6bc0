//! What a join along a side measures, by the joins' own formulas.

use super::change::shares;
use super::net::{along, on_side};
use crate::joins::{Border, Order, measure};
use crate::layout::BoxSide;
use crate::math::Vec3;
use crate::nurbs::{Surface, SurfaceDerivs};

/// The largest measures along a side against what lies beside it. None: applies nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Seam {
    /// Gap, mm.
    pub gap: f64,
    /// Angle, degrees.
    pub angle: Option<f64>,
    /// Curvature jump, 1/mm.
    pub curvature: Option<f64>,
    /// Curvature-slope jump, 1/mm².
    pub slope: Option<f64>,
}

impl Seam {
    /// The measures up to an order: those above say nothing of an edit that was not asked for them.
    pub(super) fn upto(self, order: Order) -> Self {
        Self {
            gap: self.gap,
            angle: self.angle.filter(|_| order >= Order::G1),
            curvature: self.curvature.filter(|_| order >= Order::G2),
            slope: self.slope.filter(|_| order >= Order::G3),
        }
    }

    /// The larger of each measure; one that applies to one seam only is that one's.
    pub(super) fn worse(self, other: Self) -> Self {
        Self {
            gap: self.gap.max(other.gap),
            angle: larger(self.angle, other.angle),
            curvature: larger(self.curvature, other.curvature),
            slope: larger(self.slope, other.slope),
        }
    }
}

fn larger(old: Option<f64>, new: Option<f64>) -> Option<f64> {
    match (old, new) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (a, b) => a.or(b),
    }
}

/// Places looked at along a side, at least.
const PLACES: usize = 33;

/// Measures a side against `beside`: derivatives of what lies beside it at each parameter along it, on whose far side from the patch
/// its inside is taken to lie.
pub(super) fn seam(patch: &Surface, side: BoxSide, beside: impl Fn(f64) -> SurfaceDerivs) -> Seam {
    let mut found = Seam::default();
    for t in shares(patch.knots_along(along(side)), PLACES) {
        let (u, v) = on_side(patch, side, t);
        let own = patch.derivs(u, v, 3);
        let other = beside(t);
        let own_border = Border { derivs: own, along: own_direction(side, &own) };
        let into = if side.high { -inward(side, &own) } else { inward(side, &own) };
        let across = other.su.cross(other.sv).cross(own_border.along);
        let direction = if across.dot(into) < 0.0 { own_border.along } else { -own_border.along };
        let m = measure(&own_border, &Border { derivs: other, along: direction });
        found = found.worse(Seam { gap: m.gap, angle: m.angle, curvature: m.curvature_jump(), slope: m.slope_jump() });
    }
    found
}

/// Derivative across a side, by the patch's own parameter.
pub(super) fn inward(side: BoxSide, d: &SurfaceDerivs) -> Vec3 {
    if side.of_u { d.su } else { d.sv }
}

/// Direction of a side that has the patch on its left against Su × Sv.
pub(super) fn own_direction(side: BoxSide, d: &SurfaceDerivs) -> Vec3 {
    match (side.of_u, side.high) {
        (true, true) => d.sv,
        (true, false) => -d.sv,
        (false, false) => d.su,
        (false, true) => -d.su,
    }
}
