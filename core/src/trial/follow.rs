//! A patch whose first rows at a side are made anew from derivatives there.

use super::TrialError;
use super::change::shares;
use super::net::{Grain, Place4, across, along, end_rows, homogeneous, with_net};
use crate::layout::BoxSide;
use crate::nurbs::fit::{CurveSample, fit_curve};
use crate::nurbs::{Direction, MAX_DEGREE, Surface};

/// Knots nearer than this share of the range are one. Larger: the follower's basis misses the leader's by what shows; smaller: spans
/// too short to compute with.
const SAME: f64 = 1e-10;

/// The patch with its rows raised until there are `rows` of them across a side, of a degree of `degree` at least; and whether it was.
pub(super) fn with_rows(patch: &Surface, side: BoxSide, rows: usize, degree: usize) -> Result<(Surface, bool), TrialError> {
    let mut made = patch.clone();
    let mut raised = false;
    while made.knots_along(across(side)).point_count() < rows || made.knots_along(across(side)).degree() < degree {
        if made.knots_along(across(side)).degree() >= MAX_DEGREE {
            return Err(TrialError::Held);
        }
        made = made.elevated(across(side))?;
        raised = true;
    }
    Ok((made, raised))
}

/// The patch with a degree along a side of `degree` at least, and these knots (each as often as stated) there.
pub(super) fn with_knots(patch: &Surface, along: Direction, degree: usize, knots: &[(f64, usize)]) -> Result<Surface, TrialError> {
    let mut made = patch.clone();
    while made.knots_along(along).degree() < degree {
        made = made.elevated(along)?;
    }
    let own = made.knots_along(along);
    let slack = SAME * own.domain().length();
    let mut missing = Vec::new();
    for &(t, m) in knots {
        let there = own.interior().into_iter().find(|k| (k.0 - t).abs() <= slack);
        let (at, have) = there.unwrap_or((t, 0));
        missing.extend(core::iter::repeat_n(at, m.min(own.degree()).saturating_sub(have)));
    }
    Ok(if missing.is_empty() { made } else { made.with_knots(along, &missing)? })
}

/// The patch with its first `order` + 1 rows at a side such that it has the derivatives asked for there, homogeneous and by the
/// parameter inwards: fitted over the knots along the side by least squares, which gives derivatives that these can represent back
/// to rounding. Only these rows change. Gives the largest move of a control point too, mm.
pub(super) fn with_derivatives(
    patch: &Surface,
    side: BoxSide,
    order: usize,
    rational: bool,
    at: impl Fn(f64) -> Vec<Place4>,
) -> Result<(Surface, f64), TrialError> {
    let grain = Grain::new(patch, side);
    let knots = patch.knots_along(along(side));
    let places = shares(knots, 2 * (knots.degree() + 1));
    let wanted: Vec<Vec<Place4>> = places.iter().map(|&t| at(t)).collect();
    let c = end_rows(patch.knots_along(across(side)), side.high, order);
    let mut net = homogeneous(patch);
    let before = net.clone();
    let mut rows: Vec<Vec<Place4>> = Vec::new();
    for m in 0..=order {
        let value = |d: &[Place4]| d.get(m).copied().unwrap_or_default();
        let samples: Vec<CurveSample<4>> =
            places.iter().zip(&wanted).map(|(&t, d)| CurveSample { t, point: value(d), weight: 1.0 }).collect();
        let curve = fit_curve(knots, &samples, None, &[])?;
        let row: Vec<Place4> = (0..grain.columns)
            .map(|column| {
                core::array::from_fn(|x| {
                    let known: f64 = (0..m).map(|r| c[m][r] * rows[r][column][x]).sum();
                    (curve.points()[column][x] - known) / c[m][m]
                })
            })
            .collect();
        for (column, place) in row.iter().enumerate() {
            net[grain.index(m, column)] = *place;
        }
        rows.push(row);
    }
    if net.iter().any(|p| !(p[3] > 0.0 && p[3].is_finite())) {
        return Err(TrialError::Weights);
    }
    let plain = |p: &Place4| [p[0] / p[3], p[1] / p[3], p[2] / p[3]];
    let distance = |(a, b): (&Place4, &Place4)| {
        let (a, b) = (plain(a), plain(b));
        a.iter().zip(&b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt()
    };
    let largest = net.iter().zip(&before).map(distance).fold(0.0, f64::max);
    Ok((with_net(patch, &net, rational)?, largest))
}
