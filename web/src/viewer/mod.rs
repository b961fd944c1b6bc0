//! The viewer the page drives: each exported function converts, calls and converts back.
//!
//! Pixels are device pixels from the canvas's top left corner, lengths mm.

mod appearance;
mod bases;
mod classes;
mod combs;
mod content;
mod context;
mod form;
mod frame;
mod gpu_face;
mod gpu_map;
mod gpu_near;
mod image;
mod layers;
mod lines;
mod motion;
mod net;
mod paint;
mod picture;
mod probe;
mod program;
mod renderer;
mod rig;
mod settle;
mod shade;
mod shade_programs;
mod shared;
mod sharpen;
mod strokes;
mod surfaces;
mod textures;
mod turn;
mod view;

use crate::camera::Camera;
use crate::flight::Flight;
use crate::form_colour::{FormSettings, Leaves};
use crate::lamps::LampSettings;
use crate::packet::Role;
use crate::scene::Scene;
use appearance::Theme;
use glam::DVec3;
use picture::{Marks, Picture};
use rakelight_core::highlight::LampRig;
use renderer::Renderer;
use serde::Serialize;
use std::collections::BTreeMap;
use wasm_bindgen::prelude::*;
use web_sys::{HtmlCanvasElement, WebGl2RenderingContext as Gl};

/// Most device pixels of a frame; above, the resolution is lowered and the status says so. Larger
/// runs small devices out of memory (44 bytes a pixel between the passes, 52 with curvatures).
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
    form: FormSettings,
    theme: Theme,
    marks: Marks,
    /// The camera has not been moved by anybody, so that new faces may still refit it.
    fresh: bool,
    /// Faces have come since the last frame.
    grown: bool,
    lowered: f64,
}

/// What the page may know of the picture.
#[derive(Serialize)]
struct Status {
    exact: bool,
    pending: bool,
    behind: bool,
    unseen: bool,
    share: f64,
    note: String,
    faces: usize,
    inexact_faces: usize,
    float_targets: bool,
    lost: bool,
}

#[wasm_bindgen]
impl Viewer {
    /// Opens WebGL2 on a canvas; throws a sentence for the user when the device has none.
    pub fn create(canvas: HtmlCanvasElement) -> Result<Viewer, JsValue> {
        console_error_panic_hook::set_once();
        let renderer = Renderer::new(context::open(&canvas)?)?;
        Ok(Viewer::on(canvas, renderer))
    }

    /// Sets the frame to a size in CSS pixels and a ratio of device pixels to them.
    pub fn resize(&mut self, width: f64, height: f64, ratio: f64) {
        let wanted = width * height * ratio * ratio;
        self.lowered = if wanted > MAX_PIXELS { (MAX_PIXELS / wanted).sqrt() } else { 1.0 };
        let device = |x: f64| (x * ratio * self.lowered).round().max(1.0);
        (self.camera.width, self.camera.height) = (device(width), device(height));
        self.marks.ratio = (ratio * self.lowered) as f32;
        if self.fresh {
            self.camera.fit(&self.scene.corners());
        }
        self.renderer.view_changed();
    }

    /// Sets the lamps: {family, direction, turn, count, spacing, width, distance}; throws when they make no stripes.
    pub fn set_stripes(&mut self, settings: JsValue) -> Result<(), JsValue> {
        self.lamps = serde_wasm_bindgen::from_value(settings)?;
        self.aim_lamps()
    }

    /// Sets the colours: {paper, ink, relief}.
    pub fn set_theme(&mut self, theme: JsValue) -> Result<(), JsValue> {
        self.theme = serde_wasm_bindgen::from_value(theme)?;
        self.renderer.paint_changed();
        Ok(())
    }

    /// True when the device has finished what it was given: more would come late otherwise.
    pub fn ready(&mut self) -> bool {
        self.renderer.ready(js_sys::Date::now())
    }

    /// Puts a picture that has become ready onto the canvas. True when there was one: draw again in the next frame then,
    /// since a browser may read the canvas back at the end of this one and wait for all that was drawn.
    pub fn show(&mut self) -> bool {
        self.renderer.show(js_sys::Date::now())
    }

    /// Draws what has changed. `moving` stays quick; `exact` also settles some more of the picture:
    /// call it again while the status says pending. Does nothing while the device is not ready,
    /// and only shows a picture that is. True when the picture is as good as asked for.
    pub fn draw(&mut self, quality: &str) -> Result<bool, JsValue> {
        let exact = quality == "exact";
        let now = js_sys::Date::now();
        if self.renderer.show(now) {
            return Ok(!exact || self.renderer.settled());
        }
        if !self.renderer.ready(now) || self.renderer.size(&self.canvas, &self.camera)? {
            return Ok(false);
        }
        if std::mem::take(&mut self.grown) {
            if self.fresh {
                self.camera.fit(&self.scene.corners());
            }
            self.aim_lamps()?;
            self.renderer.view_changed();
        }
        let Viewer { scene, camera, form, theme, marks, .. } = self;
        let picture = Picture { scene, camera, rig: self.rig.as_ref(), form, theme, marks };
        self.renderer.draw(exact, now, &picture)?;
        Ok(!exact || self.renderer.settled())
    }

    /// {exact, pending, behind, unseen, share, note, faces, inexact_faces, float_targets, lost}; references are no faces here.
    pub fn status(&self) -> Result<JsValue, JsValue> {
        let settled = self.renderer.settled();
        let inexact = self.renderer.inexact_faces();
        let faces = self.scene.faces.iter().filter(|f| f.packet.role != Role::Reference).count();
        let mut notes = Vec::new();
        if inexact > 0 {
            notes.push(format!("{inexact} of {faces} faces by vertex normals: degree or size above what the picture evaluates"));
        }
        if self.form.needs() != Leaves::Points && self.renderer.refuses_bends() {
            notes.push("this device has no room for curvatures beside the picture, so colours by form are left out".to_owned());
        }
        if self.lowered < 1.0 {
            notes.push(format!("drawn at {:.0} % of the screen's resolution", self.lowered * 100.0));
        }
        plain(&Status {
            exact: settled && inexact == 0,
            pending: !settled,
            behind: self.renderer.is_behind(),
            unseen: self.renderer.is_unseen(),
            share: self.renderer.share(),
            note: notes.join("; "),
            faces,
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
    fn on(canvas: HtmlCanvasElement, renderer: Renderer) -> Viewer {
        Viewer {
            canvas,
            renderer,
            scene: Scene::default(),
            camera: Camera::default(),
            flight: None,
            lamps: LampSettings::default(),
            rig: None,
            form: FormSettings::default(),
            theme: Theme::default(),
            marks: Marks {
                face: None,
                join: None,
                point: None,
                lines: Vec::new(),
                layers: BTreeMap::new(),
                mirror: None,
                measure: None,
                limits: [f64::NAN; 3],
                ratio: 1.0,
            },
            fresh: true,
            grown: false,
            lowered: 1.0,
        }
    }

    fn aim_lamps(&mut self) -> Result<(), JsValue> {
        let bounds = self.scene.bounds();
        let rig = self.lamps.rig((bounds.min + bounds.max) / 2.0, self.camera.sight());
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
