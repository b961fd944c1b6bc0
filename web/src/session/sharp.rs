//! Faces meshed again with finer borders, for a near view.

use super::Session;
use super::face_pack::pack;
use super::trial_faces::packet;
use rakelight_core::math::distinct;
use rakelight_core::model::FaceId;
use rakelight_core::tessellate::Tessellator;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
impl Session {
    /// Meshes some faces again, their borders within `chord` mm of their edges, infinite as they were meshed first: `on_face(bytes)` for
    /// each packed face, and its id. One that cannot be meshed is left out. `tried`: those that trials change are meshed as the last trials
    /// leave them.
    pub fn sharpen(&self, faces: &[u32], chord: f64, tried: bool, on_face: &js_sys::Function) -> Result<(), JsValue> {
        let open = self.opened()?;
        let model = &open.prepared.import.model;
        let asked = distinct(faces.iter().filter_map(|f| usize::try_from(*f).ok()).map(FaceId::new));
        let tolerance = open.tolerance;
        // No border takes more points than double precision tells apart.
        let chord = chord.clamp(1e-9 * tolerance.chord, tolerance.chord);
        let tessellator = Tessellator::sharp(model, &open.prepared.domains, &tolerance, chord, &asked);
        for id in asked {
            let changed = self.tried.as_ref().filter(|_| tried).and_then(|t| packet(t, id, &tolerance, chord));
            let packed = changed.or_else(|| {
                let (mesh, face) = tessellator.face(id).ok().zip(model.face(id))?;
                Some(pack(face, &mesh, open.prepared.untrimmed.iter().any(|u| u.face == id)))
            });
            if let Some(packet) = packed {
                on_face.call2(&JsValue::NULL, &js_sys::Uint8Array::from(packet.write().as_slice()), &JsValue::from(packet.face))?;
            }
        }
        Ok(())
    }
}
