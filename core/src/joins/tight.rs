//! Pieces of feature lines that are rounded: transitions between two faces.

use super::Border;
use super::feature::{LineKind, Piece};
use super::graph::JoinGraph;
use super::judge::Role;
use super::sheets::Sheets;
use crate::math::{Point3, real};
use crate::model::FaceId;

/// One piece a transition that has two long sides: at each station of its longest side the turn to the nearest place on another
/// one.
pub(super) fn pieces(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<Piece> {
    let role = |f: FaceId| graph.roles.get(f.index()).copied();
    let mut sides: Vec<Vec<usize>> = vec![Vec::new(); graph.roles.len()];
    for (i, j) in graph.joins.iter().enumerate().filter(|(_, j)| !j.interior && j.class.runs_on()) {
        let (Some(&a), Some(&b)) = (j.faces.first(), j.faces.last()) else { continue };
        for (own, other) in [(a, b), (b, a)] {
            if role(own) == Some(Role::Transition)
                && role(other) != Some(Role::Transition)
                && let Some(list) = sides.get_mut(own.index())
            {
                list.push(i);
            }
        }
    }
    sides.iter().enumerate().filter(|(_, s)| s.len() > 1).filter_map(|(f, s)| piece(sheets, graph, FaceId::new(f), s)).collect()
}

fn piece(sheets: &Sheets<'_>, graph: &JoinGraph, face: FaceId, sides: &[usize]) -> Option<Piece> {
    let length = |i: usize| graph.joins.get(i).map_or(0.0, |j| j.length);
    let longest = sides.iter().copied().max_by(|&a, &b| length(a).total_cmp(&length(b)).then(b.cmp(&a)))?;
    let join = graph.joins.get(longest)?;
    // A side of half the length that runs on beside this one, not one that follows it round a bend.
    let facing: Vec<usize> = sides.iter().copied().filter(|&i| i != longest).collect();
    let sign = graph.orientation.sign(face);
    let on = |i: usize, p: Point3| -> Option<Border> {
        let (m, _) = graph.meeting_at(sheets, i, p)?;
        if graph.joins.get(i)?.faces.first() == Some(&face) { Some(m.a) } else { m.b }
    };
    let at = |p: Point3| {
        let here = on(longest, p)?;
        let there = facing.iter().filter_map(|&i| on(i, here.point()));
        let there = there.min_by(|a, b| a.point().distance(p).total_cmp(&b.point().distance(p)))?;
        let (m, n) = (here.normal()? * sign, there.normal()? * sign);
        let angle = real::angle_between(m, n).to_degrees();
        // Normals that part over the way across belong to a convex bend.
        Some((here.point(), if (n - m).dot(there.point() - here.point()) >= 0.0 { angle } else { -angle }))
    };
    let places = join.stations.iter().filter_map(|s| at(s.p)).collect();
    Some(Piece { kind: LineKind::Transition, faces: vec![face], join: longest, places })
}
