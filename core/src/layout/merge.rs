//! One patch tried in place of two that meet along a side.

use crate::geometry::corrected_on_surface;
use crate::math::{Arrange, Interval, Point2, Point3};
use crate::nurbs::fit::lines::{Lines, Nodes, nodes};
use crate::nurbs::fit::{SurfaceSample, fit_surface, surface_deviation};
use crate::nurbs::{Direction, KnotVector, Surface};

/// A side of a patch's parameter box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoxSide {
    /// True for a side of constant u.
    pub of_u: bool,
    /// True for that of the larger parameter.
    pub high: bool,
}

/// A patch up to one of its sides.
#[derive(Debug, Clone)]
pub struct Half {
    /// The patch, cut to the box of its face.
    pub patch: Surface,
    /// The side along which it meets the other.
    pub side: BoxSide,
}

/// What came of the trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Merged {
    /// The one patch: u runs over both, v along their common side.
    pub patch: Surface,
    /// Largest distance from it to places of the two, mm.
    pub off: f64,
}

/// A half as a surface over s, which runs 0 to 1 to the common side or from it, and w along that side.
struct Strip<'a> {
    patch: &'a Surface,
    weights: Option<Surface>,
    side: BoxSide,
    /// True where s falls with the patch's own parameter.
    back: bool,
    /// True where w does.
    flipped: bool,
}

/// Rounds of parameter correction for patches whose parameters do not run on into each other. Larger: slower; smaller: some of what is
/// off is due to parameters alone.
const ROUNDS: usize = 4;

/// Places beyond which parameters are not corrected, since a fit to loose points takes time with their number.
const MOST: usize = 6000;

/// Points that have slid to their feet lie off along the normal, which no parameter mends; a fit to them takes little off that. Beyond so many
/// tolerances it is not tried. Larger: slower; smaller: pairs that only their parameters keep apart are missed.
const HOPELESS: f64 = 8.0;

/// Tries one patch in place of two that meet along a whole side of both. `same` tells whether their other parameter runs along that side
/// in the same direction.
///
/// The one patch has the larger of both degrees, their knots, and none where they met: a patch with a knot there is no simpler than the
/// two. Only where one of them has knots of its own on the way is a simple one put there too, since a patch of several spans may
/// have been cut at one. Least squares over Gauss' nodes of both; over the common side the parameter runs on at even speed. While
/// `tolerance` mm is passed, parameters are corrected (Hoschek 1988). None where nothing can be fitted.
pub fn merge(first: &Half, second: &Half, same: bool, tolerance: f64) -> Option<Merged> {
    let a = Strip::new(first, true, false);
    let b = Strip::new(second, false, !same);
    let share = speed(&a, 1.0)? / (speed(&a, 1.0)? + speed(&b, 0.0)?);
    if !(share > 1e-3 && share < 1.0 - 1e-3) {
        return None;
    }
    let (across_a, across_b) = (a.inner(false), b.inner(false));
    let degree = |along: bool| a.knots(along).degree().max(b.knots(along).degree());
    let rational = a.weights.is_some() || b.weights.is_some();
    let kw = joined(degree(false), &across_a.iter().chain(&across_b).copied().collect::<Vec<_>>())?;
    let (on_a, on_b) = (a.inner(true), b.inner(true));
    let mut on_way: Vec<(f64, usize)> = on_a.iter().map(|&(t, c)| (share * t, c)).collect();
    on_way.extend(on_b.iter().map(|&(t, c)| (share + (1.0 - share) * t, c)));
    let ks = joined(degree(true), &on_way)?;
    let mut best = fitted(&a, &b, share, rational, (&ks, &kw), tolerance);
    if !on_way.is_empty() && best.as_ref().is_none_or(|m| m.off > tolerance) {
        on_way.push((share, degree(true) - 1));
        let with = joined(degree(true), &on_way)?;
        let second = fitted(&a, &b, share, rational, (&with, &kw), tolerance);
        if second.as_ref().is_some_and(|m| best.as_ref().is_none_or(|b| m.off < b.off)) {
            best = second;
        }
    }
    best
}

fn fitted(
    a: &Strip<'_>,
    b: &Strip<'_>,
    share: f64,
    rational: bool,
    (ks, kw): (&KnotVector, &KnotVector),
    tolerance: f64,
) -> Option<Merged> {
    let along = |k: &KnotVector| nodes(&k.breaks(), k.degree() + 3);
    // Both sides of the common side have nodes of their own, and the borders count.
    let mut breaks = ks.breaks();
    if !breaks.contains(&share) {
        breaks.push(share);
        breaks.arrange_by(f64::total_cmp);
    }
    let with_ends = |mut n: Nodes| {
        n.insert(0, (0.0, 1e-6));
        n.push((1.0, 1e-6));
        n
    };
    let s = with_ends(nodes(&breaks, ks.degree() + 3));
    let w = with_ends(along(kw));
    // Weights are known up to a factor: one makes both agree where they meet.
    let factor = a.at(1.0, 0.5).1 / b.at(0.0, 0.5).1;
    let at = |s: f64, w: f64| {
        if s <= share {
            a.at(s / share, w)
        } else {
            let (p, weight) = b.at((s - share) / (1.0 - share), w);
            (p, factor * weight)
        }
    };
    let count = s.len() * w.len();
    let weigh: Vec<f64> = s.iter().flat_map(|x| w.iter().map(move |y| x.1 * y.1)).collect();
    let lines = Lines::new(s, w, rational, at);
    let patch = lines.surface(ks, kw).ok()?;
    let off = lines.off(&patch);
    let mut best = Merged { patch, off };
    if off <= tolerance || count > MOST {
        return Some(best);
    }
    // Points slide along a polynomial patch over the same knots.
    let mut samples: Vec<SurfaceSample> =
        lines.places().zip(weigh).map(|((uv, point), weight)| SurfaceSample { uv, point, weight }).collect();
    let mut patch = best.patch.clone();
    for _ in 0..ROUNDS {
        samples = corrected_on_surface(&patch, &samples);
        if let Some(d) = surface_deviation(&patch, &samples)
            && d.max < best.off
        {
            best = Merged { patch: patch.clone(), off: d.max };
        }
        if best.off <= tolerance || best.off > HOPELESS * tolerance {
            break;
        }
        match fit_surface(ks, kw, &samples, None, &[]) {
            Ok(next) => patch = next,
            Err(_) => break,
        }
    }
    Some(best)
}

/// Mean length of the derivative by s at one end of a strip.
fn speed(strip: &Strip<'_>, s: f64) -> Option<f64> {
    const PLACES: usize = 9;
    let one = |i: usize| strip.speed(s, (i as f64 + 0.5) / PLACES as f64);
    let mean = (0..PLACES).map(one).sum::<f64>() / PLACES as f64;
    (mean > 0.0 && mean.is_finite()).then_some(mean)
}

/// Knots over 0 to 1 that keep, at each parameter, the continuity stated; the same parameter counts once, with the least.
fn joined(degree: usize, inner: &[(f64, usize)]) -> Option<KnotVector> {
    // Parameters nearer than this share of the whole are one knot written twice.
    const SAME: f64 = 1e-7;
    let mut sorted = inner.to_vec();
    sorted.arrange_by(|x, y| x.0.total_cmp(&y.0));
    let mut merged: Vec<(f64, usize)> = Vec::new();
    for (t, smooth) in sorted {
        match merged.last_mut() {
            Some(last) if t - last.0 < SAME => last.1 = last.1.min(smooth),
            _ => merged.push((t, smooth)),
        }
    }
    let inner: Vec<(f64, usize)> = merged.into_iter().map(|(t, smooth)| (t, degree.saturating_sub(smooth).max(1))).collect();
    KnotVector::clamped(degree, Interval::new(0.0, 1.0), &inner).ok()
}

impl<'a> Strip<'a> {
    /// `ends`: the common side is at s = 1.
    fn new(half: &'a Half, ends: bool, flipped: bool) -> Self {
        let patch = &half.patch;
        Self { patch, weights: patch.weight_function(), side: half.side, back: half.side.high != ends, flipped }
    }

    fn knots(&self, along: bool) -> &KnotVector {
        self.patch.knots_along(if along == self.side.of_u { Direction::U } else { Direction::V })
    }

    /// Inner knots along s, or w, as shares, with the continuity there.
    fn inner(&self, along: bool) -> Vec<(f64, usize)> {
        let (knots, back) = (self.knots(along), if along { self.back } else { self.flipped });
        let over = knots.domain();
        let share = |t: f64| (t - over.low) / over.length();
        knots
            .interior()
            .into_iter()
            .map(|(t, m)| (if back { 1.0 - share(t) } else { share(t) }, knots.degree().saturating_sub(m)))
            .collect()
    }

    fn uv(&self, s: f64, w: f64) -> Point2 {
        let (u, v) = self.patch.domain();
        let on = |over: Interval, share: f64, back: bool| over.at(if back { 1.0 - share } else { share });
        if self.side.of_u {
            Point2::new(on(u, s, self.back), on(v, w, self.flipped))
        } else {
            Point2::new(on(u, w, self.flipped), on(v, s, self.back))
        }
    }

    fn at(&self, s: f64, w: f64) -> (Point3, f64) {
        let uv = self.uv(s, w);
        (self.patch.derivs(uv.u, uv.v, 0).s, self.weights.as_ref().map_or(1.0, |x| x.derivs(uv.u, uv.v, 0).s.x))
    }

    fn speed(&self, s: f64, w: f64) -> f64 {
        let (uv, (u, v)) = (self.uv(s, w), self.patch.domain());
        let d = self.patch.derivs(uv.u, uv.v, 1);
        if self.side.of_u { d.su.length() * u.length() } else { d.sv.length() * v.length() }
    }
}
