//! Where in a mesh file something stands: a line of text or a byte of binary data.

use crate::exchange::report::ReadError;
use crate::model::Source;

/// A line of text, from 1, or an offset into binary data, from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    Line(u32),
    Byte(usize),
}

impl Place {
    /// An error at this place: the file is wrong.
    pub(super) fn wrong(self, message: String) -> ReadError {
        match self {
            Place::Line(line) => ReadError::file(Source { entity: 0, line }, message),
            Place::Byte(byte) => ReadError::file(Source::default(), format!("at byte {byte}: {message}")),
        }
    }
}
