//! What a machine is worth: a loop that everything else is told in, so that figures of different machines can be held to each other.

use super::grid;
use super::sample::{RUNS, best, timed};
use super::table::Row;

/// Points in a row of the batch.
const ROW: usize = 1000;

/// What the machine takes for a million points.
pub fn rows() -> Vec<Row> {
    vec![Row::told("10^6 points of a patch of degree 6 by 6, one after the other, native", batch(), "ms")]
}

/// ms for a million points of a patch of degree 6 by 6, one after the other; the best of some runs.
fn batch() -> f64 {
    let patch = grid::patches().swap_remove(grid::MIDDLE);
    let (u, v) = patch.domain();
    let at = |k: usize| k as f64 / (ROW - 1) as f64;
    let sum = || (0..ROW * ROW).map(|k| patch.derivs(u.at(at(k / ROW)), v.at(at(k % ROW)), 0).s.z).sum::<f64>();
    best((0..RUNS).map(|_| timed(sum)))
}
