//! `rows.agreement`: how alike neighbouring rows of a patch share out their legs.

use super::net_rows::{NetRow, judged, net_rows};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::nurbs;

/// Rows shorter than this share of the patch's longest have collapsed (a pole): their shares say nothing.
const COLLAPSED: f64 = 1e-6;

/// The two neighbouring rows of each patch and direction that differ most, where that passes the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (id, patch) in judged(subject) {
        for along_u in [true, false] {
            let Some(worst) = least_alike(patch, along_u) else { continue };
            let Some(grade) = judge.grade(MeasureId::RowsAgreement, &[id], worst.value) else { continue };
            let remedy = format!(
                "Bring the control points of {} in line with those of the row before it: the same leg takes up shares of the two rows that \
                 differ by {:.0} %.",
                worst.second.name(),
                100.0 * worst.value
            );
            let place = worst.second.place(patch, id, worst.leg);
            let drawn = vec![worst.first.points.clone(), worst.second.points.clone()];
            all.push(
                Finding::new(MeasureId::RowsAgreement, worst.value, grade, place).extent(worst.second.length()).remedy(remedy).drawn(drawn),
            );
        }
    }
    all
}

struct Pair {
    value: f64,
    leg: usize,
    first: NetRow,
    second: NetRow,
}

/// Over neighbouring rows the largest difference of their leg shares; None with fewer than two rows, or legs.
fn least_alike(patch: &nurbs::Surface, along_u: bool) -> Option<Pair> {
    let rows = net_rows(patch, along_u);
    let longest = longest(&rows);
    let mut worst: Option<Pair> = None;
    for w in rows.windows(2) {
        let off = apart(&w[0], &w[1], longest).into_iter().enumerate().max_by(|x, y| x.1.total_cmp(&y.1));
        if let Some((leg, value)) = off
            && worst.as_ref().is_none_or(|p| value > p.value)
        {
            worst = Some(Pair { value, leg, first: w[0].clone(), second: w[1].clone() });
        }
    }
    worst
}

/// Length of the longest of some rows, mm.
pub(super) fn longest(rows: &[NetRow]) -> f64 {
    rows.iter().map(NetRow::length).fold(0.0, f64::max)
}

/// Leg by leg, how far the shares of two rows differ; none where one has collapsed against the `longest` of the patch, or has a single
/// leg, which is all of its row.
pub(super) fn apart(a: &NetRow, b: &NetRow, longest: f64) -> Vec<f64> {
    if [a, b].iter().any(|r| r.points.len() < 3 || r.length() <= COLLAPSED * longest) {
        return Vec::new();
    }
    a.shares().iter().zip(&b.shares()).map(|(x, y)| (x - y).abs()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::Point3;
    use crate::nurbs::KnotVector;

    /// A flat net of rows with these legs along u.
    fn net(rows: &[[f64; 3]]) -> nurbs::Surface {
        let at = |row: usize, k: usize| Point3::new(rows[row][..k].iter().sum(), 50.0 * row as f64, 0.0);
        let points = (0..4).flat_map(|k| (0..rows.len()).map(move |row| (row, k))).map(|(row, k)| at(row, k)).collect();
        nurbs::Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(rows.len() - 1).unwrap(), points, None).unwrap()
    }

    #[test]
    fn rows_that_share_alike_differ_by_nothing_whatever_their_length() {
        let patch = net(&[[60.0, 95.0, 60.0], [120.0, 190.0, 120.0], [30.0, 47.5, 30.0]]);
        assert!(least_alike(&patch, true).unwrap().value < 1e-12);
        assert!(least_alike(&net(&[[10.0; 3], [10.0; 3]]), false).is_none(), "columns of one leg");
    }

    /// Worked by hand: 10 of 100 against 40 of 100 is 0.3; the other rows differ by 0.1.
    #[test]
    fn the_largest_difference_of_shares() {
        let pair = least_alike(&net(&[[20.0, 40.0, 40.0], [10.0, 45.0, 45.0], [40.0, 30.0, 30.0]]), true).unwrap();
        assert!((pair.value - 0.3).abs() < 1e-12, "{}", pair.value);
        assert_eq!((pair.leg, pair.first.index, pair.second.index), (0, 1, 2));
    }

    #[test]
    fn a_collapsed_row_says_nothing() {
        assert!(least_alike(&net(&[[0.0; 3], [10.0, 45.0, 45.0]]), true).is_none());
    }
}
