//! How a model is built of patches, as `check --json` tells it: roles, chains of edges, and where the layout is not planned. Lengths mm,
//! angles degrees.

use super::number::Number;
use super::record::{PointRecord, point};
use crate::joins::{Chain, ChainEnd, Crossing, Role, ThroughBreak};
use crate::math::Arrange;
use crate::measure::Subject;
use crate::model::FaceId;
use serde::Serialize;

/// From how many degrees off straight on a corner of four edges is told. Larger: bent rows pass; smaller: corners of every curved
/// layout are told. Common practice, no source.
const ALIGNED: f64 = 5.0;
/// From how many on it is no row that misses but a corner of the part, where edges are meant to turn. Larger: the corners of boxes
/// are told; smaller: rows that are badly off are not. Common practice, no source.
const MEANT: f64 = 45.0;

/// Faces by role, rising.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
#[allow(missing_docs)] // one a role
pub struct RoleRecord {
    pub primary: Vec<usize>,
    pub transition: Vec<usize>,
    pub detail: Vec<usize>,
}

/// An end of a chain.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ChainEndRecord {
    pub at: PointRecord,
    pub stop: &'static str,
    pub off: Option<Number>,
}

/// A chain of joins.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ChainRecord {
    pub joins: Vec<usize>,
    pub length: Number,
    pub ends: Vec<ChainEndRecord>,
}

/// A corner where four edges do not line up.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct CrossingRecord {
    pub at: PointRecord,
    pub joins: Vec<usize>,
    pub off: [Number; 2],
}

/// A join that does not run through.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct BreakRecord {
    pub at: PointRecord,
    pub join: usize,
    pub against: Option<usize>,
    pub inside: bool,
}

/// An edge shorter than the search distance.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct TinyRecord {
    pub at: PointRecord,
    pub face: usize,
    pub length: Number,
}

/// The layout of a model.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct LayoutRecord {
    /// Faces by role.
    pub roles: RoleRecord,
    /// Chains, the longest first.
    pub chains: Vec<ChainRecord>,
    /// Corners of four edges that miss going on straight, the worst first.
    pub corners: Vec<CrossingRecord>,
    /// Joins that do not run through; those that end inside an edge first.
    pub breaks: Vec<BreakRecord>,
    /// Edges of faces that are shorter than the distance within which ends of joins count as one corner, the shortest first: nothing
    /// can be told apart along them, nor held when a neighbour moves.
    pub tiny: Vec<TinyRecord>,
}

impl LayoutRecord {
    /// The record of a model. Copies of faces have a role and nothing else.
    pub fn new(subject: &Subject<'_>) -> Self {
        let flow = subject.edge_flow();
        let mut roles = RoleRecord::default();
        for (i, role) in subject.graph.roles.iter().enumerate() {
            match role {
                Role::Primary => roles.primary.push(i),
                Role::Transition => roles.transition.push(i),
                Role::Detail => roles.detail.push(i),
            }
        }
        let mut corners: Vec<&Crossing> = flow.crossings.iter().filter(|c| c.off[0] > ALIGNED && c.off[0] < MEANT).collect();
        corners.arrange_by(|a, b| b.off[0].total_cmp(&a.off[0]).then_with(|| a.joins.cmp(&b.joins)));
        let mut breaks: Vec<BreakRecord> = flow.breaks.iter().map(BreakRecord::new).collect();
        breaks.arrange_by_key(|b| (!b.inside, b.join));
        Self {
            roles,
            chains: flow.chains.iter().map(ChainRecord::new).collect(),
            corners: corners.into_iter().map(CrossingRecord::new).collect(),
            breaks,
            tiny: tiny(subject),
        }
    }
}

fn tiny(subject: &Subject<'_>) -> Vec<TinyRecord> {
    let of = |id: FaceId| {
        let short = subject.sheets.edges(id).into_iter().filter(|e| e.length < subject.graph.search);
        short.map(move |e| TinyRecord { at: point(e.middle), face: id.index(), length: Number(e.length) })
    };
    let mut all: Vec<TinyRecord> =
        subject.sheets.model.faces().filter(|(id, _)| !subject.graph.is_copy(*id)).flat_map(|(id, _)| of(id)).collect();
    all.arrange_by(|a, b| a.length.0.total_cmp(&b.length.0).then(a.face.cmp(&b.face)));
    all
}

impl ChainRecord {
    fn new(c: &Chain) -> Self {
        let end = |e: &ChainEnd| ChainEndRecord { at: point(e.point), stop: e.stop.text(), off: e.off.map(Number) };
        Self { joins: c.joins.iter().map(|j| j.0).collect(), length: Number(c.length), ends: c.ends.iter().flatten().map(end).collect() }
    }
}

impl CrossingRecord {
    fn new(c: &Crossing) -> Self {
        Self { at: point(c.point), joins: c.joins.clone(), off: c.off.map(Number) }
    }
}

impl BreakRecord {
    fn new(b: &ThroughBreak) -> Self {
        Self { at: point(b.point), join: b.join, against: b.against.map(FaceId::index), inside: b.inside }
    }
}
