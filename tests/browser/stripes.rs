//! Stripe edges on the screen against edges computed in double precision: the shader's stripe
//! function and its evaluation of surfaces against their twins in the core.
//!
//! Held to: within half a pixel at 95 % of samples, one pixel at most, at fit; samples where
//! the surface is seen nearly edge-on (|n·ray| < 0.1) are left out and their share is printed.

use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_core::demo::bramble::{Revision, model};
use rakelight_core::geometry::{Cylinder, Surface, Torus};
use rakelight_core::highlight::{LampRig, edges, in_stripe, stripe_value};
use rakelight_core::math::{Frame, Point3, Vec3};
use rakelight_core::tessellate::{Tessellator, Tolerance};
use rakelight_tests::{browser, site};
use rakelight_web::camera::Camera;
use rakelight_web::lamps::LampSettings;
use rakelight_web::packet::{FacePacket, Role};
use rakelight_web::pick::pick;
use rakelight_web::scene::Scene;
use rakelight_web::session::pack_face;
use rakelight_web::surface_record::record;
use serde_json::{Value, json};

/// Frame of each picture, pixels.
pub(super) const SIZE: (usize, usize) = (384, 288);
/// Every how many rows and columns edges are sampled.
const EVERY: usize = 3;

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
pub(super) fn coarse(surface: &Surface, uv: [f64; 4], n: u32) -> FacePacket {
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

/// A picture as the canvas holds it, rows from the top, and the camera it was taken with.
pub(super) struct Shot {
    pub(super) camera: Camera,
    pub(super) green: Vec<u8>,
}

fn compare(name: &str, packet: &FacePacket) {
    // Border lines are ink over stripes: left out here, as they would be measured instead.
    let packet = FacePacket { boundaries: vec![], ..packet.clone() };
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&server.page());
    page.wait("typeof wasm_bindgen === 'function' && wasm_bindgen.Viewer", Duration::from_secs(60));
    let mut scene = Scene::default();
    scene.add(&packet.write()).expect("sound");
    let size = scene.bounds().radius();
    let bytes = BASE64_STANDARD.encode(packet.write());
    for projection in ["perspective", "orthographic"] {
        let plain = shoot(&page, &bytes, projection, &json!({"family": "none"}));
        let isophote = json!({"family": "isophote", "direction": [0.2, -0.5, 0.8], "spacing": 0.09, "width": 0.5});
        let highlight = json!({"family": "highlight", "direction": [-0.3, 0.2, 0.9], "turn": 35.0, "count": 40,
            "spacing": size * 0.25, "width": 0.4, "distance": size * 1.5});
        let reflection = json!({"family": "reflection", "direction": [-0.3, 0.2, 0.9], "turn": 35.0, "count": 40,
            "spacing": size * 0.25, "width": 0.4, "distance": size * 1.5});
        for rig in [isophote, highlight, reflection] {
            let shot = shoot(&page, &bytes, projection, &rig);
            assert_eq!(shot.camera, plain.camera);
            let settings: LampSettings = serde_json::from_value(rig.clone()).expect("settings");
            let bounds = scene.bounds();
            let rig = settings.rig((bounds.min + bounds.max) / 2.0, shot.camera.sight()).expect("sound").expect("wanted");
            hold(&format!("{name}, {projection}, {:?}", rig.family), &scene, &rig, &plain, &shot);
        }
    }
}

pub(super) fn shoot(page: &browser::Page, packet: &str, projection: &str, rig: &Value) -> Shot {
    let (w, h) = SIZE;
    let answer = page.ask(&format!(
        "(async () => {{
            await wasm_bindgen({{ module_or_path: 'rakelight_bg.wasm' }});
            const canvas = document.createElement('canvas');
            const viewer = wasm_bindgen.Viewer.create(canvas);
            viewer.resize({w}, {h}, 1);
            viewer.set_projection('{projection}');
            viewer.set_theme({{ paper: [1, 1, 1], ink: [0, 0, 0], relief: 0 }});
            viewer.add_faces(Uint8Array.from(atob('{packet}'), (c) => c.charCodeAt(0)));
            viewer.fit();
            viewer.set_stripes({rig});
            while (!viewer.draw('exact')) await new Promise((next) => setTimeout(next, 5));
            if (!viewer.status().exact) throw new Error(viewer.status().note);
            const gl = canvas.getContext('webgl2');
            const bytes = new Uint8Array({w} * {h} * 4);
            gl.readPixels(0, 0, {w}, {h}, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
            let text = '';
            for (let i = 1; i < bytes.length; i += 4) text += String.fromCharCode(bytes[i]);
            const camera = viewer.camera();
            viewer.free();
            gl.getExtension('WEBGL_lose_context').loseContext();
            return {{ camera, green: btoa(text) }};
        }})()"
    ));
    let rows = BASE64_STANDARD.decode(answer["green"].as_str().expect("text")).expect("base64");
    let green = rows.chunks(w).rev().flatten().copied().collect();
    Shot { camera: serde_json::from_value(answer["camera"].clone()).expect("a camera"), green }
}

/// The exact stripe value seen at a place of the frame, and |n·ray|.
fn exact(scene: &Scene, rig: &LampRig, camera: &Camera, x: f64, y: f64) -> Option<(f64, f64)> {
    let hit = pick(scene, camera, x, y, 1.0)?;
    let (point, normal) = (Vec3::from_array(hit.point), Vec3::from_array(hit.normal));
    Some((stripe_value(rig, point, normal)?, normal.dot(camera.ray(x, y).direction).abs()))
}

/// Distance in pixels from a place to the nearest exact stripe edge, to first order, and |n·ray|.
fn off_edge(scene: &Scene, rig: &LampRig, camera: &Camera, x: f64, y: f64) -> Option<(f64, f64)> {
    let at = |dx: f64, dy: f64| exact(scene, rig, camera, x + dx, y + dy);
    let (f, facing) = at(0.0, 0.0)?;
    let h = 0.05;
    let rate = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0) / (2.0 * h);
    let (fx, fy) = (rate(at(h, 0.0)?, at(-h, 0.0)?), rate(at(0.0, h)?, at(0.0, -h)?));
    let slope = fx.hypot(fy);
    let near = edges(rig, f - 2.0 * rig.spacing, f + 2.0 * rig.spacing);
    let off = near.iter().map(|e| (e - f).abs()).fold(f64::INFINITY, f64::min);
    Some((off / slope, facing))
}

/// False where the face's own outline runs through the pixels around one: the surface there hides a part of
/// itself, and the mesh decides which part a pixel shows.
fn one_sheet(scene: &Scene, camera: &Camera, (x, y): (usize, usize)) -> bool {
    let at = |i: usize, j: usize| pick(scene, camera, i as f64 + 0.5, j as f64 + 0.5, 1.0).map(|h| Vec3::from_array(h.point));
    // A pixel's step on a surface seen at |n·ray| = 0.1 is ten pixels long, and across a corner √2 of it.
    let near = |p: Vec3| move |q: Vec3| p.distance(q) < 15.0 * camera.pixel_size();
    let Some(p) = at(x, y) else { return false };
    (y - 1..=y + 1).all(|j| (x - 1..=x + 1).all(|i| at(i, j).is_some_and(near(p))))
}

fn hold(name: &str, scene: &Scene, rig: &LampRig, plain: &Shot, shot: &Shot) {
    let (w, h) = SIZE;
    let paint = plain.green[h / 2 * w + w / 2];
    let dark = *shot.green.iter().min().expect("pixels");
    assert!(paint > dark + 100, "{name}: no stripes");
    // Inside the outline: paint, and paint all around.
    let inside = |x: usize, y: usize| {
        x > 0 && y > 0 && x + 1 < w && y + 1 < h && (y - 1..=y + 1).all(|j| (x - 1..=x + 1).all(|i| plain.green[j * w + i] == paint))
    };
    let cover = |x: usize, y: usize| (f64::from(paint) - f64::from(shot.green[y * w + x])) / f64::from(paint - dark);
    let (mut offs, mut grazing, mut outline) = (Vec::new(), 0usize, 0usize);
    let mut sample = |a: (usize, usize), b: (usize, usize)| {
        let (ca, cb) = (cover(a.0, a.1), cover(b.0, b.1));
        if (ca > 0.5) == (cb > 0.5) {
            return;
        }
        if !inside(a.0, a.1) || !inside(b.0, b.1) || [a, b].iter().any(|p| !one_sheet(scene, &shot.camera, *p)) {
            outline += 1;
            return;
        }
        let t = (ca - 0.5) / (ca - cb);
        let along = |p: usize, q: usize| p as f64 + 0.5 + t * (q as f64 - p as f64);
        match off_edge(scene, rig, &shot.camera, along(a.0, b.0), along(a.1, b.1)) {
            Some((off, facing)) if facing >= 0.1 => offs.push(off),
            _ => grazing += 1,
        }
    };
    for y in (1..h - 1).step_by(EVERY) {
        (0..w - 1).for_each(|x| sample((x, y), (x + 1, y)));
    }
    for x in (1..w - 1).step_by(EVERY) {
        (0..h - 1).for_each(|y| sample((x, y), (x, y + 1)));
    }
    // No stripe missing and none too many: away from every edge each pixel is what it should be.
    let mut wrong = 0;
    for (x, y) in (0..h).step_by(EVERY).flat_map(|y| (0..w).step_by(EVERY).map(move |x| (x, y))).filter(|(x, y)| inside(*x, *y)) {
        let (px, py) = (x as f64 + 0.5, y as f64 + 0.5);
        let (Some((off, facing)), Some((f, _))) = (off_edge(scene, rig, &shot.camera, px, py), exact(scene, rig, &shot.camera, px, py))
        else {
            continue;
        };
        if facing >= 0.1 && off > 1.0 && (cover(x, y) > 0.5) != in_stripe(rig, f) {
            wrong += 1;
        }
    }
    offs.sort_by(f64::total_cmp);
    let count = offs.len();
    assert!(count > 300, "{name}: only {count} edge samples");
    let (p95, most) = (offs[count * 95 / 100], offs[count - 1]);
    println!(
        "{name}: {count} samples, 95 % within {p95:.3} px, at most {most:.3} px; left out {:.1} % edge-on, {:.1} % on the outline",
        100.0 * grazing as f64 / (count + grazing) as f64,
        100.0 * outline as f64 / (count + outline) as f64
    );
    assert!(p95 <= 0.5, "{name}: 95 % only within {p95} px");
    assert!(most <= 1.0, "{name}: an edge is {most} px off");
    assert_eq!(wrong, 0, "{name}: pixels on the wrong side of every edge");
}
