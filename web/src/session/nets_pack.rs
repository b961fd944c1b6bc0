//! Control nets as the page takes them: the rows of a face with what they read, the nets of all faces, and the table of patches.

use super::entries::Entries;
use super::{Open, Session, plain};
use js_sys::{Float64Array, Object, Reflect, Uint32Array};
use rakelight_core::geometry::Surface;
use rakelight_core::measure::{Needed, PatchStructure, RowReading, Subject, needed, patch_structure, row_readings};
use rakelight_core::model::FaceId;
use rakelight_core::nurbs;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Most legs in the picture of all nets. More fill a device's memory, and the model under them is no longer seen.
const MOST_LEGS: usize = 300_000;

/// What the page calls the measures of rows.
const NAMES: [&str; 3] = ["evenness", "agreement", "turning"];

/// A row; lists run along it.
#[derive(Serialize)]
struct Row {
    /// x, y, z of its control points, mm.
    points: Vec<f64>,
    /// mm.
    legs: Vec<f64>,
    shares: Vec<f64>,
    bends: Vec<Option<f64>>,
    apart: Vec<Option<f64>>,
    /// Degrees, at inner points, in the tangent plane and in the normal plane.
    turns: [Vec<f64>; 2],
    back: [Vec<usize>; 2],
    evenness: Option<f64>,
    agreement: Option<f64>,
    turning: Option<u32>,
    turns_out: bool,
    /// What colours each leg; null where there is nothing to judge.
    colours: Entries<&'static str, Vec<Option<f64>>>,
    profile: Option<Profile>,
}

/// mm.
#[derive(Serialize)]
struct Profile {
    along: Vec<f64>,
    plan: Vec<f64>,
    side: Vec<f64>,
    /// Unit vector across the chord in the tangent plane.
    across: [f64; 3],
}

/// All of a patch.
#[derive(Serialize)]
struct Rows {
    face: usize,
    u: Vec<Row>,
    v: Vec<Row>,
}

/// A line of the table.
#[derive(Serialize)]
struct Patch {
    face: usize,
    degree: (usize, usize),
    spans: (usize, usize),
    points: (usize, usize),
    rational: bool,
    evenness: Option<f64>,
    agreement: Option<f64>,
    turning: Option<u32>,
}

/// The smallest patch that holds that of a face.
#[derive(Serialize)]
struct Least {
    face: usize,
    degree: (usize, usize),
    spans: (usize, usize),
    /// mm.
    off: f64,
    /// How much more the patch bends than it; null where it is flat.
    bend: Option<f64>,
}

#[wasm_bindgen]
impl Session {
    /// Rows of a face: {face, u, v}, or null where it is
    /// no spline patch.
    pub fn rows(&self, face: usize) -> Result<JsValue, JsValue> {
        let Some(patch) = patch_of(self.opened()?, FaceId::new(face)) else { return Ok(JsValue::NULL) };
        let rows = |along_u: bool| row_readings(patch, along_u).into_iter().map(row).collect();
        plain(&Rows { face, u: rows(true), v: rows(false) })
    }

    /// The table of spline patches, copies left out: [{face, degree, spans, points, rational, evenness, agreement, turning}], pairs along
    /// u and along v.
    pub fn patches(&self) -> Result<JsValue, JsValue> {
        plain(&patches(self.opened()?).map(|(id, patch)| line(id, &patch_structure(patch))).collect::<Vec<_>>())
    }

    /// [{face, degree, spans, off, bend}] of some faces: the smallest that hold the patch of each, how far they lie from it, mm, and how
    /// much more it bends; faces without are left out.
    pub fn needs(&self, faces: &[u32]) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject =
            Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo, reference: None };
        let least = |face: usize| {
            let Needed { degree, spans, off, bend } = needed(&subject, FaceId::new(face))?;
            Some(Least { face, degree, spans, off, bend })
        };
        plain(&faces.iter().filter_map(|f| usize::try_from(*f).ok()).filter_map(least).collect::<Vec<_>>())
    }

    /// The nets of all spline patches by `evenness`, `agreement` or `turning`: {faces, points, counts, values} in flat arrays: the
    /// points of each row, their number, and a value for each leg, no number where there is none; `left`: patches left out, since there
    /// are too many legs.
    pub fn nets(&self, measure: &str) -> Result<Object, JsValue> {
        let open = self.opened()?;
        let [mut points, mut values] = [Vec::new(), Vec::new()];
        let [mut counts, mut faces] = [Vec::new(), Vec::new()];
        let mut left = 0u32;
        let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        for (id, patch) in patches(open) {
            let (nu, nv) = patch.size();
            if values.len() + 2 * nu * nv > MOST_LEGS {
                left += 1;
                continue;
            }
            for row in [true, false].into_iter().flat_map(|along_u| row_readings(patch, along_u)) {
                points.extend(row.points.iter().flat_map(|p| p.to_array()));
                counts.push(number(row.points.len()));
                faces.push(number(id.index()));
                values.extend(leg_values(&row, measure).into_iter().map(|x| x.unwrap_or(f64::NAN)));
            }
        }
        let made = Object::new();
        let set = |name: &str, value: JsValue| Reflect::set(&made, &name.into(), &value).map(|_| ());
        set("points", Float64Array::from(points.as_slice()).into())?;
        set("values", Float64Array::from(values.as_slice()).into())?;
        set("counts", Uint32Array::from(counts.as_slice()).into())?;
        set("faces", Uint32Array::from(faces.as_slice()).into())?;
        set("left", left.into())?;
        Ok(made)
    }
}

/// What the legs of a row are coloured by: how uneven each is, how far its share differs, how often the row turns back, at those where
/// it does.
fn leg_values(row: &RowReading, measure: &str) -> Vec<Option<f64>> {
    let size = |list: &[Option<f64>]| list.iter().map(|x| x.map(f64::abs)).collect();
    match measure {
        "evenness" => size(&row.bends),
        "agreement" => size(&row.apart),
        _ => row.turns_by_leg(),
    }
}

fn patches(open: &Open) -> impl Iterator<Item = (FaceId, &nurbs::Surface)> {
    open.prepared.import.model.faces().filter(|(id, _)| !open.graph.is_copy(*id)).filter_map(|(id, face)| match &face.surface {
        Surface::Nurbs(patch) => Some((id, patch)),
        _ => None,
    })
}

fn patch_of(open: &Open, id: FaceId) -> Option<&nurbs::Surface> {
    match &open.prepared.import.model.face(id)?.surface {
        Surface::Nurbs(patch) => Some(patch),
        _ => None,
    }
}

fn row(r: RowReading) -> Row {
    Row {
        colours: NAMES.into_iter().map(|name| (name, leg_values(&r, name))).collect(),
        points: r.points.iter().flat_map(|p| p.to_array()).collect(),
        profile: r.profile.map(|p| Profile { along: p.along, plan: p.plan, side: p.side, across: p.axes[1].to_array() }),
        legs: r.legs,
        shares: r.shares,
        bends: r.bends,
        apart: r.apart,
        turns: r.turns,
        back: r.back,
        evenness: r.evenness,
        agreement: r.agreement,
        turning: r.turning,
        turns_out: r.turns_out,
    }
}

fn line(id: FaceId, s: &PatchStructure) -> Patch {
    let PatchStructure { degree, spans, points, rational, evenness, agreement, turning } = *s;
    Patch { face: id.index(), degree, spans, points, rational, evenness, agreement, turning }
}
