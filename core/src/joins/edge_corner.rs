//! One corner of the flow of edges: which joins go on into each other there.

use super::edge_flow::{ChainEnd, ChainStop, Crossing, ThroughBreak};
use super::ends::JoinTip;
use super::graph::JoinGraph;
use super::sheets::SideRef;
use super::track::Track;
use crate::math::{Arrange, Point3, Vec3, real};
use crate::model::FaceId;

/// How far a chain may turn from one join to the next, degrees, as feature lines may. Larger: chains run round the corners of a
/// part; smaller: a layout that is sketched rather than built falls apart. Common practice, no source.
pub(super) const STRAIGHT_ON: f64 = 20.0;

/// From how many joins on a corner is a star.
const STAR: usize = 5;

/// Where an end of a join leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Way {
    /// On into another end, by its index.
    On(usize),
    /// Nowhere.
    Stop(ChainEnd),
}

/// What a corner says.
#[derive(Debug, Default)]
pub(super) struct Part {
    /// By the indices of the ends; ends of outlines have none.
    pub ways: Vec<(usize, Way)>,
    /// Set where four joins meet with patches all round.
    pub crossing: Option<Crossing>,
    /// Set where one of three joins does not run through.
    pub through: Option<ThroughBreak>,
}

/// A join's end that takes part.
struct Tip<'a> {
    index: usize,
    end: &'a JoinTip<'a>,
    inwards: Vec3,
}

/// Parts the ends that meet at a corner into pairs that go on into each other and ends that stop. Four joins with four patches
/// round them pair with the one opposite, which is the one that shares no patch with them: the order round the corner by what meets
/// what, which holds on creases too, where there is no normal to go round. Elsewhere the straightest go first. A pair farther
/// than [`STRAIGHT_ON`] off straight does not go on.
pub(super) fn part(graph: &JoinGraph, ends: &[(usize, &JoinTip<'_>)], poles: &[Point3]) -> Part {
    let runs = |e: &JoinTip<'_>| e.join.class.meets() && (e.join.faces.len() == 2 || e.join.mirrored);
    let tips: Vec<Tip<'_>> =
        ends.iter().filter(|(_, e)| runs(e)).filter_map(|&(index, end)| Some(Tip { index, end, inwards: end.inwards()? })).collect();
    let bounded = ends.iter().any(|(_, e)| !runs(e));
    let on_plane = tips.iter().any(|t| t.end.join.mirrored);
    let mut found = Part::default();
    let mut paired = vec![false; tips.len()];
    let pairs = match opposite(&tips).filter(|_| !bounded && !on_plane) {
        Some(pairs) => {
            found.crossing = crossing(&tips, &pairs);
            pairs
        }
        None => straightest(&tips, on_plane),
    };
    for (i, j) in pairs {
        let (Some(a), Some(b)) = (tips.get(i), tips.get(j)) else { continue };
        if off(a, b) <= STRAIGHT_ON {
            found.ways.extend([(a.index, Way::On(b.index)), (b.index, Way::On(a.index))]);
            [i, j].into_iter().for_each(|k| paired.iter_mut().skip(k).take(1).for_each(|p| *p = true));
        }
    }
    let some_run_on = paired.iter().any(|p| *p);
    let left = tips.iter().zip(&paired).enumerate().filter(|(_, (_, p))| !**p);
    for (i, (tip, _)) in left {
        let point = tip.end.point;
        let others = tips.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, t)| off(tip, t));
        let straightest = others.reduce(f64::min);
        let image = graph.mirror.as_ref().filter(|_| on_plane && !tip.end.join.mirrored).map(|m| off_image(tip, m.plane.normal()));
        let (stop, off) = if bounded {
            (ChainStop::Outline, None)
        } else if let Some(off) = image {
            (if off <= STRAIGHT_ON { ChainStop::Centre } else { ChainStop::Turn }, Some(off))
        } else if poles.iter().any(|p| p.distance(point) <= graph.search) {
            (ChainStop::Pole, None)
        } else if tips.len() >= STAR {
            (ChainStop::Star, straightest)
        } else if tips.len() == 3 && some_run_on {
            (ChainStop::Three, straightest)
        } else if straightest.is_none() {
            (ChainStop::Tip, None)
        } else {
            (ChainStop::Turn, straightest)
        };
        if stop == ChainStop::Three {
            found.through = Some(through(&tips, tip));
        }
        found.ways.push((tip.index, Way::Stop(ChainEnd { point, stop, off })));
    }
    found
}

/// How far two ends are off going on into each other straight, degrees.
fn off(a: &Tip<'_>, b: &Tip<'_>) -> f64 {
    real::angle_between(a.inwards, -b.inwards).to_degrees()
}

/// The same of an end and its mirror image.
fn off_image(tip: &Tip<'_>, normal: Vec3) -> f64 {
    let image = tip.inwards - normal * (2.0 * tip.inwards.dot(normal));
    real::angle_between(tip.inwards, -image).to_degrees()
}

/// The opposite pairs of four joins round which four patches lie; None of any other corner.
fn opposite(tips: &[Tip<'_>]) -> Option<Vec<(usize, usize)>> {
    let [first, others @ ..] = tips else { return None };
    let mut faces: Vec<FaceId> = tips.iter().flat_map(|t| t.end.join.faces.iter().copied()).collect();
    faces.arrange();
    let twice = faces.chunk_by(|a, b| a == b).all(|c| c.len() == 2);
    if others.len() != 3 || faces.len() != 8 || !twice {
        return None;
    }
    let apart = |t: &&Tip<'_>| t.end.join.faces.iter().all(|f| !first.end.join.faces.contains(f));
    let across = 1 + others.iter().position(|t| apart(&t))?;
    let rest: Vec<usize> = (1..4).filter(|&i| i != across).collect();
    let &[a, b] = rest.as_slice() else { return None };
    Some(vec![(0, across), (a, b)])
}

fn crossing(tips: &[Tip<'_>], pairs: &[(usize, usize)]) -> Option<Crossing> {
    let &[p, q] = pairs else { return None };
    let of = |(i, j): (usize, usize)| Some(off(tips.get(i)?, tips.get(j)?));
    let (x, y) = (of(p)?, of(q)?);
    let mut joins: Vec<usize> = tips.iter().map(|t| t.end.index).collect();
    joins.arrange();
    let middle = tips.iter().map(|t| t.end.point.to_vec()).sum::<Vec3>() / tips.len() as f64;
    Some(Crossing { point: Point3::from_vec(middle), joins, off: [x.max(y), x.min(y)] })
}

/// Pairs by how straight they are; on the centre plane joins along it pair with each other alone.
fn straightest(tips: &[Tip<'_>], on_plane: bool) -> Vec<(usize, usize)> {
    let mut all: Vec<(f64, usize, usize)> = Vec::new();
    for (i, a) in tips.iter().enumerate() {
        for (j, b) in tips.iter().enumerate().skip(i + 1) {
            if !on_plane || (a.end.join.mirrored && b.end.join.mirrored) {
                all.push((off(a, b), i, j));
            }
        }
    }
    all.arrange_by(|x, y| x.0.total_cmp(&y.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    let mut taken: Vec<usize> = Vec::new();
    let mut pairs = Vec::new();
    for (_, i, j) in all {
        if !taken.contains(&i) && !taken.contains(&j) {
            taken.extend([i, j]);
            pairs.push((i, j));
        }
    }
    pairs
}

/// The record of an end of three that does not run through: the patch it ends against is the one along which the two others run.
fn through(tips: &[Tip<'_>], ending: &Tip<'_>) -> ThroughBreak {
    let running: Vec<&JoinTip<'_>> = tips.iter().filter(|t| t.index != ending.index).map(|t| t.end).collect();
    let shared = |f: &FaceId| running.iter().all(|e| e.join.faces.contains(f)) && !ending.end.join.faces.contains(f);
    let against = running.first().and_then(|e| e.join.faces.iter().copied().find(shared));
    let sides: Vec<Option<SideRef>> = running.iter().map(|e| side_on(e.track, against?)).collect();
    let inside = matches!(sides.as_slice(), [Some(a), Some(b)] if a == b);
    ThroughBreak { point: ending.end.point, join: ending.end.index, against, inside }
}

fn side_on(track: &Track, face: FaceId) -> Option<SideRef> {
    match *track {
        Track::Facing { a, b, .. } => [a, b].into_iter().find(|s| s.face == face),
        _ => None,
    }
}
