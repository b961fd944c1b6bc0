//! The worker's side: one file read, meshed, joined and measured; each exported function converts,
//! calls and converts back.

mod face_pack;
mod join_pack;
mod telling;

pub use face_pack::pack as pack_face;
use join_pack::{ORDERS, limits, trace};
use rakelight_core::exchange;
use rakelight_core::finding::Zone;
use rakelight_core::joins::JoinGraph;
use rakelight_core::progress::Silent;
use rakelight_core::review::{Bounds, Check, Options, Prepared, findings};
use rakelight_core::tessellate::{Tolerance, stream};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use telling::Telling;
use wasm_bindgen::prelude::*;

/// One open file.
#[wasm_bindgen]
#[derive(Default)]
pub struct Session {
    open: Option<Open>,
    zone: Zone,
    options: Options,
}

/// What is kept of the file.
struct Open {
    name: String,
    prepared: Prepared,
    bounds: Bounds,
    graph: JoinGraph,
}

/// Why a file was not opened, as the page shows it.
#[derive(Serialize)]
struct Refusal {
    message: String,
    entity: Option<u64>,
    line: Option<u32>,
    kind: &'static str,
}

/// A measure's limits, as the page shows them.
#[derive(Serialize)]
struct LimitRecord {
    unit: &'static str,
    limits: [Option<f64>; 3],
}

/// What the page knows of the file beside joins and findings.
#[derive(Serialize)]
struct Summary<'a> {
    #[serde(flatten)]
    check: &'a Check,
    /// The faces' names by id, empty where the file gives none.
    names: BTreeMap<String, &'a str>,
}

/// How a file is to be read.
#[derive(Deserialize)]
struct Reading {
    /// Millimetres to take for the file's unit.
    unit: Option<f64>,
    /// What the file hides too.
    hidden: bool,
}

/// Times as the page measures them, ms.
#[derive(Deserialize)]
struct Times {
    import_ms: f64,
    tessellate_ms: f64,
    joins_ms: f64,
}

#[wasm_bindgen]
impl Session {
    /// Nothing open yet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Session {
        console_error_panic_hook::set_once();
        Session::default()
    }

    /// Reads a file whole, its unit and what it hides as `reading` {unit: mm or null, hidden} says: `on_progress(stage, done, total)` as it goes on, `on_face(bytes)` for each packed
    /// face. Throws {message, entity, line, kind}.
    pub fn open(
        &mut self,
        name: String,
        bytes: &[u8],
        reading: JsValue,
        on_progress: js_sys::Function,
        on_face: &js_sys::Function,
    ) -> Result<(), JsValue> {
        let reading: Reading = serde_wasm_bindgen::from_value(reading)?;
        (self.options.limits.unit, self.options.limits.hidden) = (reading.unit, reading.hidden);
        let mut progress = Telling::new(on_progress);
        let import = exchange::read(bytes, &name, &self.options.limits, &mut progress).map_err(|e| refusal(&e))?;
        let prepared = Prepared::new(import);
        let mut bounds = Bounds::default();
        let model = &prepared.import.model;
        stream(model, &prepared.domains, &Tolerance::for_model(model), &mut progress, |id, mesh| {
            if let (Ok(mesh), Some(face)) = (mesh, model.face(id)) {
                bounds.add(&mesh, face, prepared.domains.get(id.index()).and_then(Option::as_ref));
                let packet = js_sys::Uint8Array::from(face_pack::pack(face, &mesh).write().as_slice());
                // A page that throws while it takes a face is asked for the next one all the same.
                let _ = on_face.call1(&JsValue::NULL, &packet);
            }
        });
        model.curves.iter().for_each(|c| bounds.add_curve(c));
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &self.options.joins, &mut progress)
            .map_err(|_| JsValue::from_str("cancelled"))?;
        self.open = Some(Open { name, prepared, bounds, graph });
        Ok(())
    }

    /// {file, schema, units, import, counts, bbox, unread, faces, names}.
    pub fn summary(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let mut check = open.check(&[]);
        check.joins.clear();
        let names = open.prepared.import.model.faces().map(|(id, f)| (id.index().to_string(), f.name.as_str()));
        plain(&Summary { check: &check, names: names.filter(|(_, n)| !n.is_empty()).collect() })
    }

    /// The joins, records as in `check --json`.
    pub fn joins(&self) -> Result<JsValue, JsValue> {
        plain(&self.opened()?.check(&[]).joins)
    }

    /// The joins to be drawn, packed.
    pub fn joins_packet(&self) -> Result<Vec<u8>, JsValue> {
        Ok(join_pack::pack(&self.opened()?.graph, &self.options.joins.floors).write())
    }

    /// The findings by a zone's limits, ranked, records as in `check --json`; measured on the first call of a zone.
    pub fn findings(&mut self, yardstick: &str) -> Result<JsValue, JsValue> {
        self.zone = Zone::from_text(yardstick).ok_or("no such yardstick")?;
        plain(&self.graded(None)?.findings)
    }

    /// {g0…g3: {unit, limits: [polish, fix, serious]}} of a zone; null for no limit.
    pub fn limits(&self, yardstick: &str) -> Result<JsValue, JsValue> {
        let zone = Zone::from_text(yardstick).ok_or("no such yardstick")?;
        let all: BTreeMap<&str, LimitRecord> = ORDERS
            .iter()
            .map(|(name, measure, unit)| (*name, LimitRecord { unit, limits: limits(&self.options.yardstick, *measure, zone) }))
            .collect();
        plain(&all)
    }

    /// The measures along a join, with the limits of the zone last asked for.
    pub fn trace(&self, join: usize) -> Result<JsValue, JsValue> {
        let found = trace(&self.opened()?.graph, join, &self.options.joins.floors, &self.options.yardstick, self.zone);
        plain(&found.ok_or("no such join")?)
    }

    /// The text of `check --json` by a zone's limits; `times` {import_ms, tessellate_ms, joins_ms} or null.
    pub fn check_json(&mut self, yardstick: &str, times: JsValue) -> Result<String, JsValue> {
        self.zone = Zone::from_text(yardstick).ok_or("no such yardstick")?;
        let times: Option<Times> = serde_wasm_bindgen::from_value(times)?;
        self.graded(times)?.to_json().map_err(|e| JsValue::from_str(&e.to_string()))
    }
}

impl Session {
    fn opened(&self) -> Result<&Open, JsValue> {
        self.open.as_ref().ok_or_else(|| JsValue::from_str("no file is open"))
    }

    fn graded(&self, times: Option<Times>) -> Result<Check, JsValue> {
        let open = self.opened()?;
        let found = findings(&open.prepared, &open.graph, &self.options.yardstick, self.zone, &mut Silent);
        let mut check = open.check(&found);
        check.times =
            times.map(|t| rakelight_core::review::Times { import_ms: t.import_ms, tessellate_ms: t.tessellate_ms, joins_ms: t.joins_ms });
        Ok(check)
    }
}

impl Open {
    fn check(&self, found: &[rakelight_core::finding::Finding]) -> Check {
        Check::new(&self.name, &self.prepared, self.bounds.corners(), &self.graph, found, None)
    }
}

fn refusal(error: &exchange::ReadError) -> JsValue {
    use exchange::ReadErrorKind::{Cancelled, File, Format, Limit};
    let kind = match error.kind {
        Format => "format",
        File => "file",
        Limit => "limit",
        Cancelled => "cancelled",
        _ => "unknown",
    };
    let record = Refusal { message: error.message.clone(), entity: error.entity, line: error.line, kind };
    plain(&record).unwrap_or_else(|e| e)
}

fn plain(value: &(impl Serialize + ?Sized)) -> Result<JsValue, JsValue> {
    Ok(value.serialize(&serde_wasm_bindgen::Serializer::json_compatible())?)
}
