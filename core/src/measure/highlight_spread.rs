//! `highlight.spread`: how much more the spacing of stripes changes along a face than along its fair reference.

use super::fair_stripes::worst;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// The worst stripe of each face, where it passes the limit.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let remedy = |value: f64, against: &str| {
        format!(
            "From one end to the other stripes open or close {value:.2} times as much as on {against}: rebuild the face with fewer spans, \
             flatten the end where they are narrow, or add crown where they are wide, and compare it with a two-rail sweep."
        )
    };
    worst(subject, judge, MeasureId::HighlightSpread, |s| s.spread, remedy)
}
