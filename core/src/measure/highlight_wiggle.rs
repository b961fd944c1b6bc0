//! `highlight.wiggle`: waves of a face about its fair reference, by their tilt.

use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::flow::ripple;
use crate::geometry::{FAIR_DEGREE, FairReference, Surface};
use crate::joins::Role;
use crate::model::FaceId;
use crate::nurbs;

/// The steepest wave of each primary patch, where it passes the limit.
///
/// Its reference is the single patch of degree 5 that lies nearest to it, so a patch of one span and of no higher degree has no
/// waves by definition, and is not looked at; nor are analytic faces, which have none, and faces that bend too far for one
/// patch.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    subject.sheets.model.faces().filter_map(|(id, _)| one(subject, judge, id)).collect()
}

/// The finding on one face.
pub fn one(subject: &Subject<'_>, judge: &Judge<'_>, id: FaceId) -> Option<Finding> {
    let least = least(judge)?;
    let face = subject.sheets.face(id).filter(|_| !subject.graph.is_copy(id))?;
    let Surface::Nurbs(patch) = &face.surface else { return None };
    let primary = subject.graph.roles.get(id.index()) == Some(&Role::Primary);
    let domain = subject.sheets.domain(id).filter(|_| primary && can_wave(patch))?;
    let fair = || FairReference::new(&face.surface, domain, (FAIR_DEGREE, FAIR_DEGREE)).ok();
    let fair = subject.memo.keep("fair references", id.index(), fair);
    // Where the patch lies this near to its reference no wave of it can pass the limit.
    let fair = fair.as_ref().as_ref().filter(|f| f.deviation().max >= least)?;
    let wave = (*subject.memo.keep("ripples", id.index(), || ripple(&face.surface, domain, fair)))?;
    let grade = judge.yardstick.grade(MeasureId::HighlightWiggle, judge.zone, wave.tilt)?;
    let place = Place { point: wave.point, face: Some(id), uv: Some(wave.uv), along: None };
    let remedy = format!(
        "Waves of {:.3} mm, {:.0} mm from crest to crest: rebuild the face with fewer spans, or as one patch with a span more than it \
         needs, and compare it with a two-rail sweep.",
        wave.amplitude, wave.wavelength
    );
    Some(Finding::new(MeasureId::HighlightWiggle, wave.tilt, grade, place).extent(wave.extent).remedy(remedy))
}

/// True for a patch that its reference cannot reproduce.
fn can_wave(patch: &nurbs::Surface) -> bool {
    let simple = |k: &nurbs::KnotVector| k.span_count() == 1 && k.degree() <= FAIR_DEGREE;
    !(simple(patch.knots_u()) && simple(patch.knots_v()) && patch.weights().is_none())
}

/// Shortest wave that the samples of a face can show, mm: with it the lowest limit of tilt becomes a height. Larger: faint short
/// waves are not looked for; smaller: more faces are. Common practice, no source.
const SHORTEST: f64 = 10.0;

/// Half height below which no wave passes any limit, mm; None without a limit.
fn least(judge: &Judge<'_>) -> Option<f64> {
    let limits = judge.yardstick.limits(MeasureId::HighlightWiggle, judge.zone)?;
    let lowest = [limits.polish, limits.fix, limits.serious].into_iter().flatten().fold(f64::INFINITY, f64::min);
    lowest.is_finite().then(|| crate::math::real::tan(lowest.to_radians()) * SHORTEST / crate::math::real::TAU)
}
