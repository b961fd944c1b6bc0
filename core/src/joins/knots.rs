//! Knot lines inside a patch at which smoothness breaks.

use super::judge::{Floors, Reach};
use super::sheets::Sheets;
use super::track::Track;
use crate::geometry::Surface;
use crate::math::{Interval, Point2};
use crate::model::FaceId;
use crate::nurbs::KnotVector;

/// Places looked at along a knot line. Smaller: short breaks are missed; larger: slower.
const LOOKS: usize = 24;

/// Tracks along the knot lines of a patch that break tangency or curvature, cut to the face. Multiplicity alone is
/// never a reason: many files carry full-multiplicity knots that are smooth. A knot whose multiplicity leaves second
/// derivatives continuous cannot break curvature and is not looked at.
pub fn broken_lines(sheets: &Sheets<'_>, face: FaceId, floors: &Floors, reach: &Reach) -> Vec<Track> {
    let (Some(f), Some(domain)) = (sheets.face(face), sheets.domain(face)) else { return Vec::new() };
    let Surface::Nurbs(patch) = &f.surface else { return Vec::new() };
    let (bu, bv) = domain.bounds();
    let mut found = Vec::new();
    for of_u in [true, false] {
        let (knots, within, over) = if of_u { (patch.knots_u(), bu, bv) } else { (patch.knots_v(), bv, bu) };
        for knot in reduced(knots).filter(|&k| k > within.low && k < within.high) {
            let track = Track::Knot { face, of_u, knot, over: (over.low, over.high) };
            if !(0..LOOKS).any(|i| breaks(sheets, &track, (i as f64 + 0.5) / LOOKS as f64, floors, reach)) {
                continue;
            }
            let inside = |t: f64| domain.contains(if of_u { Point2::new(knot, t) } else { Point2::new(t, knot) });
            found.extend(runs(over, inside).into_iter().map(|over| Track::Knot { face, of_u, knot, over }));
        }
    }
    found.retain(|t| (0..LOOKS).any(|i| breaks(sheets, t, (i as f64 + 0.5) / LOOKS as f64, floors, reach)));
    found
}

/// Inner knots at which second derivatives may jump.
fn reduced(knots: &KnotVector) -> impl Iterator<Item = f64> {
    let degree = knots.degree();
    knots.interior().into_iter().filter(move |&(_, m)| m + 1 >= degree).map(|(k, _)| k)
}

fn breaks(sheets: &Sheets<'_>, track: &Track, x: f64, floors: &Floors, reach: &Reach) -> bool {
    let Some(m) = track.at(sheets, x).map(|m| m.measures()) else { return false };
    let kinked = m.angle.is_some_and(|a| a > reach.angle);
    let bent = m.curvature_jump().is_some_and(|k| k > floors.curvature) && m.curvature_share().is_some_and(|s| s > reach.curvature);
    kinked || bent
}

/// Maximal intervals of `over` on which `inside` holds, found at [`LOOKS`] places and refined by halving.
fn runs(over: Interval, inside: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
    let at = |i: usize| over.at((i as f64 + 0.5) / LOOKS as f64);
    let edge = |mut yes: f64, mut no: f64| {
        for _ in 0..24 {
            let middle = 0.5 * (yes + no);
            if inside(middle) { yes = middle } else { no = middle }
        }
        yes
    };
    let mut all = Vec::new();
    let mut start: Option<f64> = None;
    for i in 0..LOOKS {
        let here = inside(at(i));
        if here && start.is_none() {
            let before = if i == 0 { over.low } else { at(i - 1) };
            start = Some(if i == 0 && inside(over.low) { over.low } else { edge(at(i), before) });
        }
        if let (false, Some(s)) = (here, start) {
            all.push((s, edge(at(i - 1), at(i))));
            start = None;
        }
    }
    if let Some(s) = start {
        all.push((s, if inside(over.high) { over.high } else { edge(at(LOOKS - 1), over.high) }));
    }
    all
}
