//! `layout.spans`: how many spans a patch has beyond what its shape needs.

use super::needed::{Kind, beyond};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::nurbs::KnotVector;

/// Patches of needless spans.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let kind = Kind { measure: MeasureId::LayoutSpans, has: KnotVector::span_count, needs: |n| n.spans, words: ("span", "spans") };
    beyond(&kind, subject, judge)
}
