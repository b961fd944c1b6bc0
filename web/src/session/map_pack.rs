//! Values sampled over faces as the page takes them.

use super::{Session, plain};
use crate::scene_map::SceneMap;
use rakelight_core::math::Arrange;
use rakelight_core::progress::Silent;
use rakelight_core::review::{FaceMap, fair_maps, mirror_maps, reference_maps, tilt_maps};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Values and what they run over.
#[derive(Serialize)]
struct Maps {
    maps: Vec<SceneMap>,
    /// Those at 0, 1, … 100 % of the samples.
    range: Vec<f64>,
}

#[wasm_bindgen]
impl Session {
    /// Values over faces by the name of a view, `fair`, `sides`, `reference` or `tilt`: {maps: [{face, over: [u, u, v, v], columns, rows, values}], range}.
    /// Values in mm, of `tilt` in degrees, row by row along u; null where there is none.
    pub fn maps(&self, view: &str) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let size = open.bounds.corners().map_or(1.0, |[a, b]| a.distance(b));
        let found = match view {
            "fair" => fair_maps(&open.prepared, &open.graph, &open.memo, size, &mut Silent),
            "sides" => mirror_maps(&open.prepared, &open.graph, size, &mut Silent),
            "reference" | "tilt" => {
                open.reference.as_ref().ok_or("there is no reference")?;
                let maps = if view == "tilt" { tilt_maps } else { reference_maps };
                maps(&open.subject(), size, &mut Silent)
            }
            _ => return Err("no such values".into()),
        };
        plain(&Maps { range: shares(&found), maps: found.into_iter().map(of).collect() })
    }
}

fn of(map: FaceMap) -> SceneMap {
    let (u, v) = map.over;
    SceneMap {
        face: u32::try_from(map.face.index()).unwrap_or(u32::MAX),
        over: [u.low, u.high, v.low, v.high],
        columns: map.size.0,
        rows: map.size.1,
        values: map.values.into_iter().map(|x| Some(x as f32).filter(|x| x.is_finite())).collect(),
    }
}

fn shares(maps: &[FaceMap]) -> Vec<f64> {
    let mut all: Vec<f64> = maps.iter().flat_map(|m| &m.values).copied().filter(|x| x.is_finite()).collect();
    all.arrange_by(f64::total_cmp);
    let at = |k: usize| all.get(k * all.len().saturating_sub(1) / 100).copied();
    (0..=100).filter_map(at).collect()
}
