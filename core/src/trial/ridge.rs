//! A ridge that keeps its sign.

use super::bench::{Bench, Outcome, Sheet};
use super::change::shares;
use super::follow::with_rows;
use super::leader::Lying;
use super::net::{Grain, across, along, on_side, shifted};
use super::ridge_place::{RidgePlace, second_row_pace};
use super::{Moved, TrialError};
use crate::layout::BoxSide;
use crate::math::{Vec3, real};
use crate::model::FaceId;
use crate::nurbs::Surface;
use crate::nurbs::fit::{CurveSample, fit_curve};

/// Makes the crease between a side of a patch and the face beside it keep its sign: where the section across it bends the wrong way,
/// or by less than `least`, the patch is turned about its border until it bends by so much. The border stays; only the second row
/// moves, along the other face's normals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RidgeSign {
    /// The face that is turned. It must end where its patch ends.
    pub face: FaceId,
    /// Its side along the crease.
    pub side: BoxSide,
    /// The face on the other side, which stays.
    pub beside: FaceId,
    /// Least angle along the whole line, degrees, > 0 and below 80.
    pub least: f64,
    /// How far the side may lie from the other face, mm.
    pub search: f64,
}

/// Rounds of turning: each leaves what the row's own basis could not follow. Larger: slower; smaller: short flips stay.
const ROUNDS: usize = 40;

/// By how much each round turns more than is missing, as a share of it. Larger: the ridge rises beyond what was asked for; smaller: rounds
/// run out before the last tenths.
const MORE: f64 = 0.3;

/// Degrees by which the least angle may be missed and still be met.
const MET: f64 = 1e-6;

impl RidgeSign {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        if !(self.least > 0.0 && self.least < 80.0 && self.search >= 0.0) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let (patch, raised) = with_rows(&patch, self.side, 3, 1)?;
        let other = bench.sheet(self.beside)?.patch;
        let lying = Lying::new(&other, &patch, self.side);
        let first = self.places(&patch, &lying)?;
        let sum: f64 = first.iter().map(RidgePlace::angle).sum();
        let sign = if sum < 0.0 { -1.0 } else { 1.0 };
        let worst = |places: &[RidgePlace]| places.iter().map(|p| sign * p.angle()).fold(f64::INFINITY, f64::min).to_degrees();
        let start = worst(&first);
        let (mut made, mut places) = (patch.clone(), first);
        for _ in 0..ROUNDS {
            if worst(&places) >= self.least - MET {
                break;
            }
            made = self.turned(&made, &places, sign)?;
            places = self.places(&made, &lying)?;
        }
        let end = worst(&places);
        let distances = || patch.points().iter().zip(made.points()).map(|(a, b)| a.distance(*b));
        let (largest, points) = (distances().fold(0.0, f64::max), distances().filter(|d| *d > 0.0).count());
        let mut notes = vec![format!("least angle {start:.4} degrees before, {end:.4} after")];
        if raised {
            notes.push(format!("degree across the side raised to {}", patch.knots_along(across(self.side)).degree()));
        }
        if end < self.least - MET {
            return Err(TrialError::Other("the row's own degree and knots cannot follow so short a flip; refit the patch first"));
        }
        let moved = Moved { points: Some(points), rows: usize::from(points > 0), largest: Some(largest), notes, ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: made, whole: true })], gone: Vec::new(), moved })
    }

    fn places(&self, patch: &Surface, lying: &Lying<'_>) -> Result<Vec<RidgePlace>, TrialError> {
        let one = |t: f64| {
            let (u, v) = on_side(patch, self.side, t);
            let own = patch.derivs(u, v, 1);
            let other = lying.beside(t);
            if other.s.distance(own.s) > self.search {
                return Err(TrialError::Apart(other.s.distance(own.s)));
            }
            let normal = other.su.cross(other.sv).try_normalize().ok_or(TrialError::Side)?;
            RidgePlace::new(self.side, t, &own, normal).ok_or(TrialError::Side)
        };
        shares(patch.knots_along(along(self.side)), 96).into_iter().map(one).collect()
    }

    /// The patch with its second row moved so that what is missing, and a little more, is added.
    fn turned(&self, patch: &Surface, places: &[RidgePlace], sign: f64) -> Result<Surface, TrialError> {
        let grain = Grain::new(patch, self.side);
        let knots = patch.knots_along(along(self.side));
        let pace = second_row_pace(patch.knots_along(across(self.side)), self.side.high);
        let weight = patch.weight_function();
        let steep = real::tan(self.least.to_radians());
        let samples = places.iter().map(|p| {
            let missing = p.missing(steep, sign).max(0.0);
            let (u, v) = on_side(patch, self.side, p.t);
            let w = weight.as_ref().map_or(1.0, |w| w.derivs(u, v, 0).s.x);
            CurveSample { t: p.t, point: (p.normal * (sign * (1.0 + MORE) * missing * w / pace)).to_array(), weight: 1.0 }
        });
        let curve = fit_curve(knots, &samples.collect::<Vec<_>>(), None, &[])?;
        let mut by = vec![Vec3::ZERO; patch.points().len()];
        for (column, &p) in curve.points().iter().enumerate() {
            let at = grain.index(1, column);
            by[at] = Vec3::from_array(p) / patch.weights().map_or(1.0, |w| w[at]);
        }
        shifted(patch, &by)
    }
}
