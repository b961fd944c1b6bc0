//! What the open model is held against, as the page takes it.

use super::{Session, plain, refusal};
use rakelight_core::exchange;
use rakelight_core::math::Point3;
use rakelight_core::measure::against;
use rakelight_core::progress::Silent;
use rakelight_core::reference::{FarRegion, Reference};
use rakelight_core::review::ReferenceRecord;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// What holding against it came to.
#[derive(Serialize)]
struct Held {
    #[serde(flatten)]
    record: ReferenceRecord,
    /// Hatching of what is missing, and of what is extra: x, y, z of both ends of each line.
    hatch: Hatch,
}

#[derive(Serialize)]
struct Hatch {
    missing: Vec<f64>,
    extra: Vec<f64>,
}

#[wasm_bindgen]
impl Session {
    /// Reads a file and holds the open model against it; what is nearer than `near` mm is near. {file, kind, count, far, turned,
    /// distances, far_area, beside_area, missing, extra, hatch: {missing, extra}}, as in `check --json` but for the last. The open
    /// model is to be graded again. Throws {message, entity, line, kind}; the last reference then stays.
    pub fn hold(&mut self, name: String, bytes: Vec<u8>, near: f64) -> Result<JsValue, JsValue> {
        let limits = exchange::Limits { unit: None, ..self.options.limits };
        let import = exchange::read(&bytes, &name, &limits, &mut Silent).map_err(|e| refusal(&e))?;
        drop(bytes);
        let reference = Reference::new(&name, import.model, near, &mut Silent).map_err(|e| JsValue::from_str(&e.to_string()))?;
        let open = self.open.as_mut().ok_or("no file is open")?;
        open.reference = Some(reference);
        open.memo.reference_changed();
        self.held()
    }

    /// Lets the reference go.
    pub fn let_go(&mut self) -> Result<(), JsValue> {
        let open = self.open.as_mut().ok_or("no file is open")?;
        open.reference = None;
        open.memo.reference_changed();
        Ok(())
    }

    fn held(&self) -> Result<JsValue, JsValue> {
        let subject = self.opened()?.subject();
        let record = ReferenceRecord::new(&subject).ok_or("there is no reference")?;
        let found = against(&subject).ok_or("there is no reference")?;
        let flat =
            |regions: &mut dyn Iterator<Item = &FarRegion>| regions.flat_map(|r| r.hatch()).flatten().flat_map(Point3::to_array).collect();
        let hatch = Hatch { missing: flat(&mut found.missing.iter().map(|m| &m.0)), extra: flat(&mut found.extra.iter()) };
        plain(&Held { record, hatch })
    }
}
