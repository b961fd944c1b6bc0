//! A side of a patch carried on from another patch.

use super::bench::{Bench, Outcome, Sheet};
use super::follow::{with_derivatives, with_knots, with_rows};
use super::leader::{Continuation, Lying, Meets, meets};
use super::lock::number;
use super::net::{Grain, across, along};
use super::seam::seam;
use super::{Moved, Seam, TrialError};
use crate::joins::Order;
use crate::layout::BoxSide;
use crate::math::Interval;
use crate::model::FaceId;
use crate::nurbs::Surface;

/// Makes a patch (the smaller of two, as a rule) run on from another along one of its sides, moving as few of its rows as the order
/// needs: the first of G0, two of G1, three of G2, four of G3.
///
/// Where the side lies along one of the leader's own sides, or along a part of it, the result is exact: the patch takes over the
/// leader's degree and knots along that side, where it has less, and the leader is carried on by a map of parameters that is linear
/// along the side and across it; where the leader has no inner knot on the stretch, rows may lean along the side as well, so that
/// less is moved. Where it lies inside the leader, or the leader is trimmed, nothing exact is known in general: each derivative gives
/// up only what does not lie in the leader, all is fitted over the patch's own knots, and these are halved while the gap passes the
/// tolerance. What is left is told by [`Moved::seam`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conform {
    /// The face that follows. It must end where its patch ends.
    pub face: FaceId,
    /// Its side.
    pub side: BoxSide,
    /// The face that leads.
    pub to: FaceId,
    /// The order asked for.
    pub order: Order,
    /// What the opposite side keeps, as [`super::Lock::Held`] does; the degree is raised where there are too few rows for both.
    pub keep: Order,
    /// How far the side may lie from the leader now, mm.
    pub search: f64,
    /// Largest gap that need not be made smaller where nothing exact is known, mm.
    pub tolerance: f64,
}

/// Times that spans are halved: along the side where nothing exact is known, across it where weights do not stay positive. Larger: many
/// spans; smaller: gaps stay, and leaders of uneven weights are refused.
const HALVINGS: usize = 4;

/// A side made to follow.
pub(super) struct Followed {
    pub patch: Surface,
    pub largest: f64,
    pub seam: Seam,
    pub notes: Vec<String>,
}

impl Conform {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        if self.face == self.to {
            return Err(TrialError::Other("a face cannot follow itself"));
        }
        if !(self.search >= 0.0 && self.tolerance > 0.0) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let leader = bench.sheet(self.to)?;
        let met = meets(&patch, self.side, &leader.patch, leader.whole, self.search)?;
        let rows = number(self.order) + 1;
        let (patch, raised) = with_rows(&patch, self.side, rows + number(self.keep) + 1, number(self.order))?;
        let mut done = match met {
            Meets::Side(side, stretch) => carried_on(&patch, self.side, (&leader.patch, side, stretch), number(self.order))?,
            Meets::Inside => self.laid_in(&patch, &leader.patch)?,
        };
        if raised {
            let degree = patch.knots_along(across(self.side)).degree();
            done.notes.push(format!("degree across the side raised to {degree}"));
        }
        let columns = Grain::new(&done.patch, self.side).columns;
        let moved = Moved {
            points: Some(rows * columns),
            rows,
            largest: Some(done.largest),
            residual: done.seam.gap,
            seam: Some(done.seam.upto(self.order)),
            notes: done.notes,
        };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: done.patch, whole: true })], gone: Vec::new(), moved })
    }

    fn laid_in(&self, patch: &Surface, leader: &Surface) -> Result<Followed, TrialError> {
        let mut base = patch.clone();
        let mut round = 0;
        loop {
            let lying = Lying::new(leader, &base, self.side);
            let (made, largest) = with_derivatives(&base, self.side, number(self.order), base.weights().is_some(), |t| {
                lying.derivatives(t, number(self.order))
            })?;
            let on = Lying::new(leader, &made, self.side);
            let left = seam(&made, self.side, |t| on.beside(t));
            if left.gap <= self.tolerance || round == HALVINGS {
                let spans = made.knots_along(along(self.side)).span_count();
                let notes = vec![format!("fitted, not exact; {spans} spans along the side")];
                return Ok(Followed { patch: made, largest, seam: left, notes });
            }
            round += 1;
            let breaks = base.knots_along(along(self.side)).breaks();
            let middles: Vec<f64> = breaks.windows(2).map(|w| 0.5 * (w[0] + w[1])).collect();
            base = base.with_knots(along(self.side), &middles)?;
        }
    }
}

/// The patch with a knot in the middle of its first span across a side, so that its first rows lie nearer to the side.
fn nearer(patch: &Surface, side: BoxSide) -> Result<Surface, TrialError> {
    let breaks = patch.knots_along(across(side)).breaks();
    let pair = if side.high { breaks.last_chunk::<2>() } else { breaks.first_chunk::<2>() };
    let Some(&[a, b]) = pair else { return Err(TrialError::Weights) };
    Ok(patch.with_knots(across(side), &[0.5 * (a + b)])?)
}

/// A patch with rows enough, carried on exactly over a stretch of the leader's side.
pub(super) fn carried_on(
    patch: &Surface,
    side: BoxSide,
    (leader, edge, stretch): (&Surface, BoxSide, (f64, f64)),
    order: usize,
) -> Result<Followed, TrialError> {
    let theirs = leader.knots_along(along(edge));
    let over = patch.knots_along(along(side)).domain();
    let within = Interval::new(stretch.0.min(stretch.1), stretch.0.max(stretch.1));
    let degree = patch.knots_along(along(side)).degree().max(theirs.degree());
    let inner: Vec<(f64, usize)> = theirs
        .interior()
        .into_iter()
        .filter(|k| k.0 > within.low && k.0 < within.high)
        .map(|(t, m)| (over.at((t - stretch.0) / (stretch.1 - stretch.0)), m + degree - theirs.degree()))
        .collect();
    let slides = inner.is_empty();
    let base = with_knots(patch, along(side), degree, &inner)?;
    let mut notes = Vec::new();
    let (old, new) = (patch.knots_along(along(side)), base.knots_along(along(side)));
    if new != old {
        notes.push(format!("degree {}, {} spans along the side, as the leader needs", new.degree(), new.span_count()));
    }
    let on = Continuation::new(leader, edge, stretch, (&base, side), slides);
    let rational = base.weights().is_some() || leader.weights().is_some();
    let mut base = base;
    let mut put_in = 0;
    let (made, largest) = loop {
        match with_derivatives(&base, side, order, rational, |t| on.derivatives(t, order)) {
            Err(TrialError::Weights) if put_in < HALVINGS => {
                base = nearer(&base, side)?;
                put_in += 1;
            }
            done => break done?,
        }
    };
    if put_in > 0 {
        notes.push(format!("{put_in} knots put in beside the side, where the leader's weights stay positive"));
    }
    let left = seam(&made, side, |t| on.beside(leader, t));
    Ok(Followed { patch: made, largest, seam: left, notes })
}
