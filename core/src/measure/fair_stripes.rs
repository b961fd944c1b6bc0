//! Stripes of faces beside the same stripes of their fair references.

use super::fair::{Compared, faces, fair_stripes};
use super::highlight_wiggle::graded;
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::flow::{Piece, Precision, Stop, Twin, angles, trace_face, twins};
use crate::highlight::LampRig;
use crate::math::{Point2, Point3};
use crate::tessellate::{Tessellator, Tolerance};

/// One stripe edge of a face against the same one of its reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Stripe {
    /// Which of the faces compared.
    pub of: usize,
    /// Where it ends on the face: position and parameters.
    pub end: (Point3, Point2),
    /// Its length, mm.
    pub length: f64,
    /// How much more its spacing changes from its first to its last fifth than the reference's, as a ratio ≥ 1.
    pub spread: f64,
    /// How much more it turns from its first to its last fifth than the reference's, degrees, against the latter's chord.
    pub climb: f64,
    /// The edge on the face and on the reference, as polylines.
    pub drawn: [Vec<Point3>; 2],
}

/// Distance from the reference, as a share of the face's size, up to which it is one: beyond, the face has a form that one patch
/// cannot hold. Larger: form is taken for unevenness; smaller: badly uneven faces go unasked. Common practice, no source.
const CREDIBLE: f64 = 1e-3;

/// Shortest stripe compared, as a share of the face's size. Larger: fewer; smaller: bits in corners decide.
const SHORTEST: f64 = 0.5;

/// Steps along a stripe from end to end. Larger: slower; smaller: its first and last part are known by few places, and it is drawn
/// as a polygon.
const STEPS: usize = 25;

/// Part of a stripe over which its beginning and end are judged. Larger: a steady change reads too low; smaller: what a border's
/// own faults do to the last millimetres, which joins and rows are listed for, is taken for the flow. Common practice, no source.
const PART: f64 = 0.2;

/// How far traced stripes may lie off the straight lines between their points, mm: only points on them are used.
const SAG: f64 = 0.5;

/// The stripes of the usual rig that run from border to border on each face near its reference.
pub fn stripes(subject: &Subject<'_>, faces: &[Compared]) -> Vec<Stripe> {
    let size = |c: &Compared| subject.areas.get(c.face.index()).copied().unwrap_or(0.0).sqrt();
    let near: Vec<(usize, &Compared)> = faces.iter().enumerate().filter(|(_, c)| c.fair.deviation().max <= CREDIBLE * size(c)).collect();
    if near.is_empty() {
        return Vec::new();
    }
    let tracer = Tracer::new(subject);
    let mut all = Vec::new();
    for (of, c) in near {
        let through = |p: &&Piece| p.ends.iter().all(Option::is_some) && p.length() >= SHORTEST * size(c);
        let lines: Vec<Vec<Twin>> = tracer.pieces(c).iter().filter(through).map(|p| tracer.beside(c, p, STEPS)).collect();
        all.extend(lines.iter().filter_map(|line| stripe(of, line)));
    }
    all
}

fn stripe(of: usize, line: &[Twin]) -> Option<Stripe> {
    let stops = |of: fn(&Twin) -> Stop| line.iter().map(of).collect::<Vec<Stop>>();
    let (own, fair) = (stops(|t| t.own), stops(|t| t.fair));
    let spacings = |stops: &[Stop]| stops.iter().map(|s| s.spacing).collect::<Vec<f64>>();
    let (a, b) = (parts(&spacings(&own))?, parts(&spacings(&fair))?);
    let ratio = (a.1 / a.0) / (b.1 / b.0);
    let chord = fair.last()?.point - fair.first()?.point;
    let turns = |stops: &[Stop]| angles(stops, &|_| chord).into_iter().map(|a| a.1).collect::<Vec<f64>>();
    let (c, d) = (parts(&turns(&own))?, parts(&turns(&fair))?);
    let end = line.last()?;
    let drawn = [own.iter().map(|s| s.point).collect(), fair.iter().map(|s| s.point).collect()];
    let (spread, climb) = (ratio.max(1.0 / ratio), ((c.1 - c.0) - (d.1 - d.0)).abs());
    Some(Stripe { of, end: (end.own.point, end.uv), length: end.own.along, spread, climb, drawn })
}

/// Means of a value over the first and the last part of a stripe, from its values at even steps.
fn parts(values: &[f64]) -> Option<(f64, f64)> {
    let count = 1 + (PART * values.len().checked_sub(1)? as f64).round() as usize;
    let mean = |over: &[f64]| over.iter().sum::<f64>() / over.len() as f64;
    (count > 1).then(|| Some((mean(values.get(..count)?), mean(values.get(values.len() - count..)?))))?
}

/// Traces the usual rig's stripes on faces that have a reference.
pub struct Tracer<'a> {
    subject: &'a Subject<'a>,
    maker: Tessellator<'a>,
    rig: LampRig,
}

impl<'a> Tracer<'a> {
    /// Makes ready to mesh the faces.
    pub fn new(subject: &'a Subject<'a>) -> Self {
        let model = subject.sheets.model;
        let maker = Tessellator::new(model, subject.sheets.domains, &Tolerance::for_model(model));
        Self { subject, maker, rig: LampRig::usual() }
    }

    /// The stripe edges on a face.
    pub fn pieces(&self, of: &Compared) -> Vec<Piece> {
        let sheets = &self.subject.sheets;
        let (Some(face), Some(domain), Ok(mesh)) = (sheets.face(of.face), sheets.domain(of.face), self.maker.face(of.face)) else {
            return Vec::new();
        };
        trace_face(&self.rig, &face.surface, domain, &mesh, &Precision { sag: SAG, ..Precision::default() }).pieces
    }

    /// One of them in `steps` beside its twin on the reference.
    pub fn beside(&self, of: &Compared, piece: &Piece, steps: usize) -> Vec<Twin> {
        let Some(face) = self.subject.sheets.face(of.face) else { return Vec::new() };
        twins(&self.rig, (of.face, &face.surface), piece, of.fair.patch(), steps)
    }
}

/// The findings of one of the two: the worst stripe of each face. Where waves of the face are listed, these are their consequence.
pub fn worst(
    subject: &Subject<'_>,
    judge: &Judge<'_>,
    measure: MeasureId,
    value: impl Fn(&Stripe) -> f64,
    remedy: impl Fn(f64, &str) -> String,
) -> Vec<Finding> {
    if !judge.asks(measure) {
        return Vec::new();
    }
    let stripes = fair_stripes(subject);
    let mut all = Vec::new();
    for (i, c) in faces(subject).iter().enumerate().filter(|(_, c)| graded(judge, c).is_none()) {
        let own = stripes.iter().filter(|s| s.of == i);
        let Some(stripe) = own.max_by(|a, b| value(a).total_cmp(&value(b))) else { continue };
        let value = value(stripe);
        let Some(grade) = judge.grade(measure, &[c.face], value) else { continue };
        let against = format!("a single patch that lies within {:.3} mm of it ({})", c.fair.deviation().max, LampRig::USUAL);
        let place = Place { point: stripe.end.0, face: Some(c.face), uv: Some(stripe.end.1), along: None };
        let found = Finding::new(measure, value, grade, place).extent(stripe.length).remedy(remedy(value, &against));
        all.push(found.drawn(stripe.drawn.to_vec()));
    }
    all
}
