//! The point probe as the page shows it: some places, the way between the last two, and the way to a patch.

use super::{Open, Session, plain};
use rakelight_core::math::{Point2, Point3, Vec3};
use rakelight_core::model::FaceId;
use rakelight_core::review::{Probe, nearest, probe};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// What the page asks.
#[derive(Deserialize)]
struct Wish {
    /// The last one is the one that distances are taken from.
    places: Vec<Place>,
    /// Pull direction of any length.
    pull: [f64; 3],
    /// A face to whose patch the distance is asked for.
    patch: Option<usize>,
}

#[derive(Deserialize)]
struct Place {
    face: usize,
    u: f64,
    v: f64,
}

/// Lengths mm, angles degrees, curvatures 1/mm with convex as positive.
#[derive(Serialize)]
struct Answer {
    /// One a place; null where the face is unknown.
    points: Vec<Option<PointRecord>>,
    /// From the last but one to the last; null without two.
    between: Option<Between>,
    /// Null when none was asked for.
    nearest: Option<NearestRecord>,
}

#[derive(Serialize)]
struct PointRecord {
    face: usize,
    u: f64,
    v: f64,
    point: [f64; 3],
    /// Null where the surface has no tangent plane.
    form: Option<FormRecord>,
}

#[derive(Serialize)]
struct FormRecord {
    normal: [f64; 3],
    max: f64,
    min: f64,
    /// Unit directions of both.
    along: [f64; 3],
    across: [f64; 3],
    /// Null on a plane.
    radius: Option<f64>,
    /// Null of a pull without length.
    draft: Option<f64>,
    /// Ends of the strokes that show the directions and the normal, x, y, z of both each.
    arms: [[f64; 6]; 3],
}

#[derive(Serialize)]
struct Between {
    distance: f64,
    /// Its parts along x, y and z.
    parts: [f64; 3],
}

#[derive(Serialize)]
struct NearestRecord {
    face: usize,
    point: [f64; 3],
    distance: f64,
    /// Positive on the outward side; null where it has none.
    signed: Option<f64>,
    /// False beyond the face's borders.
    inside: bool,
}

/// Half length of the stroke along the larger curvature as a share of the model's size; that along the smaller is half as long, so
/// that they are told apart without colour.
const ARM: f64 = 0.03;

#[wasm_bindgen]
impl Session {
    /// Measures places: {places: [{face, u, v}], pull: [x, y, z], patch: face or null} gives {points: [{face, u, v, point, form: {normal,
    /// max, min, along, across, radius, draft, arms} or null} or null], between: {distance, parts} or null, nearest: {face, point,
    /// distance, signed, inside} or null}.
    pub fn probe(&self, wish: JsValue) -> Result<JsValue, JsValue> {
        let wish: Wish = serde_wasm_bindgen::from_value(wish)?;
        plain(&answer(self.opened()?, &wish))
    }
}

fn answer(open: &Open, wish: &Wish) -> Answer {
    let at = |p: &Place| probe(&open.prepared, &open.graph, FaceId::new(p.face), Point2::new(p.u, p.v));
    let found: Vec<Option<Probe>> = wish.places.iter().map(at).collect();
    let arm = ARM * open.bounds.corners().map_or(1.0, |[low, high]| low.distance(high));
    let pull = Vec3::from_array(wish.pull);
    let known: Vec<&Probe> = found.iter().flatten().collect();
    let between = match known.as_slice() {
        [.., a, b] => Some(Between { distance: a.point.distance(b.point), parts: (b.point - a.point).to_array() }),
        _ => None,
    };
    let nearest = known.last().zip(wish.patch).and_then(|(from, face)| {
        let n = nearest(&open.prepared, &open.graph, FaceId::new(face), from.point)?;
        Some(NearestRecord { face, point: n.point.to_array(), distance: n.distance, signed: n.signed, inside: n.inside })
    });
    Answer { points: found.iter().map(|p| p.as_ref().map(|p| record(p, pull, arm))).collect(), between, nearest }
}

fn record(p: &Probe, pull: Vec3, arm: f64) -> PointRecord {
    let stroke = |from: f64, to: f64, way: Vec3| {
        let ([a, b, c], [d, e, f]) = (ends(p.point, way * from), ends(p.point, way * to));
        [a, b, c, d, e, f]
    };
    PointRecord {
        face: p.face.index(),
        u: p.uv.u,
        v: p.uv.v,
        point: p.point.to_array(),
        form: p.form.map(|f| FormRecord {
            normal: f.normal.to_array(),
            max: f.max,
            min: f.min,
            along: f.along.to_array(),
            across: f.across.to_array(),
            radius: Some(f.radius()).filter(|r| r.is_finite()),
            draft: f.draft(pull),
            arms: [stroke(-arm, arm, f.along), stroke(-0.5 * arm, 0.5 * arm, f.across), stroke(0.0, arm, f.normal)],
        }),
    }
}

fn ends(p: Point3, by: Vec3) -> [f64; 3] {
    (p + by).to_array()
}
