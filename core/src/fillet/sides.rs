//! The sides of a face: the joins along its border, and places on them.

use crate::joins::{Border, JoinGraph, Sheets, Track};
use crate::math::{Point2, Point3};
use crate::model::FaceId;

/// Largest mean angle of a join over which a surface leads on smoothly, degrees: the crease limit.
const SMOOTH: f64 = 2.0;

/// A join along the border of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceSide {
    /// Index of the join.
    pub join: usize,
    /// True when the face is the join's first.
    pub first: bool,
    /// The face on the other side.
    pub other: FaceId,
    /// True when the surface leads on smoothly.
    pub smooth: bool,
    /// Its length, mm.
    pub length: f64,
}

/// A place on a side.
#[derive(Debug, Clone, Copy)]
pub struct OnSide {
    /// Border of the face.
    pub own: Border,
    /// Border of the face beside.
    pub beside: Border,
    /// Parameters on the face.
    pub uv: Point2,
    /// Parameters on the face beside.
    pub uv_beside: Point2,
}

/// The sides of each face where it meets another one, in the order of the joins.
pub fn sides(graph: &JoinGraph, faces: usize) -> Vec<Vec<FaceSide>> {
    let mut all: Vec<Vec<FaceSide>> = vec![Vec::new(); faces];
    for (i, join) in graph.joins.iter().enumerate().filter(|(_, j)| !j.interior && j.class.meets()) {
        let [a, b] = join.faces[..] else { continue };
        if a == b {
            continue;
        }
        let smooth = join.class.runs_on() && join.summaries.angle.is_some_and(|s| s.mean < SMOOTH);
        for (face, other, first) in [(a, b, true), (b, a, false)] {
            if let Some(list) = all.get_mut(face.index()) {
                list.push(FaceSide { join: i, first, other, smooth, length: join.length });
            }
        }
    }
    all
}

/// Places on a side, `count` or more evenly over its pieces, none at their ends.
pub fn places(sheets: &Sheets<'_>, graph: &JoinGraph, side: &FaceSide, count: usize) -> Vec<OnSide> {
    let tracks = graph.tracks(side.join);
    let each = count.div_ceil(tracks.len().max(1));
    let shares = (0..each).map(|k| (k as f64 + 0.5) / each as f64);
    tracks.iter().flat_map(|t| shares.clone().map(move |x| (t, x))).filter_map(|(t, x)| on_track(sheets, t, side.first, x)).collect()
}

/// The place on a side nearest to a point.
pub fn nearest(sheets: &Sheets<'_>, graph: &JoinGraph, side: &FaceSide, p: Point3) -> Option<OnSide> {
    let near = graph.tracks(side.join).iter().filter_map(|t| t.nearest(sheets, p).map(|(x, d)| (t, x, d)));
    let (track, x, _) = near.min_by(|a, b| a.2.total_cmp(&b.2))?;
    on_track(sheets, track, side.first, x)
}

/// The place at x on a piece of a join, seen from its first face or its second.
pub fn on_track(sheets: &Sheets<'_>, track: &Track, first: bool, x: f64) -> Option<OnSide> {
    let Track::Facing { a, on_a, b, on_b } = *track else { return None };
    let meeting = track.at(sheets, x)?;
    let second = meeting.b?;
    let uv = |at, on: (f64, f64), border: &Border| {
        let rim = sheets.rim(at)?;
        Some(rim.side.trim.closest(rim.surface, border.point(), Some(on.0 * (1.0 - x) + on.1 * x)).uv)
    };
    let (uv_a, uv_b) = (uv(a, on_a, &meeting.a)?, uv(b, on_b, &second)?);
    Some(if first {
        OnSide { own: meeting.a, beside: second, uv: uv_a, uv_beside: uv_b }
    } else {
        OnSide { own: second, beside: meeting.a, uv: uv_b, uv_beside: uv_a }
    })
}
