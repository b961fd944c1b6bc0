//! Faces meshed again with finer borders, for a near view.

use super::Session;
use super::face_pack::pack;
use rakelight_core::math::distinct;
use rakelight_core::model::FaceId;
use rakelight_core::tessellate::{Tessellator, Tolerance};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Session {
    /// Meshes some faces again, their borders within `chord` mm of their edges, infinite as they were meshed first: `on_face(bytes)` for
    /// each packed face. One that cannot be meshed is left out.
    pub fn sharpen(&self, faces: &[u32], chord: f64, on_face: &js_sys::Function) -> Result<(), JsValue> {
        let open = self.opened()?;
        let model = &open.prepared.import.model;
        let asked = distinct(faces.iter().filter_map(|f| usize::try_from(*f).ok()).map(FaceId::new));
        let tolerance = Tolerance::for_model(model);
        // No border takes more points than double precision tells apart.
        let chord = chord.clamp(1e-9 * tolerance.chord, tolerance.chord);
        let tessellator = Tessellator::sharp(model, &open.prepared.domains, &tolerance, chord, &asked);
        for id in asked {
            if let (Ok(mesh), Some(face)) = (tessellator.face(id), model.face(id)) {
                let untrimmed = open.prepared.untrimmed.iter().any(|u| u.face == id);
                let packet = pack(face, &mesh, untrimmed).write();
                on_face.call1(&JsValue::NULL, &js_sys::Uint8Array::from(packet.as_slice()))?;
            }
        }
        Ok(())
    }
}
