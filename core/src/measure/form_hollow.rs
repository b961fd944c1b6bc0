//! `form.hollow`: area of a panel that is bent the other way than the rest of it.

use super::bends::bends;
use super::cells::{Part, place};
use super::panels::panels;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId};
use crate::model::FaceId;

/// Share of a panel's signed area that must agree for it to have a sign: a panel that is S-shaped on purpose has none. Larger: only
/// clearly domed panels are asked; smaller: half of a wave is told as the hollow of its other half. Common practice, no source.
const AGREE: f64 = 0.75;

/// One finding a panel, with the area whose mean curvature has the other sign than most of it. Area is summed over cells of 12 mm, or
/// a fortieth of the face where that is larger, quartered five times where the sign changes.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    panels(subject).iter().filter_map(|panel| one(subject, judge, panel)).collect()
}

fn one(subject: &Subject<'_>, judge: &Judge<'_>, panel: &[FaceId]) -> Option<Finding> {
    let parts = |f: FaceId| {
        let b = bends(subject, f);
        (f, [b.convex, b.hollow])
    };
    let all: Vec<(FaceId, [Part; 2])> = panel.iter().map(|&f| parts(f)).collect();
    let area = |of: usize| all.iter().map(|x| x.1[of].area).sum::<f64>();
    let (convex, hollow) = (area(0), area(1));
    if convex.max(hollow) < AGREE * (convex + hollow) {
        return None;
    }
    let (odd, value) = if convex >= hollow { (1, hollow) } else { (0, convex) };
    let faces: Vec<(FaceId, Part)> = all.iter().map(|(f, p)| (*f, p[odd])).filter(|x| x.1.area > 0.0).collect();
    let ids: Vec<FaceId> = faces.iter().map(|x| x.0).collect();
    let grade = judge.grade(MeasureId::FormHollow, &ids, value)?;
    let (worst, part) = faces.iter().reduce(|a, b| if b.1.area > a.1.area { b } else { a })?;
    let place = place(subject, *worst, part.middle?)?;
    let remedy = if odd == 1 {
        "The panel is hollow here though domed elsewhere: lift the inner control points, or let one patch with fewer control points run \
         over the place."
    } else {
        "The panel bulges here though hollow elsewhere: lower the inner control points, or let one patch with fewer control points run \
         over the place."
    };
    Some(Finding::new(MeasureId::FormHollow, value, grade, place).faces(&ids).extent(value.sqrt()).remedy(remedy))
}
