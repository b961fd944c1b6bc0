//! `form.ramp`: how the curvature runs out towards the ends of a panel.

use super::panel_sections::PanelSection;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::model::FaceId;
use crate::section::Profile;

/// One finding a panel: the least curvature at an end of its sections along it, over that in the middle of the same section. There is no
/// limit by default.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    // Sections need only be made where a limit is set.
    if !judge.asks(MeasureId::FormRamp) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for panel in subject.panel_sections().iter() {
        let along = panel.sections.iter().filter(|s| s.is_along && !s.line.closed);
        let ratios = along.filter_map(|s| {
            let [front, rear] = Profile::new(&s.line, s.normal)?.ends_over_middle()?;
            Some(((s, rear < front), faces(s), front.min(rear)))
        });
        let least = judge.worst(MeasureId::FormRamp, ratios);
        all.extend(least.and_then(|((s, at_rear), value, grade)| one(s, (value, grade), at_rear)));
    }
    all
}

fn faces(section: &PanelSection) -> Vec<FaceId> {
    section.line.points.iter().map(|p| p.face).collect()
}

fn one(section: &PanelSection, (value, grade): (f64, (Severity, f64)), at_rear: bool) -> Option<Finding> {
    let points = &section.line.points;
    let end = if at_rear { points.last()? } else { points.first()? };
    let place = Place { point: end.point, face: Some(end.face), uv: Some(end.uv), along: None };
    let runs = Profile::new(&section.line, section.normal)?.runs().len();
    let remedy = format!(
        "The section runs out flat: {value:.2} of the curvature in its middle is left at this end, in {runs} rising or falling runs. Draw the \
         control points beside the end in, so that the curvature keeps up to it."
    );
    let length = points.last()?.along;
    let drawn = vec![points.iter().map(|p| p.point).collect()];
    Some(Finding::new(MeasureId::FormRamp, value, grade, place).faces(&faces(section)).extent(length).remedy(remedy).drawn(drawn))
}
