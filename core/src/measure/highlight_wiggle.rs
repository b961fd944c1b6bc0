//! `highlight.wiggle`: waves of a face about its fair reference, by their tilt.

use super::fair::{Compared, faces};
use super::fair_stripes::Tracer;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place, Severity};
use crate::flow::{Piece, Ripple, Twin, Wiggle, wiggle};
use crate::highlight::LampRig;
use crate::math::{Arrange, Point3};
use crate::model::FaceId;
use core::cell::OnceCell;

/// The steepest wave of each face that has one about its fair reference, where it passes the limit. The wave is told without lamps;
/// a stripe of the usual rig that it makes waver shows it.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    if !judge.asks(MeasureId::HighlightWiggle) {
        return Vec::new();
    }
    let tracer = OnceCell::new();
    let show = |c: &Compared, wave: &Ripple| seen(tracer.get_or_init(|| Tracer::new(subject)), c, wave);
    faces(subject).iter().filter_map(|c| told(judge, c, show)).collect()
}

/// How severe the steepest wave of a face is, where it passes the limit.
pub fn severity(subject: &Subject<'_>, judge: &Judge<'_>, id: FaceId) -> Option<Severity> {
    let all = if judge.asks(MeasureId::HighlightWiggle) { faces(subject) } else { return None };
    all.iter().find(|c| c.face == id).and_then(|c| Some(graded(judge, c)?.1.0))
}

/// The steepest wave of a face, graded, where it passes the limit.
pub fn graded(judge: &Judge<'_>, c: &Compared) -> Option<(Ripple, (Severity, f64))> {
    let wave = c.wave?;
    Some((wave, judge.grade(MeasureId::HighlightWiggle, &[c.face], wave.tilt)?))
}

fn told(judge: &Judge<'_>, c: &Compared, show: impl Fn(&Compared, &Ripple) -> Option<(Wiggle, Vec<Twin>)>) -> Option<Finding> {
    let (wave, grade) = graded(judge, c)?;
    let seen = show(c, &wave);
    let effect = seen.as_ref().map_or(String::new(), |(w, _)| format!(", stripes waver by {:.1} mm ({})", w.amplitude, LampRig::USUAL));
    let remedy = format!(
        "Waves of {:.3} mm, {:.0} mm from crest to crest{effect}: rebuild the face with fewer spans, or as one patch with a span more than \
         it needs, and compare it with a two-rail sweep.",
        wave.amplitude, wave.wavelength,
    );
    let place = Place { point: wave.point, face: Some(c.face), uv: Some(wave.uv), along: None };
    let found = Finding::new(MeasureId::HighlightWiggle, wave.tilt, grade, place).extent(wave.extent).remedy(remedy);
    let polyline = |of: fn(&Twin) -> Point3, line: &[Twin]| line.iter().map(of).collect::<Vec<Point3>>();
    let lines = seen.map_or(Vec::new(), |(_, line)| vec![polyline(|t| t.own.point, &line), polyline(|t| t.fair.point, &line)]);
    Some(found.drawn(lines))
}

/// Stripes looked at, those that pass nearest to the wave's steepest place. Larger: slower; smaller: where the nearest runs along a
/// crest, none is found that wavers.
const NEAREST: usize = 4;

/// Steps along a stripe. A wave needs six of them. Larger: slower; smaller: short waves are missed.
const STEPS: usize = 240;

/// Least height of a stripe's wave from crest to trough, mm. Common practice, no source.
const LEAST: f64 = 0.1;

/// The stripe that wavers most of those near the wave, beside its twin.
fn seen(tracer: &Tracer<'_>, c: &Compared, wave: &Ripple) -> Option<(Wiggle, Vec<Twin>)> {
    let away = |p: &Piece| p.points.iter().map(|q| q.distance(wave.point)).fold(f64::INFINITY, f64::min);
    let mut pieces = tracer.pieces(c);
    pieces.retain(|p| p.length() >= 2.0 * wave.wavelength);
    pieces.arrange_by(|a, b| away(a).total_cmp(&away(b)));
    let lines = pieces.iter().take(NEAREST).map(|p| tracer.beside(c, p, STEPS));
    let found = lines.filter_map(|line| Some((wiggle(&line, LEAST)?, line)));
    found.max_by(|a, b| a.0.amplitude.total_cmp(&b.0.amplitude))
}
