//! Stripes traced in steps, so that the worker can hear between them that they are not wanted any more.

use super::telling::Telling;
use super::{Open, Session};
use crate::lamps::SeenLamps;
use glam::DVec3;
use rakelight_core::exchange::{Import, Report};
use rakelight_core::flow::{Precision, Stripes, json, svg};
use rakelight_core::highlight::LampRig;
use rakelight_core::joins::{JoinGraph, Options, Sheets};
use rakelight_core::model::{FaceId, Model};
use rakelight_core::review::Prepared;
use rakelight_core::tessellate::{Tessellation, Tolerance, tessellate};
use wasm_bindgen::prelude::*;

/// Stripes as far as they have been traced.
pub struct StripeJob {
    rig: LampRig,
    right: DVec3,
    up: DVec3,
    /// The model as trials leave it, with its joins; None for the open one.
    tried: Option<(Prepared, JoinGraph)>,
    meshes: Tessellation,
    stripes: Stripes,
    /// Faces, then joins.
    done: usize,
}

impl StripeJob {
    /// Nothing traced yet.
    fn new(seen: &SeenLamps, open: &Open, tried: Option<(Prepared, JoinGraph)>, progress: &mut Telling) -> Result<StripeJob, JsValue> {
        let rig = seen.rig().map_err(|e| JsValue::from_str(&e.to_string()))?.ok_or("no stripes are shown")?;
        let (right, up) = (DVec3::from_array(seen.right), DVec3::from_array(seen.up));
        let mut job = StripeJob { rig, right, up, tried, meshes: Tessellation::default(), stripes: Stripes::default(), done: 0 };
        let Sheets { model, domains } = job.of(open).0;
        job.meshes = tessellate(model, domains, &Tolerance::for_model(model), progress);
        Ok(job)
    }

    /// What is traced.
    fn of<'a>(&'a self, open: &'a Open) -> (Sheets<'a>, &'a JoinGraph) {
        match &self.tried {
            Some((prepared, graph)) => (prepared.sheets(), graph),
            None => (open.prepared.sheets(), &open.graph),
        }
    }

    /// Number of steps.
    fn total(&self, open: &Open) -> usize {
        let (sheets, graph) = self.of(open);
        sheets.model.faces.len() + graph.joins.len()
    }

    /// Takes the next face or join; false when there is none.
    fn step(&mut self, open: &Open) -> bool {
        let mut stripes = std::mem::take(&mut self.stripes);
        let (sheets, graph) = self.of(open);
        let faces = sheets.model.faces.len();
        let more = self.done < faces + graph.joins.len();
        if self.done < faces {
            let mesh = self.meshes.faces.get(self.done).and_then(Option::as_ref);
            stripes.add_face(&self.rig, &sheets, graph, FaceId::new(self.done), mesh, &Precision::default());
        } else if more {
            stripes.add_join(&self.rig, &sheets, graph, self.done - faces);
        }
        self.done += usize::from(more);
        self.stripes = stripes;
        more
    }
}

/// A model that trials have made, with its joins.
fn joined(model: &Model, options: &Options, progress: &mut Telling) -> Result<(Prepared, JoinGraph), JsValue> {
    let prepared = Prepared::new(Import { model: model.clone(), report: Report::default() });
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, options, progress).map_err(|_| "cancelled")?;
    Ok((prepared, graph))
}

#[wasm_bindgen]
impl Session {
    /// Makes ready to trace the stripes of `seen`, a `lamps::SeenLamps`, on the model or as the trials made last leave it; returns the
    /// number of steps.
    pub fn stripes_begin(&mut self, seen: JsValue, tried: bool, on_progress: js_sys::Function) -> Result<usize, JsValue> {
        let seen: SeenLamps = serde_wasm_bindgen::from_value(seen)?;
        let open = self.open.as_ref().ok_or("no file is open")?;
        let mut progress = Telling::new(on_progress);
        let made =
            self.tried.as_ref().filter(|_| tried).map(|t| joined(&t.applied.model, &self.options.joins, &mut progress)).transpose()?;
        let job = StripeJob::new(&seen, open, made, &mut progress)?;
        let total = job.total(open);
        self.stripes = Some(job);
        Ok(total)
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
