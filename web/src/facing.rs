//! From which side a place is best seen.

use crate::packet::{FacePacket, Role, VERTEX_FLOATS};
use crate::scene::Scene;
use glam::DVec3;

/// Least share of |n·r|, r the unit vector from the model's middle to the place, that decides the side.
/// Larger leaves steep walls to the file's own orientation, which loose sheets often have wrong;
/// smaller lets rounding decide on faces that run through the middle.
const CLEAR: f64 = 0.15;

/// Unit vector out of the model at `point` on some of `faces`: the mean of their normals at the mesh vertices nearest
/// to it, turned away from the model's middle where that is clear, else as the first face is oriented. `None` when no
/// face is known or the normals cancel.
pub fn facing(scene: &Scene, faces: &[u32], point: DVec3) -> Option<DVec3> {
    let mut sum = DVec3::ZERO;
    for face in scene.faces.iter().filter(|f| faces.contains(&f.packet.face) && f.packet.role != Role::Reference) {
        let Some(normal) = nearest_normal(&face.packet, point) else { continue };
        // Two sheets may be oriented against each other: the first sets the side.
        sum += if sum.dot(normal) < 0.0 { -normal } else { normal };
    }
    let normal = sum.try_normalize()?;
    let bounds = scene.bounds();
    let out = (point - (bounds.min + bounds.max) / 2.0).normalize_or_zero();
    Some(if normal.dot(out) < -CLEAR { -normal } else { normal })
}

/// The mesh vertex of a face nearest to the middle of its box, and the box's diagonal, mm. `None` for an unknown face
/// or one without a mesh.
pub fn face_place(scene: &Scene, id: u32) -> Option<(DVec3, f64)> {
    let face = scene.faces.iter().find(|f| f.packet.face == id && f.packet.role != Role::Reference && !f.bounds.is_empty())?;
    let middle = (face.bounds.min + face.bounds.max) / 2.0;
    let (vertices, _) = face.packet.vertices.as_chunks::<VERTEX_FLOATS>();
    let points = vertices.iter().map(|v| face.origin() + DVec3::new(f64::from(v[0]), f64::from(v[1]), f64::from(v[2])));
    let nearest = points.min_by(|a, b| a.distance_squared(middle).total_cmp(&b.distance_squared(middle)))?;
    Some((nearest, 2.0 * face.bounds.radius()))
}

fn nearest_normal(packet: &FacePacket, point: DVec3) -> Option<DVec3> {
    let place = (point - DVec3::from_array(packet.origin)).as_vec3();
    let (vertices, _) = packet.vertices.as_chunks::<VERTEX_FLOATS>();
    let nearest = vertices.iter().min_by(|a, b| {
        let far = |v: &[f32; VERTEX_FLOATS]| place.distance_squared(glam::Vec3::new(v[0], v[1], v[2]));
        far(a).total_cmp(&far(b))
    })?;
    DVec3::new(f64::from(nearest[5]), f64::from(nearest[6]), f64::from(nearest[7])).try_normalize()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packet::{Frame, SurfaceRecord};

    fn sheet(face: u32, z: f32, normal: [f32; 3]) -> Vec<u8> {
        let corner = |x: f32, y: f32| [x, y, z, 0.0, 0.0, normal[0], normal[1], normal[2]];
        let frame = Frame { origin: [0.0; 3], x: [1.0, 0.0, 0.0], y: [0.0, 1.0, 0.0], z: [0.0, 0.0, 1.0] };
        FacePacket {
            face,
            origin: [100.0, 0.0, 0.0],
            uv_box: [0.0, 1.0, 0.0, 1.0],
            role: Role::Face,
            reversed: false,
            surface: SurfaceRecord::Plane(frame),
            vertices: [corner(0.0, 0.0), corner(9.0, 0.0), corner(0.0, 9.0)].concat(),
            triangles: vec![0, 1, 2],
            boundaries: vec![],
        }
        .write()
    }

    #[test]
    fn the_side_is_away_from_the_middle_whichever_way_a_sheet_is_turned() {
        for (low, high) in [(-1.0, 1.0), (1.0, -1.0)] {
            let mut scene = Scene::default();
            scene.add(&sheet(4, -50.0, [0.0, 0.0, low])).expect("sound");
            scene.add(&sheet(7, 50.0, [0.0, 0.0, high])).expect("sound");
            let side = |face, z| facing(&scene, &[face], DVec3::new(101.0, 1.0, z));
            assert_eq!(side(4, -50.0), Some(-DVec3::Z));
            assert_eq!(side(7, 50.0), Some(DVec3::Z));
            assert_eq!(side(5, 50.0), None);
            assert_eq!(facing(&scene, &[], DVec3::ZERO), None);
        }
    }

    #[test]
    fn a_face_is_found_at_its_own_mesh() {
        let mut scene = Scene::default();
        scene.add(&sheet(4, -50.0, [0.0, 0.0, -1.0])).expect("sound");
        scene.add(&sheet(7, 50.0, [0.0, 0.0, 1.0])).expect("sound");
        let (point, size) = face_place(&scene, 7).expect("known");
        // All three corners are as far from the middle of the box; the first is taken.
        assert_eq!(point, DVec3::new(100.0, 0.0, 50.0));
        assert!((size - 162f64.sqrt()).abs() < 1e-6);
        assert_eq!(face_place(&scene, 5), None);
    }

    #[test]
    fn a_place_in_the_middle_keeps_the_orientation() {
        let mut scene = Scene::default();
        scene.add(&sheet(1, 0.0, [0.0, 0.0, -1.0])).expect("sound");
        assert_eq!(facing(&scene, &[1], DVec3::new(100.0, 0.0, 0.0)), Some(-DVec3::Z));
    }
}
