//! Stripes that run on over a gap between two panels.

use super::reading::Reading;
use super::smooth::onto;
use super::stripes::{Line, Stripes};
use crate::geometry::Surface;
use crate::highlight::LampRig;
use crate::joins::Sheets;
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
    /// Distance between both ends run on to the middle of the gap, mm.
    pub offset: f64,
    /// Angle between them there, degrees.
    pub angle: f64,
}

/// Widest gap stripes are followed over, mm (measures §7; common practice, no source).
const WIDEST: f64 = 12.0;

/// Cosine of the largest angle between a stripe and the straight way over the gap. Larger: stripes that run along the gap
/// jump over it anywhere; smaller: slanting ones are lost.
const HEADING: f64 = 0.3;

/// Steps to the middle of the gap. Each is corrected onto the stripe, so their number decides nothing but the reach.
const STEPS: u32 = 8;

struct Loose {
    line: usize,
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
    let loose = loose_ends(rig, sheets, stripes);
    let nearest = |i: usize| -> Option<usize> {
        let x = loose.get(i)?;
        let facing = |y: &Loose| {
            let way = y.point - x.point;
            let heads = |out: Vec3, way: Vec3| way.length() < 1e-9 || out.dot(way) >= HEADING * way.length();
            y.line != x.line
                && y.value == x.value
                && way.length() <= WIDEST
                && heads(x.out, way)
                && heads(y.out, -way)
                && x.out.dot(y.out) < 0.0
        };
        let like = loose.iter().enumerate().filter(|(j, y)| *j != i && facing(y));
        like.min_by(|p, q| p.1.point.distance(x.point).total_cmp(&q.1.point.distance(x.point))).map(|p| p.0)
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
                all.push(Loose { line: index, face: *id, uv, point, value: piece.value, out });
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
    let angle = real::angle_between(s, -t).to_degrees();
    Some(Leap { value: x.value, a: (x.face, x.point), b: (y.face, y.point), offset: p.distance(q), angle })
}

/// Follows a stripe past the end of its face to the plane through `middle` square to `way`: point and outward tangent.
fn run_on(rig: &LampRig, surface: &Surface, from: &Loose, middle: Point3, way: Vec3) -> Option<(Point3, Vec3)> {
    let read = |uv: Point2| Reading::at(rig, &surface.derivs(uv.u, uv.v, 3));
    let small = 1e-12 * rig.spacing;
    let (mut uv, mut out) = (from.uv, from.out);
    for step in 0..2 * STEPS {
        let here = read(uv)?;
        let left = (middle - here.derivs.s).dot(way);
        let towards = out.dot(way);
        // The tangent leads to the plane; the last steps are whole ones, which Newton's method makes exact.
        let share = if step < STEPS { 1.0 / f64::from(STEPS - step) } else { 1.0 };
        let stride = out * (left / towards * share);
        let d = &here.derivs;
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let (a, b) = (stride.dot(d.su), stride.dot(d.sv));
        let ahead = Point2::new(uv.u + (g * a - f * b) / det, uv.v + (e * b - f * a) / det);
        let node = onto(ahead, from.value, small, &read)?;
        uv = node.uv;
        let tangent = node.reading.stripe()?.tangent;
        out = if tangent.dot(out) < 0.0 { -tangent } else { tangent };
        if step >= STEPS && left.abs() < 1e-10 {
            break;
        }
    }
    Some((read(uv)?.derivs.s, out))
}
