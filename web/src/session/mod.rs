//! The worker's side: one file read, meshed, joined and measured; each exported function converts,
//! calls and converts back.

mod against_pack;
mod centre_pack;
mod comb_pack;
mod digest;
mod entries;
mod face_pack;
mod fillets_pack;
mod finding_pack;
mod form_pack;
mod gap_pack;
mod join_pack;
mod layout_pack;
mod limits;
mod lines_pack;
mod link_pack;
mod making;
mod map_pack;
mod named_pack;
mod nets_pack;
mod probe_pack;

mod reading;
mod reference_pack;
mod report_pack;
mod revision_pack;
mod room;
mod section_pack;
mod sharp;
mod stripe_job;
mod telling;
mod trial_faces;
mod trial_lines;
mod trial_pack;
mod vocabulary;
mod zones_pack;

use crate::packet::FacePacket;
use against_pack::HoldJob;
use digest::digest;
use entries::Entries;
pub use face_pack::pack as pack_face;
use finding_pack::PageFinding;
use limits::{Wanted, limits};
use making::Making;
use rakelight_core::exchange;
use rakelight_core::finding::{Finding, Yardstick, Zone};
use rakelight_core::joins::JoinGraph;
use rakelight_core::math::distinct;
use rakelight_core::measure::{Memo, Subject};
use rakelight_core::model::FaceId;
use rakelight_core::progress::Silent;
use rakelight_core::reference::Reference;
use rakelight_core::remedy::Tried;
use rakelight_core::review::{Bounds, Check, JoinRecord, JoinTrace, Options, Prepared, judged};
use rakelight_core::tessellate::{Tessellation, Tolerance, stream};
use reading::Reading;
use revision_pack::Earlier;
use serde::{Deserialize, Serialize};
use stripe_job::StripeJob;
use telling::Telling;
use wasm_bindgen::prelude::*;
use zones_pack::{Traits, ZoneWish, ZonesTold, told, traits};

/// One open file.
#[wasm_bindgen]
#[derive(Default)]
pub struct Session {
    /// Of the file to open next.
    bytes: Vec<u8>,
    open: Option<Open>,
    /// Stripes on their way.
    stripes: Option<StripeJob>,
    /// A reference on its way.
    holding: Option<HoldJob>,
    /// The revision before the open one, if it is held beside it.
    earlier: Option<Earlier>,
    /// What was tried last.
    tried: Option<Tried>,
    /// Faces that were given as they came beside changed ones.
    shown_before: Vec<FaceId>,
    /// How files are read and joins looked for, and the limits last graded by.
    options: Options,
    /// How often joins have been looked for.
    surveys: u32,
    /// Records of the open file as last graded; None until somebody asks.
    record: Option<Check>,
}

/// What is kept of the file.
struct Open {
    name: String,
    /// Of the file's bytes.
    hash: String,
    prepared: Prepared,
    /// How finely its faces were meshed first.
    tolerance: Tolerance,
    bounds: Bounds,
    graph: JoinGraph,
    /// What no limit changes.
    memo: Memo,
    /// What it is held against, if anything.
    reference: Option<Reference>,
    /// As last graded.
    findings: Vec<Finding>,
    /// Made when the first section is asked for.
    meshes: Option<Tessellation>,
}

/// Why a file was not opened, as the page shows it.
#[derive(Serialize)]
struct Refusal {
    message: String,
    entity: Option<u64>,
    line: Option<u32>,
    kind: &'static str,
}

/// What the page knows of the file beside joins and findings.
#[derive(Serialize)]
struct Summary<'a> {
    #[serde(flatten)]
    check: &'a Check,
    /// SHA-256 of the file's bytes.
    hash: &'a str,
    /// Search distance of joins used, mm.
    search: f64,
    /// The faces' names by id, empty where the file gives none.
    names: Entries<String, &'a str>,
    traits: Traits,
}

/// How joins are judged.
#[derive(Serialize)]
struct Classes {
    surveys: u32,
    joins: Vec<(&'static str, &'static str)>,
    zones: ZonesTold,
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

    /// Takes the bytes of the file to open next; they are let go of as soon as it is read.
    pub fn take(&mut self, bytes: Vec<u8>) {
        room::ask_for(bytes.len());
        self.bytes = bytes;
    }

    /// Reads the file taken, its unit and what it hides as `reading` {unit: mm or null, hidden, search: mm or null, plane:
    /// {normal, offset} or {points} or null, chord and angle if any} says: `on_progress(stage,
    /// done, total)` as it goes on, `on_face(bytes)` for each packed face. Throws {message, entity, line, kind}.
    pub fn open(
        &mut self,
        name: String,
        reading: JsValue,
        on_progress: js_sys::Function,
        on_face: &js_sys::Function,
    ) -> Result<(), JsValue> {
        let reading: Reading = serde_wasm_bindgen::from_value(reading)?;
        reading.set(&mut self.options);
        let mut progress = Telling::new(on_progress);
        let bytes = std::mem::take(&mut self.bytes);
        let import = exchange::read(&bytes, &name, &self.options.limits, &mut progress).map_err(|e| refusal(&e))?;
        let hash = digest(&bytes);
        drop(bytes);
        let prepared = Prepared::new(import);
        let mut bounds = Bounds::default();
        let model = &prepared.import.model;
        let tolerance = reading.tolerance(model);
        let send = |packet: &FacePacket| {
            // A page that throws while it takes a face is asked for the next one all the same.
            let _ = on_face.call1(&JsValue::NULL, &js_sys::Uint8Array::from(packet.write().as_slice()));
        };
        let untrimmed = distinct(prepared.untrimmed.iter().map(|u| u.face));
        stream(model, &prepared.domains, &tolerance, &mut progress, |id, mesh| {
            if let (Ok(mesh), Some(face)) = (mesh, model.face(id)) {
                bounds.add(&mesh, face, prepared.domains.get(id.index()).and_then(Option::as_ref));
                send(&face_pack::pack(face, &mesh, untrimmed.binary_search(&id).is_ok()));
            }
        });
        model.curves.iter().for_each(|c| bounds.add_curve(c));
        bounds.add_references(model);
        reference_pack::pack(model, tolerance.chord, |packet| send(&packet));
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &self.options.joins, &mut progress)
            .map_err(|_| JsValue::from_str("cancelled"))?;
        self.surveys += 1;
        (self.holding, self.earlier, self.record) = (None, None, None);
        (self.tried, self.shown_before) = (None, Vec::new());
        self.open = Some(Open {
            name,
            hash,
            prepared,
            tolerance,
            bounds,
            graph,
            memo: Memo::default(),
            reference: None,
            findings: Vec::new(),
            meshes: None,
        });
        Ok(())
    }

    /// {file, schema, units, import, counts, bbox, unread, hash, search, names, traits: {layers, colours}}.
    pub fn summary(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let check = Check::head(&open.name, &open.prepared, open.bounds.corners(), &open.graph);
        let names = open.prepared.import.model.faces().map(|(id, f)| (id.index().to_string(), f.name.as_str()));
        plain(&Summary {
            check: &check,
            hash: &open.hash,
            search: open.graph.search,
            names: names.filter(|(_, n)| !n.is_empty()).collect(),
            traits: traits(&open.prepared.import.model),
        })
    }

    /// Number of joins.
    pub fn join_count(&self) -> Result<usize, JsValue> {
        Ok(self.opened()?.graph.joins.len())
    }

    /// Joins `from` to `to`, records as in `check --json`.
    pub fn joins(&self, from: usize, to: usize) -> Result<JsValue, JsValue> {
        let joins = self.opened()?.graph.joins.iter().enumerate().skip(from).take(to.saturating_sub(from));
        plain(&joins.map(|(id, join)| JoinRecord::new(id, join)).collect::<Vec<_>>())
    }

    /// The same joins to be drawn, packed.
    pub fn joins_packet(&self, from: usize, to: usize) -> Result<Vec<u8>, JsValue> {
        Ok(join_pack::pack(&self.opened()?.graph, from..to.max(from), &self.options.joins.floors).write())
    }

    /// Classes joins and ranks findings by the limits of each face's zone: `yardstick` where `zones` ({rules: [{by, is, zone}], picked:
    /// [[face, zone]]}) says nothing else; those of `wanted` ({zone: {g0…g3: [polish, fix, serious]}}, some or none of them) in place of
    /// the usual ones, and by what the part is made of, `making` ({pull, draft, offset, radius}, null for what does not matter); the
    /// number of findings. What was measured stays as it is.
    pub fn grade(&mut self, yardstick: &str, wanted: JsValue, making: JsValue, zones: JsValue) -> Result<usize, JsValue> {
        let zones: ZoneWish = serde_wasm_bindgen::from_value(zones)?;
        let making: Making = serde_wasm_bindgen::from_value(making)?;
        let wanted: Wanted = serde_wasm_bindgen::from_value(wanted)?;
        let zone = Zone::from_text(yardstick).ok_or("no such yardstick")?;
        let limits = wanted.over(&Yardstick::default()).map_err(|e| JsValue::from_str(&e))?;
        self.options.yardstick = making.over(&limits).map_err(|e| JsValue::from_str(&e))?;
        self.options.zones = zones.plan(zone).map_err(|e| JsValue::from_str(&e))?;
        self.record = None;
        let open = self.open.as_mut().ok_or("no file is open")?;
        open.findings = judged(&open.prepared, &mut open.graph, &open.memo, open.reference.as_ref(), &self.options, &mut Silent);
        Ok(open.findings.len())
    }

    /// {surveys, joins, zones: {rest, fits}}: how often joins have been looked for, [class, required] of each as last graded, and the zone
    /// of each face as rules say, with the number of faces that each rule counts for.
    pub fn classes(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let joins = open.graph.joins.iter().map(|j| (j.class.text(), j.required.text())).collect();
        plain(&Classes { surveys: self.surveys, joins, zones: told(&self.options.zones, &open.prepared.import.model) })
    }

    /// Findings `from` to `to` of the last grading, the worst first: records as in `check --json`, and `drawn`, polylines that show each
    /// on the model, flat in mm.
    pub fn findings(&self, from: usize, to: usize) -> Result<JsValue, JsValue> {
        let some = self.opened()?.findings.iter().skip(from).take(to.saturating_sub(from));
        plain(&some.map(PageFinding::new).collect::<Vec<_>>())
    }

    /// {g0…g3: {unit, limits: [polish, fix, serious], usual}} as last graded by; null for no limit.
    pub fn limits(&self) -> Result<JsValue, JsValue> {
        limits(&self.options.yardstick, &Yardstick::default(), self.options.zones.usual)
    }

    /// The measures along a join.
    pub fn trace(&self, join: usize) -> Result<JsValue, JsValue> {
        plain(&JoinTrace::new(&self.opened()?.graph, join, &self.options.joins.floors).ok_or("no such join")?)
    }

    /// {ranges: {gaussian, mean, max, min, radius}, sides, classes}: values at 0 to 100 % of the area, null for infinite; the outward
    /// side of each face, 1 for Su × Sv or −1; the class of each face, 0 to 7, such that neighbours differ.
    pub fn form(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        plain(&form_pack::form(&open.prepared, &open.graph).ok_or("cancelled")?)
    }

    /// The text of `check --json` by the limits last graded by; `times` {import_ms, tessellate_ms, joins_ms} or null.
    pub fn check_json(&mut self, times: JsValue) -> Result<String, JsValue> {
        let times: Option<Times> = serde_wasm_bindgen::from_value(times)?;
        let open = self.opened()?;
        let mut check = open.check(&self.options);
        check.times =
            times.map(|t| rakelight_core::review::Times { import_ms: t.import_ms, tessellate_ms: t.tessellate_ms, joins_ms: t.joins_ms });
        check.to_json().map_err(|e| JsValue::from_str(&e.to_string()))
    }
}

impl Session {
    fn opened(&self) -> Result<&Open, JsValue> {
        self.open.as_ref().ok_or_else(|| JsValue::from_str("no file is open"))
    }
}

impl Open {
    fn subject(&self) -> Subject<'_> {
        let reference = self.reference.as_ref();
        Subject { sheets: self.prepared.sheets(), areas: &self.prepared.areas, graph: &self.graph, memo: &self.memo, reference }
    }

    fn check(&self, options: &Options) -> Check {
        let zones = options.zones.of(&self.prepared.import.model);
        Check::new(&self.name, &self.prepared, self.bounds.corners(), &self.subject(), (&self.findings, &zones), None)
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
