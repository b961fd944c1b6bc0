//! Stripes traced in steps, so that the worker can hear between them that they are not wanted any more.

use super::telling::Telling;
use super::{Open, Session};
use crate::lamps::SeenLamps;
use glam::DVec3;
use rakelight_core::flow::{Precision, Stripes, json, svg};
use rakelight_core::highlight::LampRig;
use rakelight_core::model::FaceId;
use rakelight_core::tessellate::{Tessellation, tessellate};
use wasm_bindgen::prelude::*;

/// Stripes as far as they have been traced.
pub struct StripeJob {
    rig: LampRig,
    right: DVec3,
    up: DVec3,
    meshes: Tessellation,
    stripes: Stripes,
    /// Faces, then joins.
    done: usize,
}

impl StripeJob {
    /// Nothing traced yet.
    fn new(seen: &SeenLamps, open: &Open, progress: &mut Telling) -> Result<StripeJob, JsValue> {
        let rig = seen.rig().map_err(|e| JsValue::from_str(&e.to_string()))?.ok_or("no stripes are shown")?;
        let model = &open.prepared.import.model;
        let meshes = tessellate(model, &open.prepared.domains, &open.tolerance, progress);
        let (right, up) = (DVec3::from_array(seen.right), DVec3::from_array(seen.up));
        Ok(StripeJob { rig, right, up, meshes, stripes: Stripes::default(), done: 0 })
    }

    /// Takes the next face or join; false when there is none.
    fn step(&mut self, open: &Open) -> bool {
        let (sheets, graph) = (open.prepared.sheets(), &open.graph);
        let faces = sheets.model.faces.len();
        if self.done < faces {
            let mesh = self.meshes.faces.get(self.done).and_then(Option::as_ref);
            self.stripes.add_face(&self.rig, &sheets, graph, FaceId::new(self.done), mesh, &Precision::default());
        } else if self.done < faces + graph.joins.len() {
            self.stripes.add_join(&self.rig, &sheets, graph, self.done - faces);
        } else {
            return false;
        }
        self.done += 1;
        true
    }
}

#[wasm_bindgen]
impl Session {
    /// Makes ready to trace the stripes of `seen`, a `lamps::SeenLamps`; returns the number of steps.
    pub fn stripes_begin(&mut self, seen: JsValue, on_progress: js_sys::Function) -> Result<usize, JsValue> {
        let seen: SeenLamps = serde_wasm_bindgen::from_value(seen)?;
        let open = self.open.as_ref().ok_or("no file is open")?;
        self.stripes = Some(StripeJob::new(&seen, open, &mut Telling::new(on_progress))?);
        Ok(open.prepared.import.model.faces.len() + open.graph.joins.len())
    }

    /// Takes one step; false when none is left.
    pub fn stripes_step(&mut self) -> bool {
        match (&mut self.stripes, &self.open) {
            (Some(job), Some(open)) => job.step(open),
            _ => false,
        }
    }

    /// The stripes as `svg`, seen as on the screen and in true scale, or as `json`. Lets go of them.
    pub fn stripes_end(&mut self, form: &str) -> Result<String, JsValue> {
        let mut job = self.stripes.take().ok_or("no stripes were traced")?;
        job.stripes.link();
        match form {
            "svg" => Ok(svg(&job.stripes, job.right, job.up)),
            "json" => Ok(json(&job.stripes)),
            _ => Err(JsValue::from_str("no such form")),
        }
    }

    /// Lets go of what has been traced.
    pub fn stripes_drop(&mut self) {
        self.stripes = None;
    }
}
