//! How a stripe edge passes from one face to the next.

use super::reading::{Reading, Sample, Stripe};
use crate::highlight::{LampRig, edges};
use crate::joins::{Border, Meeting, Sheets, Track};
use crate::math::{Arrange, Point3, real, root};
use crate::model::FaceId;

/// A stripe edge at the border of one face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// The face.
    pub face: FaceId,
    /// Where it meets the border, mm.
    pub point: Point3,
    /// Place along the piece of join, from 0 to 1.
    pub place: f64,
    /// Angle between stripe and border, degrees, 0 to 90; a stripe that runs along a join says nothing of it.
    pub slant: f64,
    /// Share of the gradient that lies across the border, 0 to 1: where it is 0 the function does not change across the
    /// join, and the order rule says nothing (measures §4).
    pub across: f64,
}

/// A stripe edge on both sides of a join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Value of the stripe function.
    pub value: f64,
    /// On the first face.
    pub a: End,
    /// On the second.
    pub b: End,
    /// How it passes; None where the stripe has no tangent on one side.
    pub link: Option<Link>,
}

/// How a stripe passes over a join. Across a join of order Gk a stripe is G(k−1): offset at G0, kink at G1, smooth at
/// G2, smooth in curvature at G3 (Patrikalakis, Maekawa & Cho, *Shape Interrogation*, §8.1.2; Theisel, CAGD 18(7), 2001).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Distance between its two ends, mm.
    pub offset: f64,
    /// Angle between its tangents, degrees, 0 to 180.
    pub kink: f64,
    /// Length of the difference of its curvature vectors, 1/mm.
    pub bend: f64,
}

/// Stations a piece of join is searched at, before halving. Larger: slower; smaller: two stripe edges of one value
/// between stations are missed.
const STATIONS: usize = 48;

/// Share of the lamp spacing as value error, as for the pieces themselves.
const SMALL: f64 = 1e-12;

/// All stripe edges that meet a piece of join, paired over it: those of one value, rising the same way along the join,
/// that are each other's nearest. What has no partner is left out.
pub(super) fn crossings(rig: &LampRig, sheets: &Sheets<'_>, track: &Track) -> Vec<Crossing> {
    let Some(face_b) = track.second_face() else { return Vec::new() };
    let a = ends(rig, sheets, track, track.first_face(), &|m: &Meeting| Some(m.a));
    let b = ends(rig, sheets, track, face_b, &|m: &Meeting| m.b);
    let mut all: Vec<Crossing> = Vec::new();
    let nearest = |x: &Met, of: &[Met]| -> Option<usize> {
        let like = of.iter().enumerate().filter(|(_, y)| y.value == x.value && y.rising == x.rising);
        like.min_by(|p, q| p.1.end.point.distance(x.end.point).total_cmp(&q.1.end.point.distance(x.end.point))).map(|p| p.0)
    };
    for (i, x) in a.iter().enumerate() {
        let Some(y) = nearest(x, &b).and_then(|k| b.get(k)) else { continue };
        if nearest(y, &a) == Some(i) {
            all.push(Crossing { value: x.value, a: x.end, b: y.end, link: link(x, y) });
        }
    }
    all
}

/// All stripe edges that meet an outline.
pub(super) fn at_outline(rig: &LampRig, sheets: &Sheets<'_>, track: &Track) -> Vec<Met> {
    ends(rig, sheets, track, track.first_face(), &|m: &Meeting| Some(m.a))
}

/// A stripe edge met on one side.
pub(super) struct Met {
    pub value: f64,
    pub rising: bool,
    pub end: End,
    pub border: Border,
    pub stripe: Option<Stripe>,
}

fn ends(rig: &LampRig, sheets: &Sheets<'_>, track: &Track, face: FaceId, side: &dyn Fn(&Meeting) -> Option<Border>) -> Vec<Met> {
    let border = |x: f64| side(&track.at(sheets, x)?);
    let sample = |x: f64| Some(Sample::at(rig, &border(x)?.derivs));
    let mut stops: Vec<f64> = (0..=STATIONS).map(|i| i as f64 / STATIONS as f64).chain(track.breaks(sheets)).collect();
    stops.arrange_by(f64::total_cmp);
    let read: Vec<(f64, Option<Sample>)> = stops.into_iter().map(|x| (x, sample(x))).collect();
    let small = SMALL * rig.spacing;
    let reach = f64::from(rig.count) * rig.spacing;
    let mut all = Vec::new();
    for pair in read.windows(2) {
        let ((x0, Some(s0)), (x1, Some(s1))) = (pair[0], pair[1]) else { continue };
        let values = match (s0.reading, s1.reading) {
            (Some(a), Some(b)) if s0.is_facing() == s1.is_facing() => (a.f.f.min(b.f.f), a.f.f.max(b.f.f)),
            // Over the horizon values run through infinity: any may be met.
            _ => (-reach, reach),
        };
        for c in edges(rig, values.0, values.1) {
            let (Some(f0), Some(f1)) = (s0.excess(c), s1.excess(c)) else { continue };
            if (f0 >= 0.0) == (f1 >= 0.0) {
                continue;
            }
            let Some(x) = root((x0, f0), (x1, f1), 1e-4 * small, |x| sample(x)?.excess(c)) else { continue };
            all.extend(border(x).and_then(|b| met(rig, face, c, f1 > f0, x, b)));
        }
    }
    all
}

fn met(rig: &LampRig, face: FaceId, value: f64, rising: bool, place: f64, border: Border) -> Option<Met> {
    let reading = Reading::at(rig, &border.derivs)?;
    // Where the function jumps to infinity it has no such value, though its signs differ.
    if (reading.f.f - value).abs() > 1e-6 * rig.spacing {
        return None;
    }
    let stripe = reading.stripe();
    let (along, gradient) = (border.along.try_normalize()?, reading.gradient());
    let slant = stripe.map_or(0.0, |s| real::atan2(s.tangent.cross(along).length(), s.tangent.dot(along).abs()).to_degrees());
    let across = gradient.and_then(|g| Some(g.dot(border.conormal()?).abs() / g.length())).unwrap_or(0.0);
    Some(Met { value, rising, end: End { face, point: border.point(), place, slant, across }, border, stripe })
}

fn link(x: &Met, y: &Met) -> Option<Link> {
    let (one, two) = (x.stripe?, y.stripe?);
    // Out of A and into B.
    let out = if one.tangent.dot(x.border.conormal()?) > 0.0 { -one.tangent } else { one.tangent };
    let into = if two.tangent.dot(y.border.conormal()?) < 0.0 { -two.tangent } else { two.tangent };
    Some(Link {
        offset: x.end.point.distance(y.end.point),
        kink: real::angle_between(out, into).to_degrees(),
        bend: (one.curvature - two.curvature).length(),
    })
}
