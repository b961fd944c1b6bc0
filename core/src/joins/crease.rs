//! Pieces of feature lines that are creases: joins at an angle.

use super::feature::{LineKind, Piece};
use super::graph::JoinGraph;
use super::judge::Reach;
use super::sheets::Sheets;
use super::{Class, Join, Meeting, Station};
use crate::math::Point3;

/// Angle above which the sign along a join is asked for once only, degrees: between two stations it cannot fall to zero and come
/// back unseen from there. Larger: slower; smaller: a narrow pass through zero keeps one sign.
const CLEAR: f64 = 1.0;

/// Joins that are creases, and those that are sharp somewhere and smooth elsewhere: a line whose angle passes through zero is no
/// crease by its class.
pub(super) fn pieces(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<Piece> {
    let sharp = |j: &Join| {
        let most = j.summaries.angle.map_or(0.0, |s| s.max.value);
        j.class == Class::Crease || (j.class == Class::G0 && most > Reach::default().crease)
    };
    let lines = graph.joins.iter().enumerate().filter(|(_, j)| j.faces.len() == 2 && sharp(j));
    lines.map(|(i, j)| Piece { kind: LineKind::Crease, faces: j.faces.clone(), join: i, places: places(sheets, graph, i, j) }).collect()
}

fn places(sheets: &Sheets<'_>, graph: &JoinGraph, index: usize, join: &Join) -> Vec<(Point3, f64)> {
    let (Some(&a), Some(&b)) = (join.faces.first(), join.faces.last()) else { return Vec::new() };
    let signs = (graph.orientation.sign(a), graph.orientation.sign(b));
    let sign_at = |p: Point3| graph.meeting_at(sheets, index, p).and_then(|(m, _)| signed(&m, signs));
    // Where the angle stays away from zero its sign stays too.
    let least = join.stations.iter().filter_map(|s| s.measures.angle).fold(f64::INFINITY, f64::min);
    let all = if least > CLEAR { sign_at(join.mid).map(f64::signum) } else { None };
    let at = |s: &Station| {
        let angle = s.measures.angle?;
        Some((s.p, all.map_or_else(|| sign_at(s.p), |sign| Some(sign * angle))?))
    };
    join.stations.iter().filter_map(at).collect()
}

/// Angle between the faces, degrees: positive where the outward normals part (a convex edge), negative where they lean towards
/// each other. Over the line the two inward conormals add up to a vector against the outward normals of a convex edge; with
/// the angle it falls to zero, and turns round beyond.
pub(super) fn signed(meeting: &Meeting, (of_a, of_b): (f64, f64)) -> Option<f64> {
    let b = meeting.b.as_ref()?;
    let angle = meeting.measures().angle?;
    let inward = meeting.a.conormal()? + b.conormal()?;
    let outward = meeting.a.normal()? * of_a + b.normal()? * of_b;
    Some(if inward.dot(outward) <= 0.0 { angle } else { -angle })
}
