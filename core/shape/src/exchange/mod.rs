//! Files to models, and models to files.
//!
//! A reader answers with the model *and* a report of everything it could not read; it fails only when there is no
//! model at all. Entity names of a format appear only inside that format's folder.

mod fault;
mod format;
mod iges;
mod limits;
mod mesh;
mod packed;
mod part21;
mod report;
mod step;
pub mod write;

pub use format::{Content, detect};
pub use limits::Limits;
pub use packed::crc32;
pub use report::{Format, Import, ReadError, ReadErrorKind, Remark, Repair, Report, Unread};

use crate::progress::Progress;

/// Reads a model from the bytes of a file called `name` (used where the file does not name its product).
///
/// The format is told from the bytes, not from the name ([`detect`]). Of a zip container the first model is read.
///
/// # Errors
/// When no model can be made at all: not a known format, cut off, without any shape, beyond a limit, or cancelled.
/// What can be read around is listed in the report instead.
pub fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    within(bytes, limits)?;
    match detect(bytes)? {
        Content::Model(format) => read_as(format, bytes, name, limits, progress),
        Content::Zip => packed::read_zip(bytes, limits, progress),
        Content::Gzip => packed::read_gzip(bytes, name, limits, progress),
    }
}

/// Reads a model as [`read`] does, taking the bytes for `format` whatever they look like.
///
/// # Errors
/// As [`read`].
pub fn read_as(format: Format, bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    within(bytes, limits)?;
    let mut import = match format {
        Format::Step => step::read(bytes, name, limits, progress),
        Format::Iges => iges::read(bytes, name, limits, progress),
        Format::Stl => mesh::read_stl(bytes, name, limits, progress),
        Format::Ply => mesh::read_ply(bytes, name, limits, progress),
    }?;
    import.report.unit_override = limits.unit.filter(|&mm| limits.in_mm(0.0) == mm);
    Ok(import)
}

fn within(bytes: &[u8], limits: &Limits) -> Result<(), ReadError> {
    if bytes.len() > limits.bytes {
        return Err(ReadError::limit(format!("the file has {} bytes; the limit is {}", bytes.len(), limits.bytes)));
    }
    Ok(())
}
