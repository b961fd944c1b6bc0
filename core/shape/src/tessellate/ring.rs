//! Joins the sampled sides of a face's loops to closed polygons.

use super::borders::Piece;
use super::region::{BorderPoint, Region, Run};
use super::track::same_place;
use crate::math::{Point2, Point3};
use crate::model::EdgeId;

/// A side's samples, in the direction of its loop.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SidePoints {
    /// The model edge behind it.
    pub edge: Option<EdgeId>,
    /// Index of the loop in the domain, and of the side in that loop.
    pub side: (usize, usize),
    /// True when the loop runs along the edge.
    pub forward: bool,
    /// Which position wins where it meets the next side.
    pub rank: Corner,
    /// Parameters, position, and the piece of track that starts there; at least two.
    pub points: Vec<(Point2, Point3, Piece)>,
}

/// Kinds of side, by rising claim to the corner they share with another: neighbouring faces know only edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Corner {
    /// A bridge over a gap: ends where its neighbours end.
    Bridge,
    /// A seam or natural border.
    Free,
    /// One point in space: moves as a whole.
    Pole,
    /// An edge, common to faces.
    Edge,
}

/// Share of a ring's extent in u or v within which the ends of two sides can be one corner. Larger: both ends of a seam
/// pass for one corner. Smaller: corners that edges miss by their tolerance leave needles.
const SAME_CORNER: f64 = 1e-3;

/// Share of a ring's extent by which parameters of one corner differ by rounding alone. Larger: short sides vanish.
/// Smaller: two vertices stand at one point of the plane, and only one has triangles.
const ROUNDING: f64 = 1e-11;

/// Share of the chord limit by which sides may miss each other at one corner. Larger: true short sides vanish. Smaller:
/// the step over a gap of rounding size folds back over its neighbours.
const SAME_PLACE: f64 = 0.02;

/// The region, and for each of its points the piece of track that starts there. `chord` is the chord limit, mm.
pub(super) fn assemble(loops: Vec<Vec<SidePoints>>, chord: f64) -> (Region, Vec<Option<Piece>>) {
    let mut region = Region::default();
    let mut pieces = Vec::new();
    for mut sides in loops {
        settle_corners(&mut sides);
        close_small_gaps(&mut sides, SAME_PLACE * chord);
        add_ring(&sides, &mut region, &mut pieces);
    }
    (region, pieces)
}

/// Gives the ends of lower-ranked sides the positions of the higher-ranked ones they meet, poles first.
fn settle_corners(sides: &mut [SidePoints]) {
    let count = sides.len();
    for poles_only in [true, false] {
        for i in 0..count {
            let j = (i + 1) % count;
            let (Some(a), Some(b)) = (sides.get(i), sides.get(j)) else { continue };
            let (rank_a, rank_b) = (a.rank, b.rank);
            if poles_only && rank_a.min(rank_b) != Corner::Pole {
                continue;
            }
            let (end, start) = (a.points.last().map(|p| p.1), b.points.first().map(|p| p.1));
            if rank_a < rank_b {
                move_end(sides.get_mut(i), start, true);
            } else if rank_b < rank_a {
                move_end(sides.get_mut(j), end, false);
            }
        }
        // A pole is one place even where no edge ends at it.
        for side in sides.iter_mut().filter(|s| s.rank == Corner::Pole) {
            let place = side.points.first().map(|p| p.1);
            move_end(Some(side), place, false);
        }
    }
    weld_free_ends(sides);
}

/// Gives ends of sides without an edge that differ by rounding only one position: on a surface that closes on itself both
/// ways all four corners are one point.
fn weld_free_ends(sides: &mut [SidePoints]) {
    let mut known: Vec<Point3> = Vec::new();
    for side in sides.iter().filter(|s| s.rank > Corner::Free) {
        known.extend(side.points.first().iter().chain(side.points.last().iter()).map(|p| p.1));
    }
    for side in sides.iter_mut().filter(|s| s.rank == Corner::Free) {
        for last in [false, true] {
            let end = if last { side.points.last_mut() } else { side.points.first_mut() };
            let Some(end) = end else { continue };
            match known.iter().find(|p| same_place(**p, end.1)) {
                Some(p) => end.1 = *p,
                None => known.push(end.1),
            }
        }
    }
}

fn move_end(side: Option<&mut SidePoints>, to: Option<Point3>, last: bool) {
    let (Some(side), Some(to)) = (side, to) else { return };
    if side.rank == Corner::Pole {
        side.points.iter_mut().for_each(|p| p.1 = to);
    } else if let Some(p) = if last { side.points.last_mut() } else { side.points.first_mut() } {
        p.1 = to;
    }
}

/// Drops bridges shorter than `gap`, and where two sides then miss each other by less, or in space only, lets the first
/// end in the parameters of the next.
fn close_small_gaps(sides: &mut Vec<SidePoints>, gap: f64) {
    let is_short =
        |s: &SidePoints| s.rank == Corner::Bridge && s.points.first().zip(s.points.last()).is_some_and(|(a, b)| a.1.distance(b.1) <= gap);
    if sides.iter().any(|s| !is_short(s)) {
        sides.retain(|s| !is_short(s));
    }
    let extent = |pick: fn(Point2) -> f64| {
        let all = sides.iter().flat_map(|s| &s.points).map(|p| pick(p.0));
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        (high - low).max(0.0)
    };
    let (du, dv) = (extent(|p| p.u), extent(|p| p.v));
    let starts: Vec<Option<(Point2, Point3)>> = sides.iter().map(|s| s.points.first().map(|p| (p.0, p.1))).collect();
    for (side, next) in sides.iter_mut().zip(starts.iter().cycle().skip(1)) {
        let (Some(last), Some((uv, position))) = (side.points.last_mut(), next) else { continue };
        let within = |share: f64| (last.0.u - uv.u).abs() <= share * du && (last.0.v - uv.v).abs() <= share * dv;
        // Where edges miss each other across the surface their parameters agree all the same.
        if (last.1.distance(*position) <= gap && within(SAME_CORNER)) || within(ROUNDING) {
            last.0 = *uv;
        }
    }
}

fn add_ring(sides: &[SidePoints], region: &mut Region, pieces: &mut Vec<Option<Piece>>) {
    let first_run = region.runs.len();
    let mut ring = Vec::new();
    let mut open = Vec::new();
    for (i, side) in sides.iter().enumerate() {
        let Some((last, body)) = side.points.split_last() else { continue };
        let next = sides.get((i + 1) % sides.len()).and_then(|s| s.points.first());
        let joined = next.is_some_and(|n| n.0 == last.0 && n.1 == last.1);
        let mut run = Vec::with_capacity(side.points.len());
        let mut add = |p: &(Point2, Point3, Piece), piece: Option<Piece>| {
            let number = region.points.len() as u32;
            region.points.push(BorderPoint { uv: p.0, position: p.1 });
            pieces.push(piece);
            ring.push(number);
            run.push(number);
        };
        body.iter().for_each(|p| add(p, Some(p.2)));
        if !joined {
            // The step from here to the next side belongs to neither.
            add(last, None);
        }
        open.push(joined);
        region.runs.push(Run { edge: side.edge, side: side.side, points: run });
    }
    // A joined side ends with the first point of the next.
    let starts: Vec<Option<u32>> = region.runs.iter().skip(first_run).map(|r| r.points.first().copied()).collect();
    for (i, run) in region.runs.iter_mut().skip(first_run).enumerate() {
        if let (Some(true), Some(Some(start))) = (open.get(i), starts.get((i + 1) % starts.len())) {
            run.points.push(*start);
        }
        if run.edge.is_some() && sides.get(i).is_some_and(|s| !s.forward) {
            run.points.reverse();
        }
    }
    region.rings.push(ring);
}
