//! Borders seen near: which faces to mesh finer, and their meshes when they come.

use super::view::View;
use super::{Viewer, plain};
use crate::packet::Role;
use rakelight_core::tessellate::Tolerance;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Pixels that a drawn border may lie off its edge. Larger: trims look faceted; smaller: views are meshed again that nobody can tell
/// apart.
const OFF: f64 = 0.25;

/// Pixels within which borders are meshed again. Larger: the next step nearer asks once more; smaller: more points than are seen.
const WITHIN: f64 = 0.1;

/// Faces to be meshed finer.
#[derive(Serialize)]
struct Blunt {
    faces: Vec<u32>,
    chord: f64,
}

#[wasm_bindgen]
impl Viewer {
    /// {faces, chord}: the faces in view whose drawn borders are too coarse for it, and within what, mm, they are wanted; null when
    /// there are none. Each is named once for a distance, whether or not its mesh comes.
    pub fn blunt(&mut self) -> Result<JsValue, JsValue> {
        let bounds = self.scene.bounds();
        let first = Tolerance::for_size((bounds.max - bounds.min).length()).chord;
        let view = View::new(self.camera, bounds);
        let pixel = self.camera.pixel_size();
        let coarse = |chord: Option<f64>| chord.unwrap_or(first) > OFF * pixel;
        let mut faces = Vec::new();
        for face in self.scene.faces.iter_mut().filter(|f| f.packet.role != Role::Reference && coarse(f.chord)) {
            if !view.covered(&face.bounds).is_empty() {
                faces.push(face.packet.face);
                face.chord = Some(WITHIN * pixel);
            }
        }
        if faces.is_empty() { Ok(JsValue::NULL) } else { plain(&Blunt { faces, chord: WITHIN * pixel }) }
    }

    /// Takes a packed face in the place of the one it was; throws when it is damaged.
    pub fn replace_face(&mut self, packet: &[u8]) -> Result<(), JsValue> {
        let index = self.scene.replace(packet).map_err(|e| JsValue::from_str(&e.to_string()))?;
        if let Some(index) = index {
            self.renderer.replace_face(&self.scene, index)?;
        }
        Ok(())
    }
}
