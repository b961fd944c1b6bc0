//! A view with its judgements as a link, for the page.

use super::plain;
use rakelight_core::review::link::Link;
use wasm_bindgen::prelude::*;

/// The text after `#` of a record with the fields of `Link`. Throws a text that says why there is none.
#[wasm_bindgen]
pub fn link_text(record: JsValue) -> Result<String, JsValue> {
    let link: Link = serde_wasm_bindgen::from_value(record)?;
    link.write().map_err(|e| JsValue::from_str(&e.to_string()))
}

/// What such a text says, as a record with the fields of `Link`. Throws a text that says what is wrong with it.
#[wasm_bindgen]
pub fn link_read(text: &str) -> Result<JsValue, JsValue> {
    let link = Link::read(text).map_err(|e| JsValue::from_str(&e.to_string()))?;
    plain(&link)
}
