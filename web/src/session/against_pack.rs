//! What the open model is held against, as the page takes it.

use super::{Session, plain, refusal};
use rakelight_core::exchange;
use rakelight_core::geometry::Surface;
use rakelight_core::math::Point3;
use rakelight_core::measure::{Comparing, against};
use rakelight_core::model::FaceId;
use rakelight_core::progress::Silent;
use rakelight_core::reference::{FarRegion, JoinSweep, Reference, patch_sides, sweep_of_joins};
use rakelight_core::review::ReferenceRecord;
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What holding against it came to.
#[derive(Serialize)]
struct Held {
    #[serde(flatten)]
    record: ReferenceRecord,
    /// Hatching of what is missing, and of what is extra: x, y, z of both ends of each line.
    hatch: Hatch,
    /// Parameter lines of a sweep: x, y, z of their points, and how many each has; none of a file.
    net: Net,
}

#[derive(Serialize, Default)]
struct Net {
    points: Vec<f64>,
    counts: Vec<usize>,
}

/// What makes a sweep, lists of joins.
#[derive(Serialize, Deserialize)]
struct Rails {
    first: Vec<usize>,
    second: Vec<usize>,
    start: Vec<usize>,
    end: Vec<usize>,
}

/// How far the spline of a sweep may lie off it, mm: a tenth of what is seen of a distance. Common practice, no source.
const SWEEP: f64 = 1e-3;

/// Parameter lines each way by which a sweep is drawn, and points on each.
const LINES: (usize, usize) = (9, 33);

#[derive(Serialize)]
struct Hatch {
    missing: Vec<f64>,
    extra: Vec<f64>,
}

/// A reference that the open model is being held against, in steps, so that the worker can hear between them that it is not wanted
/// any more.
pub struct HoldJob {
    reference: Reference,
    comparing: Comparing,
}

#[wasm_bindgen]
impl Session {
    /// Reads a file to hold the open model against; what is nearer than `near` mm is near. The number of steps to take. Throws {message,
    /// entity, line, kind}; the last reference then stays.
    pub fn hold_begin(&mut self, name: String, bytes: Vec<u8>, near: f64) -> Result<usize, JsValue> {
        let limits = exchange::Limits { unit: None, ..self.options.limits };
        let import = exchange::read(&bytes, &name, &limits, &mut Silent).map_err(|e| refusal(&e))?;
        drop(bytes);
        let reference = Reference::new(&name, import.model, near, &mut Silent).map_err(text)?;
        self.hold_with(reference)
    }

    /// Sweeps a section between rails to hold the open model against, as an ideal flow: {first, second, start, end}, lists of joins,
    /// `end` empty where the section stays the same. As `hold_begin`.
    pub fn hold_sweep_begin(&mut self, wish: JsValue, near: f64) -> Result<usize, JsValue> {
        let Rails { first, second, start, end } = serde_wasm_bindgen::from_value(wish)?;
        let open = self.opened()?;
        let wish = JoinSweep { rails: [first, second], first: start, last: end, tolerance: SWEEP };
        let sweep = sweep_of_joins(&open.prepared.sheets(), &open.graph, &wish).map_err(text)?;
        let reference = Reference::of_surface("", sweep.surface, near, &mut Silent).map_err(text)?;
        self.hold_with(reference)
    }

    /// Takes a step; true while there are more.
    pub fn hold_step(&mut self) -> Result<bool, JsValue> {
        let (open, job) = (self.open.as_ref(), self.holding.as_mut());
        let (open, job) = open.zip(job).ok_or("nothing is being held")?;
        Ok(job.comparing.step(&open.subject(), &job.reference))
    }

    /// The last reference stays.
    pub fn hold_drop(&mut self) {
        self.holding = None;
    }

    /// After the last step: {file, kind, count, far, turned, distances, far_area, beside_area, missing, extra, hatch: {missing, extra}, net:
    /// {points, counts}}, as in `check --json` but for the last two. The open model is to be graded again.
    pub fn hold_end(&mut self) -> Result<JsValue, JsValue> {
        let HoldJob { reference, comparing } = self.holding.take().ok_or("nothing is being held")?;
        self.record = None;
        let open = self.open.as_mut().ok_or("no file is open")?;
        open.reference = Some(reference);
        comparing.keep(&open.subject());
        self.held()
    }

    /// Lets the reference go.
    pub fn let_go(&mut self) -> Result<(), JsValue> {
        self.record = None;
        let open = self.open.as_mut().ok_or("no file is open")?;
        open.reference = None;
        open.memo.reference_changed();
        Ok(())
    }

    /// The joins along a patch's four sides, {first, second, start, end}; null of a face that has no such sides.
    pub fn sides(&self, face: usize) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let sides = patch_sides(&open.prepared.sheets(), &open.graph, FaceId::new(face), SWEEP);
        plain(&sides.map(|JoinSweep { rails: [first, second], first: start, last: end, .. }| Rails { first, second, start, end }))
    }

    fn hold_with(&mut self, reference: Reference) -> Result<usize, JsValue> {
        let comparing = Comparing::new(&self.opened()?.subject(), &reference);
        let total = comparing.progress().1;
        self.holding = Some(HoldJob { reference, comparing });
        Ok(total)
    }

    fn held(&self) -> Result<JsValue, JsValue> {
        let subject = self.opened()?.subject();
        let record = ReferenceRecord::new(&subject).ok_or("there is no reference")?;
        let found = against(&subject).ok_or("there is no reference")?;
        let flat =
            |regions: &mut dyn Iterator<Item = &FarRegion>| regions.flat_map(|r| r.hatch()).flatten().flat_map(Point3::to_array).collect();
        let hatch = Hatch { missing: flat(&mut found.missing.iter().map(|m| &m.0)), extra: flat(&mut found.extra.iter()) };
        let net = subject.reference.and_then(Reference::surface).map(net).unwrap_or_default();
        plain(&Held { record, hatch, net })
    }
}

fn text(e: impl std::fmt::Display) -> JsValue {
    JsValue::from_str(&e.to_string())
}

fn net(surface: &Surface) -> Net {
    let (u, v) = surface.domain();
    let at = |i: usize, n: usize| i as f64 / (n - 1) as f64;
    let mut net = Net::default();
    for k in 0..2 * LINES.0 {
        let fixed = at(k / 2, LINES.0);
        for i in 0..LINES.1 {
            let along = at(i, LINES.1);
            let (s, t) = if k % 2 == 0 { (fixed, along) } else { (along, fixed) };
            net.points.extend(surface.point(u.at(s), v.at(t)).to_array());
        }
        net.counts.push(LINES.1);
    }
    net
}
