//! Where a camera stands that shows a run of points whole, from the side where most of them are seen.

use crate::camera::Camera;
use crate::pick::covered;
use crate::scene::Scene;
use glam::{DMat3, DVec3};

/// Distance of the eye over the one at which the points just fit the frame. Smaller cuts off what they lie in, and one no longer
/// knows where on the model one is; larger makes them small.
const ROOM: f64 = 1.5;
/// Angles from the wanted side that are tried where something stands before the points, radians, and places on each such circle.
/// Wider ones see a round edge from its flank.
const TILTS: [f64; 3] = [0.45, 0.8, 1.1];
const ROUND: usize = 8;
/// Points asked at most whether they are seen: each costs a search through the model, for every side.
const ASKED: usize = 16;
/// How far before a point something must stand to cover it, in diagonals of the points' box: meshes are off their surfaces by less.
const BEFORE: f64 = 0.02;

/// The stand from the side that `toward` points to, or the one tilted least from it among those that see more of the points.
pub fn overlook(scene: &Scene, from: &Camera, points: &[DVec3], toward: DVec3) -> Option<Camera> {
    let axis = toward.try_normalize()?;
    let asked: Vec<DVec3> = points.iter().step_by(points.len().div_ceil(ASKED).max(1)).copied().collect();
    let (low, high) = points.iter().fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| (low.min(*p), high.max(*p)));
    let before = BEFORE * (high - low).length();
    if asked.is_empty() || !before.is_finite() {
        return None;
    }
    let (a, b) = axis.any_orthonormal_pair();
    let tilted = TILTS.iter().flat_map(|tilt| {
        (0..ROUND).map(move |i| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / ROUND as f64).sin_cos();
            DMat3::from_axis_angle(a * cos + b * sin, *tilt) * axis
        })
    });
    let mut best: Option<(usize, Camera)> = None;
    for side in std::iter::once(axis).chain(tilted) {
        let mut camera = *from;
        camera.face(side);
        camera.fit(points);
        camera.distance *= ROOM;
        let seen = asked.iter().filter(|p| !covered(scene, &camera, **p, before)).count();
        if best.as_ref().is_none_or(|(most, _)| seen > *most) {
            best = Some((seen, camera));
        }
        if seen == asked.len() {
            break;
        }
    }
    best.map(|(_, camera)| camera)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packet::{FacePacket, Frame, Role, SurfaceRecord};

    fn camera() -> Camera {
        Camera { width: 800.0, height: 500.0, ..Camera::default() }
    }

    fn line() -> Vec<DVec3> {
        (0..=20).map(|i| DVec3::new(f64::from(i), 0.0, 0.0)).collect()
    }

    #[test]
    fn a_run_that_nothing_covers_is_seen_whole_from_the_wanted_side() {
        let toward = DVec3::new(0.0, -1.0, 1.0);
        let to = overlook(&Scene::default(), &camera(), &line(), toward).expect("a stand");
        assert!(to.axes().2.dot(toward.normalize()) > 0.999_999);
        for p in line() {
            let at = to.project(p).expect("before the eye");
            assert!(at.x > 60.0 && at.x < 740.0 && at.y > 60.0 && at.y < 440.0, "{at}");
        }
    }

    /// A wall in front of the line, of which the upper edge is 2 mm over it.
    fn wall() -> Vec<u8> {
        let corner = |x: f32, z: f32| [x, 0.0, z, 0.0, 0.0, 0.0, -1.0, 0.0];
        let frame = Frame { origin: [0.0; 3], x: [1.0, 0.0, 0.0], y: [0.0, 0.0, 1.0], z: [0.0, -1.0, 0.0] };
        FacePacket {
            face: 1,
            origin: [0.0, -5.0, 0.0],
            uv_box: [0.0, 1.0, 0.0, 1.0],
            role: Role::Face,
            reversed: false,
            surface: SurfaceRecord::Plane(frame),
            vertices: [corner(-500.0, 2.0), corner(500.0, 2.0), corner(0.0, -500.0)].concat(),
            triangles: vec![0, 1, 2],
            boundaries: vec![],
        }
        .write()
    }

    #[test]
    fn a_run_behind_a_wall_is_seen_over_it() {
        let mut scene = Scene::default();
        scene.add(&wall()).expect("sound");
        let to = overlook(&scene, &camera(), &line(), -DVec3::Y).expect("a stand");
        let back = to.axes().2;
        assert!(back.z > 0.3 && back.y < -0.3, "{back}");
        assert!(line().iter().all(|p| !covered(&scene, &to, *p, 0.1)));
    }

    #[test]
    fn no_points_and_no_side_give_no_stand() {
        assert!(overlook(&Scene::default(), &camera(), &[], DVec3::Z).is_none());
        assert!(overlook(&Scene::default(), &camera(), &line(), DVec3::ZERO).is_none());
        assert!(overlook(&Scene::default(), &camera(), &[DVec3::NAN], DVec3::Z).is_none());
    }
}
