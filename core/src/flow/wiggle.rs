//! How a stripe wavers beside the same stripe of a fair surface: what a ripple does to one rig's lamps.

use super::extrema::extrema;
use super::face_trace::Piece;
use super::reading::Reading;
use super::smooth::onto;
use crate::geometry::Surface;
use crate::highlight::LampRig;
use crate::math::{Point2, Point3};

/// A place on a stripe edge, and how far the edge lies off its twin there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// Length from the edge's start, mm.
    pub along: f64,
    /// On the face.
    pub point: Point3,
    /// There, in the face's parameters.
    pub uv: Point2,
    /// On the twin, across from it.
    pub twin: Point3,
    /// Distance across, mm, positive to the left of the twin seen against its Su × Sv.
    pub across: f64,
}

/// The largest wave of a stripe edge about its twin on the reference. It depends on the rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Wiggle {
    /// Half its height from crest to trough on the surface, mm, between three neighbouring extrema.
    pub amplitude: f64,
    /// From the first to the third of them along the edge, mm.
    pub wavelength: f64,
    /// Indices of the places next to the three.
    pub at: [usize; 3],
    /// The places looked at, from end to end: to draw it by.
    pub line: Vec<Offset>,
}

/// Places along an edge. A wave needs six of them. Larger: slower; smaller: short waves are missed.
const PLACES: usize = 240;

/// Share of an edge's whole swing below which its extrema are taken for noise. Larger: a faint wave beside a strong one is lost;
/// smaller: strong ones are cut in two by noise.
const NOISE: f64 = 0.2;

/// Value error accepted, as a share of the lamp spacing.
const SMALL: f64 = 1e-12;

/// The largest wave of the edge `piece`, traced on `surface`, about the edge of the same value on `reference`, a surface over
/// nearly the same parameters. Waves lower than `least` (mm, from crest to trough) are none.
pub fn wiggle(rig: &LampRig, surface: &Surface, piece: &Piece, reference: &Surface, least: f64) -> Option<Wiggle> {
    let line = offsets(rig, surface, piece, reference);
    let run: Vec<(f64, f64)> = line.iter().map(|o| (o.along, o.across)).collect();
    let (low, high) = run.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s.1), h.max(s.1)));
    if high - low <= least {
        return None;
    }
    let found = extrema(&run, least.max(NOISE * (high - low)));
    let height = |w: &[super::extrema::Extremum]| 0.5 * (w[1].value - 0.5 * (w[0].value + w[2].value)).abs();
    let wave = found.windows(3).max_by(|x, y| height(x).total_cmp(&height(y)))?;
    let near = |x: f64| run.partition_point(|s| s.0 < x).min(run.len() - 1);
    Some(Wiggle {
        amplitude: height(wave),
        wavelength: wave[2].at - wave[0].at,
        at: [near(wave[0].at), near(wave[1].at), near(wave[2].at)],
        line,
    })
}

/// Places at even steps along an edge with their offsets; those whose twin is not found are left out.
fn offsets(rig: &LampRig, surface: &Surface, piece: &Piece, reference: &Surface) -> Vec<Offset> {
    let small = SMALL * rig.spacing;
    let on = |s: &Surface, start: Point2| onto(start, piece.value, small, &|uv| Reading::at(rig, &s.derivs(uv.u, uv.v, 3)));
    let mut lengths = vec![0.0];
    for w in piece.points.windows(2) {
        lengths.push(lengths.last().copied().unwrap_or(0.0) + w[0].distance(w[1]));
    }
    let whole = lengths.last().copied().unwrap_or(0.0);
    let mut all: Vec<Offset> = Vec::new();
    for k in 0..=PLACES {
        let wanted = whole * k as f64 / PLACES as f64;
        let after = lengths.partition_point(|&l| l < wanted).clamp(1, lengths.len().max(2) - 1);
        let (Some(&l0), Some(&l1)) = (lengths.get(after - 1), lengths.get(after)) else { break };
        let (Some(a), Some(b)) = (piece.uv.get(after - 1), piece.uv.get(after)) else { break };
        let t = if l1 > l0 { (wanted - l0) / (l1 - l0) } else { 0.0 };
        let start = Point2::new(a.u + (b.u - a.u) * t, a.v + (b.v - a.v) * t);
        let Some(own) = on(surface, start) else { continue };
        let Some((twin, across)) = facing(&own.reading.derivs.s, own.uv, &|start| on(reference, start)) else { continue };
        let point = own.reading.derivs.s;
        let along = all.last().map_or(0.0, |o| o.along + o.point.distance(point));
        all.push(Offset { along, point, uv: own.uv, twin, across });
    }
    all
}

/// Steps to the place on the twin straight across. Each removes what is left along it to first order.
const STEPS: usize = 6;

/// The place on the twin nearest to a point, and the distance across.
fn facing(point: &Point3, start: Point2, on: &dyn Fn(Point2) -> Option<super::smooth::Node>) -> Option<(Point3, f64)> {
    let mut node = on(start)?;
    for _ in 0..STEPS {
        let (d, stripe) = (node.reading.derivs, node.reading.stripe()?);
        let left = (*point - d.s).dot(stripe.tangent);
        if left.abs() < 1e-9 {
            break;
        }
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let step = stripe.tangent * left;
        let (a, b) = (step.dot(d.su), step.dot(d.sv));
        node = on(Point2::new(node.uv.u + (g * a - f * b) / det, node.uv.v + (e * b - f * a) / det))?;
    }
    let d = node.reading.derivs;
    let normal = d.su.cross(d.sv).try_normalize()?;
    let to_left = normal.cross(node.reading.stripe()?.tangent);
    Some((d.s, (*point - d.s).dot(to_left)))
}
