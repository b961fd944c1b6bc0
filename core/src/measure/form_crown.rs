//! `form.crown`: how far a panel stands over its chord.

use super::panel_sections::Panel;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::section::Profile;

/// One finding a panel: its least height over the chord among the sections along it, with their turning by thirds. There is no limit by
/// default.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    // Sections need only be made where a limit is set.
    if !judge.asks(MeasureId::FormCrown) {
        return Vec::new();
    }
    subject.panel_sections().iter().filter_map(|panel| one(judge, panel)).collect()
}

fn one(judge: &Judge<'_>, panel: &Panel) -> Option<Finding> {
    let along = panel.sections.iter().filter(|s| s.is_along && !s.line.closed);
    let profiles: Vec<_> = along.filter_map(|s| Some((s, Profile::new(&s.line, s.normal)?))).collect();
    let crowns = profiles.iter().filter_map(|(s, p)| p.crown().map(|(height, at)| (s, p, height.abs(), at)));
    let (section, profile, value, at) = crowns.min_by(|a, b| a.2.total_cmp(&b.2))?;
    let grade = judge.grade(MeasureId::FormCrown, &panel.faces, value)?;
    let points = &section.line.points;
    let on = points.iter().min_by(|a, b| a.point.distance(at).total_cmp(&b.point.distance(at)))?;
    let place = Place { point: on.point, face: Some(on.face), uv: Some(on.uv), along: None };
    let told = profile.shares().map_or(String::new(), |[a, b, c]| {
        let change = largest_change(profiles.iter().filter_map(|(_, p)| p.shares()));
        let percent = |x: f64| 100.0 * x;
        format!(
            " Its thirds turn by {:.0}, {:.0} and {:.0} % of the whole, and from section to section that changes by up to {:.0} %.",
            percent(a),
            percent(b),
            percent(c),
            percent(change)
        )
    });
    let length = points.last()?.along;
    let remedy = format!("{value:.2} mm of crown over {length:.0} mm: lift the middle control points.{told}");
    let drawn = vec![points.iter().map(|p| p.point).collect()];
    Some(Finding::new(MeasureId::FormCrown, value, grade, place).faces(&panel.faces).extent(length).remedy(remedy).drawn(drawn))
}

/// Largest difference of a third's share from one section to the next.
fn largest_change(shares: impl Iterator<Item = [f64; 3]>) -> f64 {
    let all: Vec<[f64; 3]> = shares.collect();
    all.windows(2).flat_map(|w| (0..3).map(|k| (w[1][k] - w[0][k]).abs())).fold(0.0, f64::max)
}
