//! Stripes that run on over a gap between two panels.

use super::crossing::at_outline;
use super::reading::Reading;
use super::smooth::{Node, onto};
use super::stripes::{Line, Stripes};
use crate::geometry::Surface;
use crate::highlight::LampRig;
use crate::joins::{Sheets, Track};
use crate::layout::{Boxes, Item};
use crate::math::{Point2, Point3, Vec3, real};
use crate::model::FaceId;

/// A stripe edge on both sides of a gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leap {
    /// Value of the stripe function.
    pub value: f64,
    /// Face and place where it leaves the first panel.
    pub a: (FaceId, Point3),
    /// Face and place where it enters the second.
    pub b: (FaceId, Point3),
    /// Where each gets to when run on to the middle of the gap.
    pub middle: [Point3; 2],
    /// Distance between them there, mm.
    pub offset: f64,
    /// Angle between them there, degrees.
    pub angle: f64,
    /// Angle between the panels' tangent planes there, degrees, 0 to 90.
    pub fold: f64,
}

/// Widest gap stripes are followed over, mm (measures §7; common practice, no source).
pub const WIDEST_GAP: f64 = 12.0;

/// Cosine of the largest angle between a stripe and the straight way over the gap. Larger: stripes that run along the gap
/// jump over it anywhere; smaller: slanting ones are lost.
const HEADING: f64 = 0.3;

/// Steps to the middle of the gap. Each is corrected onto the stripe, so their number decides nothing but the reach.
const STEPS: u32 = 8;

/// A stripe edge that ends at an outline.
struct Loose {
    /// The line it ends, in a list of stripes.
    line: Option<usize>,
    face: FaceId,
    uv: Point2,
    point: Point3,
    value: f64,
    /// Unit tangent out of the panel.
    out: Vec3,
}

/// All stripe edges that end at an outline and have their continuation on another face across a gap of at most 12 mm:
/// each other's nearest of one value, facing one another. Both are run on, on their own surfaces past the trim (a patch
/// by its polynomials), to the plane half way that is square to the mean of their directions.
pub fn leaps(rig: &LampRig, sheets: &Sheets<'_>, stripes: &Stripes) -> Vec<Leap> {
    over_gaps(rig, sheets, &loose_ends(rig, sheets, stripes))
}

/// The same for the stripes that end at the given outlines, which need not be traced for it: only their ends are solved for.
pub fn leaps_between<'a>(rig: &LampRig, sheets: &Sheets<'_>, outlines: impl Iterator<Item = &'a Track>) -> Vec<Leap> {
    let ends = |track: &Track| -> Vec<Loose> {
        let (Track::Alone { a, on_a }, face) = (*track, track.first_face()) else { return Vec::new() };
        let Some(rim) = sheets.rim(a) else { return Vec::new() };
        let loose = at_outline(rig, sheets, track).into_iter().filter_map(|met| {
            let share = on_a.0 * (1.0 - met.end.place) + on_a.1 * met.end.place;
            let (tangent, inward) = (met.stripe?.tangent, met.border.conormal()?);
            let out = if tangent.dot(inward) > 0.0 { -tangent } else { tangent };
            Some(Loose { line: None, face, uv: rim.side.trim.uv(rim.surface, share), point: met.end.point, value: met.value, out })
        });
        loose.collect()
    };
    over_gaps(rig, sheets, &outlines.flat_map(ends).collect::<Vec<_>>())
}

fn over_gaps(rig: &LampRig, sheets: &Sheets<'_>, loose: &[Loose]) -> Vec<Leap> {
    let item = |(id, x): (usize, &Loose)| Item { low: x.point.to_vec(), high: x.point.to_vec(), id };
    let boxes = Boxes::new(loose.iter().enumerate().map(item).collect());
    let nearest = |i: usize| -> Option<usize> {
        let x = loose.get(i)?;
        let facing = |y: &Loose| {
            let way = y.point - x.point;
            let heads = |out: Vec3, way: Vec3| way.length() < 1e-9 || out.dot(way) >= HEADING * way.length();
            let other = y.line.is_none() || y.line != x.line;
            other && y.value == x.value && heads(x.out, way) && heads(y.out, -way) && x.out.dot(y.out) < 0.0
        };
        let mut best: Option<(f64, usize)> = None;
        boxes.each_near(x.point, WIDEST_GAP, |j| {
            if let Some(y) = loose.get(j).filter(|y| j != i && facing(y)) {
                let found = (y.point.distance(x.point), j);
                if best.is_none_or(|b| found < b) {
                    best = Some(found);
                }
            }
        });
        best.map(|b| b.1)
    };
    let mut all = Vec::new();
    for i in 0..loose.len() {
        let Some(j) = nearest(i).filter(|&j| j > i && nearest(j) == Some(i)) else { continue };
        if let (Some(x), Some(y)) = (loose.get(i), loose.get(j)) {
            all.extend(leap(rig, sheets, x, y));
        }
    }
    all
}

fn loose_ends(rig: &LampRig, sheets: &Sheets<'_>, stripes: &Stripes) -> Vec<Loose> {
    let mut all = Vec::new();
    for (index, Line { pieces, .. }) in stripes.lines.iter().enumerate() {
        for (end, last) in [(pieces.first(), false), (pieces.last(), true)] {
            let Some(&(k, back)) = end else { continue };
            let Some((id, piece)) = stripes.pieces.get(k).filter(|p| !p.1.is_closed()) else { continue };
            // Last of its line: the end it runs to, turned where it runs backwards.
            let at_end = last != back;
            // Only what ends at a border can go on behind it.
            if piece.ends.get(usize::from(at_end)).copied().flatten().is_none() {
                continue;
            }
            let (uv, point) = if at_end { (piece.uv.last(), piece.points.last()) } else { (piece.uv.first(), piece.points.first()) };
            let (Some(&uv), Some(&point), Some(face)) = (uv, point, sheets.face(*id)) else { continue };
            let stripe = Reading::at(rig, &face.surface.derivs(uv.u, uv.v, 3)).and_then(|r| r.stripe());
            if let Some(s) = stripe {
                let out = if at_end { s.tangent } else { -s.tangent };
                all.push(Loose { line: Some(index), face: *id, uv, point, value: piece.value, out });
            }
        }
    }
    all
}

fn leap(rig: &LampRig, sheets: &Sheets<'_>, x: &Loose, y: &Loose) -> Option<Leap> {
    let middle = x.point.lerp(y.point, 0.5);
    let way = (x.out - y.out).try_normalize()?;
    let (p, s) = run_on(rig, &sheets.face(x.face)?.surface, x, middle, way)?;
    let (q, t) = run_on(rig, &sheets.face(y.face)?.surface, y, middle, way)?;
    let across = |n: &Node| n.reading.derivs.su.cross(n.reading.derivs.sv);
    let (fold, ends) = (real::angle_between(across(&p), across(&q)).to_degrees(), [p, q].map(|n| n.reading.derivs.s));
    Some(Leap {
        value: x.value,
        a: (x.face, x.point),
        b: (y.face, y.point),
        middle: ends,
        offset: ends[0].distance(ends[1]),
        angle: real::angle_between(s, -t).to_degrees(),
        fold: fold.min(180.0 - fold),
    })
}

/// Follows a stripe past the end of its face to the plane through `middle` square to `way`: where it gets to, and its outward
/// tangent there.
fn run_on(rig: &LampRig, surface: &Surface, from: &Loose, middle: Point3, way: Vec3) -> Option<(Node, Vec3)> {
    let read = |uv: Point2| Reading::at(rig, &surface.derivs(uv.u, uv.v, 3));
    let small = 1e-12 * rig.spacing;
    let (mut node, mut out) = (Node { uv: from.uv, reading: read(from.uv)? }, from.out);
    for step in 0..2 * STEPS {
        let d = &node.reading.derivs;
        let left = (middle - d.s).dot(way);
        if step >= STEPS && left.abs() < 1e-10 {
            break;
        }
        let towards = out.dot(way);
        // The tangent leads to the plane; the last steps are whole ones, which Newton's method makes exact.
        let share = if step < STEPS { 1.0 / f64::from(STEPS - step) } else { 1.0 };
        let stride = out * (left / towards * share);
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let (a, b) = (stride.dot(d.su), stride.dot(d.sv));
        let ahead = Point2::new(node.uv.u + (g * a - f * b) / det, node.uv.v + (e * b - f * a) / det);
        node = onto(ahead, from.value, small, &read)?;
        let tangent = node.reading.stripe()?.tangent;
        out = if tangent.dot(out) < 0.0 { -tangent } else { tangent };
    }
    Some((node, out))
}
