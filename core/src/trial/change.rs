//! What an edit did, as numbers.

use super::Seam;
use crate::geometry::{Surface, SurfaceSearch};
use crate::math::{Point3, quadrature};
use crate::model::FaceId;
use crate::nurbs;

/// What an edit moved.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Moved {
    /// Control points that stand elsewhere now; None where the net has become another one, of other degrees or knots.
    pub points: Option<usize>,
    /// Rows or columns of the net in which any does, counted along the direction the edit works across; 0 where it has none.
    pub rows: usize,
    /// The largest move of a control point over the same basis, mm; None where the net has become another one.
    pub largest: Option<f64>,
    /// How far the result lies from what the edit asked for, mm: of a fit, from what was fitted. 0: exact.
    pub residual: f64,
    /// What is left of the join that the edit works on, up to the order it was asked for; None of edits that work on none.
    pub seam: Option<Seam>,
    /// What else the user should know: degrees raised, knots put in, locks that could not be kept.
    pub notes: Vec<String>,
}

/// An edit's doing: the faces it touched before and after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Index of the trial.
    pub trial: usize,
    /// The faces, by their ids in the imported model.
    pub faces: Vec<FaceId>,
    /// Their surfaces just before.
    pub before: Vec<Surface>,
    /// And after; fewer where faces have become one.
    pub after: Vec<Surface>,
    /// What moved.
    pub moved: Moved,
}

/// Distances between two sets of surfaces, mm, over a dense set of places on each: nearest points, so sliding along does not count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BothWays {
    /// Largest distance from a place on what is new to what was.
    pub from_new: f64,
    /// Largest distance from a place on what was to what is new.
    pub from_old: f64,
    /// Root of the mean square of both.
    pub rms: f64,
    /// Places looked at.
    pub count: usize,
}

/// Places looked at along each parameter of a surface, at least a span's degree + 2. Larger: slower; smaller: what happens between
/// them goes unseen.
const PLACES: usize = 24;

/// And at most. Larger: patches of hundreds of spans take minutes.
const MOST: usize = 80;

impl Change {
    /// How far what is new lies from what was, and the other way round. Over whole patches, whatever their trims.
    pub fn deviation(&self) -> BothWays {
        both_ways(&self.before, &self.after)
    }
}

/// See [`BothWays`].
pub fn both_ways(before: &[Surface], after: &[Surface]) -> BothWays {
    let mut found = BothWays::default();
    let mut square = 0.0;
    for (from, to, new) in [(after, before, true), (before, after, false)] {
        let targets: Vec<(&Surface, SurfaceSearch)> = to.iter().map(|s| (s, SurfaceSearch::new(s))).collect();
        for p in from.iter().filter_map(spline).flat_map(places) {
            let distance = targets.iter().map(|(s, search)| search.closest(s, p).distance).fold(f64::INFINITY, f64::min);
            if distance.is_finite() {
                let largest = if new { &mut found.from_new } else { &mut found.from_old };
                *largest = largest.max(distance);
                square += distance * distance;
                found.count += 1;
            }
        }
    }
    found.rms = (square / found.count.max(1) as f64).sqrt();
    found
}

fn spline(surface: &Surface) -> Option<&nurbs::Surface> {
    match surface {
        Surface::Nurbs(s) => Some(s),
        _ => None,
    }
}

/// Gauss' nodes of every span, as many as give [`PLACES`] a way, and the ends.
pub(super) fn shares(knots: &nurbs::KnotVector, least: usize) -> Vec<f64> {
    let breaks = knots.breaks();
    let count = (least / (breaks.len() - 1).max(1)).max(knots.degree().min(8) + 2);
    let rule = quadrature::gauss_legendre(count);
    let mut all = vec![knots.domain().low];
    for w in breaks.windows(2) {
        all.extend(rule.iter().map(|&(x, _)| w[0] + (w[1] - w[0]) * (0.5 + 0.5 * x)));
    }
    all.push(knots.domain().high);
    all
}

fn places(surface: &nurbs::Surface) -> Vec<Point3> {
    let thin = |all: Vec<f64>| -> Vec<f64> {
        let (step, last) = (all.len().div_ceil(MOST), all.len() - 1);
        all.iter().enumerate().filter(|(i, _)| i % step == 0 || *i == last).map(|(_, &t)| t).collect()
    };
    let (u, v) = (thin(shares(surface.knots_u(), PLACES)), thin(shares(surface.knots_v(), PLACES)));
    u.iter().flat_map(|&a| v.iter().map(move |&b| surface.derivs(a, b, 0).s)).collect()
}
