//! tmp
use super::{Session, plain};
use rakelight_core::finding::Zone;
use rakelight_core::review::said::ReviewFile;
use rakelight_core::review::verdict;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Session {
    /// tmp
    pub fn verdict(&self, review: JsValue) -> Result<JsValue, JsValue> {
        let file: ReviewFile = serde_wasm_bindgen::from_value(review)?;
        let open = self.opened()?;
        plain(&verdict(&open.check(&open.findings), &file.review, &|_| Zone::Visible))
    }
    /// tmp
    pub fn report(&self, _form: &str, _review: JsValue, made: &str, pictures: JsValue) -> Result<String, JsValue> {
        let _ = pictures;
        Ok(format!("<p>{made}</p>"))
    }
}
