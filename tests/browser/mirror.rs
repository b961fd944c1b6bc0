//! Reflection lines against a brute-force mirror: every pixel's ray is thrown back at the surface by the mirrored eye
//! and followed to the lamps one by one, without the stripe function.

use rakelight_core::highlight::{Eye, LampRig};
use rakelight_core::math::Vec3;
use rakelight_web::camera::{Camera, Projection};
use rakelight_web::lamps::LampSettings;
use rakelight_web::scene::Scene;
use serde_json::json;

use crate::cast::cast;
use crate::stripes::{coarse, rigs};
use crate::studio::Studio;
use crate::zoom::panel;

/// Frame, pixels.
const SIZE: (usize, usize) = (384, 288);
/// Pixels that are followed.
const PIXELS: usize = 10_000;
/// How far an edge may be off, pixels.
const OFF: f64 = 0.5;
/// Places looked at around a pixel's middle.
const AROUND: usize = 48;

/// True when the mirrored ray meets a lamp; `None` beside the surface.
fn lit(surface: &rakelight_core::geometry::Surface, rig: &LampRig, camera: &Camera, start: [f64; 2], x: f64, y: f64) -> Option<bool> {
    let (point, normal) = cast(surface, [0.0, 1.0, 0.0, 1.0], start, &camera.ray(x, y))?;
    // In the tangent plane's mirror the eye stands behind it; from there the way through the point is straight.
    let way = match rig.eye {
        Eye::At(eye) => point - (eye - normal * (2.0 * normal.dot(eye - point))),
        Eye::Far(to_eye) => normal * (2.0 * normal.dot(to_eye)) - to_eye,
    };
    let (ahead, towards) = (rig.distance - (point - rig.centre).dot(rig.direction), way.dot(rig.direction));
    if towards <= 0.0 || ahead <= 0.0 {
        return Some(false);
    }
    let meets: Vec3 = point + way * (ahead / towards) - rig.centre;
    let across = meets.dot(rig.across);
    let first = -0.5 * f64::from(rig.count - 1) * rig.spacing;
    Some((0..rig.count).any(|lamp| (across - first - f64::from(lamp) * rig.spacing).abs() < rig.width / 2.0))
}

#[test]
fn reflection_lines_are_where_a_mirror_shows_the_lamps() {
    let surface = panel(5, 2, 1.0, true);
    let uv = [0.0, 1.0, 0.0, 1.0];
    let packet = coarse(&surface, uv, 24);
    let mut scene = Scene::default();
    scene.add(&packet.write()).expect("sound");
    let studio = Studio::open(&packet, SIZE);
    let settings = rigs(scene.bounds().radius())[2].clone();
    for projection in [Projection::Perspective, Projection::Orthographic] {
        let mut camera = Camera { projection, width: SIZE.0 as f64, height: SIZE.1 as f64, ..Camera::default() };
        camera.face(surface.normal(0.5, 0.5).expect("regular"));
        (camera.yaw, camera.pitch) = (camera.yaw + 0.3, (camera.pitch - 0.2).clamp(-1.5, 1.5));
        camera.fit(&scene.corners());
        // All of the frame is surface.
        camera.distance *= 0.5;
        let plain = studio.shoot(&format!("viewer.set_camera({})", json!(camera)), &json!({"family": "none"}));
        let shot = studio.shoot("", &settings);
        let lamps: LampSettings = serde_json::from_value(settings.clone()).expect("settings");
        let bounds = scene.bounds();
        let rig = lamps.rig((bounds.min + bounds.max) / 2.0, shot.camera.sight()).expect("sound").expect("wanted");
        let (paint, dark) = (plain.green[SIZE.1 / 2 * SIZE.0 + SIZE.0 / 2], *shot.green.iter().min().expect("pixels"));
        assert!(paint > dark + 100, "no stripes");
        let (mut followed, mut near, mut off) = (0, 0, 0);
        // Steps that share no factor with the frame's width go through all columns and rows.
        for k in 0.. {
            let at = (k * 11) % (SIZE.0 * SIZE.1);
            if followed == PIXELS || k >= SIZE.0 * SIZE.1 {
                break;
            }
            let (x, y) = ((at % SIZE.0) as f64 + 0.5, (at / SIZE.0) as f64 + 0.5);
            let see = |dx: f64, dy: f64| lit(&surface, &rig, &camera, [0.5, 0.5], x + dx, y + dy);
            let Some(here) = see(0.0, 0.0) else { continue };
            followed += 1;
            let shown = 2 * i32::from(paint) - 2 * i32::from(shot.green[at]) > i32::from(paint) - i32::from(dark);
            if shown == here {
                continue;
            }
            near += 1;
            let turn = |i: usize| std::f64::consts::TAU * i as f64 / AROUND as f64;
            if (0..AROUND).all(|i| see(OFF * turn(i).cos(), OFF * turn(i).sin()) == Some(here)) {
                off += 1;
            }
        }
        println!(
            "mirror, {projection:?}: {followed} pixels, {near} on the other side of an edge than the mirror says, {off} by more than {OFF} px"
        );
        assert_eq!(followed, PIXELS);
        assert_eq!(off, 0, "edges off by more than {OFF} px");
    }
}
