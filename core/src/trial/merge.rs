//! One patch in place of two neighbours.

use super::bench::{Bench, Outcome, Sheet};
use super::leader::{Meets, meets};
use super::net::{SIDES, along, turned_over};
use super::{Moved, TrialError};
use crate::layout::{BoxSide, Half, merge};
use crate::model::FaceId;
use crate::nurbs::{Surface, smallest};

/// Merges two faces that meet along a whole side of both into one patch, which the first becomes; the second is part of it then.
/// Both must end where their patches end. The method is that of the Layout pass ([`crate::layout::merge()`]); what the tolerance leaves
/// over is used to make the patch smaller.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Merge {
    /// The two faces; the first stays.
    pub faces: [FaceId; 2],
    /// Largest distance of the one patch from the two, mm.
    pub tolerance: f64,
    /// How far their sides may lie from each other, mm.
    pub search: f64,
}

impl Merge {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        let [a, b] = self.faces;
        if a == b || !(self.tolerance > 0.0 && self.tolerance.is_finite() && self.search >= 0.0) {
            return Err(TrialError::Number);
        }
        let (first, second) = (bench.whole(a)?, bench.whole(b)?);
        let (side, other, same) = self.common(&first, &second)?;
        let halves = [Half { patch: first, side }, Half { patch: second, side: other }];
        let made = merge(&halves[0], &halves[1], same, self.tolerance).ok_or(TrialError::OutOfTolerance(f64::INFINITY))?;
        if made.off > self.tolerance {
            return Err(TrialError::OutOfTolerance(made.off));
        }
        let spare = self.tolerance - made.off;
        let simpler = if spare > 0.0 { smallest(&made.patch, spare) } else { None };
        let (patch, off) = simpler.map_or((made.patch, made.off), |s| (s.surface, made.off + s.off));
        let patch = facing_as(patch, &halves[0].patch, side)?;
        let (ku, kv) = (patch.knots_u(), patch.knots_v());
        let note = format!("degrees {} and {}, spans {} and {}", ku.degree(), kv.degree(), ku.span_count(), kv.span_count());
        let moved = Moved { residual: off, notes: vec![note], ..Moved::default() };
        Ok(Outcome { set: vec![(a, Sheet { patch, whole: true })], gone: vec![b], moved })
    }

    /// The whole sides along which two patches meet, and whether their parameters run the same way there.
    fn common(&self, first: &Surface, second: &Surface) -> Result<(BoxSide, BoxSide, bool), TrialError> {
        let mut nearest = f64::INFINITY;
        for side in SIDES {
            match meets(first, side, second, true, self.search) {
                Ok(Meets::Side(other, (from, to))) => {
                    let over = second.knots_along(along(other)).domain();
                    if from.min(to) == over.low && from.max(to) == over.high {
                        return Ok((side, other, to > from));
                    }
                }
                Ok(Meets::Inside) => {}
                Err(TrialError::Apart(d)) => nearest = nearest.min(d),
                Err(e) => return Err(e),
            }
        }
        Err(if nearest.is_finite() {
            TrialError::Apart(nearest)
        } else {
            TrialError::Other("the faces do not meet along a whole side of both")
        })
    }
}

/// The merged patch, its u leading away from the first part's far side, turned so that its normal is on the first part's side.
fn facing_as(patch: Surface, first: &Surface, side: BoxSide) -> Result<Surface, TrialError> {
    let (u, v) = patch.domain();
    let here = patch.derivs(u.low, v.at(0.5), 1);
    let (du, dv) = first.domain();
    let end = |over: crate::math::Interval| if side.high { over.low } else { over.high };
    let (a, b) = if side.of_u { (end(du), dv.at(0.5)) } else { (du.at(0.5), end(dv)) };
    let there = first.derivs(a, b, 1);
    if here.su.cross(here.sv).dot(there.su.cross(there.sv)) < 0.0 { Ok(turned_over(&patch)?) } else { Ok(patch) }
}
