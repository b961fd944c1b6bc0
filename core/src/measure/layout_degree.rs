//! `layout.degree`: how far a patch's degree lies above what its shape needs.

use super::needed::{Kind, beyond};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::nurbs::KnotVector;

/// Patches of a needless degree.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let kind = Kind { measure: MeasureId::LayoutDegree, has: KnotVector::degree, needs: |n| n.degree, words: ("degree", "degree") };
    beyond(&kind, subject, judge)
}
