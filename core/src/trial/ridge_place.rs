//! Where a side of a patch runs along another face: how the section across it bends there.

use super::net::end_rows;
use super::seam::{inward, own_direction};
use crate::layout::BoxSide;
use crate::math::{Vec3, real};
use crate::nurbs::{KnotVector, SurfaceDerivs};

/// A place on the line between a side of a patch and the face beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RidgePlace {
    /// The parameter along the side.
    pub t: f64,
    /// The derivative across the side, into the patch.
    pub into: Vec3,
    /// The unit direction in which the other face runs on.
    pub on: Vec3,
    /// The other face's unit normal, on the side of the patch's Su × Sv where it runs on smoothly.
    pub normal: Vec3,
}

impl RidgePlace {
    /// `own`: derivatives of the patch there; `beside`: a unit normal of the other face. None where the side has no direction.
    pub fn new(side: BoxSide, t: f64, own: &SurfaceDerivs, beside: Vec3) -> Option<Self> {
        let into = inward(side, own) * if side.high { -1.0 } else { 1.0 };
        let on = beside.cross(own_direction(side, own)).try_normalize()?;
        let (on, normal) = if on.dot(into) < 0.0 { (-on, -beside) } else { (on, beside) };
        Some(Self { t, into, on, normal })
    }

    /// Signed angle by which the patch bends off the other face, radians.
    pub fn angle(&self) -> f64 {
        real::atan2(self.into.dot(self.normal), self.into.dot(self.on))
    }

    /// What the derivative across lacks along the normal, on the side `sign` (1 or −1), for an angle of the tangent `steep`; negative
    /// where it bends by more.
    pub fn missing(&self, steep: f64, sign: f64) -> f64 {
        steep * self.into.dot(self.on) - sign * self.into.dot(self.normal)
    }
}

/// How much of a move of the second control row goes into the derivative across its side. `knots`: clamped, across the side.
pub fn second_row_pace(knots: &KnotVector, high: bool) -> f64 {
    end_rows(knots, high, 1)[1][1]
}
