//! `form.dip`: flat spots along the sections of a panel.

use super::highlight_wiggle;
use super::on_join::{broken, meeting};
use super::panel_sections::PanelSection;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::joins::Join;
use crate::math::Arrange;
use crate::section::{Dip, Profile, SectionPoint};

/// The flattest spot of each panel, where it passes the limit: the least share of the curvature of its flanks that is left there, on
/// seven sections each way. A fall of curvature below the row's floor is not seen. One that waves of its face or a break of a join between
/// its flanks explain is their consequence, and not listed again.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let Some(row) = judge.yardstick.row(MeasureId::FormDip) else { return Vec::new() };
    if !judge.asks(MeasureId::FormDip) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for panel in subject.panel_sections().iter() {
        let dips = panel.sections.iter().flat_map(|s| dips(s).into_iter().map(move |d| (s, d)));
        let mut seen: Vec<(&PanelSection, Dip)> = dips.filter(|(_, d)| d.flank - d.at.curvature.abs() > row.floor).collect();
        seen.arrange_by(|a, b| a.1.share().total_cmp(&b.1.share()));
        let mut found: Vec<_> = seen.iter().filter_map(|(s, dip)| Some((s, dip, one(judge, s, dip)?))).collect();
        found.arrange_by_key(|x| x.2.severity);
        let own = found.into_iter().find(|(s, dip, finding)| !explained(subject, judge, s, dip, finding));
        all.extend(own.map(|x| x.2));
    }
    all
}

/// True where something listed that is no milder has taken the curvature away.
fn explained(subject: &Subject<'_>, judge: &Judge<'_>, section: &PanelSection, dip: &Dip, finding: &Finding) -> bool {
    let wave = finding.place.face.and_then(|f| highlight_wiggle::severity(subject, judge, f));
    matches!(wave, Some(Severity::Serious | Severity::Fix))
        || breaks(section, dip).any(|[a, b]| meeting(subject).any(|(_, j)| meets(j, a, b) && is_broken(judge, j)))
}

/// Pairs of points at which the section passes from one face to the next between the flanks.
fn breaks<'a>(section: &'a PanelSection, dip: &'a Dip) -> impl Iterator<Item = [&'a SectionPoint; 2]> {
    let points = &section.line.points;
    let pairs = section.line.starts.iter().filter_map(|&s| Some([points.get(s.checked_sub(1)?)?, points.get(s)?]));
    pairs.filter(|[a, b]| b.along >= dip.from && a.along <= dip.to)
}

fn meets(join: &Join, a: &SectionPoint, b: &SectionPoint) -> bool {
    matches!(join.faces.as_slice(), [x, y] if [*x, *y] == [a.face, b.face] || [*y, *x] == [a.face, b.face])
}

fn is_broken(judge: &Judge<'_>, join: &Join) -> bool {
    let s = &join.summaries;
    broken(judge, MeasureId::JoinPosition, join, s.gap.map(|s| s.max))
        || broken(judge, MeasureId::JoinTangent, join, s.angle.map(|s| s.max))
        || broken(judge, MeasureId::JoinCurvature, join, s.curvature_share)
}

fn dips(section: &PanelSection) -> Vec<Dip> {
    Profile::new(&section.line, section.normal).map_or(Vec::new(), |p| p.dips(1.0))
}

fn one(judge: &Judge<'_>, section: &PanelSection, dip: &Dip) -> Option<Finding> {
    let points = &section.line.points;
    let part = points.iter().filter(|p| p.along >= dip.from && p.along <= dip.to);
    let faces: Vec<_> = part.clone().map(|p| p.face).collect();
    let grade = judge.grade(MeasureId::FormDip, &faces, dip.share())?;
    let on = points.iter().min_by(|a, b| (a.along - dip.at.along).abs().total_cmp(&(b.along - dip.at.along).abs()))?;
    let place = Place { point: on.point, face: Some(on.face), uv: Some(on.uv), along: None };
    let remedy = format!(
        "Flat spot {} the panel: radius {:.0} mm between radii of {:.0} mm or less. Move the control points beside it towards it, or let one \
         patch with fewer control points run over the place, so that the curvature rises and falls once.",
        if section.is_along { "along" } else { "across" },
        1.0 / dip.at.curvature.abs().max(1e-7),
        1.0 / dip.flank
    );
    let drawn = vec![part.map(|p| p.point).collect()];
    Some(Finding::new(MeasureId::FormDip, dip.share(), grade, place).faces(&faces).extent(dip.to - dip.from).remedy(remedy).drawn(drawn))
}
