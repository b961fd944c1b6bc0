//! `form.offset`: whether sheet of a thickness can follow the form on its inner side.

use super::tight_places::{Bend, below};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// One finding for each group of faces that meet and are too tight for the sheet. The model is the sheet's outer skin; the inner one lies a
/// thickness t inwards, where a convex radius R has become R − t. It may be no smaller than the smallest inner radius r, so the limit
/// that R is held to is t + r. There is none by default, as it goes by the sheet.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    below(subject, judge, MeasureId::FormOffset, Bend::Convex, |radius, limit, area| {
        format!(
            "A radius of {radius:.2} mm is less than the sheet's thickness and its smallest inner radius together, {limit:.2} mm, on {area:.0} \
             mm²: the inner side cannot follow. Open the radius, or take thinner sheet."
        )
    })
}
