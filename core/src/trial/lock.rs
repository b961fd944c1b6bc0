//! What a side keeps while control points move.

use super::TrialError;
use super::net::{Grain, SIDES, end_rows};
use crate::joins::Order;
use crate::layout::MirrorPlane;
use crate::math::Vec3;
use crate::nurbs::Surface;

/// What a side of a patch keeps while control points of it move. Sides are the patch's own: where a face is trimmed inside of them, its
/// trims lie where the moved patch has their parameters, and no lock holds those.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Lock {
    /// Nothing.
    #[default]
    Free,
    /// What lies beside it stays, and the join keeps its measures up to this order, whatever order it has: position and cross-boundary
    /// derivatives up to the k-th do not change along the side. Of a clamped spline that is so if and only if its first k + 1 control
    /// rows stay (NB §3.3, end derivatives), so these do not move. A patch of no more rows does not move at all.
    Held(Order),
    /// What lies beside it is the patch's own mirror image in the plane, which moves along; so the rows at the side may move as far as
    /// the pair stays symmetric and smooth.
    ///
    /// - G0: the first row moves within the plane only.
    /// - G1: the cross-boundary derivative stays square to the plane. Where the first two rows are square to it (each leg from the
    ///   first to the second row is along the plane's normal, and of a rational patch the two rows' weights are in proportion), the
    ///   second row takes over what the first moves within the plane, and moves freely along the normal. Where they slant, the pair
    ///   may be smooth all the same, but only for this very border: then neither row moves within the plane.
    /// - G2: as G1, of which it follows by symmetry.
    /// - G3: the patch's odd derivatives across stay without part within the plane and the even ones without part along its normal, up
    ///   to the third, so that patch and image are one surface three times differentiable. Where the patch is so (polynomial, four
    ///   rows or more), the first four rows move within the plane as the first does; along the normal the second moves freely, the
    ///   third as the second derivative asks, the fourth freely. Where it is not, the first four rows do not move.
    Centre(Order, MirrorPlane),
}

/// Part of a leg's length that it may slant off the plane's normal. Larger: slanting rows are taken for square, and the pair loses
/// its tangent plane by as much; smaller: rounding of coordinates in files locks square rows.
const SQUARE: f64 = 1e-9;

/// Number of an order: 0 for G0 to 3.
pub(super) fn number(order: Order) -> usize {
    match order {
        Order::G0 => 0,
        Order::G1 => 1,
        Order::G2 => 2,
        Order::G3 => 3,
    }
}

/// Takes out of the moves of control points what the locks of the four sides (least u, greatest u, least v, greatest v) forbid.
pub(super) fn restrain(patch: &Surface, locks: &[Lock; 4], by: &mut [Vec3]) -> Result<(), TrialError> {
    let on_plane = |side: usize| matches!(locks[side], Lock::Centre(..));
    if (on_plane(0) || on_plane(1)) && (on_plane(2) || on_plane(3)) {
        return Err(TrialError::TwoCentres);
    }
    for (side, lock) in SIDES.into_iter().zip(locks) {
        if let Lock::Centre(order, plane) = *lock {
            centred(patch, &Grain::new(patch, side), order, plane, by);
        }
    }
    for (side, lock) in SIDES.into_iter().zip(locks) {
        if let Lock::Held(order) = *lock {
            let grain = Grain::new(patch, side);
            hold(&grain, number(order) + 1, by);
        }
    }
    Ok(())
}

fn hold(grain: &Grain, rows: usize, by: &mut [Vec3]) {
    for row in 0..rows.min(grain.rows) {
        (0..grain.columns).for_each(|c| by[grain.index(row, c)] = Vec3::ZERO);
    }
}

fn centred(patch: &Surface, grain: &Grain, order: Order, plane: MirrorPlane, by: &mut [Vec3]) {
    let n = plane.normal();
    let within = |d: Vec3| d - n * d.dot(n);
    if order == Order::G3 {
        let Some(c) = symmetric(patch, grain, plane) else { return hold(grain, 4, by) };
        for column in 0..grain.columns {
            let at = |row: usize| grain.index(row, column);
            let lead = within(by[at(0)]);
            let rise = by[at(1)].dot(n);
            let last = by[at(3)].dot(n);
            by[at(0)] = lead;
            by[at(1)] = lead + n * rise;
            // The second derivative's part along the normal stays: c20 · 0 + c21 · rise + c22 · x = 0.
            by[at(2)] = lead + n * (-c[2][1] / c[2][2] * rise);
            by[at(3)] = lead + n * last;
        }
        return;
    }
    let slants = order > Order::G0 && !square(patch, grain, plane);
    for column in 0..grain.columns {
        let first = grain.index(0, column);
        by[first] = if slants { Vec3::ZERO } else { within(by[first]) };
        if order > Order::G0 && grain.rows > 1 {
            let second = grain.index(1, column);
            by[second] = by[first] + n * by[second].dot(n);
        }
    }
}

/// True where the first two rows are square to the plane.
fn square(patch: &Surface, grain: &Grain, plane: MirrorPlane) -> bool {
    let n = plane.normal();
    let ratio = |c: usize| patch.weights().map_or(1.0, |w| w[grain.index(1, c)] / w[grain.index(0, c)]);
    (0..grain.columns).all(|c| {
        let leg = patch.points()[grain.index(1, c)] - patch.points()[grain.index(0, c)];
        (leg - n * leg.dot(n)).length() <= SQUARE * leg.length() && (ratio(c) - ratio(0)).abs() <= SQUARE * ratio(0)
    })
}

/// The end rows' factors where patch and image are one surface up to the third derivative.
fn symmetric(patch: &Surface, grain: &Grain, plane: MirrorPlane) -> Option<Vec<Vec<f64>>> {
    if grain.rows < 4 || patch.weights().is_some_and(|w| w.iter().any(|x| *x != w[0])) {
        return None;
    }
    let n = plane.normal();
    let c = end_rows(patch.knots_along(super::net::across(grain.side)), grain.side.high, 3);
    let holds = (0..grain.columns).all(|column| {
        let p = |row: usize| patch.points()[grain.index(row, column)];
        let derivative = |m: usize| (0..=m).fold(Vec3::ZERO, |sum, r| sum + (p(r) - p(0)) * c[m][r]);
        let size = |m: usize| (0..=m).map(|r| (p(r) - p(0)).length() * c[m][r].abs()).fold(0.0, f64::max);
        let within = |d: Vec3| d - n * d.dot(n);
        plane.height(p(0)).abs() <= SQUARE * size(1)
            && within(derivative(1)).length() <= SQUARE * size(1)
            && derivative(2).dot(n).abs() <= SQUARE * size(2)
            && within(derivative(3)).length() <= SQUARE * size(3)
    });
    (holds && c[2][2] != 0.0).then_some(c)
}
