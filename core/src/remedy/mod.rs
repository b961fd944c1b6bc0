//! What would mend a finding, as trials, and what trials did to the review.
//!
//! [`remedies`] gives for a finding the edits that carry its remedy out, those worth trying first at the front, or says why there are
//! none. They are proposals: whether one helps is told by [`outcome()`] alone, which makes the trials, measures the whole model again by
//! the same limits, and says what is gone, better, worse and new.

mod centre;
mod crown;
mod fillet;
mod flange;
mod ground;
mod join;
mod joins_changed;
mod outcome;
mod record;
mod refit;
mod ridge;
mod rows;
mod sentence;
#[cfg(test)]
mod tests;
mod tried;
#[cfg(test)]
mod tried_tests;
mod turn;
mod why;

pub use joins_changed::{JoinChange, JoinState};
pub use outcome::{Before, Outcome, outcome};
pub use record::{ChangeRecord, FailureRecord, JoinChangeRecord, JoinStateRecord, OutcomeRecord};
pub use sentence::Helps;
pub use tried::Tried;

use crate::finding::{Finding, MeasureId, Severity};
use crate::measure::Subject;
use crate::trial::{Edit, Trials};

/// A way to mend a finding: edits to be made one upon the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// What is done, in a few words.
    pub name: String,
    /// The edits.
    pub edits: Vec<Edit>,
}

/// Why nothing here mends a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoRemedy {
    /// In plain words.
    pub why: String,
}

impl NoRemedy {
    fn new(why: impl Into<String>) -> Self {
        Self { why: why.into() }
    }
}

impl Remedy {
    fn one(name: impl Into<String>, edit: Edit) -> Self {
        Self { name: name.into(), edits: vec![edit] }
    }

    /// Trials with its edits upon those of another list.
    pub fn upon(&self, trials: &Trials) -> Trials {
        let mut all = trials.clone();
        self.edits.iter().for_each(|edit| all.add(self.name.clone(), edit.clone()));
        all
    }
}

/// The remedies of a finding on a subject, at least one, those worth trying first at the front.
///
/// # Errors
/// Says why there is none.
pub fn remedies(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    use MeasureId as M;
    if finding.severity == Severity::Good {
        return Err(NoRemedy::new("nothing is to be mended here"));
    }
    let all = match finding.measure {
        M::HighlightWiggle | M::FormHollow | M::FormDip => refit::calmer(subject, finding)?,
        M::RowsTurning | M::RowsAgreement | M::LayoutDegree | M::LayoutSpans => refit::smaller(subject, finding)?,
        M::RowsEvenness => rows::evened(subject, finding)?,
        M::HighlightSpread | M::HighlightClimb => refit::swept(subject, finding)?,
        M::LayoutSplit | M::LayoutSliver => join::merged(subject, finding)?,
        M::JoinPosition | M::JoinTangent | M::JoinCurvature | M::JoinCurvatureSlope | M::JoinCorner | M::JoinOpen | M::HighlightKink => {
            join::conformed(subject, finding)?
        }
        M::RowsSquare | M::CentreTangent | M::CentrePosition => centre::squared(subject, finding)?,
        M::FormRidgeSign => ridge::kept(subject, finding)?,
        M::FormCrown | M::FormLowCrown => crown::raised(subject, finding)?,
        M::FilletBalance | M::FilletRadius | M::FilletLeadIn => fillet::rebuilt(subject, finding)?,
        M::EdgeFlange => flange::widened(subject, finding)?,
        other => return Err(NoRemedy::new(why::none(other).unwrap_or("no trial mends it"))),
    };
    if all.is_empty() { Err(NoRemedy::new("no edit of the faces concerned can be worked out")) } else { Ok(all) }
}
