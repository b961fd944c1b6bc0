//! Crown added to a patch, or taken from it, by thirds.

use super::bench::{Bench, Outcome, Sheet};
use super::follow::with_rows;
use super::lock::{number, restrain};
use super::net::{SIDES, across, along, shifted};
use super::{Lock, Moved, TrialError};
use crate::layout::BoxSide;
use crate::math::Vec3;
use crate::math::least_squares::LeastSquares;
use crate::model::FaceId;
use crate::nurbs::fit::{Constraint, Fairness, FitError, fit_curve};
use crate::nurbs::{Direction, KnotVector, Surface};

/// Raises a patch by stated heights in the middles of its front, middle and rear third, between sides that keep what their locks say.
///
/// The heights along the direction are a spline over the patch's own knots that takes the three values exactly and has the least
/// bending energy; across it they are one over the whole width where both sides are free, and fall to nothing over the locked ones, with
/// the least bending, where not. Where locks leave too few rows for three heights, the degree is raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crown {
    /// The face.
    pub face: FaceId,
    /// The parameter along which the thirds lie, front first.
    pub along: Direction,
    /// Heights at shares 1/6, 1/2 and 5/6 of that parameter, half way across, mm; negative takes crown away.
    pub by: [f64; 3],
    /// The direction that is up; None: the patch's normal Su × Sv in the middle.
    pub up: Option<Vec3>,
    /// What the sides keep: least u, greatest u, least v, greatest v.
    pub locks: [Lock; 4],
}

/// The middles of the thirds.
const THIRDS: [f64; 3] = [1.0 / 6.0, 0.5, 5.0 / 6.0];

/// Degree up to which rows are made by raising it. Larger: nets that nobody wants to shape; smaller: locks at both ends leave no room.
const DEGREE: usize = 15;

/// Heights between which nothing but bending is asked for.
const BENDING: Fairness = Fairness { factor: 1.0, aspect: 1.0 };

impl Crown {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        let sheet = bench.sheet(self.face)?;
        let mut patch = sheet.patch;
        let (u, v) = patch.domain();
        let middle = patch.derivs(u.at(0.5), v.at(0.5), 1);
        let up = self.up.unwrap_or(middle.su.cross(middle.sv)).try_normalize().ok_or(TrialError::Number)?;
        if self.by.iter().any(|x| !x.is_finite()) {
            return Err(TrialError::Number);
        }
        let before = (patch.knots_u().degree(), patch.knots_v().degree());
        let [low, high] = self.ends(self.along);
        let sides = self.ends(other(self.along));
        let run = |s: Surface| heights(s, self.along, [low, high], &THIRDS.map(|t| (t, 1.0)));
        patch = run(patch)?.0;
        let free = sides == [0, 0];
        let across_by = if free {
            vec![1.0; patch.knots_along(other(self.along)).point_count()]
        } else {
            let open = [(0.0, sides[0]), (1.0, sides[1])].into_iter().filter(|s| s.1 == 0).map(|s| (s.0, 1.0));
            let (made, by) = heights(patch, other(self.along), sides, &open.chain([(0.5, 1.0)]).collect::<Vec<_>>())?;
            patch = made;
            by
        };
        // What each height alone does in the three places; weights and locks on the centre plane make it differ from the height.
        let unit = |i: usize| -> Result<Vec<Vec3>, TrialError> {
            let wanted: Vec<(f64, f64)> = THIRDS.iter().enumerate().map(|(k, &t)| (t, f64::from(u8::from(k == i)))).collect();
            let along_by = heights(patch.clone(), self.along, [low, high], &wanted)?.1;
            let mut by = self.spread(&patch, &along_by, &across_by, up);
            restrain(&patch, &self.locks, &mut by)?;
            Ok(by)
        };
        let units = [unit(0)?, unit(1)?, unit(2)?];
        let risen = |by: &[Vec3]| -> Result<[f64; 3], TrialError> {
            let now = shifted(&patch, by)?;
            Ok(THIRDS.map(|t| (self.place(&now, t) - self.place(&patch, t)).dot(up)))
        };
        let response = [risen(&units[0])?, risen(&units[1])?, risen(&units[2])?];
        let mut system = LeastSquares::new(3, 1);
        for k in 0..3 {
            system.add(0, &[response[0][k], response[1][k], response[2][k]], &[self.by[k]]);
        }
        let factors = system.solve().map_err(|_| TrialError::Held)?;
        let factor = |i: usize| factors.get(i).and_then(|f| f.first()).copied().unwrap_or(0.0);
        let by: Vec<Vec3> =
            (0..patch.points().len()).map(|k| units[0][k] * factor(0) + units[1][k] * factor(1) + units[2][k] * factor(2)).collect();
        let missed = risen(&by)?.iter().zip(&self.by).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let after = (patch.knots_u().degree(), patch.knots_v().degree());
        let notes = if after == before { Vec::new() } else { vec![format!("degrees raised to {} and {}", after.0, after.1)] };
        let largest = by.iter().map(|d| d.length()).fold(0.0, f64::max);
        let points = by.iter().filter(|d| **d != Vec3::ZERO).count();
        let moved = Moved { points: Some(points), largest: Some(largest), residual: missed, notes, ..Moved::default() };
        let set = vec![(self.face, Sheet { patch: shifted(&patch, &by)?, whole: sheet.whole })];
        Ok(Outcome { set, gone: Vec::new(), moved })
    }

    /// Rows that the two ends of a direction keep still.
    fn ends(&self, direction: Direction) -> [usize; 2] {
        let rows = |i: usize| match self.locks[i] {
            Lock::Held(order) => number(order) + 1,
            Lock::Free | Lock::Centre(..) => 0,
        };
        match direction {
            Direction::U => [rows(0), rows(1)],
            Direction::V => [rows(2), rows(3)],
        }
    }

    fn spread(&self, patch: &Surface, along_by: &[f64], across_by: &[f64], up: Vec3) -> Vec<Vec3> {
        let columns = patch.size().1;
        let one = |k: usize| {
            let (i, j) = (k / columns, k % columns);
            let (a, b) = if self.along == Direction::U { (i, j) } else { (j, i) };
            up * (along_by[a] * across_by[b])
        };
        (0..patch.points().len()).map(one).collect()
    }

    /// The place at a share of the direction, half way across.
    fn place(&self, patch: &Surface, share: f64) -> Vec3 {
        let (u, v) = patch.domain();
        let (a, b) = if self.along == Direction::U { (u.at(share), v.at(0.5)) } else { (u.at(0.5), v.at(share)) };
        patch.derivs(a, b, 0).s.to_vec()
    }
}

fn other(along: Direction) -> Direction {
    if along == Direction::U { Direction::V } else { Direction::U }
}

/// Heights of control rows along a direction: nothing in the rows held at both ends, the wanted values at shares, least bending. The
/// patch comes back with as many rows as that needs.
fn heights(patch: Surface, direction: Direction, held: [usize; 2], wanted: &[(f64, f64)]) -> Result<(Surface, Vec<f64>), TrialError> {
    let side = SIDES.into_iter().find(|&s: &BoxSide| across(s) == direction && along(s) != direction).unwrap_or(SIDES[0]);
    let mut patch = patch;
    loop {
        match row_heights(patch.knots_along(direction), held, wanted) {
            Ok(by) => return Ok((patch, by)),
            Err(FitError::Contradiction(_) | FitError::Singular(_)) if patch.knots_along(direction).degree() < DEGREE => {
                let rows = patch.knots_along(direction).point_count();
                patch = with_rows(&patch, side, rows + 1, 1)?.0;
            }
            Err(FitError::Contradiction(_) | FitError::Singular(_)) => return Err(TrialError::Held),
            Err(e) => return Err(e.into()),
        }
    }
}

fn row_heights(knots: &KnotVector, held: [usize; 2], wanted: &[(f64, f64)]) -> Result<Vec<f64>, FitError> {
    let (count, over) = (knots.point_count(), knots.domain());
    let mut rules: Vec<Constraint<1>> = Vec::new();
    rules.extend((0..held[0].min(count)).map(|i| Constraint::locked(i, [0.0])));
    rules.extend((count.saturating_sub(held[1])..count).map(|i| Constraint::locked(i, [0.0])));
    rules.extend(wanted.iter().map(|&(t, h)| Constraint::on_curve(knots, over.at(t), 0, [h])));
    let curve = fit_curve(knots, &[], Some(BENDING), &rules)?;
    Ok(curve.points().iter().map(|p| p[0]).collect())
}
