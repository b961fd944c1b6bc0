//! How much of each face's edge a join takes up: less than all where edges are unequal.

use super::sheets::{Rim, Sheets, SideRef};
use super::track::Track;
use crate::math::{Arrange, Interval, grouped, quadrature};
use crate::model::FaceId;

/// Part of the share range of a side below which nothing is summed: what is left of a side at its ends by rounding.
const NOTHING: f64 = 1e-9;

/// One side of a join: the edge it lies on, or edges where several follow each other, and how much of them it takes up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeShare {
    /// The face.
    pub face: FaceId,
    /// Arc length of the edges as they lie on the surface, mm.
    pub length: f64,
    /// Part of that length along which the join runs, 0 to 1.
    pub share: f64,
}

/// Both sides of a join, the first face's first; one before a mirror image; none of an outline, and of a knot line, which is no edge.
pub(super) fn edge_shares(sheets: &Sheets<'_>, tracks: &[Track]) -> Vec<EdgeShare> {
    let (mut on_a, mut on_b) = (Vec::new(), Vec::new());
    for track in tracks {
        match *track {
            Track::Facing { a, on_a: of_a, b, on_b: of_b } => {
                on_a.push((a, of_a));
                on_b.push((b, of_b));
            }
            Track::Mirrored { a, on_a: of_a, .. } => on_a.push((a, of_a)),
            Track::Alone { .. } | Track::Knot { .. } => {}
        }
    }
    [on_a, on_b].into_iter().filter_map(|on| side(sheets, grouped(on))).collect()
}

/// From stretches of shares by side.
fn side(sheets: &Sheets<'_>, on: Vec<(SideRef, Vec<(f64, f64)>)>) -> Option<EdgeShare> {
    let face = on.first()?.0.face;
    let (mut whole, mut covered) = (0.0, 0.0);
    for (at, stretches) in on {
        let rim = sheets.rim(at)?;
        let (low, high) = rim.shares();
        // What is left free is summed, so that an edge that is taken up whole reads 1 without a second sum.
        let mut free = 0.0;
        let mut from = low;
        let mut sorted: Vec<(f64, f64)> = stretches.iter().map(|&(x, y)| (x.min(y), x.max(y))).collect();
        sorted.arrange_by(|a, b| a.0.total_cmp(&b.0));
        for (start, end) in sorted {
            free += arc(&rim, from, start);
            from = from.max(end);
        }
        free += arc(&rim, from, high);
        let length = arc(&rim, low, high);
        whole += length;
        covered += (length - free).max(0.0);
    }
    (whole > 0.0).then(|| EdgeShare { face, length: whole, share: (covered / whole).clamp(0.0, 1.0) })
}

/// Arc length between two shares, mm, by Gauss' rule on halves of the pieces between breaks.
fn arc(rim: &Rim<'_>, from: f64, to: f64) -> f64 {
    let (low, high) = rim.shares();
    if to - from <= NOTHING * (high - low) {
        return 0.0;
    }
    let mut stops = vec![from];
    stops.extend(rim.side.trim.breaks().into_iter().filter(|s| *s > from && *s < to));
    stops.push(to);
    let speed = |s: f64| rim.side.at(rim.surface, s).tangent.length();
    let piece = |a: f64, b: f64| quadrature::gauss_8(Interval::new(a, b), speed);
    stops.windows(2).map(|w| piece(w[0], 0.5 * (w[0] + w[1])) + piece(0.5 * (w[0] + w[1]), w[1])).sum()
}

#[cfg(test)]
mod tests {
    use super::super::arrangements::{flat, graph_of, model_of, tilted};
    use crate::math::real;
    use crate::nurbs::{KnotVector, Surface};

    /// Shares of the sides of the join between two faces, with the lengths of their edges.
    fn between(patches: Vec<Surface>, a: usize, b: usize) -> [(f64, f64); 2] {
        let graph = graph_of(&model_of(patches));
        let join = graph.joins.iter().find(|j| j.faces.iter().map(|f| f.index()).eq([a, b])).unwrap();
        assert!(join.edges.iter().map(|e| e.face.index()).eq([a, b]));
        [(join.edges[0].share, join.edges[0].length), (join.edges[1].share, join.edges[1].length)]
    }

    fn close(got: [(f64, f64); 2], want: [(f64, f64); 2]) {
        for (g, w) in got.iter().zip(want) {
            assert!((g.0 - w.0).abs() < 1e-6 && (g.1 - w.1).abs() < 1e-6 * w.1, "{got:?} against {want:?}");
        }
    }

    #[test]
    fn a_long_edge_is_shared_out_among_short_ones() {
        let f = tilted();
        let stops = [0.0, 11.0, 37.5, 90.0];
        let mut patches = vec![flat(&f, (0.0, 0.0), (90.0, 40.0))];
        patches.extend(stops.windows(2).map(|w| flat(&f, (w[0], -30.0), (w[1], 0.0))));
        for (i, w) in stops.windows(2).enumerate() {
            let own = w[1] - w[0];
            close(between(patches.clone(), 0, i + 1), [(own / 90.0, 90.0), (1.0, own)]);
        }
        let whole = graph_of(&model_of(patches));
        let outlines = whole.joins.iter().filter(|j| j.faces.len() == 1);
        assert!(outlines.map(|j| j.edges.len()).all(|n| n == 0));
    }

    #[test]
    fn edges_that_lie_past_each_other_overlap_in_part() {
        let f = tilted();
        let patches = vec![flat(&f, (0.0, 0.0), (100.0, 40.0)), flat(&f, (30.0, -30.0), (180.0, 0.0))];
        close(between(patches, 0, 1), [(0.7, 100.0), (70.0 / 150.0, 150.0)]);
    }

    /// A piece of a ring between two radii, from 0 to `turn`: the parameter of a rational arc does not run evenly, its length does
    /// (a circle's arc: radius times angle; The NURBS Book, ch. 7.3).
    fn ring(radii: (f64, f64), turn: f64) -> Surface {
        let (f, half) = (tilted(), 0.5 * turn);
        let (w, (sin, cos)) = (real::cos(half), real::sin_cos(turn));
        let round = [(1.0, 0.0, 1.0), (1.0, real::tan(half), w), (cos, sin, 1.0)];
        let points = round.iter().flat_map(|&(x, y, _)| [radii.0, radii.1].map(|r| f.point(r * x, r * y, 0.0))).collect();
        let weights = round.iter().flat_map(|p| [p.2; 2]).collect();
        Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), points, Some(weights)).unwrap()
    }

    #[test]
    fn shares_are_of_arc_length() {
        for (inner, outer) in [(1.9, 0.6), (0.8, 2.0)] {
            let got = between(vec![ring((40.0, 70.0), inner), ring((70.0, 95.0), outer)], 0, 1);
            let met = f64::min(inner, outer);
            close(got, [(met / inner, 70.0 * inner), (met / outer, 70.0 * outer)]);
        }
    }
}
