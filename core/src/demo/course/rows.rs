//! One patch of the dome, in rows as they should be and as they should not.

use super::dome::{HALF_LENGTH, PLAIN, patch};
use crate::demo::bramble::patch::built;
use crate::math::Vec3;
use crate::nurbs::{Direction, Surface};

/// Spans of the poor patch along x.
pub(super) const SPANS: usize = 12;
/// How far every other inner control point is pushed up, and those between down, mm.
///
/// Such a spline over even knots reaches a third of it at the knots; and the two inner of four columns have three quarters
/// of the weight in the middle.
pub(super) const PUSH: f64 = 0.48;
/// How far every other inner control point is slid along its row, as a share of the leg, and those between back.
///
/// Legs are then long and short by turns, 1 + 2 · share and 1 − 2 · share of what they were.
pub(super) const SLIDE: f64 = 0.1456;

/// Even rows.
pub(super) fn good() -> Surface {
    patch(PLAIN, (-HALF_LENGTH, HALF_LENGTH), 3)
}

/// The same shape in more rows, those along x pushed to and fro but for the two points at either end; the border stays.
pub(super) fn poor() -> Surface {
    let inner: Vec<f64> = (1..SPANS).map(|k| k as f64 / SPANS as f64).collect();
    let fine = built(good().with_knots(Direction::U, &inner));
    let (nu, nv) = fine.size();
    let old = fine.points();
    let mut points = old.to_vec();
    for i in 2..nu - 2 {
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        for j in 1..nv - 1 {
            let leg = (old[(i + 1) * nv + j] - old[(i - 1) * nv + j]) * 0.5;
            points[i * nv + j] += (leg * SLIDE + Vec3::Z * PUSH) * sign;
        }
    }
    built(Surface::new(fine.knots_u().clone(), fine.knots_v().clone(), points, None))
}
