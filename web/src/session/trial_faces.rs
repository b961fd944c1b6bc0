//! The faces that trials change, packed.

use super::Open;
use super::face_pack::pack;
use crate::packet::{FacePacket, Role, SurfaceRecord};
use js_sys::{Function, Uint8Array};
use rakelight_core::model::FaceId;
use rakelight_core::remedy::Tried;
use rakelight_core::tessellate::{Tessellator, Tolerance};
use wasm_bindgen::prelude::*;

/// The changed faces, packed; those merged into others without anything to see.
pub(super) fn send(tried: &Tried, open: &Open, given: &mut Vec<FaceId>, on_face: &Function) -> Result<(), JsValue> {
    let (before, tolerance) = (&open.prepared, &open.tolerance);
    let model = &before.import.model;
    let new: Vec<FaceId> = tried.applied.changed.iter().copied().filter(|id| !given.contains(id)).collect();
    let originals = (!new.is_empty()).then(|| Tessellator::sharp(model, &before.domains, tolerance, tolerance.chord, &new));
    for &id in &tried.applied.changed {
        let Some(packet) = packet(tried, id, tolerance, tolerance.chord) else { continue };
        let original = originals.as_ref().filter(|_| new.contains(&id)).map(|originals| {
            let untrimmed = before.untrimmed.iter().any(|u| u.face == id);
            let mesh = originals.face(id).ok();
            mesh.zip(model.face(id)).map_or_else(|| nothing(id), |(mesh, face)| pack(face, &mesh, untrimmed))
        });
        let bytes = |p: &FacePacket| JsValue::from(Uint8Array::from(p.write().as_slice()));
        let original = original.map_or(JsValue::NULL, |p| bytes(&p));
        on_face.call3(&JsValue::NULL, &JsValue::from(id.index() as f64), &bytes(&packet), &original)?;
    }
    given.extend(new);
    Ok(())
}

/// A face as trials leave it, its borders within `chord` mm, with nothing to see where it is no more; None of one that they do not change.
pub(super) fn packet(tried: &Tried, id: FaceId, tolerance: &Tolerance, chord: f64) -> Option<FacePacket> {
    tried.applied.changed.binary_search(&id).ok()?;
    let drawn = || {
        let mesh = tried.mesh(id, tolerance, chord)?;
        let packet = pack(tried.applied.model.face(mesh.face)?, &mesh, false);
        Some(FacePacket { face: u32::try_from(id.index()).ok()?, ..packet })
    };
    Some(drawn().unwrap_or_else(|| nothing(id)))
}

/// A face with nothing to see.
fn nothing(id: FaceId) -> FacePacket {
    FacePacket {
        face: u32::try_from(id.index()).unwrap_or(u32::MAX),
        origin: [0.0; 3],
        uv_box: [0.0, 1.0, 0.0, 1.0],
        role: Role::Face,
        reversed: false,
        surface: SurfaceRecord::None,
        vertices: Vec::new(),
        triangles: Vec::new(),
        boundaries: Vec::new(),
    }
}
