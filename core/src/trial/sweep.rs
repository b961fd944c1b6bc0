//! The plain sweep between two sides of a patch, in its place.

use super::bench::{Bench, Outcome, Sheet};
use super::leader::border;
use super::net::{reversed, turned_over};
use super::{Moved, TrialError};
use crate::geometry::{Curve, Stretch, Surface, SurfaceSearch};
use crate::layout::BoxSide;
use crate::model::FaceId;
use crate::nurbs::{self, Direction};
use crate::reference::sweep_between;

/// Which of a patch's other two sides the sweep's section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sections {
    /// That at the start of the rails.
    First,
    /// That at their end.
    Last,
    /// Both: one is blended into the other.
    Both,
}

/// Puts the plain two-rail sweep ([`sweep_between`]) in place of a patch: two opposite sides are the rails, the others sections. With one
/// section the side at the other end is no longer the patch's. The face must end where its patch ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resweep {
    /// The face.
    pub face: FaceId,
    /// The parameter along which the rails run.
    pub rails: Direction,
    /// Its sections.
    pub sections: Sections,
    /// How far the patch may lie from the exact sweep, mm.
    pub tolerance: f64,
}

impl Resweep {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        if !(self.tolerance > 0.0 && self.tolerance.is_finite()) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let along_u = self.rails == Direction::U;
        let line = |of_u: bool, high: bool| -> Result<Stretch, TrialError> {
            let curve = border(&patch, BoxSide { of_u, high })?;
            let over = curve.domain();
            Ok(Stretch { curve: Curve::Nurbs(curve), from: over.low, to: over.high })
        };
        // Rails along u are the sides of constant v.
        let rails = [line(!along_u, false)?, line(!along_u, true)?];
        let [start, end] = [line(along_u, false)?, line(along_u, true)?];
        let (first, last) = match self.sections {
            Sections::First => (start, None),
            Sections::Last => (end, None),
            Sections::Both => (start, Some(end)),
        };
        let swept = sweep_between(rails, first, last, self.tolerance).map_err(TrialError::Sweep)?;
        let Surface::Nurbs(made) = swept.surface else { return Err(TrialError::Other("the sweep has no spline form")) };
        let made = self.set_as(&patch, made)?;
        let (ku, kv) = (made.knots_u(), made.knots_v());
        let note = format!("degrees {} and {}, spans {} and {}", ku.degree(), kv.degree(), ku.span_count(), kv.span_count());
        let moved = Moved { residual: self.tolerance, notes: vec![note], ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: made, whole: true })], gone: Vec::new(), moved })
    }

    /// The sweep with its parameters running as the patch's.
    fn set_as(&self, patch: &nurbs::Surface, swept: nurbs::Surface) -> Result<nurbs::Surface, TrialError> {
        let made = if self.sections == Sections::Last { reversed(&swept)? } else { swept };
        let made = if self.rails == Direction::U { made } else { turned_over(&made)? };
        let (u, v) = made.domain();
        let here = made.derivs(u.at(0.5), v.at(0.5), 1);
        let was = Surface::Nurbs(patch.clone());
        let foot = SurfaceSearch::new(&was).closest(&was, here.s);
        match was.normal(foot.uv.u, foot.uv.v) {
            Some(n) if n.dot(here.su.cross(here.sv)) < 0.0 => Ok(turned_over(&made)?),
            _ => Ok(made),
        }
    }
}
