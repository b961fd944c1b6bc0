//! Colours by form on the screen against values computed in double precision, and the Form pass as its user handles it.

use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_core::geometry::{Cylinder, Form, Sphere, Surface, Torus, convexity};
use rakelight_core::math::{Frame, Point2, Point3, Vec3};
use rakelight_core::nurbs::{self, KnotVector};
use rakelight_tests::browser::{self, Page};
use rakelight_tests::inspector::Inspector;
use rakelight_tests::site;
use rakelight_web::camera::Camera;
use rakelight_web::form_colour::{FormSettings, FormView, axis, colour_at, form_map};
use rakelight_web::packet::FacePacket;
use rakelight_web::pick::pick;
use rakelight_web::scene::Scene;
use serde_json::{Value, json};

use super::stripes::coarse;

const SOON: Duration = Duration::from_secs(30);
/// Frame of each picture, pixels.
const SIZE: (usize, usize) = (320, 240);

fn frame() -> Frame {
    Frame::from_axis(Point3::new(1500.0, -300.0, 700.0), Some(Vec3::new(1.0, 0.2, 0.3)), Some(Vec3::Z))
}

/// A patch of `(p, q)` in two spans by two, bumpy, with weights or without.
fn patch(p: usize, q: usize, rational: bool) -> Surface {
    let knots = |degree: usize| {
        let mut all = vec![0.0; degree + 1];
        all.push(0.4);
        all.extend(vec![1.0; degree + 1]);
        KnotVector::new(degree, all).expect("knots")
    };
    let (nu, nv) = (p + 2, q + 2);
    let place = |i: usize, j: usize| {
        let (s, t) = (i as f64 / (nu - 1) as f64, j as f64 / (nv - 1) as f64);
        let bump = 60.0 * (2.2 * s + 0.4).sin() * (2.9 * t).cos() - 45.0 * (s - 0.4) * (t - 0.6);
        Point3::new(900.0 + 260.0 * s, 250.0 * t - 80.0 * s, bump)
    };
    let cells = || (0..nu).flat_map(|i| (0..nv).map(move |j| (i, j)));
    let weights = rational.then(|| cells().map(|(i, j)| 1.0 + 0.4 * ((i + 2 * j) as f64).sin()).collect());
    Surface::Nurbs(nurbs::Surface::new(knots(p), knots(q), cells().map(|(i, j)| place(i, j)).collect(), weights).expect("sound"))
}

fn cases() -> Vec<(&'static str, FacePacket)> {
    let patch_uv = [0.0, 1.0, 0.0, 1.0];
    vec![
        ("sphere", coarse(&Surface::Sphere(Sphere { frame: frame(), radius: 120.0 }), [-1.3, 1.5, -0.9, 1.2], 24)),
        ("cylinder", coarse(&Surface::Cylinder(Cylinder { frame: frame(), radius: 140.0 }), [-1.3, 1.5, -220.0, 260.0], 20)),
        ("torus", coarse(&Surface::Torus(Torus { frame: frame(), major: 160.0, minor: 60.0 }), [0.0, 3.6, -1.0, 2.0], 36)),
        ("rational patch", coarse(&patch(2, 3, true), patch_uv, 24)),
        ("patch of degree 5", coarse(&patch(5, 5, false), patch_uv, 24)),
    ]
}

/// A picture, red, green and blue by rows from the top, and the camera it was taken with.
struct Shot {
    camera: Camera,
    rgb: Vec<[u8; 3]>,
}

fn ready() -> (rakelight_pack::server::Server, Page) {
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&server.page());
    page.wait("typeof wasm_bindgen === 'function' && wasm_bindgen.Viewer", Duration::from_secs(60));
    (server, page)
}

/// Pictures of one packet under several settings, in one viewer.
fn shoot(page: &Page, packet: &FacePacket, settings: &[Value]) -> Vec<Shot> {
    let (w, h) = SIZE;
    let bytes = BASE64_STANDARD.encode(packet.write());
    let answer = page.ask(&format!(
        "(async () => {{
            await wasm_bindgen({{ module_or_path: 'rakelight_bg.wasm' }});
            const canvas = document.createElement('canvas');
            const viewer = wasm_bindgen.Viewer.create(canvas);
            viewer.resize({w}, {h}, 1);
            viewer.set_theme({{ paper: [1, 1, 1], ink: [0, 0, 0], relief: 0 }});
            viewer.add_faces(Uint8Array.from(atob('{bytes}'), (c) => c.charCodeAt(0)));
            viewer.fit();
            viewer.set_stripes({{ family: 'none' }});
            const gl = canvas.getContext('webgl2');
            const shots = [];
            for (const settings of {}) {{
                viewer.set_form(settings);
                do await new Promise((next) => setTimeout(next, 5)); while (!viewer.draw('exact'));
                if (!viewer.status().exact || viewer.status().note) throw new Error(viewer.status().note);
                const bytes = new Uint8Array({w} * {h} * 4);
                gl.readPixels(0, 0, {w}, {h}, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
                let text = '';
                for (const byte of bytes) text += String.fromCharCode(byte);
                shots.push(btoa(text));
            }}
            const camera = viewer.camera();
            viewer.free();
            gl.getExtension('WEBGL_lose_context').loseContext();
            return {{ camera, shots }};
        }})()",
        json!(settings)
    ));
    let camera: Camera = serde_json::from_value(answer["camera"].clone()).expect("a camera");
    let decode = |shot: &Value| {
        let rows = BASE64_STANDARD.decode(shot.as_str().expect("text")).expect("base64");
        let rgb = rows.chunks(4 * w).rev().flat_map(|row| row.chunks(4).map(|c| [c[0], c[1], c[2]])).collect();
        Shot { camera, rgb }
    };
    answer["shots"].as_array().expect("pictures").iter().map(decode).collect()
}

/// The place of a value on its axis at a pixel by the processor; `None` beside the surface, and where it is seen nearly edge-on.
fn exact(scene: &Scene, camera: &Camera, form: Form, swapped: bool, x: f64, y: f64) -> Option<f64> {
    let hit = pick(scene, camera, x, y, 1.0)?;
    let normal = Vec3::from_array(hit.normal);
    let surface = scene.faces[0].surface()?;
    let k = convexity(surface, Point2::new(hit.u, hit.v), 1.0)?;
    let k = FormSettings { swapped, ..FormSettings::default() }.seen(k);
    (normal.dot(camera.ray(x, y).direction).abs() > 0.15).then(|| axis(form, k))
}

fn scene_of(packet: &FacePacket) -> Scene {
    let mut scene = Scene::default();
    scene.add(&packet.write()).expect("sound");
    scene
}

/// Range of a form's values over a picture, as settings.
fn over(scene: &Scene, camera: &Camera, form: Form) -> (f64, f64) {
    let (w, h) = SIZE;
    let seen = (0..h).step_by(7).flat_map(|y| (0..w).step_by(7).map(move |x| (x, y)));
    let values: Vec<f64> = seen.filter_map(|(x, y)| exact(scene, camera, form, false, x as f64 + 0.5, y as f64 + 0.5)).collect();
    let most = values.iter().fold(0.0f64, |m, v| m.max(v.abs())).max(1e-4);
    if form == Form::Radius { (2.0, 1e5) } else { (-1.1 * most, 1.1 * most) }
}

#[test]
fn colours_are_those_of_the_exact_values() {
    let (_server, page) = ready();
    for (name, packet) in cases() {
        let packet = FacePacket { boundaries: vec![], ..packet };
        let scene = scene_of(&packet);
        let camera = shoot(&page, &packet, &[json!({"view": "none"})])[0].camera;
        let ranges: Vec<(f64, f64)> = Form::ALL.iter().map(|f| over(&scene, &camera, *f)).collect();
        let settings: Vec<Value> =
            Form::ALL.iter().zip(&ranges).map(|(f, (low, high))| json!({"view": f.name(), "low": low, "high": high})).collect();
        for ((form, setting), shot) in Form::ALL.into_iter().zip(&settings).zip(shoot(&page, &packet, &settings)) {
            hold(&format!("{name}, {}", form.name()), &scene, form, setting, &shot);
        }
    }
}

fn hold(name: &str, scene: &Scene, form: Form, settings: &Value, shot: &Shot) {
    let settings: FormSettings = serde_json::from_value(settings.clone()).expect("settings");
    assert_eq!(settings.view(), Some(FormView::By(form)));
    let (low, high) = settings.range();
    let map = form_map(form);
    let (w, h) = SIZE;
    let mut offs: Vec<f64> = Vec::new();
    for y in (3..h - 3).step_by(3) {
        for x in (3..w - 3).step_by(3) {
            let at = |dx: f64, dy: f64| exact(scene, &shot.camera, form, false, x as f64 + 0.5 + dx, y as f64 + 0.5 + dy);
            // Not beside an outline, where colours are mixed with the paper.
            let around = [(-2.0, 0.0), (2.0, 0.0), (0.0, -2.0), (0.0, 2.0)].iter().all(|(dx, dy)| at(*dx, *dy).is_some());
            let Some(value) = at(0.0, 0.0).filter(|_| around) else { continue };
            let want = colour_at(&map, (value - low) / (high - low)).map(|c| f64::from(c) * 255.0);
            let got = shot.rgb[y * w + x].map(f64::from);
            offs.push((0..3).map(|i| (want[i] - got[i]).abs()).fold(0.0, f64::max));
        }
    }
    offs.sort_by(f64::total_cmp);
    let count = offs.len();
    assert!(count > 200, "{name}: only {count} pixels");
    let (p95, most) = (offs[count * 95 / 100], offs[count - 1]);
    println!("{name}: {count} pixels, 95 % within {p95:.2} of 255, at most {most:.2}");
    assert!(p95 <= 1.5 && most <= 4.0, "{name}: colours off by {p95} at 95 %, {most} at most, of 255");
}

#[test]
fn isolines_run_where_the_value_is_a_multiple_of_their_step() {
    let (_server, page) = ready();
    for (name, packet) in cases().into_iter().skip(2) {
        let packet = FacePacket { boundaries: vec![], ..packet };
        let scene = scene_of(&packet);
        let camera = shoot(&page, &packet, &[json!({"view": "none"})])[0].camera;
        let (low, high) = over(&scene, &camera, Form::Mean);
        let step = high / 5.0;
        let base = json!({"view": "mean", "low": low, "high": high});
        let lined = json!({"view": "mean", "low": low, "high": high, "step": step});
        let shots = shoot(&page, &packet, &[base, lined]);
        let (w, h) = SIZE;
        let (mut inked, mut on_line, mut wrong) = (0, 0, Vec::new());
        for (x, y) in (3..h - 3).flat_map(|y| (3..w - 3).map(move |x| (x, y))) {
            let at = |dx: f64, dy: f64| exact(&scene, &camera, Form::Mean, false, x as f64 + 0.5 + dx, y as f64 + 0.5 + dy);
            let (Some(v), Some(a), Some(b), Some(c), Some(d)) = (at(0.0, 0.0), at(-1.0, 0.0), at(1.0, 0.0), at(0.0, -1.0), at(0.0, 1.0))
            else {
                continue;
            };
            let rate = ((b - a) / 2.0).hypot((d - c) / 2.0) / step;
            if !(4e-3..0.1).contains(&rate) {
                continue;
            }
            let lines = v / step;
            let away = (lines - lines.round()).abs() / rate;
            let ink = (0..3).map(|i| shots[0].rgb[y * w + x][i].abs_diff(shots[1].rgb[y * w + x][i])).max().unwrap_or(0);
            if ink > 90 {
                inked += 1;
                // Half the bold line of zero, and a pixel to smooth it.
                if away > 1.1 + 1.0 {
                    wrong.push((x, y, away));
                }
            }
            if away < 0.4 {
                on_line += 1;
                if ink < 40 {
                    wrong.push((x, y, away));
                }
            }
        }
        println!("{name}: {inked} inked pixels, {on_line} on a line, {} wrong", wrong.len());
        assert!(inked > 100 && on_line > 60, "{name}: {inked} inked, {on_line} on a line");
        assert!(wrong.len() * 200 < inked, "{name}: {} of {inked}: {:?}", wrong.len(), &wrong[..wrong.len().min(5)]);
    }
}

#[test]
fn radii_below_the_limit_are_hatched_convex_and_hollow_apart() {
    let (_server, page) = ready();
    let packet = FacePacket { boundaries: vec![], ..cases().swap_remove(0).1 };
    let of = |limit: f64, swapped: bool| json!({"view": "radius", "low": 10.0, "high": 1000.0, "limit": limit, "swapped": swapped});
    let shots = shoot(&page, &packet, &[of(119.0, false), of(121.0, false), of(121.0, true)]);
    // Orange and blue of the strokes.
    let count = |shot: &Shot, ink: [u8; 3]| shot.rgb.iter().filter(|c| (0..3).all(|i| c[i].abs_diff(ink[i]) < 6)).count();
    let (orange, blue) = ([230, 159, 0], [86, 180, 233]);
    let strokes: Vec<(usize, usize)> = shots.iter().map(|s| (count(s, orange), count(s, blue))).collect();
    assert_eq!(strokes[0], (0, 0), "a sphere of 120 mm is above a limit of 119 mm");
    assert!(strokes[1].0 > 2000 && strokes[1].1 == 0, "{strokes:?}");
    assert!(strokes[2].1 > 2000 && strokes[2].0 == 0, "{strokes:?}");
    // Convex strokes rise to the right, hollow ones fall: each goes on along its own diagonal.
    let goes_on = |shot: &Shot, ink: [u8; 3], rise: bool| {
        let (w, h) = SIZE;
        let is = |x: usize, y: usize| (0..3).all(|i| shot.rgb[y * w + x][i].abs_diff(ink[i]) < 6);
        let mut along = (0, 0);
        for (x, y) in (1..h - 1).flat_map(|y| (1..w - 1).map(move |x| (x, y))).filter(|(x, y)| is(*x, *y)) {
            along.0 += 1;
            along.1 += usize::from(is(x + 1, if rise { y - 1 } else { y + 1 }));
        }
        along.1 as f64 / along.0 as f64
    };
    assert!(goes_on(&shots[1], orange, true) > 0.9 && goes_on(&shots[1], orange, false) < 0.6);
    assert!(goes_on(&shots[2], blue, false) > 0.9 && goes_on(&shots[2], blue, true) < 0.6);
}

#[test]
fn the_form_pass_colours_the_model_and_reads_values_out() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model("bramble-a.step");
    inspector.wait_for_exact();
    let page = &inspector.page;
    let canvas = inspector.canvas();
    let mut last = page.picture(canvas);
    page.click_on("#pass-form");
    page.wait("document.querySelector('.legend-ends')", SOON);
    for view in ["gaussian", "mean", "max", "min", "radius", "face"] {
        page.click_on(&format!("#form-{view}"));
        inspector.wait_for_exact();
        let now = page.picture(canvas);
        assert!(last.difference(&now, 8) > 0.02, "{view} changes nothing");
        last = now;
    }
    // A range by hand changes the legend and the picture; undo takes it back.
    page.click_on("#form-mean");
    page.wait("document.querySelector('#form-high')", SOON);
    inspector.wait_for_exact();
    let before = page.picture(canvas);
    let ends = page.text(".legend-ends");
    page.ask("(() => { const box = document.querySelector('#form-high'); box.value = '0.05'; box.dispatchEvent(new Event('change')); })()");
    inspector.wait_for_exact();
    assert!(page.text(".legend-ends").contains("0.05") && page.text(".legend-ends") != ends);
    assert!(before.difference(&page.picture(canvas), 8) > 0.02);
    page.click_on("#undo");
    inspector.wait_for_exact();
    assert_eq!(page.text(".legend-ends"), ends);
    // Under the cursor: the mean is half the sum of largest and smallest, in words of their own.
    let (x, y) = canvas.middle();
    page.hover(x, y);
    page.wait("document.querySelector('.pick-mean')", SOON);
    let read = |name: &str| reading(&page.text(&format!(".pick-{name}")));
    let (mean, max, min) = (read("mean"), read("max"), read("min"));
    assert!(max >= min && (mean - 0.5 * (max + min)).abs() <= 0.06 * max.abs().max(min.abs()), "{mean} of {max} and {min}");
    assert!(page.text(".pick-mean").ends_with("1/mm") && page.text(".pick-radius").contains("mm"));
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// The number in a text as "Mean 3.1 × 10⁻⁴ 1/mm".
fn reading(text: &str) -> f64 {
    let text = text.replace('−', "-");
    let number = text.split_whitespace().nth(1).and_then(|x| x.parse::<f64>().ok()).unwrap_or_else(|| panic!("no number: {text}"));
    let Some((_, power)) = text.split_once("× 10") else { return number };
    let digits: String = power
        .split_whitespace()
        .next()
        .unwrap_or_default()
        .chars()
        .map(|c| match c {
            '⁻' => '-',
            c => "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|d| d == c).map_or('?', |i| char::from(b'0' + u8::try_from(i).unwrap_or(0))),
        })
        .collect();
    number * 10f64.powi(digits.parse().unwrap_or_else(|_| panic!("no power: {text}")))
}

#[test]
fn a_sphere_reads_its_radius() {
    let Some(file) = rakelight_tests::data::step_model("sphere_quarter_pieces.stp", "reading a sphere's radius") else { return };
    let inspector = Inspector::open(Some(&file.path));
    inspector.wait_for_model("sphere_quarter_pieces.stp");
    let page = &inspector.page;
    page.click_on("#pass-form");
    page.click_on("#form-radius");
    page.wait("document.querySelector('.legend-ends')", SOON);
    inspector.wait_for_exact();
    // The file's spheres have radii of 0.0635 mm and 0.36991 mm; between them are planes.
    let (canvas, mut said) = (inspector.canvas(), Vec::new());
    for (i, j) in (2..9).flat_map(|i| (2..9).map(move |j| (f64::from(i) / 10.0, f64::from(j) / 10.0))) {
        page.hover(canvas.x + i * canvas.width, canvas.y + j * canvas.height);
        std::thread::sleep(Duration::from_millis(60));
        said.push(page.text(".pick-radius"));
    }
    said.sort();
    said.dedup();
    assert!(said.iter().any(|s| s.starts_with("Radius 0.0635 mm") || s.starts_with("Radius 0.37 mm")), "{said:?}");
    assert!(
        said.iter()
            .all(|s| ["", "Radius flat"].contains(&s.as_str()) || s.starts_with("Radius 0.0635 mm") || s.starts_with("Radius 0.37 mm")),
        "{said:?}"
    );
}
