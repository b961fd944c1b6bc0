//! `join.position`: the gap |P − Q| between two faces along their join, each at its own trim.

use super::on_join::{graded, meeting};
use super::one_cause::together;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// Gaps beyond the limit, on every join, sharp ones included; those round one loop together.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = "Bring the border of the smaller face onto the larger one, or trim both to one common edge.";
    let one = |j| {
        let (_, join): (usize, &crate::joins::Join) = j;
        graded(judge, MeasureId::JoinPosition, j, join.summaries.gap?.max, |m| Some(m.gap), remedy)
    };
    together(subject, meeting(subject).filter_map(one).collect(), subject.graph.search)
}
