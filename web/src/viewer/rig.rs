//! The page draws the lamp rig's handles and drags them. Pixels here are CSS pixels from the canvas's top left corner.

use super::{Viewer, plain};
use crate::lamps::SeenLamps;
use crate::rig_handles::{Handle, RigSettings, Stand};
use glam::DVec2;
use rakelight_core::highlight::Eye;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Viewer {
    /// The lamps on the screen and where they are seen from, for the worker, as `lamps::SeenLamps`.
    pub fn seen_lamps(&self) -> Result<JsValue, JsValue> {
        let bounds = self.scene.bounds();
        let (right, up, _) = self.camera.axes();
        let (near, eye) = match self.camera.sight() {
            Eye::At(place) => (true, place),
            Eye::Far(way) => (false, way),
        };
        plain(&SeenLamps {
            lamps: self.lamps.clone(),
            middle: ((bounds.min + bounds.max) / 2.0).to_array(),
            near,
            eye: eye.to_array(),
            right: right.to_array(),
            up: up.to_array(),
        })
    }

    /// The model's middle that the lamps stand around, mm.
    pub fn middle(&self) -> Vec<f64> {
        let bounds = self.scene.bounds();
        ((bounds.min + bounds.max) / 2.0).to_array().to_vec()
    }

    /// The likeness of a rig {azimuth, elevation, turn, spacing, step, reach, width, count}, as `rig_handles::Drawing`.
    pub fn rig_drawing(&self, rig: JsValue) -> Result<JsValue, JsValue> {
        let rig: RigSettings = serde_wasm_bindgen::from_value(rig)?;
        plain(&self.stand().drawing(&rig))
    }

    /// The rig that a drag of the handle `direction`, `turn`, `spacing`, `step` or `distance` makes of the one it began with.
    pub fn rig_dragged(&self, rig: JsValue, handle: JsValue, dx: f64, dy: f64) -> Result<JsValue, JsValue> {
        let rig: RigSettings = serde_wasm_bindgen::from_value(rig)?;
        let handle: Handle = serde_wasm_bindgen::from_value(handle)?;
        plain(&self.stand().dragged(&rig, handle, DVec2::new(dx, dy)))
    }
}

impl Viewer {
    fn stand(&self) -> Stand {
        let ratio = f64::from(self.marks.ratio);
        let frame = DVec2::new(self.camera.width, self.camera.height) / ratio;
        let bounds = self.scene.bounds();
        let middle = self.camera.project((bounds.min + bounds.max) / 2.0).map_or(frame / 2.0, |p| p.truncate() / ratio);
        Stand::new(middle, frame, self.camera.axes())
    }
}
