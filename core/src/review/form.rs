//! How the values of form are spread over a model: what the range of its colours is taken from.

use super::Prepared;
use crate::geometry::{Form, FormSample, Region, form_samples};
use crate::joins::{JoinGraph, Role};
use crate::math::quantiles;
use crate::model::FaceId;
use crate::progress::{Progress, Stage};
use std::collections::BTreeMap;

/// Samples of a whole model, about. Larger: slower; smaller: percentiles of models with few faces jump.
const SAMPLES: usize = 120_000;

/// Least and most lines a way on one face. Smaller: a face's extremes are missed; larger: few faces cost as much as many.
const LINES: (usize, usize) = (6, 40);

/// Shares of the area at which values are told: every hundredth.
pub const FORM_SHARES: usize = 101;

/// For each value of form the values below which 0, 1, … 100 % of the sampled area lie; empty for a model without area.
pub type FormRanges = BTreeMap<Form, Vec<f64>>;

/// Samples every face that is measured, weighted by area; None when cancelled. Convex is positive seen from the outward side that
/// the skins of `graph` have. Curvatures are those of primary faces, where there are any: next to a fillet's they are so small that
/// a range with both shows panels in one colour. Radii are those of all faces, as the small ones are what is looked for.
pub fn form_ranges(prepared: &Prepared, graph: &JoinGraph, progress: &mut dyn Progress) -> Option<FormRanges> {
    let sheets = prepared.sheets();
    let faces: Vec<FaceId> = sheets.model.faces().map(|(id, _)| id).filter(|id| sheets.domain(*id).is_some()).collect();
    let each = (SAMPLES / faces.len().max(1)).isqrt().clamp(LINES.0, LINES.1);
    let mut all: Vec<FormSample> = Vec::new();
    let mut of_panels: Vec<FormSample> = Vec::new();
    for (done, id) in faces.iter().enumerate() {
        progress.report(Stage::Measure, done, faces.len());
        if progress.cancelled() {
            return None;
        }
        if let (Some(face), Some(domain)) = (sheets.face(*id), sheets.domain(*id)) {
            let samples = form_samples(&face.surface, &Region::new(domain), each, graph.orientation.sign(*id));
            if graph.roles.get(id.index()) == Some(&Role::Primary) {
                of_panels.extend(samples.iter().copied());
            }
            all.extend(samples);
        }
    }
    let shares: Vec<f64> = (0..FORM_SHARES).map(|i| i as f64 / (FORM_SHARES - 1) as f64).collect();
    let panels = if of_panels.is_empty() { &all } else { &of_panels };
    let spread = |form: Form| match form {
        // Radii run to infinity, where nothing lies straight between: their order is the curvatures' turned round.
        Form::Radius => {
            let tight = quantiles(all.iter().map(|s| (s.curvatures.tightest().abs(), s.area)), &shares);
            tight.iter().rev().map(|k| 1.0 / k).collect()
        }
        _ => quantiles(panels.iter().map(|s| (form.of(s.curvatures), s.area)), &shares),
    };
    Some(Form::ALL.iter().map(|&form| (form, spread(form))).collect())
}
