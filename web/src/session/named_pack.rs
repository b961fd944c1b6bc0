//! Named sections as the page takes them: each cut of the open model and of the revision before it, and how far the two lie apart.

use super::{Session, plain};
use rakelight_core::joins::JoinGraph;
use rakelight_core::math::Vec3;
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_core::section::{Plane, Precision, SectionFace, SectionLine, apart, section};
use rakelight_core::tessellate::{Tessellation, Tolerance, tessellate};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What the page asks.
#[derive(Deserialize)]
struct Wish {
    planes: Vec<Named>,
}

#[derive(Deserialize)]
struct Named {
    /// Normal of the plane.
    axis: [f64; 3],
    /// Its distance from the origin along the axis, mm.
    at: f64,
}

/// What a cut comes to.
#[derive(Serialize)]
struct Cut {
    lines: usize,
    /// Of all lines, mm.
    length: f64,
    /// Largest curvature, 1/mm, with its sign; null of none.
    most: Option<f64>,
}

#[derive(Serialize)]
struct Off {
    distance: f64,
    at: [f64; 3],
}

#[derive(Serialize)]
struct Record {
    now: Cut,
    /// Of the earlier revision; null without one.
    before: Option<Cut>,
    apart: Option<Off>,
}

#[wasm_bindgen]
impl Session {
    /// Cuts the model, and the earlier revision if there is one: {planes: [{axis, at}]} gives for each {now: {lines, length, most},
    /// before: the same or null, apart: {distance, at} or null}.
    pub fn named_sections(&mut self, wish: JsValue) -> Result<JsValue, JsValue> {
        let wish: Wish = serde_wasm_bindgen::from_value(wish)?;
        let open = self.open.as_mut().ok_or("no file is open")?;
        let now = cuts(&open.prepared, &open.graph, &mut open.meshes, &wish);
        let before = self.earlier.as_mut().map(|e| cuts(&e.opened.prepared, &e.opened.graph, &mut e.meshes, &wish));
        let record = |(i, lines): (usize, &Vec<SectionLine>)| {
            let before = before.as_ref().and_then(|all| all.get(i));
            let off = before.and_then(|b| apart(lines, b)).map(|(distance, at)| Off { distance, at: at.to_array() });
            Record { now: told(lines), before: before.map(|b| told(b)), apart: off }
        };
        plain(&now.iter().enumerate().map(record).collect::<Vec<_>>())
    }
}

fn cuts(prepared: &Prepared, graph: &JoinGraph, kept: &mut Option<Tessellation>, wish: &Wish) -> Vec<Vec<SectionLine>> {
    let model = &prepared.import.model;
    let meshes = kept.get_or_insert_with(|| tessellate(model, &prepared.domains, &Tolerance::for_model(model), &mut Silent));
    let sheets = prepared.sheets();
    let faces = SectionFace::all(&sheets, meshes, graph);
    let cut = |n: &Named| {
        let plane = Vec3::from_array(n.axis).try_normalize().map(|normal| Plane { normal, offset: n.at });
        plane.map_or(Vec::new(), |plane| section(&plane, &faces, graph, &Precision::default()))
    };
    wish.planes.iter().map(cut).collect()
}

fn told(lines: &[SectionLine]) -> Cut {
    let most = lines.iter().flat_map(|l| &l.points).map(|p| p.curvature).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    Cut { lines: lines.len(), length: lines.iter().map(|l| l.points.last().map_or(0.0, |p| p.along)).sum(), most }
}
