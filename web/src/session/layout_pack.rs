//! What the Layout pass shows.

use super::{Session, plain};
use rakelight_core::joins::{Chain, JoinGraph};
use rakelight_core::measure::{Merge, Subject, merges};
use rakelight_core::review::{
    BreakRecord, ChainRecord, CrossingRecord, FaceLayout, LayoutRecord, PlanMap, RoleRecord, TinyRecord, face_layouts, plan_map,
};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Stations of one join drawn at most. More cost memory; fewer show as corners when a bend is seen near.
const DRAWN: usize = 129;

/// A chain's record with its line.
#[derive(Serialize)]
struct PageChain {
    #[serde(flatten)]
    record: ChainRecord,
    /// x, y, z along it, mm; joins end to end.
    points: Vec<f64>,
}

/// One patch that was tried in place of two.
#[derive(Serialize)]
struct PageMerge {
    faces: [usize; 2],
    join: usize,
    degree: [usize; 2],
    spans: [usize; 2],
    /// How far it lies from the two at most, mm.
    off: f64,
    /// True where that is near enough to take their place.
    holds: bool,
}

/// All of it.
#[derive(Serialize)]
struct Layout {
    roles: RoleRecord,
    faces: Vec<FaceLayout>,
    chains: Vec<PageChain>,
    corners: Vec<CrossingRecord>,
    breaks: Vec<BreakRecord>,
    tiny: Vec<TinyRecord>,
    map: PlanMap,
    merges: Vec<PageMerge>,
}

#[wasm_bindgen]
impl Session {
    /// {roles, chains, corners, breaks, tiny} as in `check --json`, chains with points; {faces, map, merges}: a record a face, the plan map,
    /// and pairs of patches for which one was tried.
    pub fn layout(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject =
            Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo, reference: None };
        let LayoutRecord { roles, chains, corners, breaks, tiny } = LayoutRecord::new(&subject);
        let flow = subject.edge_flow();
        let with_line = |(record, chain): (ChainRecord, &Chain)| PageChain { record, points: line(&open.graph, chain) };
        let chains = chains.into_iter().zip(&flow.chains).map(with_line).collect();
        plain(&Layout {
            roles,
            faces: face_layouts(&subject),
            chains,
            corners,
            breaks,
            tiny,
            map: plan_map(&subject),
            merges: merges(&subject).iter().map(PageMerge::new).collect(),
        })
    }
}

impl PageMerge {
    fn new(m: &Merge) -> Self {
        Self {
            faces: [m.faces.0.index(), m.faces.1.index()],
            join: m.join,
            degree: [m.degree.0, m.degree.1],
            spans: [m.spans.0, m.spans.1],
            off: m.off,
            holds: m.holds,
        }
    }
}

fn line(graph: &JoinGraph, chain: &Chain) -> Vec<f64> {
    let mut all = Vec::new();
    for &(join, forward) in &chain.joins {
        let Some(stations) = graph.joins.get(join).map(|j| &j.stations) else { continue };
        let last = stations.len().saturating_sub(1);
        let count = last.clamp(1, DRAWN - 1);
        for i in 0..=count {
            let at = if forward { i } else { count - i };
            if let Some(s) = stations.get(at * last / count) {
                all.extend(s.p.to_array());
            }
        }
    }
    all
}
