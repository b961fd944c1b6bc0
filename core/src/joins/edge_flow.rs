//! How the edges between patches flow: chains of joins that run on over corners, and where and why a chain ends.

use super::edge_corner::{Part, Way, part};
use super::ends::{JoinTip, meeting, tips};
use super::graph::JoinGraph;
use super::sheets::Sheets;
use crate::geometry::SideOrigin;
use crate::math::{Arrange, Point3};
use crate::model::FaceId;

/// Why a chain ends where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChainStop {
    /// It runs out of the sheet: into an outline, an open join or a stretch of three faces.
    Outline,
    /// It runs into the centre plane of a half model, where its mirror image goes on straight.
    Centre,
    /// What would go on turns away from it.
    Turn,
    /// It ends against the side of a patch along which two other joins run on.
    Three,
    /// Five or more joins meet and none of them goes on straight.
    Star,
    /// A side of a patch is one point here.
    Pole,
    /// No other join comes here: the tip of a slit or of a line that fades out.
    Tip,
}

/// One end of a chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainEnd {
    /// Where, mm.
    pub point: Point3,
    /// Why.
    pub stop: ChainStop,
    /// How far the straightest way on is off straight, degrees, where there is one.
    pub off: Option<f64>,
}

/// Joins that run on into each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Joins end to end, each with whether it runs as the chain does.
    pub joins: Vec<(usize, bool)>,
    /// Sum of the joins' lengths, mm.
    pub length: f64,
    /// Where it starts and ends; None of a closed one.
    pub ends: Option<[ChainEnd; 2]>,
}

/// A corner of four joins with patches all round.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// Where, mm.
    pub point: Point3,
    /// The joins, rising.
    pub joins: Vec<usize>,
    /// How far each of the two opposite pairs misses going on straight, degrees, the larger first.
    pub off: [f64; 2],
}

/// A place where a join ends against the side of a patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThroughBreak {
    /// Where, mm.
    pub point: Point3,
    /// The join that ends.
    pub join: usize,
    /// The patch it ends against; None where that cannot be told.
    pub against: Option<FaceId>,
    /// True on the inside of one edge of that patch, false at a corner of it.
    pub inside: bool,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EdgeFlow {
    /// Chains, the longest first; every join between faces, or on the centre plane, is in one.
    pub chains: Vec<Chain>,
    /// Corners of four joins, by their first join.
    pub crossings: Vec<Crossing>,
    /// Places where a join does not run through, by the joins.
    pub breaks: Vec<ThroughBreak>,
}

impl ChainStop {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            ChainStop::Outline => "outline",
            ChainStop::Centre => "centre",
            ChainStop::Turn => "turn",
            ChainStop::Three => "three",
            ChainStop::Star => "star",
            ChainStop::Pole => "pole",
            ChainStop::Tip => "tip",
        }
    }

    /// True where a chain ends inside the sheet.
    pub fn is_break(self) -> bool {
        !matches!(self, ChainStop::Outline | ChainStop::Centre)
    }
}

/// The flow of all joins. Where patches meet along an edge is a join; lines inside a patch take no part.
pub fn edge_flow(sheets: &Sheets<'_>, graph: &JoinGraph) -> EdgeFlow {
    let ends: Vec<JoinTip<'_>> =
        (0..graph.joins.len()).filter(|&i| graph.joins.get(i).is_some_and(|j| !j.interior)).flat_map(|i| tips(sheets, graph, i)).collect();
    let points: Vec<Point3> = ends.iter().map(|e| e.point).collect();
    let poles = poles(sheets);
    let mut flow = EdgeFlow::default();
    let mut ways: Vec<Option<Way>> = vec![None; ends.len()];
    for group in meeting(&points, graph.search) {
        let at: Vec<(usize, &JoinTip<'_>)> = group.iter().filter_map(|&i| Some((i, ends.get(i)?))).collect();
        let Part { ways: found, crossing, through } = part(graph, &at, &poles);
        for (i, way) in found {
            if let Some(w) = ways.get_mut(i) {
                *w = Some(way);
            }
        }
        flow.crossings.extend(crossing);
        flow.breaks.extend(through);
    }
    flow.crossings.arrange_by(|a, b| a.joins.cmp(&b.joins));
    flow.breaks.arrange_by_key(|b| b.join);
    flow.chains = chained(&ends, &ways);
    flow.chains.arrange_by(|a, b| b.length.total_cmp(&a.length).then_with(|| a.joins.cmp(&b.joins)));
    flow
}

/// The points that sides of faces have shrunk to.
fn poles(sheets: &Sheets<'_>) -> Vec<Point3> {
    let of_face = |(id, face): (FaceId, &crate::model::Face)| {
        let sides = sheets.domain(id).into_iter().flat_map(|d| &d.loops).flat_map(|l| &l.sides);
        let points = sides.filter(|s| s.origin == SideOrigin::Pole).map(|s| s.start());
        points.map(|p| face.surface.point(p.u, p.v)).collect::<Vec<_>>()
    };
    sheets.model.faces().flat_map(of_face).collect()
}

/// Joins put end to end as `ways` says for the ends of each.
fn chained(ends: &[JoinTip<'_>], ways: &[Option<Way>]) -> Vec<Chain> {
    let count = ends.iter().map(|e| e.index + 1).max().unwrap_or(0);
    let mut of_join: Vec<[Option<usize>; 2]> = vec![[None; 2]; count];
    for (i, e) in ends.iter().enumerate() {
        if let Some(own) = of_join.get_mut(e.index).and_then(|j| j.get_mut(usize::from(!e.at_start))) {
            *own = Some(i);
        }
    }
    let tip = |join: usize, at_start: bool| of_join.get(join)?.get(usize::from(!at_start)).copied().flatten();
    let way = |tip: usize| ways.get(tip).copied().flatten();
    // Out of a join at the end it is run towards, into another: that one, and whether it is run forwards.
    let follow = |(join, forward): (usize, bool)| match way(tip(join, !forward)?)? {
        Way::On(next) => ends.get(next).map(|e| (e.index, e.at_start)),
        Way::Stop(_) => None,
    };
    let stop = |(join, forward): (usize, bool)| match way(tip(join, !forward)?)? {
        Way::Stop(end) => Some(end),
        Way::On(_) => None,
    };
    let mut used = vec![false; count];
    let mut chains = Vec::new();
    for lead in ends.iter().filter(|e| e.at_start).map(|e| e.index) {
        if used.get(lead) != Some(&false) || tip(lead, true).and_then(way).is_none() {
            continue;
        }
        // Back to where the chain starts, or once round.
        let (mut head, mut closed) = ((lead, true), false);
        while let Some((before, entered_forward)) = follow((head.0, !head.1)) {
            if before == lead {
                closed = true;
                head = (lead, true);
                break;
            }
            head = (before, !entered_forward);
        }
        let (mut run, mut last) = (Vec::new(), head);
        let mut at = Some(head);
        while let Some(here) = at.filter(|h| used.get(h.0) == Some(&false)) {
            if let Some(u) = used.get_mut(here.0) {
                *u = true;
            }
            run.push(here);
            last = here;
            at = follow(here);
        }
        let ends_of = || Some([stop((head.0, !head.1))?, stop(last)?]);
        let length = run.iter().filter_map(|r| ends.get(tip(r.0, true)?)).map(|e| e.join.length).sum();
        chains.push(Chain { joins: run, length, ends: if closed { None } else { ends_of() } });
    }
    chains
}
