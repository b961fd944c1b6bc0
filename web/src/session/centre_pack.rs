//! What the page is told of the centre plane beside joins and findings.

use super::{Session, plain};
use rakelight_core::measure::{RowAngle, row_angles};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A border on the centre plane.
#[derive(Serialize)]
struct Row {
    face: usize,
    angle: f64,
    point: [f64; 3],
}

#[wasm_bindgen]
impl Session {
    /// [{face, angle, point}]: of each border on the centre plane how far its control rows are off square at most, degrees, and where.
    pub fn rows_at_centre(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let row = |r: RowAngle| Row { face: r.face.index(), angle: r.angle, point: r.point.to_array() };
        plain(&row_angles(&open.prepared.sheets(), &open.graph).into_iter().map(row).collect::<Vec<_>>())
    }
}
