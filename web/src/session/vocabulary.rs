//! The core's words for its measures, as the page takes them.

use super::plain;
use rakelight_core::finding::MeasureId;
use wasm_bindgen::prelude::*;

/// [id, name where it is found wanting, unit, pass] of every measure.
#[wasm_bindgen]
pub fn vocabulary() -> Result<JsValue, JsValue> {
    let words = |m: &MeasureId| [m.text(), m.title(), m.unit().text(), m.pass().text()];
    plain(&MeasureId::ALL.iter().map(words).collect::<Vec<_>>())
}
