//! `edge.trim`: how far the edges of trimmed faces lie off their surfaces.

use super::one_cause::faces_together;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::gap::TrimmedEdge;
use std::collections::BTreeMap;

/// One finding for each group of faces that meet and have edges off their surface by more than the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut worst: BTreeMap<usize, &TrimmedEdge> = BTreeMap::new();
    let all = subject.trimmed_edges();
    for edge in all.iter() {
        let best = worst.entry(edge.face.index()).or_insert(edge);
        if edge.distance > best.distance {
            *best = edge;
        }
    }
    let one = |e: &TrimmedEdge| {
        let grade = judge.grade(MeasureId::EdgeTrim, &[e.face], e.distance)?;
        Some((Finding::new(MeasureId::EdgeTrim, e.distance, grade, Place { face: Some(e.face), ..Place::at(e.middle) }), 0.0))
    };
    let found = faces_together(subject, worst.into_values().filter_map(one).collect(), |a, b| a > b);
    let remedy = |f: Finding| {
        let words = format!(
            "The edge's curve in space lies {:.3} mm off the border on the surface: trim the face anew, so that what is built from the \
             curve meets it.",
            f.value
        );
        f.remedy(words)
    };
    found.into_iter().map(|(f, _)| remedy(f)).collect()
}
