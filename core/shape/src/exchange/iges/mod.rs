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
mod lists;
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

use super::Limits;
use super::report::{Import, ReadError};
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
    Import::shown(model, reader.finish())
}
