//! What the page needs to colour a model by form.

use super::entries::Entries;
use rakelight_core::joins::{JoinGraph, contrasting};
use rakelight_core::progress::Silent;
use rakelight_core::review::{Prepared, form_ranges};
use serde::Serialize;

/// Ranges of the values, and what is to be known of each face.
#[derive(Serialize)]
pub struct FormRecord {
    /// By the name of a value: those at 0, 1, … 100 % of the area; null for infinite.
    ranges: Entries<&'static str, Vec<Option<f64>>>,
    /// 1 where the outward side of a face is that of Su × Sv, else −1.
    sides: Vec<i8>,
    /// 0 to 7; neighbours differ.
    classes: Vec<u8>,
}

/// The record of a model; `None` never, as nobody cancels.
pub fn form(prepared: &Prepared, graph: &JoinGraph) -> Option<FormRecord> {
    let model = &prepared.import.model;
    let ranges = form_ranges(prepared, graph, &mut Silent)?;
    Some(FormRecord {
        ranges: ranges.into_iter().map(|(f, v)| (f.name(), v.into_iter().map(|x| Some(x).filter(|x| x.is_finite())).collect())).collect(),
        sides: model.faces().map(|(id, _)| if graph.orientation.sign(id) < 0.0 { -1 } else { 1 }).collect(),
        classes: contrasting(graph, model.faces.len()),
    })
}
