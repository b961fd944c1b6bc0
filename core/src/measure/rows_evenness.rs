//! `rows.evenness`: how evenly control points are spread along rows and columns of a patch.

use super::net_rows::{NetRow, judged, net_rows};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::math::{Point3, real};
use crate::nurbs;

/// Legs shorter than this share of their row have collapsed (a pole) and are left out.
const COLLAPSED: f64 = 1e-6;

/// The most uneven row of each patch and direction, where it passes the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (id, patch) in judged(subject) {
        for along_u in [true, false] {
            let Some((value, at, row)) = most_uneven(patch, along_u) else { continue };
            let Some(grade) = judge.grade(MeasureId::RowsEvenness, &[id], value) else { continue };
            let remedy = format!("Spread the control points of {} so that their distances change steadily.", row.name());
            let place = row.place(patch, id, at);
            all.push(
                Finding::new(MeasureId::RowsEvenness, value, grade, place).extent(row.length()).remedy(remedy).drawn(vec![row.points]),
            );
        }
    }
    all
}

/// The row of a patch with the largest unevenness, along u or v, with that and the index of its control point; None where no row
/// has three legs.
fn most_uneven(patch: &nurbs::Surface, along_u: bool) -> Option<(f64, usize, NetRow)> {
    let uneven = net_rows(patch, along_u).into_iter().filter_map(|row| {
        let (value, at) = unevenness(&row.points, &row.greville)?;
        Some((value, at, row))
    });
    uneven.reduce(|a, b| if b.0 > a.0 { b } else { a })
}

/// E = max |second difference of ln(l_i / (g_{i+1} − g_i))| of a row with legs l and Greville abscissae g, and the
/// index of the control point where it is largest. 0 for equal legs of equal spans, for any geometric progression,
/// and for a straight uniform clamped spline. None below three legs.
pub(super) fn unevenness(points: &[Point3], greville: &[f64]) -> Option<(f64, usize)> {
    let all = second_differences(points, greville).into_iter().map(|(leg, e)| (e.abs(), leg));
    // The first of equals.
    all.reduce(|a, b| if b.0 > a.0 { b } else { a }).filter(|w| w.0.is_finite())
}

/// Those second differences with the index of the leg in the middle of each, positive where it is short against the legs beside it.
/// Collapsed legs are left out: their neighbours come to stand side by side.
pub(super) fn second_differences(points: &[Point3], greville: &[f64]) -> Vec<(usize, f64)> {
    let legs: Vec<(usize, f64, f64)> =
        points.windows(2).zip(greville.windows(2)).enumerate().map(|(i, (p, g))| (i, p[0].distance(p[1]), g[1] - g[0])).collect();
    let length: f64 = legs.iter().map(|l| l.1).sum();
    let logs: Vec<(usize, f64)> =
        legs.into_iter().filter(|&(_, l, g)| l > COLLAPSED * length && g > 0.0).map(|(i, l, g)| (i, real::log(l / g))).collect();
    logs.windows(3).map(|w| (w[1].0, w[0].1 - 2.0 * w[1].1 + w[2].1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nurbs::KnotVector;
    use proptest::prelude::*;

    fn row(legs: &[f64]) -> Vec<Point3> {
        let mut x = 7.0;
        let mut all = vec![Point3::new(x, 2.0, -3.0)];
        for l in legs {
            x += l;
            all.push(Point3::new(x, 2.0, -3.0));
        }
        all
    }

    fn bezier(legs: &[f64]) -> f64 {
        let knots = KnotVector::bezier(legs.len()).unwrap();
        unevenness(&row(legs), &knots.greville()).unwrap().0
    }

    /// Worked by hand: ln 95/60 − ln 120/95 = 0.226, 2 ln 120/95 = 0.467.
    #[test]
    fn a_row_worked_by_hand() {
        assert!((bezier(&[60.0, 95.0, 120.0, 95.0, 60.0]) - 0.467).abs() < 5e-4);
    }

    proptest! {
        #[test]
        fn geometric_progressions_are_even(first in 0.1f64..100.0, ratio in 0.5f64..2.0, n in 3usize..8) {
            let legs: Vec<f64> = (0..n).scan(first, |l, _| { let now = *l; *l *= ratio; Some(now) }).collect();
            prop_assert!(bezier(&legs) < 1e-12);
        }

        #[test]
        fn a_straight_uniform_clamped_spline_is_even(degree in 2usize..=6, spans in 2usize..9, length in 1.0f64..500.0) {
            let knots = KnotVector::uniform(degree, spans).unwrap();
            let g = knots.greville();
            let points: Vec<Point3> = g.iter().map(|t| Point3::new(t * length, 4.0, 1.0)).collect();
            prop_assert!(unevenness(&points, &g).unwrap().0 < 1e-9);
        }

        #[test]
        fn one_leg_stretched_shows_twice_its_logarithm(legs in 4usize..8, factor in 1.1f64..4.0, at in 1usize..3) {
            let mut all = vec![10.0; legs];
            all[at] *= factor;
            prop_assert!((bezier(&all) - 2.0 * real::log(factor)).abs() < 1e-12);
        }
    }

    #[test]
    fn two_legs_are_too_few_and_collapsed_ones_do_not_count() {
        let knots = KnotVector::bezier(2).unwrap();
        assert_eq!(unevenness(&row(&[1.0, 5.0]), &knots.greville()), None);
        assert!(bezier(&[0.0, 10.0, 10.0, 10.0]) < 1e-12);
    }
}
