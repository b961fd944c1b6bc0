//! Finds where the polygon of a face's border crosses or folds onto itself.

use super::borders::Piece;
use super::region::Region;
use crate::math::outline::{Outline, Segment};
use crate::math::{Vec2, distinct, grouped};
use std::collections::BTreeMap;

/// Ring points whose segment (to the next point of the ring) crosses or covers another one, rising.
///
/// Both come of steps too long for a thin face: two arcs whose chords cross, or a lens whose two sides have become the
/// same chord. A slit, one edge run along twice, is meant. `pieces` tells the piece of track behind each point's segment.
pub(super) fn crossings(region: &Region, pieces: &[Option<Piece>]) -> Vec<usize> {
    let Some((u, v)) = region.bounds() else { return Vec::new() };
    let scale = Vec2::new(1.0 / u.length().max(f64::MIN_POSITIVE), 1.0 / v.length().max(f64::MIN_POSITIVE));
    let mut numbers: BTreeMap<(u64, u64), u32> = BTreeMap::new();
    let mut place = |n: u32| {
        let uv = region.points.get(n as usize).map(|p| p.uv).unwrap_or_default();
        let p = (uv.to_vec() - Vec2::new(u.low, v.low)) * scale + Vec2::ZERO;
        (p, *numbers.entry((p.x.to_bits(), p.y.to_bits())).or_insert(n))
    };
    let mut segments = Vec::new();
    let mut starts: Vec<usize> = Vec::new();
    for ring in &region.rings {
        for (&from, &to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let ((a, na), (b, nb)) = (place(from), place(to));
            if na != nb && a.is_finite() && b.is_finite() {
                segments.push(Segment { a, b, ends: [na, nb], net: 1 });
                starts.push(from as usize);
            }
        }
    }
    let mut found: Vec<usize> = folded(&segments, &starts, pieces);
    for (i, j) in Outline::new(segments).crossings() {
        found.extend(starts.get(i).copied());
        found.extend(starts.get(j).copied());
    }
    distinct(found)
}

/// Segments that stand on another one, end on end, but are other pieces of track.
fn folded(segments: &[Segment], starts: &[usize], pieces: &[Option<Piece>]) -> Vec<usize> {
    let by_ends = grouped(segments.iter().zip(starts).map(|(s, &start)| ((s.ends[0].min(s.ends[1]), s.ends[0].max(s.ends[1])), start)));
    let piece = |start: &usize| pieces.get(*start).copied().flatten();
    let is_slit = |same: &[usize]| same.windows(2).all(|w| piece(&w[0]) == piece(&w[1]));
    by_ends.into_iter().map(|(_, same)| same).filter(|same| same.len() > 1 && !is_slit(same)).flatten().collect()
}
