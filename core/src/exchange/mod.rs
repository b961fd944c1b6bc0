//! Files to models, and models to files.
//!
//! A reader answers with the model *and* a report of everything it could not read; it fails only when there is no
//! model at all. Entity names of a format appear only inside that format's folder.

mod limits;
mod part21;
mod report;
mod step;
pub mod write;

pub use limits::Limits;
pub use report::{Format, Import, ReadError, ReadErrorKind, Remark, Repair, Report, Unread};

use crate::progress::Progress;

/// Reads a model from the bytes of a file called `name` (used where the file does not name its product).
///
/// The format is told from the bytes, not from the name. Today that is STEP (ISO 10303-21 with AP203, AP214 or AP242).
///
/// # Errors
/// When no model can be made at all: not a known format, cut off, without any shape, beyond a limit, or cancelled.
/// What can be read around is listed in the report instead.
pub fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    if bytes.len() > limits.bytes {
        return Err(ReadError::limit(format!("the file has {} bytes; the limit is {}", bytes.len(), limits.bytes)));
    }
    step::read(bytes, name, limits, progress)
}
