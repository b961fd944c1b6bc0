//! The verdict: what stands open in each pass, as points and a score with all their parts, and a summary in sentences.

mod judged;
mod score;
mod summary;

pub use score::{FORMULA, PartRecord, PassScore};
pub use summary::Paragraph;

use super::said::{Said, entries};
use super::{Check, Number};
use crate::finding::Zone;
use score::score;
use serde::Serialize;
use summary::summary;

/// What a review comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// How scores are made, in words.
    pub formula: &'static str,
    /// One a pass, in the order of a review.
    pub passes: Vec<PassScore>,
    /// What stands in no pass that judges: pins of the Overview. Without score.
    pub elsewhere: usize,
    /// The findings in sentences: what is good first, then the worst.
    pub summary: Vec<Paragraph>,
    /// Points of the rating; None without lines.
    pub rating: Option<RatingSum>,
}

/// What the lines of a rating add up to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RatingSum {
    /// Points given.
    pub given: Number,
    /// Points that can be had.
    pub of: Number,
    /// Lines not rated yet.
    pub open: usize,
}

/// The verdict on a model as it was checked, with what the reviewer said of it. `zone` answers the zone that faces together have.
pub fn verdict(check: &Check, said: &Said, zone: &dyn Fn(&[usize]) -> Zone) -> Verdict {
    let entries = entries(check, said);
    Verdict {
        formula: FORMULA,
        passes: score(check, &entries, zone),
        elsewhere: entries.iter().filter(|e| e.pass.is_none() && e.stands()).count(),
        summary: summary(check, &entries),
        rating: rating(said),
    }
}

fn rating(said: &Said) -> Option<RatingSum> {
    let lines = &said.verdict.rating;
    let rated = || lines.iter().filter(|l| l.given.is_some());
    (!lines.is_empty()).then(|| RatingSum {
        given: Number(rated().filter_map(|l| l.given).sum()),
        of: Number(lines.iter().map(|l| l.most).sum()),
        open: lines.len() - rated().count(),
    })
}
