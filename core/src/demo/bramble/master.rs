//! The master surfaces: single splines along the whole cowl, cut at their knots into the patches.
//!
//! A spline of degree 5 with simple knots is C4 across them, so patches cut from one master meet to third order
//! by construction, and only a seeded fault can change that.

use super::patch::Patch;
use crate::math::Vec3;

/// Degree of every master along the cowl.
pub(super) const DEGREE: usize = 5;

/// Where the masters are cut: front, middle and rear patches. The first cut lies behind the nose's bend.
pub(super) const CUTS: [f64; 4] = [0.0, 0.36, 0.66, 1.0];

/// Control points a row has along the cowl: degree + spans.
pub(super) const COLUMNS: usize = DEGREE + 3;

/// A surface polynomial across (Bézier rows in u) and spline along (v): `rows[i][j]`.
#[derive(Debug, Clone)]
pub(super) struct Master {
    pub rows: Vec<Vec<Vec3>>,
}

/// The masters' clamped knots along the cowl.
fn knots() -> Vec<f64> {
    let mut k = vec![CUTS[0]; DEGREE + 1];
    k.extend([CUTS[1], CUTS[2]]);
    k.extend([CUTS[3]; DEGREE + 1]);
    k
}

/// Where along the cowl each control column acts most (Greville abscissae).
pub(super) fn stations() -> [f64; COLUMNS] {
    let k = knots();
    core::array::from_fn(|j| k[j + 1..=j + DEGREE].iter().sum::<f64>() / DEGREE as f64)
}

impl Master {
    /// The patch between cuts `span` and `span + 1`, exactly.
    pub fn piece(&self, span: usize) -> Patch {
        Patch { net: self.rows.iter().map(|row| bezier_piece(row, span)).collect() }
    }
}

/// Bézier points of one span of a row, by its blossom (NB §5.3; Ramshaw's polar form).
fn bezier_piece(row: &[Vec3], span: usize) -> Vec<Vec3> {
    let (t, k) = (knots(), DEGREE + span);
    let (a, b) = (t[k], t[k + 1]);
    let polar = |count_b: usize| {
        let mut d: Vec<Vec3> = row[k - DEGREE..=k].to_vec();
        for r in 1..=DEGREE {
            let at = if r <= DEGREE - count_b { a } else { b };
            for i in (r..=DEGREE).rev() {
                let g = k - DEGREE + i;
                let share = (at - t[g]) / (t[g + DEGREE - r + 1] - t[g]);
                d[i] = d[i - 1] * (1.0 - share) + d[i] * share;
            }
        }
        d[DEGREE]
    };
    (0..=DEGREE).map(polar).collect()
}
