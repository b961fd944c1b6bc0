//! Two patches over x = 0 whose h differ in one derivative.
//!
//! Over the join h = 0 and, before it, h′ = 0. With w = √(1 + g′²), its tangent is (0, 1, g′)/w, and in the plane square to
//! it the section is h(x)/w + O(x⁴) over x. So along the whole join the angle is atan(Δh′/w), the curvatures are h″/w, and
//! their slopes h‴/w: in the middle, where w = 1, the numbers below themselves.

use super::dome::{HALF_LENGTH, PLAIN, Taylor, patch};
use crate::joins::Order;
use crate::math::real;
use crate::nurbs::Surface;

/// Angle between the patches of the G0 pair in the middle, degrees. From 2° on, a join that is sharp along its whole length
/// counts as an intended crease.
pub(super) const KINK: f64 = 1.8;
/// Jump of curvature of the G1 pair in the middle, 1/mm: from a radius of 200 mm to one of 450 mm.
pub(super) const CURVATURE_JUMP: f64 = 1.0 / 200.0 - 1.0 / 450.0;
/// Jump of the slope of curvature of the G2 pair in the middle, 1/mm².
pub(super) const SLOPE_JUMP: f64 = 4e-5;
/// Jump of h⁗ of the G3 pair, 1/mm³.
const FOURTH_JUMP: f64 = -1.5e-6;

/// h beyond the join.
fn beyond(order: Order) -> Taylor {
    let mut h = PLAIN;
    match order {
        Order::G0 => h[1] = -real::sin(KINK.to_radians()) / real::cos(KINK.to_radians()),
        Order::G1 => h[2] += CURVATURE_JUMP,
        Order::G2 => h[3] += SLOPE_JUMP,
        Order::G3 => h[4] += FOURTH_JUMP,
    }
    h
}

/// The patches, that of low x first.
pub(super) fn patches(order: Order) -> Vec<(&'static str, Surface)> {
    let degree = if order == Order::G3 { 5 } else { 3 };
    vec![("before the join", patch(PLAIN, (-HALF_LENGTH, 0.0), 3)), ("beyond the join", patch(beyond(order), (0.0, HALF_LENGTH), degree))]
}
