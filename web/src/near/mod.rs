//! Faces seen near: each gets a base point on itself, and its surface written as what it does beyond the tangent plane
//! there.
//!
//! Single precision keeps seven digits of the numbers it is given. Two hundred times nearer than fitted, the turn of a
//! nearly flat panel's normal over one pixel is the eighth digit of the normal itself, but the first digit of its turn
//! away from the base's. So the shaders are given and leave only differences from a base that is known in double
//! precision, and the stripe function's value there is taken in double precision too.

mod bend;
mod window;

pub use bend::{Bend, SplineBend};

use crate::camera::Camera;
use crate::scene::SceneFace;
use glam::DVec3;
use rakelight_core::geometry::Surface;
use window::Window;

/// How many pixels a face, or its distance from the scene's origin, must measure before it is drawn from a base.
/// Single precision tells 2²⁴ places over it: a pixel is 4096 of them here, and with the hundred steps of an evaluation
/// 1/40 of a pixel is kept on radii up to the face's own size, 1/8 on radii of several times that. Larger leaves edges
/// of stripes on flat faces to rounding; smaller makes bases where nobody sees a difference.
const FAR: f64 = 4096.0;

/// A face as it is seen from near.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// Point of the surface near the middle of what is seen, mm.
    pub base: DVec3,
    /// Unit normal there, to the face's outward side.
    pub normal: DVec3,
    /// The surface relative to both.
    pub bend: Bend,
}

impl Near {
    /// The face seen by a camera from so near that it needs a base; `None` for one that does not, that is not in the
    /// frame, or that has no exact surface.
    pub fn of(face: &SceneFace, scene_origin: DVec3, camera: &Camera) -> Option<Near> {
        let reach = (2.0 * face.bounds.radius()).max(face.origin().distance(scene_origin));
        let finest = face.bounds.corners().map(|corner| camera.pixel_at(corner)).into_iter().fold(f64::INFINITY, f64::min);
        if reach < FAR * finest {
            return None;
        }
        let window = Window::of(face, camera)?;
        let surface = face.surface()?;
        let at = surface.derivs(window.middle[0], window.middle[1], 1);
        let cross = at.su.cross(at.sv);
        // Where the two directions fall together (a collapsed side) there is no tangent plane to start from.
        let least = 1e-6 * at.su.length() * at.sv.length();
        if cross.length() <= least || !cross.is_finite() {
            return None;
        }
        let base = at.s.to_vec();
        if reach < FAR * camera.pixel_at(base) {
            return None;
        }
        let side = if face.packet.reversed { -1.0 } else { 1.0 };
        let normal = cross.normalize() * side;
        let bend = match surface {
            Surface::Nurbs(spline) => Bend::Spline(SplineBend::of(spline, &window, &at, &face.packet.uv_box, side)?),
            _ => bend::analytic(surface, base, normal)?,
        };
        Some(Near { base, normal, bend })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::Projection;
    use crate::packet::{FacePacket, Role};
    use crate::pick::pick;
    use crate::scene::Scene;
    use crate::surface_record::record;
    use rakelight_core::geometry::Cylinder;
    use rakelight_core::math::{Frame, Point3, Vec3};

    /// A quarter of a tube with a grid of n × n cells for a mesh.
    fn scene(n: u32) -> (Scene, Surface) {
        let frame = Frame::from_axis(Point3::new(300.0, -40.0, 20.0), Some(Vec3::new(0.2, 0.9, 0.3)), Some(Vec3::X));
        let surface = Surface::Cylinder(Cylinder { frame, radius: 800.0 });
        let uv = [0.2, 1.7, -500.0, 700.0];
        let at = |i: u32, j: u32| [uv[0] + f64::from(i) / f64::from(n) * 1.5, uv[2] + f64::from(j) / f64::from(n) * 1200.0];
        let origin = surface.point(0.9, 100.0).to_vec();
        let mut vertices = Vec::new();
        let mut triangles = Vec::new();
        for (i, j) in (0..=n).flat_map(|j| (0..=n).map(move |i| (i, j))) {
            let [u, v] = at(i, j);
            let (p, m) = ((surface.point(u, v).to_vec() - origin).as_vec3(), surface.normal(u, v).expect("regular").as_vec3());
            vertices.extend_from_slice(&[p.x, p.y, p.z, i as f32 / n as f32, j as f32 / n as f32, m.x, m.y, m.z]);
            if i < n && j < n {
                let a = j * (n + 1) + i;
                triangles.extend_from_slice(&[a, a + 1, a + n + 1, a + n + 1, a + 1, a + n + 2]);
            }
        }
        let surface_record = record(&surface, origin, uv, 1000.0);
        let packet = FacePacket {
            face: 0,
            origin: origin.to_array(),
            uv_box: uv,
            role: Role::Face,
            reversed: false,
            surface: surface_record,
            vertices,
            triangles,
            boundaries: vec![],
        };
        let mut scene = Scene::default();
        scene.add(&packet.write()).expect("sound");
        (scene, surface)
    }

    #[test]
    fn the_window_holds_what_is_seen_and_the_base_lies_in_its_middle() {
        for (cells, projection) in [(8, Projection::Perspective), (40, Projection::Orthographic), (40, Projection::Perspective)] {
            let (scene, surface) = scene(cells);
            let mut camera = Camera { projection, width: 640.0, height: 400.0, ..Camera::default() };
            camera.face(surface.normal(0.9, 100.0).expect("regular"));
            camera.fit(&scene.corners());
            let face = &scene.faces[0];
            assert_eq!(Near::of(face, scene.origin(), &camera), None, "a fitted view needs no base");
            (camera.yaw, camera.pitch) = (camera.yaw + 0.4, camera.pitch - 0.3);
            camera.target = surface.point(0.71, 260.0).to_vec().to_array();
            for zoom in [10.0, 60.0, 900.0] {
                let camera = Camera { distance: camera.distance / zoom, ..camera };
                let window = Window::of(face, &camera).expect("seen");
                let [u0, u1, v0, v1] = window.uv;
                for k in 0..64 {
                    let (x, y) = (f64::from(k % 8) * 91.0 + 1.5, f64::from(k / 8) * 57.0 + 0.5);
                    let Some(hit) = pick(&scene, &camera, x, y, 1.0) else { continue };
                    assert!(hit.u >= u0 && hit.u <= u1 && hit.v >= v0 && hit.v <= v1, "{zoom}: {hit:?} {window:?}");
                }
                assert!((u1 - u0) * 800.0 < 4.0 * 640.0 * camera.pixel_size() + 2.0 * 800.0 / f64::from(cells * cells), "{window:?}");
                let near = Near::of(face, scene.origin(), &camera).expect("near");
                let place = camera.project(near.base).expect("before the eye");
                assert!((place.x - 320.0).abs() < 1.0 && (place.y - 200.0).abs() < 1.0, "{place}");
            }
            let beside = Camera { target: surface.point(0.71, 2600.0).to_vec().to_array(), distance: camera.distance / 60.0, ..camera };
            assert_eq!(Near::of(face, scene.origin(), &beside), None);
        }
    }
}
