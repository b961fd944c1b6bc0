//! An earlier revision beside the open model, as the page takes it.

use super::digest::digest;
use super::telling::Telling;
use super::{Session, plain, refusal};
use rakelight_core::exchange;
use rakelight_core::math::Point3;
use rakelight_core::progress::Progress;
use rakelight_core::review::revision::{Judged, RevisionRecord, carried, earlier_plan, face_at};
use rakelight_core::review::{Opened, Options};
use rakelight_core::tessellate::Tessellation;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// What is kept of it.
pub(super) struct Earlier {
    pub opened: Opened,
    /// Of the file's bytes.
    hash: String,
    /// Made when the first section is asked for.
    pub meshes: Option<Tessellation>,
}

/// What the page knows of its file.
#[derive(Serialize)]
struct About<'a> {
    hash: &'a str,
    /// Least and greatest corner, mm; null of nothing.
    bbox: Option<[[f64; 3]; 2]>,
}

#[wasm_bindgen]
impl Session {
    /// Reads an earlier revision in the unit it states: `on_progress(stage, done, total)`. Throws {message, entity, line, kind}; the last
    /// one then stays.
    pub fn take_earlier(&mut self, name: String, bytes: Vec<u8>, on_progress: js_sys::Function) -> Result<(), JsValue> {
        let limits = exchange::Limits { unit: None, ..self.options.limits };
        let options = Options { limits, ..self.options.clone() };
        let opened = Opened::read(&bytes, &name, &options, &mut Telling::new(on_progress), &mut || 0.0).map_err(|e| refusal(&e))?;
        (self.earlier, self.record) = (Some(Earlier { opened, hash: digest(&bytes), meshes: None }), None);
        Ok(())
    }

    /// What became of its findings, both judged by the limits last graded by; as `revision` of `check --json`, null without one.
    /// `on_progress(stage, done, total)`.
    pub fn revision(&mut self, on_progress: js_sys::Function) -> Result<JsValue, JsValue> {
        plain(&self.carried(&mut Telling::new(on_progress))?)
    }

    /// {hash, bbox: [least, greatest] or null} of its file, null without one.
    pub fn earlier_about(&self) -> Result<JsValue, JsValue> {
        let Some(earlier) = &self.earlier else { return Ok(JsValue::NULL) };
        let bbox = earlier.opened.bounds.corners().map(|c| c.map(|p| p.to_array()));
        plain(&About { hash: &earlier.hash, bbox })
    }

    /// For each place, x, y, z in mm, of another revision the face of the open model on which it lies still, −1 for none.
    pub fn faces_at(&self, places: &[f64]) -> Result<Vec<i32>, JsValue> {
        let subject = self.opened()?.subject();
        let index = subject.index();
        let face = |&[x, y, z]: &[f64; 3]| face_at(&index, &subject.sheets, Point3::new(x, y, z));
        let at = |p| face(p).and_then(|f| i32::try_from(f.index()).ok());
        Ok(places.as_chunks().0.iter().map(|p| at(p).unwrap_or(-1)).collect())
    }

    /// Lets it go.
    pub fn drop_earlier(&mut self) {
        (self.earlier, self.record) = (None, None);
    }
}

impl Session {
    /// What became of the earlier revision's findings, both judged by the limits last graded by; None without one.
    pub(super) fn carried(&mut self, progress: &mut dyn Progress) -> Result<Option<RevisionRecord>, JsValue> {
        let Some(Earlier { opened: earlier, .. }) = &mut self.earlier else { return Ok(None) };
        let open = self.open.as_ref().ok_or("no file is open")?;
        let zones = earlier_plan(&self.options.zones, &earlier.subject(None), &open.subject());
        let findings = earlier.judge(None, &Options { zones, ..self.options.clone() }, progress);
        let (was, now) = (earlier.subject(None), open.subject());
        let all = carried(
            &Judged { subject: &was, findings: &findings },
            &Judged { subject: &now, findings: &open.findings },
            &self.options.yardstick,
        );
        Ok(Some(RevisionRecord::new(&earlier.name, &findings, &all)))
    }
}
