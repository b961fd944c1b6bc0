//! What the Layout pass shows.

use super::{Session, plain};
use rakelight_core::joins::{Chain, JoinGraph};
use rakelight_core::measure::Subject;
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
}

#[wasm_bindgen]
impl Session {
    /// {roles, chains, corners, breaks, tiny} as in `check --json`, chains with points; {faces, map}: a record a face and the plan map.
    pub fn layout(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject = Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo };
        let LayoutRecord { roles, chains, corners, breaks, tiny } = LayoutRecord::new(&subject);
        let flow = subject.edge_flow();
        let with_line = |(record, chain): (ChainRecord, &Chain)| PageChain { record, points: line(&open.graph, chain) };
        let chains = chains.into_iter().zip(&flow.chains).map(with_line).collect();
        plain(&Layout { roles, faces: face_layouts(&subject), chains, corners, breaks, tiny, map: plan_map(&subject) })
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
