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

/// How much finer each step of borders is than the one before. Larger: more points than are seen; smaller: each step nearer or farther
/// meshes again.
const STEP: f64 = 4.0;

/// Most steps: finer borders are below what single precision tells apart. Their sizes stay finite whatever a camera says.
const MOST_STEPS: i32 = 15;

/// Faces to be meshed again.
#[derive(Serialize)]
struct Blunt {
    faces: Vec<u32>,
    chord: f64,
}

/// Within what, mm, borders are drawn where a pixel has a length of `pixel` mm, those first sent within `first`; None: as first sent.
///
/// By the view alone, in steps, so that the same view is the same picture whatever views came before it.
fn wanted(first: f64, pixel: f64) -> Option<f64> {
    (0..=MOST_STEPS)
        .map(|step| (step, first / STEP.powi(step)))
        .find(|(step, chord)| *chord <= OFF * pixel || *step == MOST_STEPS)
        .filter(|(step, _)| *step > 0)
        .map(|(_, chord)| chord)
}

#[wasm_bindgen]
impl Viewer {
    /// {faces, chord}: the faces in view whose drawn borders are not those for it, too coarse or too fine, and within what, mm, they are
    /// wanted (infinite: as they were sent first); null when there are none. Each is named once for a step, whether or not its mesh comes.
    pub fn blunt(&mut self) -> Result<JsValue, JsValue> {
        let bounds = self.scene.bounds();
        let first = Tolerance::for_size((bounds.max - bounds.min).length()).chord;
        let view = View::new(self.camera, bounds);
        let wanted = wanted(first, self.camera.pixel_size());
        let mut faces = Vec::new();
        for face in self.scene.faces.iter_mut().filter(|f| f.packet.role != Role::Reference && f.chord != wanted) {
            if !view.covered(&face.bounds).is_empty() {
                faces.push(face.packet.face);
                face.chord = wanted;
            }
        }
        if faces.is_empty() { Ok(JsValue::NULL) } else { plain(&Blunt { faces, chord: wanted.unwrap_or(f64::INFINITY) }) }
    }

    /// Takes a packed face in the place of the one it was, its borders as faces are sent first if `first` says so; throws when it is damaged.
    pub fn replace_face(&mut self, packet: &[u8], first: bool) -> Result<(), JsValue> {
        let index = self.scene.replace(packet, first).map_err(|e| JsValue::from_str(&e.to_string()))?;
        if let Some(index) = index {
            self.renderer.replace_face(&self.scene, index)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn borders_go_by_the_view_in_steps_and_are_never_seen_off() {
        let first = 0.3;
        assert_eq!(wanted(first, first / OFF), None);
        let mut steps = std::collections::BTreeSet::new();
        for k in 0..4000 {
            let pixel = 10.0 * first * 0.995f64.powi(k);
            let chord = wanted(first, pixel).unwrap_or(first);
            let fine = chord > OFF * pixel / STEP || chord == first;
            assert!(chord <= OFF * pixel && fine, "{chord} for {pixel}");
            steps.insert(chord.to_bits());
        }
        assert!((10..=16).contains(&steps.len()), "{}", steps.len());
        for odd in [0.0, -1.0, f64::NAN] {
            assert_eq!(wanted(first, odd), Some(first / STEP.powi(MOST_STEPS)));
        }
    }
}
