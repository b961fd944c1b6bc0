//! A frame under moving lamps on a still camera, against the same triangles with plain shading, in software rendering.

use super::files;
use super::table::Row;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_core::exchange::{self, Limits};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_core::tessellate::{Tolerance, stream};
use rakelight_tests::{browser, site};
use rakelight_web::packet::{FacePacket, VERTEX_FLOATS};
use rakelight_web::session::pack_face;
use serde_json::json;
use std::path::Path;
use std::time::Duration;

const BAR: f64 = 1.5;

/// Patches each way of the sheet.
const ACROSS: usize = 16;

/// Pixels.
const SIZE: (usize, usize) = (1440, 900);

/// Share of the frame that the model fills, about as the page fits it.
const FILLED: f64 = 0.9;

/// Frames of which the middle one counts.
const FRAMES: usize = 9;

const PAGE: &str = include_str!("lamps_page.js");

/// The row.
pub fn rows() -> Vec<Row> {
    let Some(path) = files::grid(ACROSS, false) else { return Vec::new() };
    let packets = packets(&path);
    let (corners, triangles) = plain(&packets);
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&server.page());
    page.wait("typeof wasm_bindgen === 'function' && wasm_bindgen.Viewer", Duration::from_secs(60));
    page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", Duration::from_secs(120));
    let texts: Vec<String> = packets.iter().map(|packet| BASE64_STANDARD.encode(packet.write())).collect();
    let (corners, triangles) = (BASE64_STANDARD.encode(corners), BASE64_STANDARD.encode(triangles));
    let told = page.ask(&format!("({PAGE})({}, '{corners}', '{triangles}', {}, {}, {FRAMES})", json!(texts), SIZE.0, SIZE.1));
    let side = |i: usize| told[i].as_f64().unwrap_or(f64::NAN);
    let what = format!("a frame under moving lamps, {} faces, software GL / plain shaded mesh", packets.len());
    vec![Row::ms(what, side(0), side(1), BAR).note("1440 × 900, from the change to the end of the device's work; the middle of nine")]
}

fn packets(path: &Path) -> Vec<FacePacket> {
    let bytes = std::fs::read(path).expect("a sheet");
    let prepared = Prepared::new(exchange::read(&bytes, &files::name(path), &Limits::default(), &mut Silent).expect("a model"));
    let model = &prepared.import.model;
    let mut all = Vec::new();
    stream(model, &prepared.domains, &Tolerance::for_model(model), &mut Silent, |id, mesh| {
        if let (Ok(mesh), Some(face)) = (mesh, model.face(id)) {
            all.push(pack_face(face, &mesh, false));
        }
    });
    all
}

/// Vertices and triangles of all packets as bytes, seen from above, as large as the page shows them.
fn plain(packets: &[FacePacket]) -> (Vec<u8>, Vec<u8>) {
    let places = packets.iter().flat_map(|packet| {
        let vertices = packet.vertices.as_chunks::<VERTEX_FLOATS>().0.iter();
        vertices.map(|v| (std::array::from_fn(|x| packet.origin[x] + f64::from(v[x])), [v[5], v[6], v[7]]))
    });
    let places: Vec<([f64; 3], [f32; 3])> = places.collect();
    let end = |x: usize, pick: fn(f64, f64) -> f64, from: f64| places.iter().fold(from, |m, (p, _)| pick(m, p[x]));
    let ends: [(f64, f64); 3] = std::array::from_fn(|x| (end(x, f64::min, f64::INFINITY), end(x, f64::max, f64::NEG_INFINITY)));
    let size = |x: usize| ends[x].1 - ends[x].0;
    // One scale for both directions of the picture.
    let (w, h) = (SIZE.0 as f64, SIZE.1 as f64);
    let pixels = FILLED * (w / size(0)).min(h / size(1));
    let scale = [2.0 * pixels / w, 2.0 * pixels / h, -1.0 / size(2)];
    let (mut corners, mut triangles, mut first) = (Vec::new(), Vec::new(), 0);
    for (p, n) in &places {
        let seen: [f32; 3] = std::array::from_fn(|x| (scale[x] * (p[x] - (ends[x].0 + ends[x].1) / 2.0)) as f32);
        corners.extend(seen.iter().chain(n).flat_map(|x| x.to_le_bytes()));
    }
    for packet in packets {
        triangles.extend(packet.triangles.iter().flat_map(|i| (i + first).to_le_bytes()));
        first += (packet.vertices.len() / VERTEX_FLOATS) as u32;
    }
    (corners, triangles)
}
