//! Plane sections as the page takes them.

use super::comb_pack::{Record, record};
use super::{Open, Session, plain};
use rakelight_core::math::Vec3;
use rakelight_core::progress::Silent;
use rakelight_core::review::{Comb, section_comb};
use rakelight_core::section::{Plane, Precision, SectionFace, section, stack};
use rakelight_core::tessellate::{Tessellation, tessellate};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What the page asks.
#[derive(Deserialize)]
struct Wish {
    /// Normal of the planes.
    axis: [f64; 3],
    /// Planes at whole multiples of it, mm; or one at `at`.
    spacing: f64,
    /// Distance of a single plane from the origin along the axis, mm.
    at: Option<f64>,
    /// Between teeth, mm; null for no combs.
    tooth: Option<f64>,
}

/// Polylines.
#[derive(Serialize, Default)]
struct Lines {
    /// x, y, z of all points, line after line.
    points: Vec<f64>,
    /// Points of each line.
    counts: Vec<usize>,
}

/// Sections by plane.
#[derive(Serialize)]
struct Sections {
    /// Offset of each line's plane, mm.
    offsets: Vec<f64>,
    /// x, y, z of all points, line after line.
    points: Vec<f64>,
    /// Points of each line.
    counts: Vec<usize>,
    /// Length of all lines, mm.
    length: f64,
    /// The reference's cuts by the same planes; none without one.
    reference: Lines,
    combs: Record,
}

#[wasm_bindgen]
impl Session {
    /// Cuts the model: {axis, spacing, at: mm or null, tooth: mm or null} gives {offsets, points, counts, length, reference:
    /// {points, counts}, combs: {side, teeth, counts, inflections, most}}.
    pub fn sections(&mut self, wish: JsValue) -> Result<JsValue, JsValue> {
        let wish: Wish = serde_wasm_bindgen::from_value(wish)?;
        let open = self.open.as_mut().ok_or("no file is open")?;
        if open.meshes.is_none() {
            let model = &open.prepared.import.model;
            open.meshes = Some(tessellate(model, &open.prepared.domains, &open.tolerance, &mut Silent));
        }
        let meshes = open.meshes.take().unwrap_or_default();
        let found = cut(open, &meshes, &wish);
        open.meshes = Some(meshes);
        plain(&found)
    }
}

fn cut(open: &Open, meshes: &Tessellation, wish: &Wish) -> Sections {
    let sheets = open.prepared.sheets();
    let axis = Vec3::from_array(wish.axis);
    let planes = match (wish.at, axis.try_normalize(), open.bounds.corners()) {
        (Some(offset), Some(normal), _) => vec![Plane { normal, offset }],
        (None, _, Some(corners)) => stack(axis, wish.spacing, corners),
        _ => Vec::new(),
    };
    let faces = SectionFace::all(&sheets, meshes, &open.graph);
    let mut all = Sections {
        offsets: Vec::new(),
        points: Vec::new(),
        counts: Vec::new(),
        length: 0.0,
        reference: Lines::default(),
        combs: record("first", &[]),
    };
    let mut combs: Vec<Comb> = Vec::new();
    for plane in planes {
        let lines = section(&plane, &faces, &open.graph, &Precision::default());
        for line in open.reference.iter().flat_map(|r| r.section(&plane)) {
            all.reference.counts.push(line.points.len());
            all.reference.points.extend(line.points.iter().flat_map(|p| p.to_array()));
        }
        for line in &lines {
            all.offsets.push(plane.offset);
            all.counts.push(line.points.len());
            all.points.extend(line.points.iter().flat_map(|p| p.point.to_array()));
            all.length += line.points.last().map_or(0.0, |p| p.along);
            combs.extend(wish.tooth.and_then(|tooth| section_comb(line, plane.normal, tooth)));
        }
    }
    all.combs = record("first", &combs);
    all
}
