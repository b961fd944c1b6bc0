//! The viewer the page drives: each exported function converts, calls and converts back.
//!
//! Pixels are device pixels from the canvas's top left corner, lengths mm.

mod appearance;
mod context;
mod frame;
mod gpu_face;
mod lines;
mod picture;
mod probe;
mod program;
mod renderer;
mod settle;
mod shade;
mod strokes;
mod textures;
mod view;

use crate::camera::{Camera, Projection};
use crate::facing::{face_place, facing};
use crate::flight::Flight;
use crate::joins_packet::{JoinsPacket, MEASURES};
use crate::lamps::LampSettings;
use crate::pick::pick;
use crate::scene::Scene;
use appearance::Theme;
use glam::DVec3;
use picture::{Marks, Picture};
use rakelight_core::highlight::LampRig;
use renderer::Renderer;
use serde::Serialize;
use wasm_bindgen::prelude::*;
use web_sys::{HtmlCanvasElement, WebGl2RenderingContext as Gl};

/// Most device pixels of a frame; above, the resolution is lowered and the status says so. Larger
/// runs small devices out of memory (36 bytes a pixel between the passes).
const MAX_PIXELS: f64 = 6e6;

/// Draws one model on one canvas.
#[wasm_bindgen]
pub struct Viewer {
    canvas: HtmlCanvasElement,
    renderer: Renderer,
    scene: Scene,
    camera: Camera,
    flight: Option<Flight>,
    lamps: LampSettings,
    rig: Option<LampRig>,
    theme: Theme,
    marks: Marks,
    /// The camera has not been moved by anybody, so that new faces may still refit it.
    fresh: bool,
    lowered: f64,
}

/// What the page may know of the picture.
#[derive(Serialize)]
struct Status {
    exact: bool,
    pending: bool,
    share: f64,
    note: String,
    faces: usize,
    inexact_faces: usize,
    float_targets: bool,
    lost: bool,
}

/// Where a face is.
#[derive(Serialize)]
struct FacePlace {
    point: [f64; 3],
    size: f64,
}

#[wasm_bindgen]
impl Viewer {
    /// Opens WebGL2 on a canvas; throws a sentence for the user when the device has none.
    pub fn create(canvas: HtmlCanvasElement) -> Result<Viewer, JsValue> {
        console_error_panic_hook::set_once();
        let renderer = Renderer::new(context::open(&canvas)?)?;
        Ok(Viewer {
            canvas,
            renderer,
            scene: Scene::default(),
            camera: Camera::default(),
            flight: None,
            lamps: LampSettings::default(),
            rig: None,
            theme: Theme::default(),
            marks: Marks { face: None, join: None, point: None, measure: None, limits: [f64::NAN; 3], ratio: 1.0 },
            fresh: true,
            lowered: 1.0,
        })
    }

    /// Takes one packed face; throws when it is damaged.
    pub fn add_faces(&mut self, packet: &[u8]) -> Result<(), JsValue> {
        let index = self.scene.add(packet).map_err(|e| JsValue::from_str(&e.to_string()))?;
        self.renderer.add_face(&self.scene, index)?;
        if self.fresh {
            self.camera.fit(&self.scene.corners());
        }
        self.aim_lamps()
    }

    /// Forgets faces and joins; the next faces are fitted into the frame.
    pub fn clear(&mut self) {
        self.scene = Scene::default();
        self.renderer.clear();
        self.flight = None;
        self.fresh = true;
    }

    /// Takes the packed joins; throws when they are damaged.
    pub fn set_joins(&mut self, packet: &[u8]) -> Result<(), JsValue> {
        self.scene.joins = JoinsPacket::read(packet).map_err(|e| JsValue::from_str(&e.to_string()))?;
        self.renderer.joins_changed();
        Ok(())
    }

    /// Sets the frame to a size in CSS pixels and a ratio of device pixels to them.
    pub fn resize(&mut self, width: f64, height: f64, ratio: f64) {
        let wanted = width * height * ratio * ratio;
        self.lowered = if wanted > MAX_PIXELS { (MAX_PIXELS / wanted).sqrt() } else { 1.0 };
        let device = |x: f64| (x * ratio * self.lowered).round().max(1.0);
        (self.camera.width, self.camera.height) = (device(width), device(height));
        self.canvas.set_width(self.camera.width as u32);
        self.canvas.set_height(self.camera.height as u32);
        self.marks.ratio = (ratio * self.lowered) as f32;
        if self.fresh {
            self.camera.fit(&self.scene.corners());
        }
        self.renderer.view_changed();
    }

    /// Turns about the target by a drag.
    pub fn orbit(&mut self, dx: f64, dy: f64) {
        self.moved(|c, k| c.orbit(dx * k, dy * k));
    }

    /// Shifts the view by a drag.
    pub fn pan(&mut self, dx: f64, dy: f64) {
        self.moved(|c, k| c.pan(dx * k, dy * k));
    }

    /// Zooms so that what is under the pixel stays there; `factor` > 1 comes nearer.
    pub fn zoom(&mut self, factor: f64, x: f64, y: f64) {
        let (x, y) = (x * self.lowered, y * self.lowered);
        let under = pick(&self.scene, &self.camera, x, y, 1.0).map(|h| DVec3::from_array(h.point));
        let anchor = under.unwrap_or_else(|| self.camera.ray(x, y).base);
        let radius = self.scene.bounds().radius();
        self.moved(|c, _| c.zoom(factor, anchor, radius));
    }

    /// Fits the model into the frame from the present side.
    pub fn fit(&mut self) {
        let corners = self.scene.corners();
        self.moved(|c, _| c.fit(&corners));
        self.fresh = true;
    }

    /// Turns to a named side and fits; false for an unknown name.
    pub fn standard_view(&mut self, name: &str) -> bool {
        let mut to = self.camera;
        let known = to.standard_view(name);
        if known {
            to.fit(&self.scene.corners());
            self.fresh = false;
            self.flight = Some(Flight::new(self.camera, to));
        }
        known
    }

    /// `perspective` or `orthographic`; anything else changes nothing.
    pub fn set_projection(&mut self, name: &str) {
        let projection = match name {
            "perspective" => Projection::Perspective,
            "orthographic" => Projection::Orthographic,
            _ => return,
        };
        let refit = self.fresh;
        self.moved(|c, _| c.projection = projection);
        if refit {
            self.fit();
        }
    }

    /// The camera as a plain record.
    pub fn camera(&self) -> Result<JsValue, JsValue> {
        plain(&self.flight.as_ref().map_or(self.camera, Flight::end))
    }

    /// Sets the camera from such a record, the frame's size kept; throws when it is no sound camera.
    pub fn set_camera(&mut self, camera: JsValue) -> Result<(), JsValue> {
        let given: Camera = serde_wasm_bindgen::from_value(camera)?;
        if !given.is_sound() {
            return Err(JsValue::from_str("this camera has numbers out of range"));
        }
        self.moved(|c, _| *c = Camera { width: c.width, height: c.height, ..given });
        Ok(())
    }

    /// Starts a flight to a point, facing its normal where one is given, until `size` mm fill the frame.
    pub fn fly_to(&mut self, point: Vec<f64>, normal: Option<Vec<f64>>, size: f64) -> Result<(), JsValue> {
        let mut to = self.camera;
        to.target = triple(&point)?.to_array();
        if let Some(n) = normal {
            to.face(triple(&n)?);
        }
        let across = 2.0 * self.camera.half_extent().min_element();
        if size.is_finite() && size > 0.0 {
            to.distance = self.camera.distance * size / across;
        }
        if !to.is_sound() {
            return Err(JsValue::from_str("there is no flight to such a place"));
        }
        self.fresh = false;
        self.flight = Some(Flight::new(self.camera, to));
        Ok(())
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

    /// Moves a flight on to a time in ms; true while it goes on.
    pub fn tick(&mut self, now: f64) -> bool {
        let Some(flight) = &mut self.flight else { return false };
        let (camera, more) = flight.at(now);
        self.camera = Camera { width: self.camera.width, height: self.camera.height, ..camera };
        if !more {
            self.flight = None;
        }
        self.renderer.view_changed();
        more
    }

    /// Ends a flight at once where it was going.
    pub fn arrive(&mut self) {
        if let Some(flight) = self.flight.take() {
            self.camera = Camera { width: self.camera.width, height: self.camera.height, ..flight.end() };
            self.renderer.view_changed();
        }
    }

    /// Sets the lamps: {family, direction, turn, count, spacing, width, distance}; throws when they make no stripes.
    pub fn set_stripes(&mut self, settings: JsValue) -> Result<(), JsValue> {
        self.lamps = serde_wasm_bindgen::from_value(settings)?;
        self.aim_lamps()
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

    /// Sets the colours: {paper, ink, relief}.
    pub fn set_theme(&mut self, theme: JsValue) -> Result<(), JsValue> {
        self.theme = serde_wasm_bindgen::from_value(theme)?;
        self.renderer.paint_changed();
        Ok(())
    }

    /// Draws what has changed. `moving` stays quick; `exact` also settles some more of the picture:
    /// call it again while the status says pending. True when the picture is as good as asked for.
    pub fn draw(&mut self, quality: &str) -> Result<bool, JsValue> {
        let exact = quality == "exact";
        let now = js_sys::Date::now();
        let picture = Picture { scene: &self.scene, camera: &self.camera, rig: self.rig.as_ref(), theme: &self.theme, marks: &self.marks };
        self.renderer.draw(exact, now, &picture)?;
        Ok(!exact || self.renderer.settled())
    }

    /// What lies under a pixel: {face, u, v, point, normal, join}, or null.
    pub fn pick(&self, x: f64, y: f64) -> Result<JsValue, JsValue> {
        let k = self.lowered;
        match pick(&self.scene, &self.camera, x * k, y * k, f64::from(self.marks.ratio)) {
            Some(hit) => plain(&hit),
            None => Ok(JsValue::NULL),
        }
    }

    /// {exact, pending, share, note, faces, inexact_faces, float_targets, lost}.
    pub fn status(&self) -> Result<JsValue, JsValue> {
        let settled = self.renderer.settled();
        let inexact = self.renderer.inexact_faces();
        let mut notes = Vec::new();
        if inexact > 0 {
            notes.push(format!(
                "{inexact} of {} faces by vertex normals: degree or size above what the picture evaluates",
                self.scene.faces.len()
            ));
        }
        if self.lowered < 1.0 {
            notes.push(format!("drawn at {:.0} % of the screen's resolution", self.lowered * 100.0));
        }
        plain(&Status {
            exact: settled && inexact == 0,
            pending: !settled,
            share: self.renderer.share(),
            note: notes.join("; "),
            faces: self.scene.faces.len(),
            inexact_faces: inexact,
            float_targets: self.renderer.ability.float_targets,
            lost: self.renderer.is_lost(),
        })
    }

    /// The sequential map from good to bad as `steps` CSS colours, for the page's legend.
    pub fn map_colours(steps: u32) -> Vec<String> {
        let last = f64::from(steps.max(2) - 1);
        (0..steps.max(2))
            .map(|i| crate::colour::map_colour(f64::from(i) / last).map(|x| (x * 255.0).round() as u8))
            .map(|[r, g, b]| format!("rgb({r} {g} {b})"))
            .collect()
    }
}

impl Viewer {
    fn moved(&mut self, act: impl FnOnce(&mut Camera, f64)) {
        self.flight = None;
        self.fresh = false;
        act(&mut self.camera, self.lowered);
        self.renderer.view_changed();
    }

    fn aim_lamps(&mut self) -> Result<(), JsValue> {
        let bounds = self.scene.bounds();
        let rig = self.lamps.rig((bounds.min + bounds.max) / 2.0);
        self.rig = rig.map_err(|e| JsValue::from_str(&e.to_string()))?;
        self.renderer.paint_changed();
        Ok(())
    }
}

fn plain(value: &impl Serialize) -> Result<JsValue, JsValue> {
    Ok(value.serialize(&serde_wasm_bindgen::Serializer::json_compatible())?)
}

fn triple(v: &[f64]) -> Result<DVec3, JsValue> {
    match v {
        [x, y, z] => Ok(DVec3::new(*x, *y, *z)),
        _ => Err(JsValue::from_str("three numbers are needed")),
    }
}
