//! Combs as the page takes them: numbers in rows, a row a tooth.

use super::{Open, Session, plain};
use rakelight_core::model::FaceId;
use rakelight_core::review::{Comb, Tooth, Way, border_combs, iso_combs, join_combs};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What the page asks.
#[derive(Deserialize)]
struct Wish {
    /// Combs of a join, across or along.
    join: Option<usize>,
    /// Combs of a face, on isoparametric curves of constant u or v, or along its borders.
    face: Option<usize>,
    /// Which of them.
    ways: Vec<Kind>,
    /// Between teeth, mm.
    spacing: f64,
    /// Isoparametric curves each way.
    curves: usize,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Kind {
    Across,
    Along,
    U,
    V,
    Border,
}

/// The combs of one side: of a join's first or second face, or of the one face.
#[derive(Serialize)]
pub(super) struct Record {
    side: &'static str,
    /// Point, normal and curvature of each tooth: x, y, z, x, y, z in mm, 1/mm with convex as positive.
    teeth: Vec<f64>,
    /// Teeth of each comb.
    counts: Vec<usize>,
    /// Where the curvature changes sign, x, y, z each.
    inflections: Vec<f64>,
    /// Largest curvature of all, 1/mm, with its sign; null of none.
    most: Option<f64>,
}

/// Most curves each way: more are drawn over each other.
const MOST_CURVES: usize = 50;

#[wasm_bindgen]
impl Session {
    /// Combs: {join or null, face or null, ways: [across, along, u, v, border], spacing, curves} gives [{side: first or second, teeth,
    /// counts, inflections, most}].
    pub fn combs(&self, wish: JsValue) -> Result<JsValue, JsValue> {
        let wish: Wish = serde_wasm_bindgen::from_value(wish)?;
        let [first, second] = combs(self.opened()?, &wish);
        plain(&[record("first", &first), record("second", &second)])
    }
}

fn combs(open: &Open, wish: &Wish) -> [Vec<Comb>; 2] {
    let (prepared, graph) = (&open.prepared, &open.graph);
    let [mut first, mut second] = [Vec::new(), Vec::new()];
    let curves = wish.curves.clamp(1, MOST_CURVES);
    for kind in &wish.ways {
        let iso = |face: usize, of_u: bool| {
            let at = |i: usize| (i as f64 + 0.5) / curves as f64;
            (0..curves).flat_map(move |i| iso_combs(prepared, graph, FaceId::new(face), of_u, at(i), wish.spacing))
        };
        match (kind, wish.join, wish.face) {
            (Kind::Across | Kind::Along, Some(join), _) => {
                let way = if matches!(kind, Kind::Across) { Way::Across } else { Way::Along };
                let [a, b] = join_combs(prepared, graph, join, way, wish.spacing);
                first.extend(a);
                second.extend(b);
            }
            (Kind::U | Kind::V, _, Some(face)) => first.extend(iso(face, matches!(kind, Kind::U))),
            (Kind::Border, _, Some(face)) => first.extend(border_combs(prepared, graph, FaceId::new(face), wish.spacing)),
            _ => {}
        }
    }
    [first, second]
}

pub(super) fn record(side: &'static str, combs: &[Comb]) -> Record {
    let all = || combs.iter().flat_map(|c| &c.teeth);
    let row = |t: &Tooth| {
        let ([x, y, z], [a, b, c]) = (t.point.to_array(), t.normal.to_array());
        [x, y, z, a, b, c, t.curvature]
    };
    Record {
        side,
        teeth: all().flat_map(row).collect(),
        counts: combs.iter().map(|c| c.teeth.len()).collect(),
        inflections: combs.iter().flat_map(|c| &c.inflections).flat_map(|p| p.to_array()).collect(),
        most: all().map(|t| t.curvature).max_by(|a, b| a.abs().total_cmp(&b.abs())),
    }
}
