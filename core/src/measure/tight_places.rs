//! Faces that bend around less than a radius: what the measures of smallest radii have in common.

use super::cells::{Part, cells, place};
use super::least::{FOR_CURVATURE, Least, least};
use super::one_cause::faces_together;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::geometry::{Curvatures, curvatures};
use crate::model::FaceId;

/// Which way a face bends, seen from the skin's outward side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bend {
    /// Like the outside of a ball.
    Convex,
    /// Like the inside of a bowl.
    Concave,
}

impl Bend {
    /// The largest curvature this way, 1/mm; less than 0 where all bends the other way.
    fn of(self, k: &Curvatures) -> f64 {
        match self {
            Bend::Convex => k.max,
            Bend::Concave => -k.min,
        }
    }
}

/// The tightest place of a face, convex and concave, with the curvature as a negative value; kept, as no limit changes it.
pub(super) fn tightest(subject: &Subject<'_>, id: FaceId, bend: Bend) -> Option<Least> {
    let both = subject.memo.keep("tightest places", id.index(), || {
        [Bend::Convex, Bend::Concave].map(|bend| least(subject, id, FOR_CURVATURE, |d, outward| Some(-bend.of(&curvatures(d, -outward)?))))
    });
    both[bend as usize]
}

/// Faces whose smallest radius on one side is below the measure's limit, those that meet together as one. `remedy` is told the radius and
/// the area below the limit, mm².
pub fn below(
    subject: &Subject<'_>,
    judge: &Judge<'_>,
    measure: MeasureId,
    bend: Bend,
    remedy: impl Fn(f64, f64, f64) -> String,
) -> Vec<Finding> {
    // Nothing is searched for where no limit is set.
    if !judge.asks(measure) {
        return Vec::new();
    }
    let one = |id: FaceId| {
        let tight = tightest(subject, id, bend).filter(|t| t.value < 0.0)?;
        let radius = -1.0 / tight.value;
        let grade = judge.grade(measure, &[id], radius)?;
        let is_below = |k: &Curvatures| bend.of(k) > 1.0 / grade.1;
        let all = cells(subject, id, |d, outward| curvatures(d, -outward), is_below);
        let area = Part::of(&all, is_below).area;
        Some((Finding::new(measure, radius, grade, place(subject, id, tight.uv)?), area))
    };
    let ids = subject.sheets.model.faces().map(|x| x.0).filter(|id| !subject.graph.is_copy(*id));
    let found = faces_together(subject, ids.filter_map(one).collect(), |a, b| a < b);
    found.into_iter().map(|(f, area)| Finding { extent: area.sqrt(), remedy: remedy(f.value, f.limit, area), ..f }).collect()
}
