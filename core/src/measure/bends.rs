//! How a face bends, by area: sampled once for all measures that ask.

use super::Subject;
use super::cells::{Part, cells};
use crate::geometry::{Curvatures, curvatures};
use crate::model::FaceId;

/// Radius above which a place counts as flat and has no sign, mm. Larger: rounding of flat places is told as hollow; smaller:
/// gentle hollows go unseen. Common practice, no source.
const SIGNLESS: f64 = 100_000.0;

/// Radius above which a direction counts as without crown, mm. Common practice, no source.
const LOW: f64 = 10_000.0;

/// Radius above which a face is flat on purpose where it is so all over, mm. Common practice, no source.
const PLANE: f64 = 1e7;

/// Parts of a face by how they bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bends {
    /// Where the mean curvature is convex, seen from the outward side.
    pub convex: Part,
    /// Where it is hollow.
    pub hollow: Part,
    /// Where both principal curvatures are below 1/10 m.
    pub low: Part,
    /// True when it is plane all over.
    pub is_plane: bool,
}

/// What a place counts as.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Kind {
    sign: i8,
    is_low: bool,
    is_plane: bool,
}

impl Kind {
    fn of(k: &Curvatures) -> Self {
        let tightest = k.tightest().abs();
        let sign = if tightest < 1.0 / SIGNLESS { 0 } else { k.mean().signum() as i8 };
        Self { sign, is_low: tightest < 1.0 / LOW, is_plane: tightest <= 1.0 / PLANE }
    }
}

/// How a face bends; kept, as no limit changes it.
pub fn bends(subject: &Subject<'_>, id: FaceId) -> Bends {
    *subject.memo.keep("bends", id.index(), || {
        let all = cells(subject, id, |d, outward| curvatures(d, -outward), Kind::of);
        let part = |is_of: fn(&Kind) -> bool| Part::of(&all, |k| is_of(&Kind::of(k)));
        Bends {
            convex: part(|k| k.sign > 0),
            hollow: part(|k| k.sign < 0),
            low: part(|k| k.is_low),
            is_plane: all.iter().all(|c| Kind::of(&c.value).is_plane),
        }
    })
}
