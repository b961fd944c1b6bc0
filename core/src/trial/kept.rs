//! Sides of a fit made what they were.

use super::follow::with_derivatives;
use super::lock::number;
use super::net::{BINOMIAL, Place4, SIDES, across, on_side};
use super::seam::seam;
use super::{Seam, TrialError};
use crate::joins::Order;
use crate::layout::BoxSide;
use crate::math::Vec3;
use crate::nurbs::{Side, Surface};

/// The fit with its sides as they were, how near they are, and which could not be kept.
pub(super) fn kept(was: &Surface, fit: Surface, keep: &[Option<Order>; 4]) -> Result<(Surface, Option<Seam>, Vec<String>), TrialError> {
    let mut made = fit;
    let mut unkept = Vec::new();
    let wishes = || SIDES.into_iter().zip(*keep).filter_map(|(side, order)| Some((side, order?)));
    for (side, order) in wishes() {
        let (knots, order) = (made.knots_along(across(side)), number(order));
        if knots.degree() < order || knots.point_count() < 2 * (order + 1) {
            unkept.push(format!("too few rows to keep the side of the {} {}", end(side), if side.of_u { "u" } else { "v" }));
            continue;
        }
        made = with_derivatives(&made, side, order, made.weights().is_some(), |t| own_derivatives(was, side, t, order))?.0;
    }
    let worst = wishes().map(|(side, order)| {
        let left = seam(&made, side, |t| {
            let (u, v) = on_side(was, side, t);
            was.derivs(u, v, 3)
        });
        left.upto(order)
    });
    let seam = worst.reduce(Seam::worse);
    Ok((made, seam, unkept))
}

fn end(side: BoxSide) -> &'static str {
    if side.high { "greatest" } else { "least" }
}

/// Homogeneous derivatives of a patch into itself at a side.
fn own_derivatives(patch: &Surface, side: BoxSide, t: f64, order: usize) -> Vec<Place4> {
    let (u, v) = on_side(patch, side, t);
    let weight = patch.weight_function();
    let top = patch.partials::<4>(u, v, order, Side::Right, Side::Right);
    let bottom = weight.as_ref().map(|w| w.partials::<4>(u, v, order, Side::Right, Side::Right));
    let at = |p: &[[Vec3; 4]; 4], m: usize| if side.of_u { p[m][0] } else { p[0][m] };
    let weigh = |m: usize| bottom.as_ref().map_or(if m == 0 { 1.0 } else { 0.0 }, |w| at(w, m).x);
    let one = |m: usize| {
        // The product rule: (w S)⁽ᵐ⁾.
        let sum = (0..=m).fold(Vec3::ZERO, |sum, i| sum + at(&top, m - i) * (BINOMIAL[m][i] * weigh(i)));
        let sign = if side.high && m % 2 == 1 { -1.0 } else { 1.0 };
        [sum.x * sign, sum.y * sign, sum.z * sign, weigh(m) * sign]
    };
    (0..=order).map(one).collect()
}
