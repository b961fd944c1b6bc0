//! What trials did, as the page is told.

use super::{JoinChange, JoinState, Outcome};
use crate::finding::Finding;
use crate::review::Number;
use crate::review::revision::RevisionRecord;
use serde::Serialize;

/// What trials did. Faces are ids of the imported model.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as [`Outcome`]
pub struct OutcomeRecord {
    pub helps: &'static str,
    pub sentence: String,
    pub changed: Vec<usize>,
    pub changes: Vec<ChangeRecord>,
    pub failures: Vec<FailureRecord>,
    /// `findings[i].now` is an index into the findings of the trial.
    pub findings: RevisionRecord,
    pub joins: Vec<JoinChangeRecord>,
}

/// What one trial did.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as `Change` and `Moved`
pub struct ChangeRecord {
    pub trial: usize,
    pub faces: Vec<usize>,
    pub points: Option<usize>,
    pub rows: usize,
    pub largest: Option<Number>,
    pub residual: Number,
    pub notes: Vec<String>,
    pub from_new: Number,
    pub from_old: Number,
    pub rms: Number,
}

/// A trial that could not be made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs)]
pub struct FailureRecord {
    pub trial: usize,
    pub why: String,
}

/// A join before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as `JoinChange`
pub struct JoinChangeRecord {
    pub faces: Vec<usize>,
    pub mid: [Number; 3],
    pub before: Option<JoinStateRecord>,
    pub after: Option<JoinStateRecord>,
}

/// A join's maxima: gap mm, angle degrees, curvature 1/mm, slope 1/mm².
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as `JoinState`
pub struct JoinStateRecord {
    pub class: &'static str,
    pub required: &'static str,
    pub length: Number,
    pub gap: Option<Number>,
    pub angle: Option<Number>,
    pub curvature: Option<Number>,
    pub slope: Option<Number>,
}

impl OutcomeRecord {
    /// Of an outcome, and the findings of the import.
    pub fn new(outcome: &Outcome, before: &[Finding]) -> Self {
        let applied = &outcome.applied;
        let index = |ids: &[crate::model::FaceId]| ids.iter().map(|f| f.index()).collect::<Vec<_>>();
        let change = |(c, d): (&crate::trial::Change, &crate::trial::BothWays)| ChangeRecord {
            trial: c.trial,
            faces: index(&c.faces),
            points: c.moved.points,
            rows: c.moved.rows,
            largest: c.moved.largest.map(Number),
            residual: Number(c.moved.residual),
            notes: c.moved.notes.clone(),
            from_new: Number(d.from_new),
            from_old: Number(d.from_old),
            rms: Number(d.rms),
        };
        let state = |s: JoinState| JoinStateRecord {
            class: s.class.text(),
            required: s.required.text(),
            length: Number(s.length),
            gap: s.gap.map(Number),
            angle: s.angle.map(Number),
            curvature: s.curvature.map(Number),
            slope: s.slope.map(Number),
        };
        let join = |j: &JoinChange| JoinChangeRecord {
            faces: index(&j.faces),
            mid: j.mid.to_array().map(Number),
            before: j.before.map(state),
            after: j.after.map(state),
        };
        Self {
            helps: outcome.helps.text(),
            sentence: outcome.sentence.clone(),
            changed: index(&applied.changed),
            changes: applied.changes.iter().zip(&outcome.deviations).map(change).collect(),
            failures: applied.failures.iter().map(|f| FailureRecord { trial: f.trial, why: f.error.to_string() }).collect(),
            findings: RevisionRecord::new("", before, &outcome.carried),
            joins: outcome.joins.iter().map(join).collect(),
        }
    }
}
