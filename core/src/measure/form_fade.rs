//! `form.fade`: how long a feature line takes to fade out.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};

/// Fade-outs shorter than the limit. There is no limit by default: how long a line should take is a matter of design.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    // Lines need only be found where a limit is set.
    if !judge.asks(MeasureId::FormFade) {
        return Vec::new();
    }
    let lines = subject.lines();
    let all = lines.iter().flat_map(|line| line.fades(subject.graph.search).into_iter().map(move |f| (line, f)));
    all.filter_map(|(line, fade)| {
        let grade = judge.grade(MeasureId::FormFade, &line.faces, fade.length)?;
        let found = Finding::new(MeasureId::FormFade, fade.length, grade, Place::at(fade.at.point)).faces(&line.faces);
        let join = line.joins.first().copied();
        Some(Finding { join, ..found.extent(fade.length).remedy("The line ends abruptly: let its angle fall over a longer way.") })
    })
    .collect()
}
