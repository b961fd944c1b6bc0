//! A patch carried on beyond one of its sides.

use super::bench::{Bench, Outcome, Sheet};
use super::net::{across, along};
use super::{Moved, TrialError};
use crate::layout::BoxSide;
use crate::model::FaceId;
use crate::nurbs::fit::lines::{Lines, Nodes, nodes};
use crate::nurbs::{KnotVector, Surface};

/// Carries a patch on beyond a side by its own polynomials, so that old and new part are one surface without a join. The face must end
/// where its patch ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extend {
    /// The face.
    pub face: FaceId,
    /// The side.
    pub side: BoxSide,
    /// Mean length of what is added, mm, > 0.
    pub length: f64,
}

/// Times the patch's own range that it may be carried on. Larger: polynomials run away.
const MOST: f64 = 1.0;

/// Halvings by which the length is met; steps in which it is summed, on so many lines a span.
const HALVINGS: usize = 60;
const STEPS: usize = 32;
const LINES: usize = 6;

impl Extend {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        if !(self.length > 0.0 && self.length.is_finite()) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let over = patch.knots_along(across(self.side)).domain();
        let (mut low, mut high) = (0.0, MOST * over.length());
        let reached = self.added(&patch, high);
        let enough = reached >= self.length;
        if !enough {
            return Err(TrialError::Other("the patch cannot be carried on so far: at most by its own length"));
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.added(&patch, middle) < self.length { low = middle } else { high = middle }
        }
        let made = self.carried(&patch, high)?;
        let moved = Moved { notes: vec![format!("{:.4} mm added", self.added(&patch, high))], ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: made, whole: true })], gone: Vec::new(), moved })
    }

    /// The place `by` beyond the side, at `t` along it.
    fn beyond(&self, patch: &Surface, t: f64, by: f64) -> crate::math::Point3 {
        let over = patch.knots_along(across(self.side)).domain();
        let at = if self.side.high { over.high + by } else { over.low - by };
        let (u, v) = if self.side.of_u { (at, t) } else { (t, at) };
        patch.derivs(u, v, 0).s
    }

    /// Mean length of what `by` in parameters adds, mm.
    fn added(&self, patch: &Surface, by: f64) -> f64 {
        let lines = nodes(&patch.knots_along(along(self.side)).breaks(), LINES);
        let length = |t: f64| -> f64 {
            let place = |i: usize| self.beyond(patch, t, by * i as f64 / STEPS as f64);
            (0..STEPS).map(|i| place(i).distance(place(i + 1))).sum()
        };
        let whole: f64 = lines.iter().map(|n| n.1).sum();
        lines.iter().map(|&(t, w)| w * length(t)).sum::<f64>() / whole
    }

    /// The patch over a longer range: its own polynomials, found back by a fit that has them in its space.
    fn carried(&self, patch: &Surface, by: f64) -> Result<Surface, TrialError> {
        let own = patch.knots_along(across(self.side));
        let mut over = own.domain();
        if self.side.high {
            over.high += by
        } else {
            over.low -= by
        }
        let longer = KnotVector::clamped(own.degree(), over, &own.interior())?;
        let line = patch.knots_along(along(self.side));
        let (ku, kv) = if self.side.of_u { (&longer, line) } else { (line, &longer) };
        let dense = |k: &KnotVector| -> Nodes {
            let mut all = nodes(&k.breaks(), k.degree() + 2);
            let (d, faint) = (k.domain(), 1e-6 * k.domain().length());
            all.insert(0, (d.low, faint));
            all.push((d.high, faint));
            all
        };
        let weight = patch.weight_function();
        let at = |u: f64, v: f64| (patch.derivs(u, v, 0).s, weight.as_ref().map_or(1.0, |w| w.derivs(u, v, 0).s.x));
        let made = Lines::new(dense(ku), dense(kv), weight.is_some(), at).surface(ku, kv);
        made.map_err(|e| if weight.is_some() { TrialError::Weights } else { e.into() })
    }
}
