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

use super::Limits;
use super::part21::Part21;
use super::report::{Import, ReadError};
use crate::progress::{Progress, Stage};
use reader::Reader;

pub(super) use spline::compressed;

/// Reads a STEP file.
pub(super) fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let file = Part21::open(bytes, limits)?;
    // The text is indexed; faces come next.
    progress.report(Stage::Read, 0, 1);
    let mut reader = Reader::new(file, limits, progress);
    let mut model = reader.model()?;
    if model.name.is_empty() {
        model.name = name.into();
    }
    Import::shown(model, reader.finish())
}
