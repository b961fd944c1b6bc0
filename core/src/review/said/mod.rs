//! What a reviewer said of a model, read from a review file as the page writes it (www/review.schema.json).

mod entry;
mod key;

pub use entry::{Entry, entries};
pub use key::finding_key;

use crate::finding::Severity;
use serde::Deserialize;
use std::collections::BTreeMap;

/// A review file. What is not named here is for the page alone.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct ReviewFile {
    /// The model it is about.
    pub model: AboutModel,
    /// What was decided.
    pub review: Said,
}

/// The model of a review.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub struct AboutModel {
    /// File name.
    pub name: String,
    /// SHA-256 of the file's bytes, in hexadecimal digits.
    pub hash: String,
}

/// What was decided.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct Said {
    /// What is said of findings, by [`finding_key`].
    pub marks: BTreeMap<String, Mark>,
    /// Findings and remarks of the reviewer's own.
    pub pins: Vec<Pin>,
    /// What a complete model has.
    pub checklist: Vec<CheckLine>,
    /// The verdict's own words and ratings.
    pub verdict: SaidVerdict,
}

/// What is said of one finding.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub struct Mark {
    /// What becomes of it.
    pub state: State,
    /// Its severity where that is another one than was measured.
    pub severity: Option<Rank>,
    /// Why.
    pub reason: String,
    /// A note.
    pub note: String,
}

/// What becomes of a finding.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// Nothing was said.
    #[default]
    Open,
    /// It stands.
    Agreed,
    /// It may stay as it is.
    Waived,
    /// It has been mended.
    Fixed,
}

/// Severity of an entry of the ledger, the worst first: that of a finding, or a remark's, which asks for nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)] // as of findings
pub enum Rank {
    Serious,
    Fix,
    Polish,
    #[default]
    Note,
    Good,
}

/// A pin.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct Pin {
    /// Its number.
    pub key: u32,
    /// Its heading, empty where none was given.
    pub title: String,
    /// What it says.
    pub text: String,
    /// How much it matters.
    pub severity: Rank,
    /// What becomes of it.
    pub state: State,
    /// Where it stands, mm.
    pub place: [f64; 3],
    /// The face it stands on.
    pub face: Option<usize>,
    /// The pass it was placed in.
    pub pass: String,
}

/// A line of the checklist.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub struct CheckLine {
    /// What is asked for.
    pub text: String,
    /// `open`, `there`, `missing` or `needless`.
    pub state: String,
    /// A note.
    pub note: String,
}

/// What is said in the verdict.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct SaidVerdict {
    /// The summary in the reviewer's words; None where the one made of the findings stands.
    pub summary: Option<String>,
    /// Lines of a rating.
    pub rating: Vec<RatingLine>,
}

/// A line of a rating.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(default)]
pub struct RatingLine {
    /// What is rated.
    pub text: String,
    /// Points that can be had.
    pub most: f64,
    /// Points given; None before any are.
    pub given: Option<f64>,
    /// Why.
    pub note: String,
}

impl State {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            State::Open => "open",
            State::Agreed => "agreed",
            State::Waived => "waived",
            State::Fixed => "fixed",
        }
    }
}

impl Rank {
    /// Every one, the worst first.
    pub const ALL: [Rank; 5] = [Rank::Serious, Rank::Fix, Rank::Polish, Rank::Note, Rank::Good];

    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Rank::Serious => "serious",
            Rank::Fix => "fix",
            Rank::Polish => "polish",
            Rank::Note => "note",
            Rank::Good => "good",
        }
    }

    /// True where something is to be mended.
    pub fn asks(self) -> bool {
        self <= Rank::Polish
    }
}

impl From<Severity> for Rank {
    fn from(severity: Severity) -> Rank {
        match severity {
            Severity::Serious => Rank::Serious,
            Severity::Fix => Rank::Fix,
            Severity::Polish => Rank::Polish,
            Severity::Good => Rank::Good,
        }
    }
}
