//! Linking pieces end to end into maximal joins.

use super::sheets::Sheets;
use super::track::Track;
use crate::math::{Point3, Vec3, real};

/// Distance over which two pieces are linked, mm, and the angle between their tangents, radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Largest distance, mm.
    pub distance: f64,
    /// Largest angle, radians.
    pub angle: f64,
}

/// Ends of a piece as it runs with the loop of its first face.
struct Ends {
    start: (Point3, Vec3),
    end: (Point3, Vec3),
}

/// Links tracks of one pair of faces: each list is one join, its tracks end to end. Order follows the tracks given.
pub fn linked(sheets: &Sheets<'_>, tracks: Vec<Track>, link: &Link) -> Vec<Vec<Track>> {
    let ends: Vec<Option<Ends>> = tracks.iter().map(|t| ends(sheets, t)).collect();
    let meets = |x: (Point3, Vec3), y: (Point3, Vec3)| x.0.distance(y.0) <= link.distance && real::angle_between(x.1, y.1) <= link.angle;
    // The only track that starts where another ends; none where several do (a branching corner ends a join).
    let next: Vec<Option<usize>> = (0..tracks.len())
        .map(|i| {
            let end = ends.get(i)?.as_ref()?.end;
            let mut after =
                (0..tracks.len()).filter(|&j| j != i && ends.get(j).and_then(Option::as_ref).is_some_and(|e| meets(end, e.start)));
            let one = after.next()?;
            after.next().is_none().then_some(one)
        })
        .collect();
    let mut before = vec![0usize; tracks.len()];
    for n in next.iter().flatten() {
        before[*n] += 1;
    }
    // A track wanted by two is a branching too.
    let next: Vec<Option<usize>> = next.into_iter().map(|n| n.filter(|&n| before[n] == 1)).collect();
    let mut has_before = vec![false; tracks.len()];
    for n in next.iter().flatten() {
        has_before[*n] = true;
    }
    let mut used = vec![false; tracks.len()];
    let mut chains = Vec::new();
    let heads = (0..tracks.len()).filter(|&i| !has_before[i]).chain((0..tracks.len()).filter(|&i| has_before[i]));
    for head in heads {
        let mut chain = Vec::new();
        let mut at = Some(head);
        while let Some(i) = at.filter(|&i| !used[i]) {
            used[i] = true;
            chain.extend(tracks.get(i).copied());
            at = next[i];
        }
        if !chain.is_empty() {
            chains.push(chain);
        }
    }
    chains
}

/// The track turned so that it runs with its first face's loop.
pub fn with_loop(sheets: &Sheets<'_>, track: Track) -> Track {
    match track {
        Track::Facing { a, on_a, .. } | Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => {
            let rising = on_a.1 > on_a.0;
            let forward = sheets.rim(a).is_none_or(|r| r.side.forward);
            if rising == forward { track } else { track.reversed() }
        }
        Track::Knot { .. } => track,
    }
}

fn ends(sheets: &Sheets<'_>, track: &Track) -> Option<Ends> {
    let end = |x: f64| {
        let m = track.at(sheets, x)?;
        Some((m.p(), m.a.along))
    };
    Some(Ends { start: end(0.0)?, end: end(1.0)? })
}
