//! STEP entities (ISO 10303-42, -43, -46, AP203, AP214, AP242) to a model.
//!
//! Deliberately absent: tessellated shapes, solids made of primitives or by sweeping, annotations, and plane curves
//! at a distance from others. What of these carries shape is listed in the report.

mod bounded_surface;
mod composite;
mod curve;
mod edge;
mod face;
mod foot;
mod item;
mod lifted;
mod lookup;
mod pcurve;
mod place;
mod placement;
mod plane_curve;
mod plane_spline;
mod range;
mod reader;
mod shape;
mod spline;
mod structure;
mod style;
mod surface;
#[cfg(test)]
mod tests;
mod units;
mod window;
mod wire;

use super::part21::Part21;
use super::report::{Import, ReadError};
use super::{Limits, Report};
use crate::model::Source;
use crate::progress::Progress;
use reader::Reader;

pub(super) use spline::compressed;

/// Reads a STEP file.
pub(super) fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let file = Part21::open(bytes, limits)?;
    let mut reader = Reader::new(file, limits, progress);
    let mut model = reader.model()?;
    if model.name.is_empty() {
        model.name = name.into();
    }
    let report = reader.finish();
    if model.faces.is_empty()
        && model.curves.is_empty()
        && report.hidden_faces == 0
        && !report.unread.iter().any(|u| u.faces_lost > 0 && !u.damaged)
    {
        return Err(no_face(&report));
    }
    Ok(Import { model, report })
}

/// Why nothing can be shown: the first damage, if that is the cause.
fn no_face(report: &Report) -> ReadError {
    if let Some(u) = report.unread.iter().find(|u| u.faces_lost > 0) {
        return ReadError::file(Source { entity: u.entity, line: u.line }, format!("no face could be read; the first: {}", u.reason));
    }
    if let Some(u) = report.unread.first() {
        let message = format!("the file holds no face; the first thing left out is {}: {}", u.kind, u.reason);
        return ReadError::file(Source { entity: u.entity, line: u.line }, message);
    }
    if let Some(r) = report.remarks.first() {
        let at = Source { entity: r.entity.unwrap_or(0), line: r.line.unwrap_or(0) };
        return ReadError::file(at, format!("the file holds no face; the first oddity: {}", r.text));
    }
    let message = format!("the file holds no face among its {} entities", report.entity_count);
    ReadError::file(Source::default(), message)
}
