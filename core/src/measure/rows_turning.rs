//! `rows.turning`: how often a control row turns back and forth beyond what its form asks for.

use super::net_rows::{NetRow, judged, net_rows};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::math::{Point3, Vec3, real};
use crate::nurbs::fit::{CurveSample, fit_curve};
use crate::nurbs::{self, KnotVector};

/// Turns below this are ignored, degrees (common practice, no source).
const LEAST: f64 = 0.1;

/// Degree of the curve that a row's own form is taken from: a cubic has one inflection at most in a plane.
const FORM: usize = 3;

/// The row of each patch and direction that turns back and forth most, where that passes the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (id, patch) in judged(subject) {
        for along_u in [true, false] {
            let turned = net_rows(patch, along_u).into_iter().filter_map(|row| Some((turns(patch, &row)?, row)));
            // The first of equals.
            let worst = turned.reduce(|a, b| if b.0.changes > a.0.changes { b } else { a });
            let Some((turn, row)) = worst else { continue };
            let value = f64::from(turn.changes);
            let Some(grade) = judge.grade(MeasureId::RowsTurning, &[id], value) else { continue };
            let remedy = format!(
                "{} turns back and forth {} more often than its form asks for: move its control points onto an even curve, or take some out.",
                capital(&row.name()),
                if turn.changes == 1 { "once".to_owned() } else { format!("{} times", turn.changes) }
            );
            let place = row.place(patch, id, turn.at);
            all.push(Finding::new(MeasureId::RowsTurning, value, grade, place).extent(row.length()).remedy(remedy).drawn(vec![row.points]));
        }
    }
    all
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// Turning of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Turning {
    /// Changes of sign beyond those of the row's best-fit cubic, in its tangent plane or its normal plane, whichever has more.
    pub changes: u32,
    /// Index of the control point at the last of them.
    pub at: usize,
    /// True where they are those of the normal plane.
    pub out: bool,
}

/// None of a row with fewer than four control points, or without a form to compare with.
fn turns(patch: &nurbs::Surface, row: &NetRow) -> Option<Turning> {
    turning(row, &normals(patch, row))
}

/// The same with the unit normals of the surface at the row's control points; zero where there is none.
pub(super) fn turning(row: &NetRow, normals: &[Vec3]) -> Option<Turning> {
    if row.points.len() <= FORM {
        return None;
    }
    let even = form(row)?;
    let [flat, out] = angles(&row.points, normals);
    let [even_flat, even_out] = angles(&even, normals);
    let beyond = |own: &[f64], form: &[f64], out: bool| {
        let back = changes(own);
        let count = |back: &[usize]| u32::try_from(back.len()).unwrap_or(u32::MAX);
        Turning { changes: count(&back).saturating_sub(count(&changes(form))), at: back.last().copied().unwrap_or(0), out }
    };
    let (a, b) = (beyond(&flat, &even_flat, false), beyond(&out, &even_out, true));
    Some(if b.changes > a.changes { b } else { a })
}

/// Unit normals of the surface, Su × Sv, at the Greville abscissae of a row; zero where there is none.
pub(super) fn normals(patch: &nurbs::Surface, row: &NetRow) -> Vec<Vec3> {
    (0..row.points.len())
        .map(|i| {
            let uv = row.uv(patch, i);
            let d = patch.derivs(uv.u, uv.v, 1);
            d.su.cross(d.sv).try_normalize().unwrap_or(Vec3::ZERO)
        })
        .collect()
}

/// The row's best-fit cubic over the Greville abscissae, at the same abscissae.
fn form(row: &NetRow) -> Option<Vec<Point3>> {
    let (first, last) = (*row.greville.first()?, *row.greville.last()?);
    if last <= first {
        return None;
    }
    let share = |g: f64| (g - first) / (last - first);
    let samples: Vec<CurveSample<3>> =
        row.points.iter().zip(&row.greville).map(|(p, g)| CurveSample { t: share(*g), point: p.to_array(), weight: 1.0 }).collect();
    let curve = fit_curve(&KnotVector::bezier(FORM).ok()?, &samples, None, &[]).ok()?;
    let at = |s: &CurveSample<3>| {
        let [x, y, z] = *curve.derivs(s.t, 0).first()?;
        Some(Point3::new(x, y, z))
    };
    samples.iter().map(at).collect()
}

/// Signed turns at the inner points of a polyline, degrees: in the tangent plane, about the surface's normal, and in the plane of normal
/// and row, about what is square to both.
pub(super) fn angles(points: &[Point3], normals: &[Vec3]) -> [Vec<f64>; 2] {
    let mut all = [Vec::new(), Vec::new()];
    for (w, n) in points.windows(3).zip(normals.iter().skip(1)) {
        let (a, b) = (w[1] - w[0], w[2] - w[1]);
        let beside = n.cross(w[2] - w[0]).try_normalize().unwrap_or(Vec3::ZERO);
        for (list, axis) in all.iter_mut().zip([*n, beside]) {
            let (a, b) = (a - axis * a.dot(axis), b - axis * b.dot(axis));
            list.push(real::atan2(a.cross(b).dot(axis), a.dot(b)).to_degrees());
        }
    }
    all
}

/// Changes of sign among turns that count: the index of the control point behind each.
pub(super) fn changes(turns: &[f64]) -> Vec<usize> {
    let counted: Vec<(usize, f64)> = turns.iter().copied().enumerate().filter(|t| t.1.abs() >= LEAST).collect();
    counted.windows(2).filter(|w| w[0].1 * w[1].1 < 0.0).map(|w| w[1].0 + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A patch whose rows along u have these heights over even steps of 100 mm, straight across.
    fn patch(heights: &[f64]) -> nurbs::Surface {
        let points = heights.iter().enumerate().flat_map(|(i, z)| [0.0, 80.0].map(|y| Point3::new(100.0 * i as f64, y, *z))).collect();
        nurbs::Surface::new(KnotVector::bezier(heights.len() - 1).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap()
    }

    fn most(patch: &nurbs::Surface) -> u32 {
        net_rows(patch, true).iter().filter_map(|r| turns(patch, r)).map(|t| t.changes).max().unwrap()
    }

    #[test]
    fn straight_arched_and_s_shaped_rows_turn_as_their_form_does() {
        assert_eq!(most(&patch(&[0.0; 6])), 0);
        assert_eq!(most(&patch(&[0.0, 30.0, 45.0, 45.0, 30.0, 0.0])), 0);
        // A cubic through even steps: z = x³ − x over −1 to 1, one inflection of its own.
        let s: Vec<f64> = (0..7).map(|i| f64::from(i) / 3.0 - 1.0).map(|x| 60.0 * (x * x * x - x)).collect();
        assert_eq!(most(&patch(&s)), 0);
    }

    /// By hand: up and down at each of the four inner points turns back three times; a cubic through the six heights of this
    /// zigzag, odd about the middle, once.
    #[test]
    fn a_zigzag_turns_back_at_each_point() {
        let zigzag = patch(&[0.0, 10.0, -10.0, 10.0, -10.0, 0.0]);
        let row = &net_rows(&zigzag, true)[0];
        let [_, own] = angles(&row.points, &[Vec3::Z; 6]);
        assert_eq!(changes(&own).len(), 3);
        let [_, even] = angles(&form(row).unwrap(), &[Vec3::Z; 6]);
        assert_eq!(changes(&even).len(), 1);
        assert_eq!(most(&zigzag), 2);
    }

    #[test]
    fn faint_turns_and_short_rows_do_not_count() {
        // 0.05 mm over 100 mm turns by 0.06°.
        assert_eq!(most(&patch(&[0.0, 0.02, -0.02, 0.02, -0.02, 0.0])), 0);
        let short = patch(&[0.0, 10.0, -10.0]);
        assert!(net_rows(&short, true).iter().all(|r| turns(&short, r).is_none()));
    }
}
