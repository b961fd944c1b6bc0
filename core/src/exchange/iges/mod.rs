//! IGES 5.3 entities to a model, from the fixed and the compressed ASCII form. The binary form is not read.
//!
//! Source throughout: *Initial Graphics Exchange Specification 5.3*, US PRO, 1996.
//! Deliberately absent: annotation, views and drawings, finite elements, solid primitives and Boolean trees, arrays of
//! subfigures, external references. What of these carries faces is listed in the report.

mod boundary;
mod compressed;
mod conic;
mod curve;
mod directory;
mod draft;
mod face;
mod fit;
mod global;
mod kinds;
mod look;
mod parametric;
mod plane_curve;
mod reader;
mod record;
mod rectangle;
mod sections;
mod shapes;
mod solid;
mod spline;
mod surface;
#[cfg(test)]
mod tests;
mod transform;
mod values;

use super::report::{Import, ReadError};
use super::{Limits, Report};
use crate::model::Source;
use crate::progress::Progress;
use reader::Reader;
use sections::Sections;

/// Reads an IGES file.
pub(super) fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let sections = Sections::open(bytes, limits)?;
    let mut reader = Reader::new(sections, limits, progress);
    let mut model = reader.model()?;
    if model.name.is_empty() {
        model.name = name.into();
    }
    let report = reader.finish();
    let nothing = model.faces.is_empty() && model.curves.is_empty() && report.hidden_faces == 0;
    if nothing && !report.unread.iter().any(|u| u.faces_lost > 0 && !u.damaged) {
        return Err(no_shape(&report));
    }
    Ok(Import { model, report })
}

/// Why nothing can be shown: the first damage, if that is the cause.
fn no_shape(report: &Report) -> ReadError {
    if let Some(u) = report.unread.iter().find(|u| u.faces_lost > 0).or(report.unread.first()) {
        let message = format!("no face could be read; the first thing left out is {}: {}", u.kind, u.reason);
        return ReadError::file(Source { entity: u.entity, line: u.line }, message);
    }
    if let Some(r) = report.remarks.first() {
        let at = Source { entity: r.entity.unwrap_or(0), line: r.line.unwrap_or(0) };
        return ReadError::file(at, format!("the file holds no face; the first oddity: {}", r.text));
    }
    let message = format!("the file holds no face among its {} entities", report.entity_count);
    ReadError::file(Source::default(), message)
}
