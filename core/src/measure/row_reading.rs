//! What each control row of a patch reads, point by point: the same numbers that the measures of rows take their values from.

use super::net_rows::{NetRow, net_rows};
use super::row_profile::RowProfile;
use super::rows_agreement::{apart, longest};
use super::rows_evenness::{second_differences, unevenness};
use super::rows_turning::{angles, changes, normals, turning};
use crate::math::Point3;
use crate::nurbs;

/// A control row with what is measured on it.
#[derive(Debug, Clone, PartialEq)]
pub struct RowReading {
    /// True for a row along u.
    pub along_u: bool,
    /// Which one, counted across from 0.
    pub index: usize,
    /// Its control points, mm.
    pub points: Vec<Point3>,
    /// Its legs from point to point, mm.
    pub legs: Vec<f64>,
    /// Each as a share of the row; none for a row without length.
    pub shares: Vec<f64>,
    /// Leg by leg the second difference of ln(leg / span), positive where the leg is short against those beside it; None at the ends and
    /// where it has collapsed.
    pub bends: Vec<Option<f64>>,
    /// Leg by leg the larger difference of its share to that in the rows beside; None where there is no row to compare with.
    pub apart: Vec<Option<f64>>,
    /// Signed turns at the inner points, degrees: in the tangent plane about Su × Sv, and in the plane of normal and row.
    pub turns: [Vec<f64>; 2],
    /// In both planes the indices of the control points at which it turns back.
    pub back: [Vec<usize>; 2],
    /// Evenness E; None below three legs.
    pub evenness: Option<f64>,
    /// Agreement A with the rows beside; None without.
    pub agreement: Option<f64>,
    /// Turning T; None below four points.
    pub turning: Option<u32>,
    /// True where T is that of the normal plane.
    pub turns_out: bool,
    /// Its points over its chord; None of a row without length.
    pub profile: Option<RowProfile>,
}

impl RowReading {
    /// For each leg T where the row turns back between its ends, in the plane that T is of, and 0 elsewhere; None of a row too short.
    pub fn turns_by_leg(&self) -> Vec<Option<f64>> {
        let back = if self.turns_out { &self.back[1] } else { &self.back[0] };
        let here = |leg: usize| if back.contains(&(leg + 1)) { 1.0 } else { 0.0 };
        (0..self.legs.len()).map(|leg| self.turning.map(|t| f64::from(t) * here(leg))).collect()
    }
}

/// All rows of a patch along u, or along v.
pub fn row_readings(patch: &nurbs::Surface, along_u: bool) -> Vec<RowReading> {
    let rows = net_rows(patch, along_u);
    let longest = longest(&rows);
    let beside = |i: usize| [i.checked_sub(1), i.checked_add(1)].into_iter().flatten().filter_map(|k| rows.get(k));
    let read = |(i, row): (usize, &NetRow)| {
        let count = row.points.len().saturating_sub(1);
        let mut bends = vec![None; count];
        for (leg, value) in second_differences(&row.points, &row.greville) {
            if let Some(place) = bends.get_mut(leg) {
                *place = Some(value).filter(|x| x.is_finite());
            }
        }
        let mut off: Vec<Option<f64>> = vec![None; count];
        for other in beside(i) {
            for (place, value) in off.iter_mut().zip(apart(row, other, longest)) {
                *place = Some(place.map_or(value, |x| x.max(value)));
            }
        }
        let normals = normals(patch, row);
        let turns = angles(&row.points, &normals);
        let turned = turning(row, &normals);
        RowReading {
            along_u,
            index: row.index,
            legs: row.points.windows(2).map(|w| w[0].distance(w[1])).collect(),
            shares: row.shares(),
            bends,
            agreement: off.iter().flatten().copied().reduce(f64::max),
            apart: off,
            back: [changes(&turns[0]), changes(&turns[1])],
            turns,
            evenness: unevenness(&row.points, &row.greville).map(|e| e.0),
            turning: turned.map(|t| t.changes),
            turns_out: turned.is_some_and(|t| t.out),
            profile: RowProfile::new(&row.points, &normals),
            points: row.points.clone(),
        }
    };
    rows.iter().enumerate().map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nurbs::KnotVector;

    /// A net of rows along u with these legs, 50 mm apart, at these heights over the inner points.
    fn net(rows: &[&[f64]], heights: &[f64]) -> nurbs::Surface {
        let count = rows[0].len() + 1;
        let at = |row: usize, k: usize| Point3::new(rows[row][..k].iter().sum(), 50.0 * row as f64, heights[k]);
        let points = (0..count).flat_map(|k| (0..rows.len()).map(move |row| (row, k))).map(|(row, k)| at(row, k)).collect();
        nurbs::Surface::new(KnotVector::bezier(count - 1).unwrap(), KnotVector::bezier(rows.len() - 1).unwrap(), points, None).unwrap()
    }

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-12
    }

    /// By hand, legs 60-95-120-95-60: ln 60 − 2 ln 95 + ln 120 = −0.2259, ln 95 − 2 ln 120 + ln 95 = −0.4672, and the first again.
    #[test]
    fn bends_say_which_leg_is_long() {
        let legs: &[f64] = &[60.0, 95.0, 120.0, 95.0, 60.0];
        let rows = row_readings(&net(&[legs, legs], &[0.0; 6]), true);
        let row = &rows[0];
        assert_eq!((row.bends[0], row.bends[4]), (None, None));
        let got: Vec<f64> = row.bends.iter().flatten().copied().collect();
        for (got, want) in got.iter().zip([-0.2259, -0.4672, -0.2259]) {
            assert!((got - want).abs() < 5e-5, "{got}");
        }
        assert!((row.evenness.unwrap() - 0.4672).abs() < 5e-5);
        assert!(row.legs.iter().zip(legs).all(|(a, b)| near(*a, *b)));
        assert!(near(row.agreement.unwrap(), 0.0), "a row like its neighbour");
        assert_eq!(row.turning, Some(0));
    }

    /// By hand: shares 0.2 0.4 0.4, 0.1 0.45 0.45, 0.4 0.3 0.3. The middle row differs by 0.1 from the first and 0.3 from the last.
    #[test]
    fn each_row_is_held_against_both_beside_it() {
        let rows = row_readings(&net(&[&[20.0, 40.0, 40.0], &[10.0, 45.0, 45.0], &[40.0, 30.0, 30.0]], &[0.0; 4]), true);
        let agreements: Vec<f64> = rows.iter().filter_map(|r| r.agreement).collect();
        assert!(agreements.iter().zip([0.1, 0.3, 0.3]).all(|(a, b)| near(*a, b)), "{agreements:?}");
        let middle: Vec<f64> = rows[1].apart.iter().flatten().copied().collect();
        assert!(middle.iter().zip([0.3, 0.15, 0.15]).all(|(a, b)| near(*a, b)), "{middle:?}");
        assert!(near(rows[1].shares[0], 0.1));
    }

    /// By hand: up by 45° and down by 45° at even steps: turns of ∓90° about what is square to row and normal.
    #[test]
    fn turns_have_their_sign_and_plane() {
        let rows = row_readings(&net(&[&[10.0; 4], &[10.0; 4]], &[0.0, 10.0, 0.0, 10.0, 0.0]), true);
        let [flat, out] = &rows[0].turns;
        assert!(flat.iter().all(|t| t.abs() < 1e-9), "{flat:?}");
        assert!(out.iter().map(|t| t.abs()).all(|t| (t - 90.0).abs() < 20.0), "{out:?}");
        assert!(out[0] * out[1] < 0.0 && out[1] * out[2] < 0.0);
        assert_eq!(rows[0].back, [vec![], vec![2, 3]]);
        assert_eq!((rows[0].turning, rows[0].turns_out), (Some(2), true));
        assert_eq!(rows[0].turns_by_leg(), [Some(0.0), Some(2.0), Some(2.0), Some(0.0)]);
    }

    #[test]
    fn collapsed_and_short_rows_read_nothing() {
        let rows = row_readings(&net(&[&[0.0; 3], &[10.0, 45.0, 45.0]], &[0.0; 4]), true);
        assert_eq!((rows[0].evenness, rows[0].agreement, rows[0].profile.is_none()), (None, None, true));
        assert!(rows[0].shares.is_empty());
        let columns = row_readings(&net(&[&[10.0; 2], &[10.0; 2]], &[0.0; 3]), false);
        assert!(columns.iter().all(|c| c.evenness.is_none() && c.turning.is_none() && c.agreement.is_none()));
    }
}
