//! `form.radius`: the smallest radius that faces bend around, convex and concave apart.

use super::tight_places::{Bend, below};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};

/// One finding for each group of faces that meet and bend around less than the limit, and for each side. There is no limit by default.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let of = |bend: Bend, words: &'static str| {
        below(subject, judge, MeasureId::FormRadius, bend, move |radius, limit, area| {
            format!("{words} down to a radius of {radius:.2} mm; {area:.0} mm² lie below {limit:.2} mm. Open the radius there.")
        })
    };
    let mut all = of(Bend::Convex, "Seen from outside the faces bend convex");
    all.extend(of(Bend::Concave, "Seen from outside the faces bend hollow"));
    all
}
