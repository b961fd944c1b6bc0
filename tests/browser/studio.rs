//! One face in a viewer of its own, photographed under lamps, and its stripe edges measured against a ray-cast in
//! double precision.

use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_core::highlight::{LampRig, edges, in_stripe, stripe_value};
use rakelight_core::math::Vec3;
use rakelight_pack::server::Server;
use rakelight_tests::browser::{self, Page};
use rakelight_tests::site;
use rakelight_web::camera::Camera;
use rakelight_web::packet::FacePacket;
use serde_json::Value;

/// Every how many rows and columns edges are sampled.
const EVERY: usize = 3;

/// Point and unit normal seen at a place of the frame, in double precision; `None` beside the surface.
pub type Cast<'a> = dyn Fn(&Camera, f64, f64) -> Option<(Vec3, Vec3)> + 'a;

/// A page with a viewer that holds one face and nothing else.
pub struct Studio {
    /// The page.
    pub page: Page,
    size: (usize, usize),
    _server: Server,
}

/// A picture as the canvas holds it, rows from the top, and the camera it was taken with.
pub struct Shot {
    /// With which it was taken.
    pub camera: Camera,
    /// The green channel.
    pub green: Vec<u8>,
    size: (usize, usize),
}

/// How far the edges of a picture are off.
pub struct Measured {
    /// Distance of each sampled edge from the exact one, pixels, rising.
    pub offs: Vec<f64>,
    /// Pixels further than one from every edge that show the wrong side of it.
    pub wrong: usize,
    grazing: usize,
    outline: usize,
}

impl Studio {
    /// Opens the page and gives its viewer a face, without border lines: they are ink over stripes and would be
    /// measured instead.
    pub fn open(packet: &FacePacket, (w, h): (usize, usize)) -> Self {
        let server = site::serve("", None);
        let page = browser::page();
        page.go(&server.page());
        page.wait("typeof wasm_bindgen === 'function' && wasm_bindgen.Viewer", Duration::from_secs(60));
        let bytes = BASE64_STANDARD.encode(FacePacket { boundaries: vec![], ..packet.clone() }.write());
        page.ask(&format!(
            "(async () => {{
                await wasm_bindgen({{ module_or_path: 'rakelight_bg.wasm' }});
                const canvas = document.createElement('canvas');
                const viewer = wasm_bindgen.Viewer.create(canvas);
                viewer.resize({w}, {h}, 1);
                viewer.set_theme({{ paper: [1, 1, 1], ink: [0, 0, 0], relief: 0 }});
                viewer.add_faces(Uint8Array.from(atob('{bytes}'), (c) => c.charCodeAt(0)));
                globalThis.studio = {{ canvas, viewer }};
            }})()"
        ));
        Self { page, size: (w, h), _server: server }
    }

    /// Runs a statement on `viewer`, then waits for the exact picture under a rig.
    pub fn shoot(&self, statement: &str, rig: &Value) -> Shot {
        let (w, h) = self.size;
        let answer = self.page.ask(&format!(
            "(async () => {{
                const {{ canvas, viewer }} = studio;
                {statement};
                viewer.set_stripes({rig});
                while (!viewer.draw('exact')) await new Promise((next) => setTimeout(next, 5));
                if (!viewer.status().exact) throw new Error(viewer.status().note);
                const gl = canvas.getContext('webgl2');
                const bytes = new Uint8Array({w} * {h} * 4);
                gl.readPixels(0, 0, {w}, {h}, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
                let text = '';
                for (let i = 1; i < bytes.length; i += 4) text += String.fromCharCode(bytes[i]);
                return {{ camera: viewer.camera(), green: btoa(text) }};
            }})()"
        ));
        let rows = BASE64_STANDARD.decode(answer["green"].as_str().expect("text")).expect("base64");
        let green = rows.chunks(w).rev().flatten().copied().collect();
        Shot { camera: serde_json::from_value(answer["camera"].clone()).expect("a camera"), green, size: self.size }
    }
}

impl Drop for Studio {
    fn drop(&mut self) {
        // A browser keeps few contexts; the page goes with them only when the next one is opened.
        self.page.ask("studio.canvas.getContext('webgl2').getExtension('WEBGL_lose_context').loseContext()");
    }
}

/// The exact stripe value seen at a place of the frame, and |n·ray|.
fn exact(cast: &Cast, rig: &LampRig, camera: &Camera, x: f64, y: f64) -> Option<(f64, f64)> {
    let (point, normal) = cast(camera, x, y)?;
    Some((stripe_value(rig, point, normal)?, normal.dot(camera.ray(x, y).direction).abs()))
}

/// Distance in pixels from a place to the nearest exact stripe edge, to first order, and |n·ray|.
pub fn off_edge(cast: &Cast, rig: &LampRig, camera: &Camera, x: f64, y: f64) -> Option<(f64, f64)> {
    let at = |dx: f64, dy: f64| exact(cast, rig, camera, x + dx, y + dy);
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
fn one_sheet(cast: &Cast, camera: &Camera, (x, y): (usize, usize)) -> bool {
    let at = |i: usize, j: usize| cast(camera, i as f64 + 0.5, j as f64 + 0.5).map(|h| h.0);
    // A pixel's step on a surface seen at |n·ray| = 0.1 is ten pixels long, and across a corner √2 of it.
    let near = |p: Vec3| move |q: Vec3| p.distance(q) < 15.0 * camera.pixel_size();
    let Some(p) = at(x, y) else { return false };
    (y - 1..=y + 1).all(|j| (x - 1..=x + 1).all(|i| at(i, j).is_some_and(near(p))))
}

/// Measures the edges of `shot` against the ray-cast; `plain` is the same view without stripes.
pub fn measure(cast: &Cast, rig: &LampRig, plain: &Shot, shot: &Shot) -> Measured {
    let (w, h) = shot.size;
    let paint = plain.green[h / 2 * w + w / 2];
    let dark = *shot.green.iter().min().expect("pixels");
    assert!(paint > dark + 100, "no stripes");
    // Inside the outline: paint, and paint all around.
    let inside = |x: usize, y: usize| {
        x > 0 && y > 0 && x + 1 < w && y + 1 < h && (y - 1..=y + 1).all(|j| (x - 1..=x + 1).all(|i| plain.green[j * w + i] == paint))
    };
    let cover = |x: usize, y: usize| (f64::from(paint) - f64::from(shot.green[y * w + x])) / f64::from(paint - dark);
    let mut found = Measured { offs: Vec::new(), wrong: 0, grazing: 0, outline: 0 };
    let mut sample = |a: (usize, usize), b: (usize, usize)| {
        let (ca, cb) = (cover(a.0, a.1), cover(b.0, b.1));
        if (ca > 0.5) == (cb > 0.5) {
            return;
        }
        if !inside(a.0, a.1) || !inside(b.0, b.1) || [a, b].iter().any(|p| !one_sheet(cast, &shot.camera, *p)) {
            found.outline += 1;
            return;
        }
        let t = (ca - 0.5) / (ca - cb);
        let along = |p: usize, q: usize| p as f64 + 0.5 + t * (q as f64 - p as f64);
        match off_edge(cast, rig, &shot.camera, along(a.0, b.0), along(a.1, b.1)) {
            Some((off, facing)) if facing >= 0.1 => found.offs.push(off),
            _ => found.grazing += 1,
        }
    };
    for y in (1..h - 1).step_by(EVERY) {
        (0..w - 1).for_each(|x| sample((x, y), (x + 1, y)));
    }
    for x in (1..w - 1).step_by(EVERY) {
        (0..h - 1).for_each(|y| sample((x, y), (x, y + 1)));
    }
    // No stripe missing and none too many: away from every edge each pixel is what it should be.
    for (x, y) in (0..h).step_by(EVERY).flat_map(|y| (0..w).step_by(EVERY).map(move |x| (x, y))).filter(|(x, y)| inside(*x, *y)) {
        let (px, py) = (x as f64 + 0.5, y as f64 + 0.5);
        let (Some((off, facing)), Some((f, _))) = (off_edge(cast, rig, &shot.camera, px, py), exact(cast, rig, &shot.camera, px, py))
        else {
            continue;
        };
        if facing >= 0.1 && off > 1.0 && (cover(x, y) > 0.5) != in_stripe(rig, f) {
            found.wrong += 1;
        }
    }
    found.offs.sort_by(f64::total_cmp);
    found
}

impl Measured {
    /// Prints what was found and holds it to limits: at least `least` samples, 95 % of them within `most95` pixels and
    /// all within `most`, and no pixel on the wrong side of every edge.
    pub fn hold(&self, name: &str, least: usize, most95: f64, most: f64) {
        let count = self.offs.len();
        assert!(count > least, "{name}: only {count} edge samples");
        let (p95, last) = (self.offs[count * 95 / 100], self.offs[count - 1]);
        println!(
            "{name}: {count} samples, 95 % within {p95:.3} px, at most {last:.3} px; left out {:.1} % edge-on, {:.1} % on the outline; {} wrong",
            100.0 * self.grazing as f64 / (count + self.grazing) as f64,
            100.0 * self.outline as f64 / (count + self.outline) as f64,
            self.wrong
        );
        assert!(p95 <= most95, "{name}: 95 % only within {p95} px");
        assert!(last <= most, "{name}: an edge is {last} px off");
        assert_eq!(self.wrong, 0, "{name}: pixels on the wrong side of every edge");
    }
}
