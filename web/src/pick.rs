//! What lies under a pixel: the mesh finds the face, Newton steps in double precision find the
//! point of the exact surface on the pixel's ray.

use crate::camera::{Camera, Ray};
use crate::packet::Role;
use crate::scene::{Scene, SceneFace};
use glam::{DVec2, DVec3, Vec3};
use rakelight_core::geometry::Surface;
use serde::Serialize;

/// How near to a join's line a pick still means the join, device pixels per unit of pixel ratio.
/// Larger steals picks of narrow faces; smaller is too fine for a finger.
const JOIN_REACH: f64 = 6.0;
/// Room given to a triangle's border, in barycentric shares, so that rays do not slip between
/// neighbours; far below what shows.
const BORDER: f32 = 1e-5;
/// Newton steps at most; from a mesh within a tenth of a span, four suffice.
const STEPS: usize = 12;

/// What was picked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hit {
    /// Face id; none of a reference.
    pub face: Option<u32>,
    /// First parameter of the point; 0 on a reference.
    pub u: f64,
    /// Second parameter of the point; 0 on a reference.
    pub v: f64,
    /// Point of the exact surface on the ray, mm; of the mesh on a reference.
    pub point: [f64; 3],
    /// Unit normal there, to the face's own outward side.
    pub normal: [f64; 3],
    /// Id of a join near the pixel that is not hidden.
    pub join: Option<u32>,
}

/// Picks at a pixel; `ratio` is device pixels per CSS pixel.
pub fn pick(scene: &Scene, camera: &Camera, x: f64, y: f64, ratio: f64) -> Option<Hit> {
    let ray = camera.ray(x, y);
    let mut best: Option<(f64, Hit)> = None;
    for face in &scene.faces {
        // Most faces are far from the ray, and their trees need not even be built.
        if face.bounds.away_from(ray.base, ray.direction) > 0.0 {
            continue;
        }
        if let Some((t, hit)) = face_under(face, camera, &ray)
            && best.as_ref().is_none_or(|(least, _)| t < *least)
        {
            best = Some((t, hit));
        }
    }
    let (_, mut hit) = best?;
    if hit.face.is_some() {
        let depth = camera.project(DVec3::from_array(hit.point)).map(|p| p.z);
        hit.join = join_near(scene, camera, DVec2::new(x, y), JOIN_REACH * ratio, depth);
    }
    Some(hit)
}

/// The point of a surface on a ray nearest the start (u, v): parameters, point and unit normal.
/// `None` when the steps do not come to rest within `close` mm of the ray.
pub fn onto_ray(surface: &Surface, ray: &Ray, start: [f64; 2], close: f64) -> Option<([f64; 2], DVec3, DVec3)> {
    let [mut u, mut v] = start;
    let d = ray.direction;
    for _ in 0..STEPS {
        let at = surface.derivs(u, v, 1);
        let n = at.su.cross(at.sv);
        let off = at.s.to_vec() - ray.base;
        let off = off - d * d.dot(off);
        if off.length() <= close {
            return Some(([u, v], at.s.to_vec(), n.try_normalize()?));
        }
        let det = n.dot(d);
        if det.abs() < 1e-9 * n.length() || n.length() == 0.0 {
            return None;
        }
        u -= off.dot(at.sv.cross(d)) / det;
        v -= off.dot(d.cross(at.su)) / det;
        if !(u.is_finite() && v.is_finite()) {
            return None;
        }
    }
    None
}

/// True where a mesh stands more than `before` mm before a point, seen from the camera.
pub fn covered(scene: &Scene, camera: &Camera, point: DVec3, before: f64) -> bool {
    let Some(at) = camera.project(point) else { return true };
    let ray = camera.ray(at.x, at.y);
    let reach = (point - ray.base).dot(ray.direction) - before;
    scene
        .faces
        .iter()
        .filter(|f| f.packet.role != Role::Reference && f.bounds.away_from(ray.base, ray.direction) <= 0.0)
        .any(|face| mesh_under(face, camera, &ray).is_some_and(|(t, ..)| f64::from(t) < reach))
}

fn face_under(face: &SceneFace, camera: &Camera, ray: &Ray) -> Option<(f64, Hit)> {
    let (t, uv, triangle) = mesh_under(face, camera, ray)?;
    let facet = face.triangle(triangle).and_then(|[a, b, c]| {
        let [a, b, c] = [a, b, c].map(|(p, _)| Vec3::from_array(p).as_dvec3());
        (b - a).cross(c - a).try_normalize()
    });
    let [u0, u1, v0, v1] = face.packet.uv_box;
    let start = [u0 + f64::from(uv[0]) * (u1 - u0), v0 + f64::from(uv[1]) * (v1 - v0)];
    let rough = ray.base + ray.direction * f64::from(t);
    // Far below a pixel, and above what double precision gives on a model of any size.
    let close = camera.pixel_size() * 1e-6;
    if face.packet.role == Role::Reference {
        let normal = facet?;
        let hit = Hit { face: None, u: 0.0, v: 0.0, point: rough.to_array(), normal: normal.to_array(), join: None };
        return Some((f64::from(t), hit));
    }
    let surface = face.surface()?;
    let ([u, v], point, normal) = onto_ray(surface, ray, start, close).or_else(|| {
        // Seen edge-on the ray may miss the surface between mesh and outline: the mesh's own (u, v) then.
        let at = surface.derivs(start[0], start[1], 1);
        Some((start, rough, at.su.cross(at.sv).try_normalize()?))
    })?;
    let normal = if face.packet.reversed { -normal } else { normal };
    let t = (point - ray.base).dot(ray.direction);
    Some((t, Hit { face: Some(face.packet.face), u, v, point: point.to_array(), normal: normal.to_array(), join: None }))
}

/// Where a ray first meets a face's mesh: distance from its base, (u, v) as shares of the face's box, and the triangle.
fn mesh_under(face: &SceneFace, camera: &Camera, ray: &Ray) -> Option<(f32, [f32; 2], u32)> {
    let origin = face.origin();
    let base = (ray.base - origin).as_vec3();
    let direction = ray.direction.as_vec3();
    // Points behind the eye are not seen.
    let least = match camera.projection {
        crate::camera::Projection::Perspective => -((ray.base - camera.eye()).length() as f32),
        crate::camera::Projection::Orthographic => f32::NEG_INFINITY,
    };
    let mut best: Option<(f32, [f32; 2], u32)> = None;
    face.tree().visit(base, direction, |i| {
        if let Some((t, uv)) = face.triangle(i).and_then(|tri| meet(&tri, base, direction))
            && t > least
            && best.is_none_or(|(b, ..)| t < b)
        {
            best = Some((t, uv, i));
        }
        best.map_or(f32::INFINITY, |(t, ..)| t)
    });
    best
}

/// Where a line meets a triangle: distance along the direction and normalised (u, v)
/// (Möller & Trumbore 1997).
fn meet(triangle: &[([f32; 3], [f32; 2]); 3], base: Vec3, direction: Vec3) -> Option<(f32, [f32; 2])> {
    let [(a, ua), (b, ub), (c, uc)] = triangle;
    let a = Vec3::from_array(*a);
    let (e1, e2) = (Vec3::from_array(*b) - a, Vec3::from_array(*c) - a);
    let p = direction.cross(e2);
    let det = e1.dot(p);
    if det == 0.0 {
        return None;
    }
    let from = base - a;
    let s = from.dot(p) / det;
    let q = from.cross(e1);
    let r = direction.dot(q) / det;
    if !(s >= -BORDER && r >= -BORDER && s + r <= 1.0 + BORDER) {
        return None;
    }
    let k = 1.0 - s - r;
    Some((e2.dot(q) / det, [ua[0] * k + ub[0] * s + uc[0] * r, ua[1] * k + ub[1] * s + uc[1] * r]))
}

/// The join nearest to a place on the screen within `reach` pixels and not behind `depth`.
fn join_near(scene: &Scene, camera: &Camera, place: DVec2, reach: f64, depth: Option<f64>) -> Option<u32> {
    let slack = camera.pixel_size() * reach * 2.0;
    let ray = camera.ray(place.x, place.y);
    // Length of `reach` pixels at the depth of the surface, beyond which joins are hidden; room for the slack.
    let room = slack * depth.map_or(1.0, |d| (d / camera.distance).abs().max(1.0)) * 2.0;
    let projector = camera.projector();
    let mut best = (reach, None);
    for join in scene.joins.iter().filter(|j| j.bounds.away_from(ray.base, ray.direction) <= room) {
        let points = join.line.points.iter();
        let screen: Vec<Option<DVec3>> = points.map(|p| projector.project(join.origin + Vec3::from_array(*p).as_dvec3())).collect();
        for pair in screen.windows(2) {
            let [Some(a), Some(b)] = pair else { continue };
            let along = b.truncate() - a.truncate();
            let t = ((place - a.truncate()).dot(along) / along.length_squared().max(1e-12)).clamp(0.0, 1.0);
            let away = place.distance(a.truncate() + along * t);
            let hidden = depth.is_some_and(|d| a.z + (b.z - a.z) * t > d + slack * (a.z / camera.distance).abs().max(1.0));
            if away < best.0 && !hidden {
                best = (away, Some(join.line.id));
            }
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::Projection;
    use crate::joins_packet::{JoinLine, JoinsPacket};
    use crate::packet::FacePacket;
    use crate::surface_record::record;
    use rakelight_core::geometry::{Cylinder, Torus};
    use rakelight_core::math::{Frame, Point3};

    /// A face over a box of parameters with a plain grid mesh.
    fn face(id: u32, surface: &Surface, uv: [f64; 4], n: u32, reversed: bool) -> Vec<u8> {
        let origin = surface.point((uv[0] + uv[1]) / 2.0, (uv[2] + uv[3]) / 2.0).to_vec();
        let mut vertices = Vec::new();
        for j in 0..=n {
            for i in 0..=n {
                let (s, t) = (f64::from(i) / f64::from(n), f64::from(j) / f64::from(n));
                let (u, v) = (uv[0] + s * (uv[1] - uv[0]), uv[2] + t * (uv[3] - uv[2]));
                let p = (surface.point(u, v).to_vec() - origin).as_vec3();
                let m = surface.normal(u, v).expect("regular").as_vec3();
                vertices.extend_from_slice(&[p.x, p.y, p.z, s as f32, t as f32, m.x, m.y, m.z]);
            }
        }
        let mut triangles = Vec::new();
        for j in 0..n {
            for i in 0..n {
                let a = j * (n + 1) + i;
                triangles.extend_from_slice(&[a, a + 1, a + n + 1, a + n + 1, a + 1, a + n + 2]);
            }
        }
        let surface = record(surface, origin, uv, 400.0);
        FacePacket {
            face: id,
            origin: origin.to_array(),
            uv_box: uv,
            role: Role::Face,
            reversed,
            surface,
            vertices,
            triangles,
            boundaries: vec![],
        }
        .write()
    }

    fn scene() -> (Scene, Surface, Surface) {
        let frame = Frame::from_axis(Point3::new(300.0, -40.0, 20.0), Some(DVec3::new(0.2, 0.9, 0.3)), Some(DVec3::X));
        let torus = Surface::Torus(Torus { frame, major: 120.0, minor: 35.0 });
        let rod = Surface::Cylinder(Cylinder { frame, radius: 20.0 });
        let mut scene = Scene::default();
        scene.add(&face(3, &torus, [0.0, 6.0, 0.0, 6.2], 48, false)).expect("sound");
        scene.add(&face(8, &rod, [0.0, 6.2, -150.0, 150.0], 24, true)).expect("sound");
        (scene, torus, rod)
    }

    fn cameras(scene: &Scene) -> Vec<Camera> {
        let mut out = Vec::new();
        for projection in [Projection::Perspective, Projection::Orthographic] {
            for (yaw, pitch) in [(0.4, 0.3), (-2.0, -0.9), (2.6, 1.2)] {
                let mut camera = Camera { yaw, pitch, projection, width: 640.0, height: 400.0, ..Camera::default() };
                camera.fit(&scene.corners());
                out.push(camera);
            }
        }
        out
    }

    #[test]
    fn a_pick_lies_on_the_surface_and_on_the_ray() {
        let (scene, torus, rod) = scene();
        for camera in cameras(&scene) {
            let mut hits = 0;
            for k in 0..400 {
                let (x, y) = (f64::from(k % 20) * 32.0 + 5.3, f64::from(k / 20) * 20.0 + 3.1);
                let Some(hit) = pick(&scene, &camera, x, y, 1.0) else { continue };
                let surface = if hit.face == Some(3) { &torus } else { &rod };
                let point = DVec3::from_array(hit.point);
                let normal = DVec3::from_array(hit.normal);
                let ray = camera.ray(x, y);
                let rough = normal.dot(ray.direction).abs() < 0.05;
                let off = (point - ray.base).cross(ray.direction).length();
                assert!(off < camera.pixel_size() * 1e-3, "{off}");
                assert!(rough || surface.point(hit.u, hit.v).to_vec().distance(point) < 1e-9);
                let exact = surface.normal(hit.u, hit.v).expect("regular") * if hit.face == Some(8) { -1.0 } else { 1.0 };
                assert!(exact.distance(normal) < 1e-9);
                hits += 1;
            }
            assert!(hits > 20, "{hits}");
        }
    }

    #[test]
    fn the_nearest_face_wins() {
        let (scene, ..) = scene();
        let mut seen = std::collections::BTreeSet::new();
        for camera in cameras(&scene) {
            for k in 0..2000 {
                let (x, y) = (f64::from(k % 50) * 12.8, f64::from(k / 50) * 10.0);
                let Some(hit) = pick(&scene, &camera, x, y, 1.0) else { continue };
                seen.insert(hit.face);
                let ray = camera.ray(x, y);
                let t = (DVec3::from_array(hit.point) - ray.base).dot(ray.direction);
                for face in &scene.faces {
                    if let Some((other, _)) = face_under(face, &camera, &ray) {
                        assert!(other >= t - 1e-9);
                    }
                }
            }
        }
        assert_eq!(seen.len(), 2);
    }

    #[test]
    fn a_join_is_picked_within_reach_and_not_from_behind() {
        let (mut scene, torus, _) = scene();
        let camera = cameras(&scene)[0];
        let line = |id: u32, v: f64| JoinLine {
            id,
            points: (0..=600).map(|i| torus.point(0.01 * f64::from(i), v).to_vec().as_vec3().to_array()).collect(),
            values: vec![[0.0; 5]; 601],
        };
        scene.add_joins(&JoinsPacket { origin: [0.0; 3], joins: vec![line(11, 0.5), line(12, 3.6)] }.write()).expect("sound");
        let (mut front, mut hidden) = (0, 0);
        for i in 0..600 {
            let point = torus.point(0.01 * f64::from(i) + 0.003, 0.5).to_vec();
            let p = camera.project(point).expect("in front");
            let hit = pick(&scene, &camera, p.x + 2.0, p.y, 1.0);
            let Some(hit) = hit else { continue };
            if DVec3::from_array(hit.point).distance(point) < 5.0 * camera.pixel_size() {
                assert_eq!(hit.join, Some(11));
                front += 1;
            } else if DVec3::from_array(hit.point).distance(point) > 30.0 {
                assert_ne!(hit.join, Some(11));
                hidden += 1;
            }
        }
        assert!(front > 50 && hidden > 20, "{front} {hidden}");
    }
}
