//! Joins and outlines, end to end, as the rails and sections of a sweep.

use super::sweep::{Sweep, sweep_between};
use crate::geometry::{Curve, Stretch, SweepError, followed, joined};
use crate::joins::{JoinGraph, Sheets, Track};
use crate::math::{Point2, Point3, end_to_end};
use crate::model::FaceId;

/// How far a piece of a rail may lie off its border, mm: far below anything judged. Smaller: borders with the noise of an
/// intersection have no spline of bearable size.
const PIECE: f64 = 1e-5;

/// How far a whole rail of several pieces may, mm, where it smooths over what they do not share. Common practice, no source.
const WHOLE: f64 = 1e-3;

/// Pieces of a rail at most. Larger: a thousand outlines picked by mistake cost minutes.
const MOST: usize = 400;

/// Which joins (outlines are joins, too) make a sweep; each list end to end, in any order, run either way.
#[derive(Debug, Clone, PartialEq)]
pub struct JoinSweep {
    /// The two rails.
    pub rails: [Vec<usize>; 2],
    /// The section at one end of the rails.
    pub first: Vec<usize>,
    /// The section at their other end, where the sweep is to end in another one; empty for none.
    pub last: Vec<usize>,
    /// How far the spline may lie off the exact sweep, mm, > 0.
    pub tolerance: f64,
}

/// Makes the sweep.
///
/// # Errors
/// When a list is no path, or they make no sweep.
pub fn sweep_of_joins(sheets: &Sheets<'_>, graph: &JoinGraph, wish: &JoinSweep) -> Result<Sweep, SweepError> {
    let path = |joins: &[usize]| join_path(sheets, graph, joins);
    let rails = [path(&wish.rails[0])?, path(&wish.rails[1])?];
    let last = if wish.last.is_empty() { None } else { Some(path(&wish.last)?) };
    sweep_between(rails, path(&wish.first)?, last, wish.tolerance)
}

/// The joins along the four sides of a patch, to sweep between: the longer two as rails, the others as sections. None of a face that is
/// trimmed otherwise than along its own borders, or has a side without joins.
pub fn patch_sides(sheets: &Sheets<'_>, graph: &JoinGraph, face: FaceId, tolerance: f64) -> Option<JoinSweep> {
    let domain = sheets.domain(face)?;
    let (u, v) = domain.bounds();
    let mut sides: [(f64, Vec<usize>); 4] = Default::default();
    for (join, of) in graph.joins.iter().enumerate().filter(|(_, j)| j.faces.contains(&face) && !j.interior) {
        let mut on: Option<usize> = None;
        for track in graph.tracks(join) {
            let own = track.sides().into_iter().flatten().find(|side| side.face == face)?;
            let line = domain.loops.get(own.loop_index)?.sides.get(own.side_index)?.polyline();
            let all = |of: fn(&Point2) -> f64, at: f64, width: f64| line.iter().all(|p| (of(p) - at).abs() <= ASIDE * width);
            let borders = [
                all(|p| p.v, v.low, v.length()),
                all(|p| p.v, v.high, v.length()),
                all(|p| p.u, u.low, u.length()),
                all(|p| p.u, u.high, u.length()),
            ];
            let here = borders.iter().position(|b| *b)?;
            (on.is_none_or(|side| side == here)).then_some(())?;
            on = Some(here);
        }
        let (length, joins) = sides.get_mut(on?)?;
        *length += of.length;
        joins.push(join);
    }
    let [a, b, c, d] = sides;
    if [&a, &b, &c, &d].iter().any(|side| side.1.is_empty()) {
        return None;
    }
    let (rails, sections) = if a.0 + b.0 >= c.0 + d.0 { ([a, b], [c, d]) } else { ([c, d], [a, b]) };
    let ([first, last], rails) = (sections.map(|s| s.1), rails.map(|s| s.1));
    Some(JoinSweep { rails, first, last, tolerance })
}

/// Share of a patch's range within which a trim runs along its border.
const ASIDE: f64 = 1e-6;

/// The path along joins on their first faces' borders, within 1e-5 mm of one piece and 1e-3 mm of several; ends of neighbours may
/// lie as far apart as joins were searched.
///
/// # Errors
/// [`SweepError::Stretch`] for none, an unknown one, or too many; otherwise where they do not follow each other smoothly.
pub fn join_path(sheets: &Sheets<'_>, graph: &JoinGraph, joins: &[usize]) -> Result<Stretch, SweepError> {
    let mut tracks = Vec::new();
    for &join in joins {
        let own = graph.tracks(join);
        (!own.is_empty()).then_some(()).ok_or(SweepError::Stretch)?;
        tracks.extend_from_slice(own);
    }
    if tracks.len() > MOST {
        return Err(SweepError::Stretch);
    }
    let mut pieces = Vec::new();
    for track in in_order(sheets, &tracks)? {
        let mut stops = vec![0.0];
        stops.extend(track.breaks(sheets));
        stops.push(1.0);
        if pieces.len() + stops.len() > MOST {
            return Err(SweepError::Stretch);
        }
        for w in stops.windows(2) {
            let curve = followed(&|t| track.point(sheets, w[0] + (w[1] - w[0]) * t), PIECE)?;
            pieces.push(Stretch { curve: Curve::Nurbs(curve), from: 0.0, to: 1.0 });
        }
    }
    if pieces.len() == 1 {
        return pieces.pop().ok_or(SweepError::Stretch);
    }
    joined(&pieces, graph.search, WHOLE)
}

/// Tracks laid end to end, turned where need be.
fn in_order(sheets: &Sheets<'_>, tracks: &[Track]) -> Result<Vec<Track>, SweepError> {
    let mut ends: Vec<Vec<(usize, Point3)>> = Vec::new();
    for (i, track) in tracks.iter().enumerate() {
        let at = |x: f64| track.point(sheets, x).ok_or(SweepError::Stretch);
        ends.push(vec![(i, at(0.0)?), (i, at(1.0)?)]);
    }
    let starts: Vec<Point3> = ends.iter().filter_map(|e| e.first().map(|x| x.1)).collect();
    let laid = end_to_end(ends, |x| x.1);
    let one = |pair: &[(usize, Point3)]| {
        let &(i, p) = pair.first()?;
        let track = *tracks.get(i)?;
        Some(if starts.get(i) == Some(&p) { track } else { track.reversed() })
    };
    Ok(laid.chunks(2).filter_map(one).collect())
}
