//! An earlier revision beside the open model, as the page takes it.

use super::telling::Telling;
use super::{Session, plain, refusal};
use rakelight_core::exchange;
use rakelight_core::progress::Silent;
use rakelight_core::review::revision::{Judged, RevisionRecord, carried};
use rakelight_core::review::{Opened, Options};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Session {
    /// Reads an earlier revision in the unit it states: `on_progress(stage, done, total)`. Throws {message, entity, line, kind}; the last
    /// one then stays.
    pub fn take_earlier(&mut self, name: String, bytes: Vec<u8>, on_progress: js_sys::Function) -> Result<(), JsValue> {
        let limits = exchange::Limits { unit: None, ..self.options.limits };
        let options = Options { limits, ..self.options.clone() };
        let earlier = Opened::read(&bytes, &name, &options, &mut Telling::new(on_progress), &mut || 0.0).map_err(|e| refusal(&e))?;
        (self.earlier, self.record) = (Some(earlier), None);
        Ok(())
    }

    /// What became of its findings, both judged by the limits last graded by; as `revision` of `check --json`, null without one.
    pub fn revision(&mut self) -> Result<JsValue, JsValue> {
        plain(&self.carried()?)
    }

    /// Lets it go.
    pub fn drop_earlier(&mut self) {
        (self.earlier, self.record) = (None, None);
    }
}

impl Session {
    /// What became of the earlier revision's findings, both judged by the limits last graded by; None without one.
    pub(super) fn carried(&mut self) -> Result<Option<RevisionRecord>, JsValue> {
        let Some(earlier) = &mut self.earlier else { return Ok(None) };
        let findings = earlier.judge(None, &self.options, &mut Silent);
        let open = self.open.as_ref().ok_or("no file is open")?;
        let (was, now) = (earlier.subject(None), open.subject());
        let all = carried(
            &Judged { subject: &was, findings: &findings },
            &Judged { subject: &now, findings: &open.findings },
            &self.options.yardstick,
        );
        Ok(Some(RevisionRecord::new(&earlier.name, &findings, &all)))
    }
}
