//! Control nets in homogeneous coordinates, and how they look from one side.

use super::TrialError;
use crate::layout::BoxSide;
use crate::math::{Point3, Vec3};
use crate::nurbs::{BasisDerivs, Direction, KnotVector, NurbsError, Surface};

/// (w x, w y, w z, w).
pub(super) type Place4 = [f64; 4];

/// Binomial coefficients: `BINOMIAL[m][i]` is m over i.
pub(super) const BINOMIAL: [[f64; 4]; 4] = [[1.0, 0.0, 0.0, 0.0], [1.0, 1.0, 0.0, 0.0], [1.0, 2.0, 1.0, 0.0], [1.0, 3.0, 3.0, 1.0]];

/// The four sides: least u, greatest u, least v, greatest v.
pub(super) const SIDES: [BoxSide; 4] = [
    BoxSide { of_u: true, high: false },
    BoxSide { of_u: true, high: true },
    BoxSide { of_u: false, high: false },
    BoxSide { of_u: false, high: true },
];

/// A side by its place in the order that locks have: least u, greatest u, least v, greatest v; beyond them the last.
pub fn side(index: usize) -> BoxSide {
    SIDES[index.min(3)]
}

/// A patch's net seen from a side: rows count from there inwards, columns along the side by the rising parameter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grain {
    pub side: BoxSide,
    pub rows: usize,
    pub columns: usize,
    stride: usize,
}

impl Grain {
    pub fn new(patch: &Surface, side: BoxSide) -> Self {
        let (nu, nv) = patch.size();
        let (rows, columns) = if side.of_u { (nu, nv) } else { (nv, nu) };
        Self { side, rows, columns, stride: nv }
    }

    /// Index in the patch's own list.
    pub fn index(&self, row: usize, column: usize) -> usize {
        let row = if self.side.high { self.rows - 1 - row } else { row };
        if self.side.of_u { row * self.stride + column } else { column * self.stride + row }
    }
}

/// The direction across a side, and along it.
pub(super) fn across(side: BoxSide) -> Direction {
    if side.of_u { Direction::U } else { Direction::V }
}

/// See [`across`].
pub(super) fn along(side: BoxSide) -> Direction {
    if side.of_u { Direction::V } else { Direction::U }
}

/// The parameters of the place on a side at `t` along it.
pub(super) fn on_side(patch: &Surface, side: BoxSide, t: f64) -> (f64, f64) {
    let over = patch.knots_along(across(side)).domain();
    let end = if side.high { over.high } else { over.low };
    if side.of_u { (end, t) } else { (t, end) }
}

/// Factors `c[m][r]` with which control rows r = 0…m, counted from the end of clamped knots, make the m-th derivative there by the
/// parameter that runs inwards from the end.
pub(super) fn end_rows(knots: &KnotVector, high: bool, order: usize) -> Vec<Vec<f64>> {
    let over = knots.domain();
    let (t, span) = if high { (over.high, knots.span_left(over.high)) } else { (over.low, knots.span(over.low)) };
    let p = knots.degree();
    let basis = BasisDerivs::<4>::at(knots, span, t, order);
    let factor = |m: usize, r: usize| {
        let sign = if high && m % 2 == 1 { -1.0 } else { 1.0 };
        let at = if high { p.checked_sub(r) } else { Some(r) };
        at.filter(|_| r <= p).and_then(|at| basis.rows[m].get(at)).map_or(0.0, |x| sign * x)
    };
    (0..=order).map(|m| (0..=m).map(|r| factor(m, r)).collect()).collect()
}

/// The net in homogeneous coordinates; weights 1 where the patch has none.
pub(super) fn homogeneous(patch: &Surface) -> Vec<Place4> {
    let weight = |i: usize| patch.weights().and_then(|w| w.get(i)).copied().unwrap_or(1.0);
    let place = |(i, p): (usize, &Point3)| {
        let w = weight(i);
        [p.x * w, p.y * w, p.z * w, w]
    };
    patch.points().iter().enumerate().map(place).collect()
}

/// A patch over the knots of another with this net.
pub(super) fn with_net(patch: &Surface, net: &[Place4], rational: bool) -> Result<Surface, NurbsError> {
    let points = net.iter().map(|&[x, y, z, w]| Point3::new(x / w, y / w, z / w)).collect();
    let weights = rational.then(|| net.iter().map(|p| p[3]).collect());
    Surface::new(patch.knots_u().clone(), patch.knots_v().clone(), points, weights)
}

/// A patch with its control points moved, weights and knots as they are.
pub(super) fn shifted(patch: &Surface, by: &[Vec3]) -> Result<Surface, TrialError> {
    let points = patch.points().iter().zip(by).map(|(&p, &d)| p + d).collect();
    Ok(Surface::new(patch.knots_u().clone(), patch.knots_v().clone(), points, patch.weights().map(<[f64]>::to_vec))?)
}

/// The same patch with u and v exchanged: Su × Sv turns round.
pub(super) fn turned_over(patch: &Surface) -> Result<Surface, NurbsError> {
    let (nu, nv) = patch.size();
    let order: Vec<usize> = (0..nu * nv).map(|k| (k % nu) * nv + k / nu).collect();
    let points = order.iter().map(|&k| patch.points()[k]).collect();
    let weights = patch.weights().map(|w| order.iter().map(|&k| w[k]).collect());
    Surface::new(patch.knots_v().clone(), patch.knots_u().clone(), points, weights)
}

/// The same patch run through u the other way: Su × Sv turns round.
pub(super) fn reversed(patch: &Surface) -> Result<Surface, NurbsError> {
    let (nu, nv) = patch.size();
    let knots = patch.knots_u();
    let over = knots.domain();
    let back = KnotVector::new(knots.degree(), knots.knots().iter().rev().map(|t| over.low + (over.high - t)).collect())?;
    let order: Vec<usize> = (0..nu * nv).map(|k| (nu - 1 - k / nv) * nv + k % nv).collect();
    let points = order.iter().map(|&k| patch.points()[k]).collect();
    let weights = patch.weights().map(|w| order.iter().map(|&k| w[k]).collect());
    Surface::new(back, patch.knots_v().clone(), points, weights)
}
