//! Joins and outlines, end to end, as the rails and sections of a sweep.

use super::sweep::{Sweep, sweep_between};
use crate::geometry::{Curve, Stretch, SweepError, followed, joined};
use crate::joins::{JoinGraph, Sheets, Track};
use crate::math::{Point3, end_to_end};

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
