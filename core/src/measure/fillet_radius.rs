//! `fillet.radius`: the smallest radius of a fillet, and of the corners where fillets come together.

use super::cells::place;
use super::one_cause::merged;
use super::tight_places::{Bend, tightest};
use super::{Judge, Subject};
use crate::fillet::{Fillet, FilletStation};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::math::{Arrange, Point3, real};
use crate::model::FaceId;

/// Fillets and corners that are somewhere tighter than the limit. The roundings of a gap's edges are left to `gap.edge_radius`: they are
/// meant to be small.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::FilletRadius) {
        return Vec::new();
    }
    let fillets = subject.fillets();
    let gaps = subject.gaps();
    let at_gap = |id: FaceId| gaps.iter().flat_map(|g| &g.stations).flat_map(|s| &s.sides).any(|s| s.behind == Some(id));
    let inner = fillets.chains.iter().filter(|f| !f.faces.iter().any(|&id| at_gap(id)));
    let mut all = of_one_radius(inner.filter_map(|f| fillet(judge, f)).collect());
    all.extend(fillets.corners().filter_map(|id| corner(subject, judge, id)));
    all
}

/// Share to which radii are told: one that misses its limit by less is the one that was asked for, as files round it. Measures §6.
const ACCURACY: f64 = 1e-3;

/// Radii are alike within this share: one choice made once, however many edges it was made for. Larger: what was chosen apart is told as
/// one; smaller: freeform fillets of one nominal radius are told apart. Common practice, no source.
const ALIKE: f64 = 0.01;

/// Fillets that are tight by the same radius as one finding: the tightest speaks for all.
fn of_one_radius(mut found: Vec<Finding>) -> Vec<Finding> {
    found.arrange_by(|a, b| a.severity.cmp(&b.severity).then(a.value.total_cmp(&b.value)));
    let mut groups: Vec<Vec<Finding>> = Vec::new();
    for one in found {
        match groups.last_mut() {
            Some(group) if group.first().is_some_and(|f| one.value <= (1.0 + ALIKE) * f.value && one.severity == f.severity) => {
                group.push(one)
            }
            _ => groups.push(vec![one]),
        }
    }
    let together = |group: Vec<Finding>| {
        let others = group.len() - 1;
        let drawn: Vec<Vec<Point3>> = group.iter().flat_map(|f| f.drawn.iter().cloned()).collect();
        let one = merged(group)?;
        if others == 0 {
            return Some(one);
        }
        let are = if others == 1 { "One more fillet is".into() } else { format!("{others} more fillets are") };
        let remedy = format!("{} {are} as tight: one choice of radius.", one.remedy);
        Some(Finding { drawn, ..one }.remedy(remedy))
    };
    groups.into_iter().filter_map(together).collect()
}

fn fillet(judge: &Judge<'_>, fillet: &Fillet) -> Option<Finding> {
    let (worst, _, grade) = worst_section(judge, MeasureId::FilletRadius, fillet, |s| Some((1.0 + ACCURACY) * s.radius))?;
    let limit = grade.1;
    let needed = worst.setting.map(|s| limit / real::tan(0.5 * s.opening.to_radians()));
    let reach = match (worst.setting, needed) {
        (Some(s), Some(n)) if n > s.setbacks[0].min(s.setbacks[1]) => {
            let [a, b] = s.setbacks;
            format!(" A round one of {limit:.1} mm reaches {n:.1} mm from the theoretical edge; this one {a:.1} and {b:.1} mm.")
        }
        (Some(_), Some(_)) => " It reaches far enough for that: give it an even, round section.".into(),
        _ => String::new(),
    };
    let remedy = format!("Open the fillet to {limit:.1} mm here: it closes to {:.2} mm.{reach}", worst.radius);
    Some(on_fillet(judge, MeasureId::FilletRadius, (worst.radius, grade), fillet, worst, |s| Some(s.radius)).remedy(remedy))
}

fn corner(subject: &Subject<'_>, judge: &Judge<'_>, id: FaceId) -> Option<Finding> {
    let both = [Bend::Convex, Bend::Concave].map(|bend| tightest(subject, id, bend));
    let tight = both.into_iter().flatten().filter(|t| t.value < 0.0).min_by(|a, b| a.value.total_cmp(&b.value))?;
    let radius = -1.0 / tight.value;
    let grade = judge.grade(MeasureId::FilletRadius, &[id], (1.0 + ACCURACY) * radius)?;
    let remedy = format!(
        "Where the fillets come together the corner closes to {radius:.2} mm: let its patch reach further into the faces around, so that it \
         opens to {:.1} mm.",
        grade.1
    );
    let extent = subject.areas.get(id.index()).map_or(0.0, |a| a.max(0.0).sqrt());
    Some(Finding::new(MeasureId::FilletRadius, radius, grade, place(subject, id, tight.uv)?).extent(extent).remedy(remedy))
}

/// The section of a fillet that is graded worst by a value, each on its own face, with that value and its grade; None where all keep their
/// limits.
pub fn worst_section<'a>(
    judge: &Judge<'_>,
    measure: MeasureId,
    fillet: &'a Fillet,
    value: impl Fn(&FilletStation) -> Option<f64>,
) -> Option<(&'a FilletStation, f64, (Severity, f64))> {
    judge.worst(measure, fillet.stations.iter().filter_map(|s| Some((s, [s.face], value(s)?))))
}

/// A finding at one section of a fillet: over the length and the faces where sections are as bad by the value they have, with the section
/// and the edges there drawn.
pub fn on_fillet(
    judge: &Judge<'_>,
    measure: MeasureId,
    (value, grade): (f64, (Severity, f64)),
    fillet: &Fillet,
    worst: &FilletStation,
    of: impl Fn(&FilletStation) -> Option<f64>,
) -> Finding {
    let fails = |s: &FilletStation| of(s).is_some_and(|v| judge.reaches(measure, &[s.face], grade.0, v));
    let place = Place { point: worst.tightest, face: Some(worst.face), uv: Some(worst.uv), along: None };
    let failing: Vec<&FilletStation> = fillet.stations.iter().filter(|s| fails(s)).collect();
    let mut faces: Vec<FaceId> = failing.iter().map(|s| s.face).collect();
    faces.dedup();
    let extent = fillet.stations.iter().enumerate().filter(|(_, s)| fails(s)).map(|(i, _)| fillet.stretch(i)).sum();
    let edge = |k: usize| failing.iter().filter_map(|s| s.touch.get(k).copied()).collect();
    let join = worst.rails.first().copied();
    let found = Finding::new(measure, value, grade, place).faces(&faces).extent(extent).drawn(vec![worst.line.clone(), edge(0), edge(1)]);
    Finding { join, ..found }
}
