//! What became of an earlier revision's findings, as `check --json` tells it.

use super::{Carried, Fate};
use crate::finding::Finding;
use crate::review::FindingRecord;
use crate::review::check::base_name;
use serde::Serialize;

/// A finding carried.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct CarriedRecord {
    pub fate: &'static str,
    pub was: Option<FindingRecord>,
    pub now: Option<usize>,
}

/// A revision beside the one before it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct RevisionRecord {
    pub earlier: String,
    pub fixed: usize,
    pub same: usize,
    pub better: usize,
    pub worse: usize,
    pub new: usize,
    pub gone: usize,
    pub findings: Vec<CarriedRecord>,
}

impl RevisionRecord {
    /// Of what was carried from the findings of a file of this name.
    pub fn new(earlier: &str, findings: &[Finding], all: &[Carried]) -> Self {
        let count = |fate: Fate| all.iter().filter(|c| c.fate == fate).count();
        let record = |c: &Carried| CarriedRecord {
            fate: c.fate.text(),
            was: c.earlier.and_then(|i| findings.get(i)).map(FindingRecord::new),
            now: c.later,
        };
        Self {
            earlier: base_name(earlier).into(),
            fixed: count(Fate::Fixed),
            same: count(Fate::Same),
            better: count(Fate::Better),
            worse: count(Fate::Worse),
            new: count(Fate::New),
            gone: count(Fate::Gone),
            findings: all.iter().map(record).collect(),
        }
    }
}
