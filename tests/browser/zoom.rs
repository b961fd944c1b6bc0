//! Stripe edges come near: the canvas at the pixel size of a fitted frame of 1440 × 900, and 20 and 200 times nearer,
//! against a ray-cast in double precision. Every edge within half a pixel.

use rakelight_core::geometry::{Cone, Cylinder, Sphere, Surface, Torus};
use rakelight_core::highlight::{in_stripe, stripe_value};
use rakelight_core::math::{Frame, Point3, Vec3};
use rakelight_core::nurbs::{self, KnotVector};
use rakelight_web::camera::{Camera, Projection};
use rakelight_web::lamps::LampSettings;
use rakelight_web::scene::Scene;
use serde_json::{Value, json};

use crate::cast::cast;
use crate::stripes::{coarse, rigs};
use crate::studio::{Studio, measure};

/// Frame of each picture, pixels: a part of the frame that the zoom is counted from.
const SIZE: (usize, usize) = (384, 288);
/// The frame that the zoom is counted from.
const WHOLE: (f64, f64) = (1440.0, 900.0);
/// How much nearer than fitted. `stripes.rs` measures fitted views.
const ZOOMS: [f64; 2] = [20.0, 200.0];
/// Off the model's origin, as vehicles stand.
const AWAY: Point3 = Point3::new(1500.0, -700.0, 900.0);

fn frame() -> Frame {
    Frame::from_axis(AWAY, Some(Vec3::new(1.0, 0.2, 0.3)), Some(Vec3::Z))
}

#[test]
fn a_cylinder_of_two_metres_keeps_its_edges_when_zoomed() {
    zoom("cylinder", &Surface::Cylinder(Cylinder { frame: frame(), radius: 2000.0 }), [-0.8, 0.9, -1500.0, 1800.0]);
}

#[test]
fn a_cone_keeps_its_edges_when_zoomed() {
    zoom("cone", &Surface::Cone(Cone { frame: frame(), radius: 1500.0, half_angle: 0.3 }), [-0.8, 0.9, -900.0, 1100.0]);
}

#[test]
fn a_sphere_of_two_metres_keeps_its_edges_when_zoomed() {
    zoom("sphere", &Surface::Sphere(Sphere { frame: frame(), radius: 2000.0 }), [-0.8, 0.9, -0.6, 0.7]);
}

#[test]
fn a_torus_of_two_metres_keeps_its_edges_when_zoomed() {
    zoom("torus", &Surface::Torus(Torus { frame: frame(), major: 1400.0, minor: 600.0 }), [-0.8, 0.9, -0.8, 0.7]);
}

#[test]
fn a_rational_patch_of_degree_three_keeps_its_edges_when_zoomed() {
    zoom("rational, degree 3", &panel(3, 4, 1.0, true), [0.0, 1.0, 0.0, 1.0]);
}

#[test]
fn patches_of_degree_five_and_nine_keep_their_edges_when_zoomed() {
    zoom("degree 5", &panel(5, 1, 1.0, false), [0.0, 1.0, 0.0, 1.0]);
    zoom("rational, degree 9", &panel(9, 1, 1.0, true), [0.0, 1.0, 0.0, 1.0]);
}

#[test]
fn a_nearly_flat_patch_keeps_its_edges_when_zoomed() {
    zoom("nearly flat, degree 5", &panel(5, 2, 0.05, true), [0.0, 1.0, 0.0, 1.0]);
}

/// A panel of about 900 × 600 mm with radii from 0.8 to 2.5 m, its height over a plane scaled by `bulge`, of a degree
/// and a number of spans.
pub fn panel(degree: usize, spans: usize, bulge: f64, rational: bool) -> Surface {
    let knots = || {
        let inner = (1..spans).map(|i| (i as f64 + 0.13 * (i as f64).sin()) / spans as f64);
        let ends = |x: f64| std::iter::repeat_n(x, degree + 1);
        KnotVector::new(degree, ends(0.0).chain(inner).chain(ends(1.0)).collect()).expect("sound")
    };
    let n = degree + spans;
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    for i in 0..n {
        for j in 0..n {
            let (s, t) = (i as f64 / (n - 1) as f64 - 0.5, j as f64 / (n - 1) as f64 - 0.5);
            let height =
                -900.0 * 900.0 * s * s / 4000.0 - 600.0 * 600.0 * t * t / 2600.0 + 30.0 * s * s * t + 22.0 * t * t * t - 15.0 * s * t;
            points.push(frame().point(bulge * height, 900.0 * s + 40.0 * t, 600.0 * t - 25.0 * s));
            weights.push(1.0 + 0.35 * (1.7 * s + 2.9 * t).sin());
        }
    }
    Surface::Nurbs(nurbs::Surface::new(knots(), knots(), points, rational.then_some(weights)).expect("sound"))
}

fn zoom(name: &str, surface: &Surface, uv: [f64; 4]) {
    // A mesh far coarser than the core's, so that the correction onto the ray has work to do.
    let packet = coarse(surface, uv, 20);
    let mut scene = Scene::default();
    scene.add(&packet.write()).expect("sound");
    let studio = Studio::open(&packet, SIZE);
    let mut worst = Vec::new();
    for (projection, word) in [(Projection::Perspective, "perspective"), (Projection::Orthographic, "orthographic")] {
        for zoom in ZOOMS {
            for rig in rigs(scene.bounds().radius()) {
                let (camera, start) = aimed(surface, uv, &scene, projection, zoom, &rig);
                let plain = studio.shoot(&format!("viewer.set_camera({})", json!(camera)), &json!({"family": "none"}));
                let shot = studio.shoot("", &rig);
                let rig = lamps(&rig, &scene, &shot.camera);
                let see = |camera: &Camera, x: f64, y: f64| cast(surface, uv, start, &camera.ray(x, y));
                let label = format!("{name}, {word}, {zoom}×, {:?}", rig.family);
                worst.push((label, measure(&see, &rig, &plain, &shot)));
            }
        }
    }
    for (label, measured) in worst {
        measured.hold(&label, 60, 0.5, 0.5);
    }
}

fn lamps(settings: &Value, scene: &Scene, camera: &Camera) -> rakelight_core::highlight::LampRig {
    let settings: LampSettings = serde_json::from_value(settings.clone()).expect("settings");
    let bounds = scene.bounds();
    settings.rig((bounds.min + bounds.max) / 2.0, camera.sight()).expect("sound").expect("wanted")
}

/// Lines over the parameters' box on which the end of a stripe is sought: start, and what is added up to the end.
const LINES: [[f64; 4]; 3] = [[0.3, 0.36, 0.4, 0.3], [0.2, 0.45, 0.6, 0.05], [0.45, 0.2, 0.05, 0.6]];
/// Steps of the search along a line.
const STEPS: usize = 2000;

/// A camera that looks at a place where a stripe ends, and the parameters there.
fn aimed(surface: &Surface, uv: [f64; 4], scene: &Scene, projection: Projection, zoom: f64, rig: &Value) -> (Camera, [f64; 2]) {
    let at = |[a, b, c, d]: [f64; 4], s: f64| [uv[0] + (a + c * s) * (uv[1] - uv[0]), uv[2] + (b + d * s) * (uv[3] - uv[2])];
    let mut whole = Camera { projection, width: WHOLE.0, height: WHOLE.1, ..Camera::default() };
    let [u, v] = at(LINES[0], 0.5);
    whole.face(surface.normal(u, v).expect("regular"));
    (whole.yaw, whole.pitch) = (whole.yaw + 0.35, (whole.pitch - 0.25).clamp(-1.5, 1.5));
    whole.fit(&scene.corners());
    let (width, height) = (SIZE.0 as f64, SIZE.1 as f64);
    let distance = whole.distance * height / WHOLE.1 / zoom;
    let camera = |[u, v]: [f64; 2]| Camera { target: surface.point(u, v).to_vec().to_array(), distance, width, height, ..whole };
    let lit = |place: [f64; 2]| {
        let rig = lamps(rig, scene, &camera(place));
        let normal = surface.normal(place[0], place[1]).expect("regular");
        stripe_value(&rig, surface.point(place[0], place[1]).to_vec(), normal).is_some_and(|f| in_stripe(&rig, f))
    };
    let share = |k: usize| k as f64 / STEPS as f64;
    for line in LINES {
        let changes = (0..STEPS).filter(|k| lit(at(line, share(*k))) != lit(at(line, share(k + 1))));
        // The change nearest the middle.
        let Some(k) = changes.min_by_key(|k| k.abs_diff(STEPS / 2)) else { continue };
        let (mut a, mut b) = (share(k), share(k + 1));
        let first = lit(at(line, a));
        for _ in 0..60 {
            let middle = 0.5 * (a + b);
            if lit(at(line, middle)) == first { a = middle } else { b = middle }
        }
        return (camera(at(line, a)), at(line, a));
    }
    panic!("no stripe ends on a line: {zoom}×, {projection:?}, {rig}");
}
