//! One meshed face as a packet.

use crate::packet::{FacePacket, Role};
use crate::surface_record::record;
use rakelight_core::math::Vec3;
use rakelight_core::model::Face;
use rakelight_core::tessellate::FaceMesh;

/// Packs a face around the middle of its own mesh, as untrimmed where its boundary could not be used. A mesh without
/// vertices gives a packet without any.
pub fn pack(face: &Face, mesh: &FaceMesh, untrimmed: bool) -> FacePacket {
    let points = || mesh.positions.iter().map(|p| p.to_vec());
    let low = points().fold(Vec3::INFINITY, Vec3::min);
    let high = points().fold(Vec3::NEG_INFINITY, Vec3::max);
    let origin = if mesh.positions.is_empty() { Vec3::ZERO } else { (low + high) / 2.0 };
    let uv_box = mesh.uv.iter().fold([f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY], |b, p| {
        [b[0].min(p.u), b[1].max(p.u), b[2].min(p.v), b[3].max(p.v)]
    });
    let uv_box = if mesh.uv.is_empty() { [0.0, 1.0, 0.0, 1.0] } else { uv_box };
    let share = |x: f64, low: f64, high: f64| if high > low { ((x - low) / (high - low)) as f32 } else { 0.0 };
    let mut vertices = Vec::with_capacity(mesh.positions.len() * crate::packet::VERTEX_FLOATS);
    for ((position, uv), normal) in mesh.positions.iter().zip(&mesh.uv).zip(&mesh.normals) {
        let (p, n) = ((position.to_vec() - origin).as_vec3(), normal.as_vec3());
        let (u, v) = (share(uv.u, uv_box[0], uv_box[1]), share(uv.v, uv_box[2], uv_box[3]));
        vertices.extend_from_slice(&[p.x, p.y, p.z, u, v, n.x, n.y, n.z]);
    }
    // Seams and poles are no edges of the model: no line is drawn there.
    let boundaries = mesh
        .borders
        .iter()
        .filter(|b| b.edge.is_some() || face.loops.is_empty() || untrimmed)
        .map(|b| {
            b.vertices
                .iter()
                .filter_map(|i| mesh.positions.get(*i as usize))
                .flat_map(|p| (p.to_vec() - origin).as_vec3().to_array())
                .collect()
        })
        .collect();
    FacePacket {
        face: u32::try_from(mesh.face.index()).unwrap_or(u32::MAX),
        origin: origin.to_array(),
        uv_box,
        role: if untrimmed { Role::Untrimmed } else { Role::Face },
        reversed: !face.same_sense,
        surface: record(&face.surface, origin, uv_box, (high - low).length()),
        vertices,
        triangles: mesh.triangles.as_flattened().to_vec(),
        boundaries,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Scene;
    use rakelight_core::demo::bramble::{Revision, model};
    use rakelight_core::progress::Silent;
    use rakelight_core::tessellate::{Tolerance, stream};

    #[test]
    fn every_face_of_the_demo_is_packed_with_its_surface() {
        let model = model(Revision::A);
        let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        let mut scene = Scene::default();
        let tolerance = Tolerance::for_model(&model);
        stream(&model, &domains, &tolerance, &mut Silent, |id, mesh| {
            let packet = pack(model.face(id).expect("known"), &mesh.expect("meshed"), false);
            scene.add(&packet.write()).expect("sound");
        });
        assert_eq!(scene.faces.len(), model.faces.len());
        for face in &scene.faces {
            let surface = face.surface().expect("sound");
            let [u0, u1, v0, v1] = face.packet.uv_box;
            assert!(!face.packet.boundaries.is_empty());
            for i in 0..face.packet.vertex_count() {
                let (p, [u, v]) = face.packet.vertex(i as u32).expect("in range");
                let at = surface.point(u0 + f64::from(u) * (u1 - u0), v0 + f64::from(v) * (v1 - v0)).to_vec() - face.origin();
                // Border vertices lie on the shared edge, which may leave its faces by a seeded gap.
                let off = at.distance(Vec3::from_array(p.map(f64::from)));
                assert!(off < 0.6, "face {} vertex {i}: {off}", face.packet.face);
            }
        }
    }
}
