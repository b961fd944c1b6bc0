//! Stripe edges on the screen against edges computed in double precision: the shader's stripe
//! function and its evaluation of surfaces against their twins in the core.
//!
//! Held to: within half a pixel at 95 % of samples, one pixel at most, at fit; samples where
//! the surface is seen nearly edge-on (|n·ray| < 0.1) are left out and their share is printed.

use crate::studio::{Studio, measure};
use rakelight_core::demo::bramble::{Revision, model};
use rakelight_core::geometry::{Cylinder, Surface, Torus};
use rakelight_core::math::{Frame, Point3, Vec3};
use rakelight_core::tessellate::{Tessellator, Tolerance};
use rakelight_web::lamps::LampSettings;
use rakelight_web::packet::{FacePacket, Role};
use rakelight_web::pick::pick;
use rakelight_web::scene::Scene;
use rakelight_web::session::pack_face;
use rakelight_web::surface_record::record;
use serde_json::json;

/// Frame of each picture, pixels.
const SIZE: (usize, usize) = (384, 288);

#[test]
fn stripes_on_a_demo_patch_lie_where_they_should() {
    // The largest panel of degree 5 or more, as the worker meshes and packs it.
    let model = model(Revision::A);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let quintic = |s: &Surface| matches!(s, Surface::Nurbs(s) if s.knots_u().degree() >= 5 && s.knots_v().degree() >= 5);
    let area = |i: usize| domains[i].as_ref().map_or(0.0, |d| d.area(&model.faces[i].surface));
    let (id, face) = model
        .faces()
        .filter(|(_, f)| quintic(&f.surface))
        .max_by(|a, b| area(a.0.index()).total_cmp(&area(b.0.index())))
        .expect("a patch of degree 5");
    let mesh = Tessellator::new(&model, &domains, &Tolerance::for_model(&model)).face(id).expect("meshed");
    compare("demo patch", &pack_face(face, &mesh, false));
}

#[test]
fn stripes_on_analytic_surfaces_lie_where_they_should() {
    let frame = Frame::from_axis(Point3::new(1500.0, -300.0, 700.0), Some(Vec3::new(1.0, 0.2, 0.3)), Some(Vec3::Z));
    // Meshes far coarser than the core's, so that the correction onto the ray has work to do.
    compare("cylinder", &coarse(&Surface::Cylinder(Cylinder { frame, radius: 140.0 }), [-1.3, 1.5, -220.0, 260.0], 20));
    compare("torus", &coarse(&Surface::Torus(Torus { frame, major: 160.0, minor: 60.0 }), [0.0, 3.6, -1.0, 2.0], 36));
}

/// A face over a box of parameters with a plain grid for a mesh, and no border lines.
pub fn coarse(surface: &Surface, uv: [f64; 4], n: u32) -> FacePacket {
    let origin = surface.point((uv[0] + uv[1]) / 2.0, (uv[2] + uv[3]) / 2.0).to_vec();
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    for j in 0..=n {
        for i in 0..=n {
            let (s, t) = (f64::from(i) / f64::from(n), f64::from(j) / f64::from(n));
            let (u, v) = (uv[0] + s * (uv[1] - uv[0]), uv[2] + t * (uv[3] - uv[2]));
            let (p, m) = ((surface.point(u, v).to_vec() - origin).as_vec3(), surface.normal(u, v).expect("regular").as_vec3());
            vertices.extend_from_slice(&[p.x, p.y, p.z, s as f32, t as f32, m.x, m.y, m.z]);
            if i < n && j < n {
                let a = j * (n + 1) + i;
                triangles.extend_from_slice(&[a, a + 1, a + n + 1, a + n + 1, a + 1, a + n + 2]);
            }
        }
    }
    let surface = record(surface, origin, uv, 500.0);
    FacePacket {
        face: 0,
        origin: origin.to_array(),
        uv_box: uv,
        role: Role::Face,
        reversed: false,
        surface,
        vertices,
        triangles,
        boundaries: vec![],
    }
}

fn compare(name: &str, packet: &FacePacket) {
    let studio = Studio::open(packet, SIZE);
    let mut scene = Scene::default();
    scene.add(&FacePacket { boundaries: vec![], ..packet.clone() }.write()).expect("sound");
    let cast =
        |camera: &_, x: f64, y: f64| pick(&scene, camera, x, y, 1.0).map(|hit| (Vec3::from_array(hit.point), Vec3::from_array(hit.normal)));
    let size = scene.bounds().radius();
    for projection in ["perspective", "orthographic"] {
        let plain = studio.shoot(&format!("viewer.set_projection('{projection}'); viewer.fit()"), &json!({"family": "none"}));
        for rig in rigs(size) {
            let shot = studio.shoot("", &rig);
            assert_eq!(shot.camera, plain.camera);
            let settings: LampSettings = serde_json::from_value(rig.clone()).expect("settings");
            let bounds = scene.bounds();
            let rig = settings.rig((bounds.min + bounds.max) / 2.0, shot.camera.sight()).expect("sound").expect("wanted");
            measure(&cast, &rig, &plain, &shot).hold(&format!("{name}, {projection}, {:?}", rig.family), 300, 0.5, 1.0);
        }
    }
}

/// Lamps of the three families for a model of `size` mm, as the page sets them.
pub fn rigs(size: f64) -> [serde_json::Value; 3] {
    let lines = |family: &str| {
        json!({"family": family, "direction": [-0.3, 0.2, 0.9], "turn": 35.0, "count": 40,
            "spacing": size * 0.25, "width": 0.4, "distance": size * 1.5})
    };
    [json!({"family": "isophote", "direction": [0.2, -0.5, 0.8], "spacing": 0.09, "width": 0.5}), lines("highlight"), lines("reflection")]
}
