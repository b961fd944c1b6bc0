//! A patch of other degrees and spans in place of one.

use super::bench::{Bench, Outcome, Sheet};
use super::kept::kept;
use super::{Moved, TrialError, both_ways};
use crate::geometry::{self, corrected_on_surface};
use crate::joins::Order;
use crate::math::Arrange;
use crate::model::FaceId;
use crate::nurbs::fit::lines::{Lines, Nodes, nodes};
use crate::nurbs::fit::{Constraint, Fairness, SurfaceGrid, SurfaceSample, fit_grid, fit_surface};
use crate::nurbs::{KnotVector, MAX_DEGREE, Surface, smallest};

/// Another basis for a patch, over the same parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refit {
    /// The face.
    pub face: FaceId,
    /// How large the new net is.
    pub size: Size,
    /// What the sides of the patch (least u, greatest u, least v, greatest v) keep of what they were: position and cross-boundary
    /// derivatives up to the order, as near as the new basis can; [`Moved::seam`] tells how near. Where two such sides meet, the later
    /// one has the corner.
    pub keep: [Option<Order>; 4],
}

/// How large a net.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// These degrees and spans, by u and v: least squares with the corners kept, over even knots or knots taken from the patch's own,
    /// whichever comes nearer; then, of a polynomial patch, with parameters corrected while that helps (Hoschek 1988).
    Chosen {
        /// Degrees.
        degree: (usize, usize),
        /// Spans.
        spans: (usize, usize),
        /// Share of bending that counts beside the distance ([`Fairness`]); 0: none. 1e-9 steadies, 1e-3 flattens.
        fairness: f64,
    },
    /// The fewest control points within this many mm at equal parameters ([`smallest()`]).
    Smallest {
        /// Largest distance, mm.
        tolerance: f64,
    },
}

/// Spans asked for beyond which a fit is no trial any more. Larger: minutes.
const SPANS: usize = 64;

/// Rounds of parameter correction; places beyond which there are none, since a fit to loose points takes time with their number.
const ROUNDS: usize = 4;
const MOST: usize = 4000;

/// Control points up to which a fit is one system in all of them: corners are kept, bending can count. Larger: minutes.
const JOINT: usize = 900;

/// Distance below which parameters are not corrected, mm.
const EXACT: f64 = 1e-9;

impl Refit {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        let sheet = bench.sheet(self.face)?;
        let (patch, off) = match self.size {
            Size::Smallest { tolerance } => {
                if !(tolerance > 0.0 && tolerance.is_finite()) {
                    return Err(TrialError::Number);
                }
                let found = smallest(&sheet.patch, tolerance).ok_or(TrialError::OutOfTolerance(tolerance))?;
                (found.surface, found.off)
            }
            Size::Chosen { degree, spans, fairness } => {
                let wish = Wish { fairness: bending(&sheet.patch, fairness)?, slide: sheet.whole && self.keep == [None; 4] };
                refitted(&sheet.patch, degree, spans, &wish)?
            }
        };
        let (patch, seam, unkept) = kept(&sheet.patch, patch, &self.keep)?;
        let (ku, kv) = (patch.knots_u(), patch.knots_v());
        let note = format!("degrees {} and {}, spans {} and {}", ku.degree(), kv.degree(), ku.span_count(), kv.span_count());
        let off = if seam.is_some() { apart(&sheet.patch, &patch).max(off) } else { off };
        let notes = core::iter::once(note).chain(unkept).collect();
        let moved = Moved { residual: off, seam, notes, ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch, whole: sheet.whole })], gone: Vec::new(), moved })
    }
}

/// Largest distance at equal parameters, mm.
fn apart(one: &Surface, other: &Surface) -> f64 {
    let (u, v) = (places(one.knots_u(), other.knots_u()), places(one.knots_v(), other.knots_v()));
    let off = |a: f64, b: f64| one.derivs(a, b, 0).s.distance(other.derivs(a, b, 0).s);
    u.iter().flat_map(|x| v.iter().map(move |y| off(x.0, y.0))).fold(0.0, f64::max)
}

/// How a fit is made.
struct Wish {
    fairness: Option<Fairness>,
    /// True where parameters may be corrected: not where trims hang on them, nor where sides are to be kept.
    slide: bool,
}

fn bending(patch: &Surface, factor: f64) -> Result<Option<Fairness>, TrialError> {
    if !(factor >= 0.0 && factor.is_finite()) {
        return Err(TrialError::Number);
    }
    let (u, v) = patch.domain();
    let d = patch.derivs(u.at(0.5), v.at(0.5), 1);
    let aspect = d.su.length() * u.length() / (d.sv.length() * v.length());
    Ok((factor > 0.0).then_some(Fairness { factor, aspect }))
}

/// The best fit of a size, and its largest distance, mm.
fn refitted(patch: &Surface, degree: (usize, usize), spans: (usize, usize), wish: &Wish) -> Result<(Surface, f64), TrialError> {
    let in_range = |degree: usize, spans: usize| (1..=MAX_DEGREE).contains(&degree) && (1..=SPANS).contains(&spans);
    if !in_range(degree.0, spans.0) || !in_range(degree.1, spans.1) {
        return Err(TrialError::Number);
    }
    let mut best: Option<(Surface, f64)> = None;
    for ku in candidates(patch.knots_u(), degree.0, spans.0) {
        for kv in candidates(patch.knots_v(), degree.1, spans.1) {
            let made = fitted(patch, &ku, &kv, wish)?;
            if best.as_ref().is_none_or(|b| made.1 < b.1) {
                best = Some(made);
            }
        }
    }
    best.ok_or(TrialError::Number)
}

/// Knots of a degree and a number of spans: even ones, and, where the patch has knots enough, those of its own nearest to even ones.
fn candidates(own: &KnotVector, degree: usize, spans: usize) -> Vec<KnotVector> {
    let over = own.domain();
    let even: Vec<f64> = (1..spans).map(|i| over.at(i as f64 / spans as f64)).collect();
    let mut left: Vec<f64> = own.interior().into_iter().map(|k| k.0).collect();
    let mut taken = Vec::new();
    for t in &even {
        let nearest = (0..left.len()).min_by(|&a, &b| (left[a] - t).abs().total_cmp(&(left[b] - t).abs()));
        if let Some(at) = nearest {
            taken.push(left.remove(at));
        }
    }
    taken.arrange_by(f64::total_cmp);
    let knots = |inner: &[f64]| KnotVector::clamped(degree, over, &inner.iter().map(|&t| (t, 1)).collect::<Vec<_>>()).ok();
    let own = if taken.len() == even.len() && taken != even { knots(&taken) } else { None };
    knots(&even).into_iter().chain(own).collect()
}

fn fitted(patch: &Surface, ku: &KnotVector, kv: &KnotVector, wish: &Wish) -> Result<(Surface, f64), TrialError> {
    let (u, v) = (places(patch.knots_u(), ku), places(patch.knots_v(), kv));
    let weight = patch.weight_function();
    let at = |a: f64, b: f64| (patch.derivs(a, b, 0).s, weight.as_ref().map_or(1.0, |w| w.derivs(a, b, 0).s.x));
    let lines = Lines::new(u.clone(), v.clone(), weight.is_some(), at);
    if weight.is_some() {
        let made = lines.surface(ku, kv)?;
        let off = lines.off(&made);
        return Ok((made, off));
    }
    let (nu, nv) = (ku.point_count(), kv.point_count());
    let (du, dv) = patch.domain();
    let corners = [(0, du.low, dv.low), (nv - 1, du.low, dv.high), ((nu - 1) * nv, du.high, dv.low), (nu * nv - 1, du.high, dv.high)];
    let corners = corners.map(|(k, a, b)| Constraint::locked(k, patch.derivs(a, b, 0).s.to_array()));
    let small = nu * nv <= JOINT;
    if !small && wish.fairness.is_some() {
        return Err(TrialError::Other("too many control points for fairness"));
    }
    let rules: &[Constraint<3>] = if small { &corners } else { &[] };
    let points = lines.places().map(|p| p.1).collect();
    let split = |n: &Nodes| -> (Vec<f64>, Vec<f64>) { n.iter().copied().unzip() };
    let ((at_u, by_u), (at_v, by_v)) = (split(&u), split(&v));
    let grid = SurfaceGrid { u: at_u, v: at_v, points, weights_u: Some(by_u), weights_v: Some(by_v) };
    let mut made = fit_grid(ku, kv, &grid, wish.fairness, rules)?;
    let mut best = (made.clone(), lines.off(&made));
    if best.1 <= EXACT || !wish.slide || !small || u.len() * v.len() > MOST {
        return Ok(best);
    }
    let weights: Vec<f64> = u.iter().flat_map(|x| v.iter().map(move |y| x.1 * y.1)).collect();
    let mut samples: Vec<SurfaceSample> =
        lines.places().zip(weights).map(|((uv, point), weight)| SurfaceSample { uv, point, weight }).collect();
    let old = [geometry::Surface::Nurbs(patch.clone())];
    for _ in 0..ROUNDS {
        samples = corrected_on_surface(&made, &samples);
        match fit_surface(ku, kv, &samples, wish.fairness, rules) {
            Ok(next) => made = next,
            Err(_) => break,
        }
        // The borders slide as well, so that what is new may reach past what was.
        let d = both_ways(&old, &[geometry::Surface::Nurbs(made.clone())]);
        let off = d.from_new.max(d.from_old);
        if off >= best.1 {
            break;
        }
        best = (made.clone(), off);
    }
    Ok(best)
}

/// Gauss' nodes between the knots of both, and the ends, of next to no weight.
fn places(own: &KnotVector, new: &KnotVector) -> Nodes {
    let over = own.domain();
    let mut breaks: Vec<f64> = own.breaks().into_iter().chain(new.breaks()).collect();
    breaks.arrange_by(f64::total_cmp);
    breaks.dedup_by(|a, b| *a - *b <= 1e-9 * over.length());
    let count = (24 / breaks.len()).max(own.degree().max(new.degree()).min(8) + 2);
    let faint = 1e-6 * over.length();
    let mut all = vec![(over.low, faint)];
    all.extend(nodes(&breaks, count));
    all.push((over.high, faint));
    all
}
