//! Feature lines and corners as the page takes them.

use super::{Session, plain};
use rakelight_core::joins::FeatureLine;
use rakelight_core::measure::Subject;
use rakelight_core::review::{CornerRecord, FeatureRecord};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A feature line's record with its places.
#[derive(Serialize)]
struct Line {
    #[serde(flatten)]
    record: FeatureRecord,
    /// x, y, z of the places along it, mm.
    points: Vec<f64>,
    /// Arc length at each, mm.
    along: Vec<f64>,
    /// Signed angle at each, degrees, convex as positive.
    angles: Vec<f64>,
}

/// Both.
#[derive(Serialize)]
struct Lines {
    features: Vec<Line>,
    corners: Vec<CornerRecord>,
}

#[wasm_bindgen]
impl Session {
    /// `{features, corners}`: lists of the records of `check --json`, feature lines with points, along and angles.
    pub fn lines(&self) -> Result<JsValue, JsValue> {
        let open = self.opened()?;
        let subject =
            Subject { sheets: open.prepared.sheets(), areas: &open.prepared.areas, graph: &open.graph, memo: &open.memo, reference: None };
        let line = |l: &FeatureLine| {
            Some(Line {
                record: FeatureRecord::new(l, open.graph.search)?,
                points: l.stops.iter().flat_map(|s| s.point.to_array()).collect(),
                along: l.stops.iter().map(|s| s.along).collect(),
                angles: l.stops.iter().map(|s| s.angle).collect(),
            })
        };
        let features = subject.lines().iter().filter_map(line).collect();
        plain(&Lines { features, corners: subject.corners().iter().map(CornerRecord::new).collect() })
    }
}
