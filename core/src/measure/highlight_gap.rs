//! `highlight.gap` and `highlight.gap_angle`: how stripes carry on from one panel to the next across a gap.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::flow::{Leap, WIDEST_GAP, beside, leaps_between};
use crate::highlight::LampRig;
use crate::model::FaceId;
use std::collections::BTreeMap;

/// Smallest angle between the panels along the whole gap, degrees, from which on they are meant to meet in an edge, as for joins
/// (measures §0). Common practice, no source.
const CREASE: f64 = 2.0;

/// For each pair of faces beside each other the worst leap of the usual rig's stripes, by offset or by angle, whichever is graded
/// worse.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if ![MeasureId::HighlightGap, MeasureId::HighlightGapAngle].iter().any(|m| judge.asks(*m)) {
        return Vec::new();
    }
    let beside = beside(subject.graph, WIDEST_GAP);
    let outlines = beside.outlines.iter().flat_map(|&i| subject.graph.tracks(i));
    let mut by_pair: BTreeMap<(FaceId, FaceId), Vec<Leap>> = BTreeMap::new();
    for leap in leaps_between(&LampRig::usual(), &subject.sheets, outlines) {
        let pair = (leap.a.0.min(leap.b.0), leap.a.0.max(leap.b.0));
        if beside.pairs.contains(&pair) {
            by_pair.entry(pair).or_default().push(leap);
        }
    }
    by_pair.into_iter().filter(|(_, leaps)| leaps.iter().any(|l| l.fold <= CREASE)).filter_map(|(p, l)| worst(judge, p, &l)).collect()
}

/// One of the two measures of a leap, where it passes a limit.
struct Over<'a> {
    measure: MeasureId,
    value: f64,
    grade: (Severity, f64),
    leap: &'a Leap,
}

fn worst(judge: &Judge<'_>, (first, second): (FaceId, FaceId), leaps: &[Leap]) -> Option<Finding> {
    let both = leaps.iter().flat_map(|l| [(MeasureId::HighlightGap, l.offset, l), (MeasureId::HighlightGapAngle, l.angle, l)]);
    let graded = both.filter_map(|(measure, value, leap)| {
        let grade = judge.grade(measure, &[first, second], value)?;
        Some(Over { measure, value, grade, leap })
    });
    let over: Vec<Over<'_>> = graded.collect();
    let excess = |o: &Over<'_>| o.value / o.grade.1;
    let &Over { measure, value, grade, leap } =
        over.iter().min_by(|x, y| x.grade.0.cmp(&y.grade.0).then(excess(y).total_cmp(&excess(x))))?;
    let extent = over.iter().map(|o| o.leap.a.1.distance(leap.a.1)).fold(0.0, f64::max);
    // Each stripe as far as the middle of the gap, from either side.
    let drawn = over.iter().flat_map(|o| [vec![o.leap.a.1, o.leap.middle[0]], vec![o.leap.b.1, o.leap.middle[1]]]).collect();
    let remedy = format!(
        "Across the gap stripes step by {:.1} mm and turn by {:.1}° ({}): flatten the end of one panel, or add crown to the other, until \
         they carry on.",
        leap.offset,
        leap.angle,
        LampRig::USUAL
    );
    let place = Place { face: Some(leap.a.0), ..Place::at(leap.a.1) };
    let found = Finding::new(measure, value, grade, place);
    Some(found.faces(&[first, second]).extent(extent).remedy(remedy).drawn(drawn))
}
