//! Why one entity of a file could not be read.

use super::report::{ReadError, ReadErrorKind};
use crate::model::Source;
use crate::nurbs::NurbsError;
use core::fmt;

/// Why one entity could not be read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault {
    pub at: Source,
    /// Entity type; empty when not even that is known.
    pub kind: String,
    pub reason: Reason,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Reason {
    /// It is referred to but not in the file.
    Missing,
    /// It stands in another file, at this address.
    Elsewhere(String),
    /// The text does not follow the grammar.
    Syntax { expected: &'static str },
    /// A value is missing or of the wrong kind; index from 0 among the values of its record.
    Argument { index: usize, expected: &'static str },
    /// A sound entity of a type that is not read (yet).
    Unsupported,
    /// Numbers that make no spline.
    Spline(NurbsError),
    /// It refers to itself, directly or through others.
    Loop,
    /// Numbers that make no shape.
    Geometry(&'static str),
    /// A limit is used up.
    Limit(&'static str),
}

impl Fault {
    pub(super) fn new(at: Source, kind: &str, reason: Reason) -> Self {
        Self { at, kind: kind.into(), reason }
    }

    /// # Errors
    /// When a limit is used up, which ends the whole reading.
    pub(super) fn stops(&self) -> Result<(), ReadError> {
        match self.reason {
            Reason::Limit(_) => Err(ReadError { kind: ReadErrorKind::Limit, ..ReadError::file(self.at, self.to_string()) }),
            _ => Ok(()),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Source { entity, line } = self.at;
        let kind = if self.kind.is_empty() { "entity" } else { self.kind.as_str() };
        if self.reason == Reason::Missing {
            return write!(f, "entity #{entity} is referred to but not in the file");
        }
        write!(f, "{kind} #{entity}")?;
        if line > 0 {
            write!(f, " (line {line})")?;
        }
        match &self.reason {
            Reason::Missing => Ok(()),
            Reason::Elsewhere(address) => write!(f, " stands in another file, {address}, which is not read"),
            Reason::Syntax { expected } => write!(f, ": damaged text, expected {expected}"),
            Reason::Argument { index, expected } => write!(f, ": value {} should be {expected}", index + 1),
            Reason::Unsupported => write!(f, " is of a type not read yet"),
            Reason::Spline(e) => write!(f, ": {e}"),
            Reason::Loop => write!(f, " refers to itself (a reference loop)"),
            Reason::Geometry(what) => write!(f, ": {what}"),
            Reason::Limit(what) => write!(f, ": more {what} than the limit allows"),
        }
    }
}
