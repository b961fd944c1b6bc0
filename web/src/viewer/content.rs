//! The page gives faces and joins, lifts some of them out, and asks what lies where.

use super::layers::polylines;
use super::renderer::Renderer;
use super::{Viewer, context, plain, triple};
use crate::facing::{face_place, facing};
use crate::form_at::{FormValues, form_at};
use crate::form_colour::Leaves;
use crate::joins_packet::MEASURES;
use crate::pick::{Hit, pick};
use crate::scene::Scene;
use glam::DVec3;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Where a face is.
#[derive(Serialize)]
struct FacePlace {
    point: [f64; 3],
    size: f64,
}

/// What was picked, with the values of form there.
#[derive(Serialize)]
struct Picked {
    #[serde(flatten)]
    hit: Hit,
    form: Option<FormValues>,
    /// The sampled value there, mm.
    sampled: Option<f64>,
}

#[wasm_bindgen]
impl Viewer {
    /// Takes one packed face; throws when it is damaged.
    pub fn add_faces(&mut self, packet: &[u8]) -> Result<(), JsValue> {
        let index = self.scene.add(packet).map_err(|e| JsValue::from_str(&e.to_string()))?;
        self.renderer.add_face(&self.scene, index)?;
        self.grown = true;
        Ok(())
    }

    /// Puts everything on the device again, after it has lost all it held; throws when it cannot.
    pub fn revive(&mut self) -> Result<(), JsValue> {
        self.renderer = Renderer::new(context::open(&self.canvas)?)?;
        self.upload()
    }

    /// Forgets faces and joins; the next faces are fitted into the frame.
    pub fn clear(&mut self) {
        self.scene = Scene::default();
        self.renderer.clear(self.form.needs() != Leaves::Points);
        self.flight = None;
        self.fresh = true;
    }

    /// Forgets the joins.
    pub fn clear_joins(&mut self) {
        self.scene.joins.clear();
        self.marks.join = None;
        self.renderer.joins_changed();
    }

    /// Takes some packed joins; throws when they are damaged.
    pub fn add_joins(&mut self, packet: &[u8]) -> Result<(), JsValue> {
        self.scene.add_joins(packet).map_err(|e| JsValue::from_str(&e.to_string()))?;
        self.renderer.joins_added();
        Ok(())
    }

    /// Colours the joins by `g0`, `g1`, `g2` (relative) or `g3` (relative) against [polish, fix, serious], null for no limit; `none` hides them.
    pub fn set_join_measure(&mut self, name: &str, limits: JsValue) -> Result<(), JsValue> {
        let column = if name == "g2" { "g2_rel" } else { name };
        let limits: Vec<Option<f64>> = serde_wasm_bindgen::from_value(limits)?;
        self.marks.measure = MEASURES.iter().position(|m| *m == column);
        self.marks.limits = std::array::from_fn(|i| limits.get(i).copied().flatten().unwrap_or(f64::NAN));
        self.renderer.joins_changed();
        Ok(())
    }

    /// Tints a face; −1: none.
    pub fn highlight_face(&mut self, id: i32) {
        self.marks.face = u32::try_from(id).ok();
        self.renderer.paint_changed();
    }

    /// Lifts a join out; −1: none.
    pub fn highlight_join(&mut self, id: i32) {
        self.marks.join = u32::try_from(id).ok();
        self.renderer.paint_changed();
    }

    /// Marks a point; without numbers: none.
    pub fn marker(&mut self, x: Option<f64>, y: Option<f64>, z: Option<f64>) {
        self.marks.point = match (x, y, z) {
            (Some(x), Some(y), Some(z)) => Some(DVec3::new(x, y, z)).filter(|p| p.is_finite()),
            _ => None,
        };
        self.renderer.marker_changed();
    }

    /// Draws polylines over the model in place of the last ones: flat x, y, z in mm, one after the other, `counts` points each.
    ///
    /// # Errors
    /// When the counts do not suit the points.
    pub fn set_lines(&mut self, points: &[f64], counts: &[u32]) -> Result<(), JsValue> {
        self.marks.lines = polylines(points, counts)?;
        self.renderer.lines_changed();
        Ok(())
    }

    /// Where points stand on the canvas, x, y in CSS pixels each; not a number behind the eye.
    pub fn on_screen(&self, points: &[f64]) -> Vec<f64> {
        let ratio = f64::from(self.marks.ratio);
        let projector = self.camera.projector();
        let place = |p: &[f64; 3]| projector.project(DVec3::from_array(*p)).map_or([f64::NAN; 2], |s| [s.x / ratio, s.y / ratio]);
        points.as_chunks::<3>().0.iter().flat_map(place).collect()
    }

    /// Unit vector out of the model at a point on some of `faces`; undefined when that cannot be told.
    pub fn facing(&self, faces: &[u32], point: &[f64]) -> Result<Option<Vec<f64>>, JsValue> {
        Ok(facing(&self.scene, faces, triple(point)?).map(|n| n.to_array().to_vec()))
    }

    /// {point, size} of a face: a point of its mesh near its middle and its diagonal, mm; null when it is not shown.
    pub fn face_place(&self, id: u32) -> Result<JsValue, JsValue> {
        match face_place(&self.scene, id) {
            Some((point, size)) => plain(&FacePlace { point: point.to_array(), size }),
            None => Ok(JsValue::NULL),
        }
    }

    /// What lies under a pixel: {face, u, v, point, normal, join, form: {gaussian, mean, max, min,
    /// radius, hollow} or null, sampled: mm or null}, or null.
    pub fn pick(&self, x: f64, y: f64) -> Result<JsValue, JsValue> {
        let k = self.lowered;
        match pick(&self.scene, &self.camera, x * k, y * k, f64::from(self.marks.ratio)) {
            Some(hit) => {
                let form = hit.face.and_then(|face| form_at(&self.scene, face, hit.u, hit.v, &self.form));
                let sampled = hit.face.and_then(|face| self.scene.maps.get(&face)?.at(hit.u, hit.v));
                plain(&Picked { hit, form, sampled })
            }
            None => Ok(JsValue::NULL),
        }
    }
}

impl Viewer {
    /// Puts everything on the device.
    pub(super) fn upload(&mut self) -> Result<(), JsValue> {
        (0..self.scene.faces.len()).try_for_each(|index| self.renderer.add_face(&self.scene, index))?;
        self.renderer.classes_changed(&self.scene.classes)?;
        self.renderer.want(self.form.needs())
    }
}
