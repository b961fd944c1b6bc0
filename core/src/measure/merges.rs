//! Pairs of patches that meet along a whole side of both, with one patch tried in their place.

use super::Subject;
use super::needed::HOLD;
use crate::geometry::Surface;
use crate::joins::{Join, SideRef, Track};
use crate::layout::{BoxSide, Half, merge};
use crate::math::{Interval, Point2};
use crate::model::FaceId;
use crate::nurbs::{self, Direction, smallest};
use std::collections::BTreeMap;
use std::rc::Rc;

/// One patch in place of two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Merge {
    /// The two faces.
    pub faces: (FaceId, FaceId),
    /// Index of their join.
    pub join: usize,
    /// Degree of the one patch over both and along their side.
    pub degree: (usize, usize),
    /// Its spans.
    pub spans: (usize, usize),
    /// How far it lies from the two at most, mm; where one holds, at most so far.
    pub off: f64,
    /// True where that is within [`HOLD`].
    pub holds: bool,
}

/// Largest angle at which a patch is tried in place of two, degrees: the crease limit's quarter. Larger: fits in vain; smaller: pairs that
/// one patch nearly holds are not told. Common practice, no source.
const SMOOTH: f64 = 0.5;

/// Part of a side's length by which a trim may lie off it, or stop short. Larger: patches cut askew count as whole; smaller: those
/// that another writer has trimmed along their own border do not.
const NEAR: f64 = 1e-6;

/// All pairs tried, by their join: smooth joins of two spline patches each of which has it along one whole side of its own box. Joins on the
/// centre plane are left out: halves are made one by one on purpose; so are pairs that meet twice, which one patch would close to a ring.
pub fn merges(subject: &Subject<'_>) -> Rc<Vec<Merge>> {
    subject.memo.keep("merges", 0, || {
        let mut meet: BTreeMap<(FaceId, FaceId), usize> = BTreeMap::new();
        subject.graph.joins.iter().filter_map(pair).for_each(|p| *meet.entry(p).or_default() += 1);
        let joins = subject.graph.joins.iter().enumerate();
        joins.filter(|(_, j)| pair(j).is_some_and(|p| meet.get(&p) == Some(&1))).filter_map(|(i, j)| tried(subject, i, j)).collect()
    })
}

/// The two faces of a join between two.
fn pair(join: &Join) -> Option<(FaceId, FaceId)> {
    match *join.faces.as_slice() {
        [a, b] if a != b && join.class.meets() => Some((a.min(b), a.max(b))),
        _ => None,
    }
}

fn tried(subject: &Subject<'_>, index: usize, join: &Join) -> Option<Merge> {
    let smooth = !join.centre && !join.interior && join.class.runs_on() && join.summaries.angle.is_some_and(|s| s.max.value <= SMOOTH);
    let (&a, &b) = (join.faces.first()?, join.faces.last()?);
    if !smooth {
        return None;
    }
    let tracks = subject.graph.tracks(index);
    let first = half(subject, a, tracks.iter().filter_map(|t| facing(t).map(|f| f.0)))?;
    let second = half(subject, b, tracks.iter().filter_map(|t| facing(t).map(|f| f.1)))?;
    // Both run along the join with it or both against it.
    let same = runs_up(subject, tracks, true, &first)? == runs_up(subject, tracks, false, &second)?;
    let made = merge(&first, &second, same, HOLD)?;
    // A patch of more spans than either had is no gain yet: what is left of the tolerance may make it simpler.
    let most = spans(&first.patch).max(spans(&second.patch));
    let simpler = if made.off <= HOLD && spans(&made.patch) > most { smallest(&made.patch, HOLD - made.off) } else { None };
    let (patch, off) = simpler.map_or((made.patch, made.off), |s| (s.surface, made.off + s.off));
    let (ks, kw) = (patch.knots_u(), patch.knots_v());
    Some(Merge {
        faces: (a, b),
        join: index,
        degree: (ks.degree(), kw.degree()),
        spans: (ks.span_count(), kw.span_count()),
        off,
        holds: off <= HOLD,
    })
}

/// Spans of a patch, those of both directions multiplied.
fn spans(patch: &nurbs::Surface) -> usize {
    patch.knots_u().span_count() * patch.knots_v().span_count()
}

/// A stretch of a side, by shares.
type Stretch = (SideRef, (f64, f64));

fn facing(track: &Track) -> Option<(Stretch, Stretch)> {
    match *track {
        Track::Facing { a, on_a, b, on_b } => Some(((a, on_a), (b, on_b))),
        _ => None,
    }
}

/// The face's patch, cut to the box of its domain, with the side of that box which the stretches cover whole; None where they do not.
fn half(subject: &Subject<'_>, face: FaceId, stretches: impl Iterator<Item = Stretch>) -> Option<Half> {
    let Surface::Nurbs(patch) = &subject.sheets.face(face)?.surface else { return None };
    let (u, v) = subject.sheets.domain(face)?.bounds();
    let (mut on_u, mut on_v) = (none(), none());
    for (at, shares) in stretches {
        for p in places(subject, at, shares)? {
            (on_u, on_v) = (on_u.including(p.u), on_v.including(p.v));
        }
    }
    let side = |along: Interval, over: Interval, across: Interval, whole: Interval, of_u: bool| {
        let covers = over.low <= whole.low + NEAR * whole.length() && over.high >= whole.high - NEAR * whole.length();
        let flat = along.length() <= NEAR * across.length();
        let at = |x: f64| (along.low - x).abs() <= NEAR * across.length();
        (covers && flat && (at(across.low) || at(across.high))).then(|| BoxSide { of_u, high: at(across.high) })
    };
    let side = side(on_u, on_v, u, v, true).or_else(|| side(on_v, on_u, v, u, false))?;
    let (du, dv) = patch.domain();
    let cut = |i: Interval, d: Interval| (i.low.clamp(d.low, d.high), i.high.clamp(d.low, d.high));
    let ((u0, u1), (v0, v1)) = (cut(u, du), cut(v, dv));
    let patch = patch.between(Direction::U, u0, u1).ok()?.between(Direction::V, v0, v1).ok()?;
    Some(Half { patch, side })
}

/// Places along a stretch of a side.
fn places(subject: &Subject<'_>, at: SideRef, (from, to): (f64, f64)) -> Option<Vec<Point2>> {
    const COUNT: usize = 9;
    let rim = subject.sheets.rim(at)?;
    let share = |i: usize| from + (to - from) * i as f64 / (COUNT - 1) as f64;
    Some((0..COUNT).map(|i| rim.side.at(rim.surface, share(i)).uv).collect())
}

/// True where the half's parameter along the side rises as the join goes on.
fn runs_up(subject: &Subject<'_>, tracks: &[Track], first: bool, half: &Half) -> Option<bool> {
    let of = |t: &Track| facing(t).map(|f| if first { f.0 } else { f.1 });
    let (start, end) = (of(tracks.first()?)?, of(tracks.last()?)?);
    let along = |p: &Point2| if half.side.of_u { p.v } else { p.u };
    let from = along(places(subject, start.0, start.1)?.first()?);
    let to = along(places(subject, end.0, end.1)?.last()?);
    Some(to > from)
}

fn none() -> Interval {
    Interval::new(f64::INFINITY, f64::NEG_INFINITY)
}
