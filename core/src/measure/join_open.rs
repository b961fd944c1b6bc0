//! `join.open`: two outlines side by side, too far apart to be a join.

use super::on_join::graded;
use super::one_cause::together;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::joins::Class;

/// Every open join whose gap is beyond the limit; those round one loop together.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = "Extend one face to the other and trim them to a common edge, or confirm that the gap is meant.";
    let open = subject.graph.joins.iter().enumerate().filter(|(_, j)| j.class == Class::Open);
    let found =
        open.filter_map(|(i, join)| graded(judge, MeasureId::JoinOpen, (i, join), join.summaries.gap?.max, |m| Some(m.gap), remedy));
    together(subject, found.collect(), subject.graph.open)
}
