//! The review as a document: one HTML page that prints, Markdown, CSV of findings and of joins, JSON.
//!
//! HTML and Markdown are written from the same blocks (`block.rs`), so that both say the same. Whatever a text holds, it stays a text:
//! HTML goes through the escaping of its templates, Markdown and CSV each through one function.

mod block;
mod content;
mod csv;
mod draw;
mod html;
mod json;
mod markdown;
mod picture;
mod plot;
mod told;

pub use picture::{Picture, PictureError, PictureOf};

use super::Check;
use super::said::Said;
use crate::finding::{Yardstick, Zone};
use crate::joins::{Floors, JoinGraph};
use core::fmt;
use told::Told;

/// The version that a report says it was made by.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// What no limit of a yardstick stands for. The page says the same (www/texts/overview.js).
pub const SAFETY: &str = "Gap, edge-radius and flush values bear on sharp edges and pinch points. Limits for people's safety come from the \
                          applicable regulations and the responsible engineer, not from a yardstick.";

/// What a report is made of.
#[derive(Clone, Copy)]
pub struct Report<'a> {
    /// What was measured.
    pub check: &'a Check,
    /// The joins that it was measured on.
    pub graph: &'a JoinGraph,
    /// Jumps below which a relative one does not count.
    pub floors: &'a Floors,
    /// SHA-256 of the model's file, in hexadecimal digits.
    pub hash: &'a str,
    /// The date, in words.
    pub made: &'a str,
    /// What the reviewer said.
    pub said: &'a Said,
    /// The limits.
    pub yardstick: &'a Yardstick,
    /// The zone that faces together have; of none, the usual one.
    pub zone: &'a dyn Fn(&[usize]) -> Zone,
    /// Pictures, in any order; the first of each place is taken.
    pub pictures: &'a [Picture],
}

/// What a report is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// One page with its style and pictures in it.
    Html,
    /// CommonMark with tables.
    Markdown,
    /// Comma-separated values, one row a finding or pin.
    Findings,
    /// Comma-separated values, one row a join.
    Joins,
    /// As www/report.schema.json describes.
    Json,
}

/// Why a report cannot be written: a value came out as no number, which is a defect of this program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReportError(String);

impl fmt::Display for ReportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the report cannot be written: {}", self.0)
    }
}

impl std::error::Error for ReportError {}

impl Form {
    /// Every form with its name.
    pub const ALL: [(&'static str, Form); 5] =
        [("html", Form::Html), ("markdown", Form::Markdown), ("findings", Form::Findings), ("joins", Form::Joins), ("json", Form::Json)];

    /// The form of a name; None for an unknown one.
    pub fn from_text(text: &str) -> Option<Form> {
        Form::ALL.into_iter().find(|f| f.0 == text).map(|f| f.1)
    }
}

impl Report<'_> {
    /// The report as text in a form.
    ///
    /// # Errors
    /// When a value is NaN or infinite, which only JSON refuses.
    pub fn write(&self, form: Form) -> Result<String, ReportError> {
        let told = Told::new(self);
        Ok(match form {
            Form::Html => html::html(&told),
            Form::Markdown => markdown::markdown(&told),
            Form::Findings => csv::findings(&told),
            Form::Joins => csv::joins(&told),
            Form::Json => json::json(&told).map_err(|e| ReportError(e.to_string()))?,
        })
    }

    fn picture(&self, of: PictureOf) -> Option<&Picture> {
        self.pictures.iter().find(|p| p.of() == of)
    }
}
