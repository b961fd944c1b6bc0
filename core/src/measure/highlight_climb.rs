//! `highlight.climb`: how much more stripes turn along a face than along its fair reference.

use super::fair_stripes::worst;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// The worst stripe of each face, where it passes the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = |value: f64, against: &str| {
        format!(
            "From one end to the other a stripe turns by {value:.1}° more or less than on {against}: rebuild the face with fewer spans, add \
             crown at the end it climbs from or take some off at the other, and compare it with a two-rail sweep."
        )
    };
    worst(subject, judge, MeasureId::HighlightClimb, |s| s.climb, remedy)
}
