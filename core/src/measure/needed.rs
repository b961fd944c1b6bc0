//! What degree and how many spans a patch needs to hold its shape, and the two measures of what it has beyond that.

use super::bend_cost::bend_cost;
use super::{Judge, Subject, middle};
use crate::finding::{Finding, MeasureId};
use crate::geometry::Surface;
use crate::joins::Role;
use crate::model::FaceId;
use crate::nurbs::{self, KnotVector, smallest};

/// How far the smallest form of a patch may lie from it, mm: the limit of a join's gap for fixing.
pub const HOLD: f64 = 0.01;

/// The smallest form of a patch within [`HOLD`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needed {
    /// Degree along u and v.
    pub degree: (usize, usize),
    /// Spans along u and v.
    pub spans: (usize, usize),
    /// How far it lies from the patch at most, mm.
    pub off: f64,
    /// How much more the patch bends than it (`bend_cost`).
    pub bend: Option<f64>,
}

/// What the whole patch of a face needs, its trims aside; None of other faces than splines. Kept, as it takes fits.
pub fn needed(subject: &Subject<'_>, id: FaceId) -> Option<Needed> {
    *subject.memo.keep("needed", id.index(), || {
        let Surface::Nurbs(patch) = &subject.sheets.face(id)?.surface else { return None };
        let found = smallest(patch, HOLD)?;
        let (ku, kv) = (found.surface.knots_u(), found.surface.knots_v());
        Some(Needed {
            degree: (ku.degree(), kv.degree()),
            spans: (ku.span_count(), kv.span_count()),
            off: found.off,
            bend: bend_cost(patch, &found.surface),
        })
    })
}

/// One of the two numbers.
pub struct Kind {
    /// The measure of what is beyond need.
    pub measure: MeasureId,
    /// What a patch has along a direction.
    pub has: fn(&KnotVector) -> usize,
    /// What it needs along u and v.
    pub needs: fn(&Needed) -> (usize, usize),
    /// What it is called, of one and of more.
    pub words: (&'static str, &'static str),
}

/// Primary patches that have more of a kind than they need, by the direction with the most beyond. Transitions and details follow the
/// borders of other patches: what takes them within the limits of their joins is not needless, though their shape alone needs less.
pub fn beyond(kind: &Kind, subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let one = |(id, face): (FaceId, &crate::model::Face)| {
        let grade = |value: usize| judge.grade(kind.measure, &[id], value as f64);
        let Surface::Nurbs(patch) = &face.surface else { return None };
        let has = ((kind.has)(patch.knots_u()), (kind.has)(patch.knots_v()));
        // Whatever it needs, it needs one: most patches are settled without a fit.
        let primary = subject.graph.roles.get(id.index()) == Some(&Role::Primary);
        if !primary || subject.graph.is_copy(id) || grade(has.0.max(has.1).saturating_sub(1)).is_none() {
            return None;
        }
        let needs = (kind.needs)(&needed(subject, id)?);
        let along_u = has.0.saturating_sub(needs.0) >= has.1.saturating_sub(needs.1);
        let (has, needs, way) = if along_u { (has.0, needs.0, "u") } else { (has.1, needs.1, "v") };
        let value = has.saturating_sub(needs);
        let graded = grade(value)?;
        let remedy = format!(
            "The patch has {} along {way}, and {} would hold its shape within {HOLD} mm: build it with what it needs, so that fewer rows \
             have to be kept even.",
            told(has, kind.words),
            told(needs, kind.words)
        );
        Some(Finding::new(kind.measure, value as f64, graded, middle(subject, id)?).extent(extent(patch)).remedy(remedy))
    };
    subject.sheets.model.faces().filter_map(one).collect()
}

/// "degree 3", "1 span", "4 spans".
fn told(n: usize, (one, more): (&str, &str)) -> String {
    if one == more { format!("{one} {n}") } else { format!("{n} {}", if n == 1 { one } else { more }) }
}

/// Length of the patch's longer middle row, mm.
fn extent(patch: &nurbs::Surface) -> f64 {
    let rows = |along_u| super::net_rows::net_rows(patch, along_u);
    let middle = |all: Vec<super::net_rows::NetRow>| all.get(all.len() / 2).map_or(0.0, super::net_rows::NetRow::length);
    middle(rows(true)).max(middle(rows(false)))
}
