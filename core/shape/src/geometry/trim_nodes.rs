//! Laying nodes along a trim: adaptive, unwrapped over periods, cut at poles and seams.

use super::Surface;
use super::SurfaceSearch;
use super::pole::{Pole, PoleLine};
use super::trim::{Path, Trim, TrimError, TrimNode, unwrapped};
use crate::math::{Arrange, Point2, Vec2};

/// A stretch of a trim along which (u, v) is continuous.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// At least two, rising in share.
    pub nodes: Vec<TrimNode>,
    /// Shares outside of which (next to a pole) parameters are read off the nodes, since feet there are undetermined.
    pub loose: (f64, f64),
}

impl Piece {
    /// The nodes' straight-line estimate of the parameters.
    pub fn guess(&self, s: f64) -> Point2 {
        let Some((a, b)) = self.around(s) else { return Point2::default() };
        let t = (s - a.s) / (b.s - a.s);
        Point2::new(a.uv.u * (1.0 - t) + b.uv.u * t, a.uv.v * (1.0 - t) + b.uv.v * t)
    }

    /// d(u, v)/ds of that estimate.
    pub fn slope(&self, s: f64) -> Vec2 {
        self.around(s).map_or(Vec2::ZERO, |(a, b)| (b.uv - a.uv) / (b.s - a.s))
    }

    fn around(&self, s: f64) -> Option<(&TrimNode, &TrimNode)> {
        let last = self.nodes.len().checked_sub(2)?;
        let i = self.nodes.partition_point(|n| n.s <= s).saturating_sub(1).min(last);
        Some((self.nodes.get(i)?, self.nodes.get(i + 1)?))
    }
}

/// Sag of the straight line in (u, v) between nodes, over the trim's length. Larger: Newton may start from a seed
/// on the wrong side of a bend, and point-in-domain tests near the boundary err; smaller: more nodes, slower.
const SAG: f64 = 5e-4;

/// Halvings of a first interval. Smaller: trims passing a pole closely are left coarse; larger: slow on bad input.
const DEPTH: u32 = 10;

/// First intervals between two breaks of a curved path. Smaller: a half turn may be unwrapped the wrong way.
const FIRST: usize = 8;

/// A curve nearer to a pole than this share of its length passes through it. Larger: faces end at the pole that
/// should pass beside it; smaller: a pole written with few digits leaves an angle that is rounding noise.
const AT_POLE: f64 = 1e-5;

/// And not farther from it than this, mm, so that on a large face no gap worth a word is closed unseen.
const AT_POLE_MOST: f64 = 0.01;

/// A trim given in the parameter plane.
pub(super) fn direct(surface: &Surface, path: Path, breaks: &[f64]) -> Result<Trim, TrimError> {
    let node = |s: f64| {
        let uv = path.direct_uv(s);
        TrimNode { s, uv, point: surface.point(uv.u, uv.v) }
    };
    let straight = matches!(path, Path::Straight { .. } | Path::Pcurve { curve: super::Pcurve::Line(_), .. });
    let first: Vec<TrimNode> = shares(0.0, 1.0, breaks, if straight { 2 } else { FIRST / 2 }).into_iter().map(node).collect();
    check(&first)?;
    let tolerance = SAG * length(&first);
    // A straight line needs no more nodes: its parameters are exact and contains() asks in the parameter plane.
    let depth = if straight { 0 } else { DEPTH };
    let nodes = refine(surface, first, tolerance, depth, &mut |s, _| Some(node(s)));
    Ok(Trim { path, pieces: vec![Piece { nodes, loose: (0.0, 1.0) }] })
}

/// A trim made of feet.
pub(super) fn feet(surface: &Surface, search: &SurfaceSearch, path: Path, breaks: &[f64]) -> Result<Trim, TrimError> {
    let rough: Vec<_> = shares(0.0, 1.0, breaks, FIRST).into_iter().filter_map(|s| path.space_point(s)).collect();
    if rough.len() < 2 || rough.iter().any(|p| !p.is_finite()) {
        return Err(TrimError::NotFinite);
    }
    let length: f64 = rough.windows(2).map(|w| w[0].distance(w[1])).sum();
    let walk = Walk { surface, search, path: &path, breaks, length };
    let mut pieces = Vec::new();
    let (passed, first_pole, last_pole) = walk.poles();
    let mut ends = vec![(0.0, first_pole)];
    ends.extend(passed.into_iter().map(|(s, pole)| (s, Some(pole))));
    ends.push((1.0, last_pole));
    for w in ends.windows(2) {
        walk.stretch(w[0], w[1], &mut pieces, 0)?;
    }
    Ok(Trim { path, pieces })
}

struct Walk<'a> {
    surface: &'a Surface,
    search: &'a SurfaceSearch,
    path: &'a Path,
    breaks: &'a [f64],
    length: f64,
}

type End = (f64, Option<Pole>);

impl Walk<'_> {
    /// Poles passed inside, and those at the two ends.
    fn poles(&self) -> (Vec<(f64, Pole)>, Option<Pole>, Option<Pole>) {
        let (mut inside, mut first, mut last) = (Vec::new(), None, None);
        let close = AT_POLE_MOST.min(AT_POLE * self.length);
        for pole in self.search.poles() {
            let ends = [0.0, 1.0].map(|s| self.path.space_point(s).is_some_and(|p| p.distance(pole.point) <= close));
            if ends[0] {
                first = Some(*pole);
            }
            if ends[1] {
                last = Some(*pole);
            }
            if let Some((s, distance)) = self.path.nearest_to(pole)
                && distance <= close
                && s > 1e-3
                && s < 1.0 - 1e-3
                && !ends[0]
                && !ends[1]
            {
                inside.push((s, *pole));
            }
        }
        inside.arrange_by(|a, b| a.0.total_cmp(&b.0));
        (inside, first, last)
    }

    /// Lays the nodes between two shares; cuts at the seam of a closed patch.
    fn stretch(&self, from: End, to: End, pieces: &mut Vec<Piece>, depth: u32) -> Result<(), TrimError> {
        let span = to.0 - from.0;
        // Next to a pole the angle is undetermined: feet are taken from a little way off it.
        let off = |end: End| {
            let Some(pole) = end.1 else { return 0.0 };
            let miss = self.path.space_point(end.0).map_or(0.0, |p| p.distance(pole.point));
            (1e3 * miss / self.length).clamp(1e-6, 1e-2) * span
        };
        let loose = (from.0 + off(from), to.0 - off(to));
        let first = self.first_nodes(&shares(loose.0, loose.1, self.breaks, FIRST))?;
        if let Some(i) = self.seam_between(&first) {
            if depth > 8 {
                return Err(TrimError::Broken(first[i].s));
            }
            let s = self.crossing(&first[i], &first[i + 1]);
            // Too near an end to be a stretch of its own: the end lies on the seam.
            if s - from.0 > 1e-7 && to.0 - s > 1e-7 {
                self.stretch(from, (s, None), pieces, depth + 1)?;
                return self.stretch((s, None), to, pieces, depth + 1);
            }
            return Err(TrimError::Broken(first[i].s));
        }
        check(&first)?;
        let periods = self.surface.periods();
        let mut nodes = refine(self.surface, first, SAG * self.length, DEPTH, &mut |s, seed| {
            let foot = self.path.foot(self.surface, s, seed)?;
            Some(TrimNode { s, uv: foot.uv, point: foot.point })
        });
        let mut before: Option<Point2> = None;
        for n in &mut nodes {
            n.uv = before.map_or(n.uv, |b| unwrapped(n.uv, b, periods));
            before = Some(n.uv);
        }
        self.add_pole(&mut nodes, from, true);
        self.add_pole(&mut nodes, to, false);
        pieces.push(Piece { nodes, loose });
        Ok(())
    }

    /// Feet at the given shares, found from the middle outwards so that ends on seams and poles are approached
    /// from inside.
    fn first_nodes(&self, at: &[f64]) -> Result<Vec<TrimNode>, TrimError> {
        let middle = at.len() / 2;
        let point = |i: usize| at.get(i).and_then(|&s| self.path.space_point(s)).ok_or(TrimError::NotFinite);
        let start = self.search.closest(self.surface, point(middle)?);
        let mut nodes: Vec<TrimNode> = at.iter().map(|&s| TrimNode { s, uv: start.uv, point: start.point }).collect();
        let mut worst = start.distance;
        let rising: Vec<usize> = (middle + 1..at.len()).collect();
        let falling: Vec<usize> = (0..middle).rev().collect();
        for order in [rising, falling] {
            let (mut previous, mut earlier) = (nodes[middle], None::<TrimNode>);
            for i in order {
                let s = nodes[i].s;
                let ahead = earlier.map_or(Vec2::ZERO, |e| (previous.uv - e.uv) * ((s - previous.s) / (previous.s - e.s)));
                let target = point(i)?;
                let mut foot = super::closest::closest_on_surface(self.surface, target, previous.uv + ahead);
                // Stuck at a seam or on the wrong sheet: look everywhere, and believe it only if clearly nearer.
                if foot.distance > 2.0 * worst + 1e-6 * self.length {
                    let anywhere = self.search.closest(self.surface, target);
                    if anywhere.distance < 0.5 * foot.distance {
                        foot = anywhere;
                    }
                }
                worst = worst.max(foot.distance);
                nodes[i] = TrimNode { s, uv: foot.uv, point: foot.point };
                (earlier, previous) = (Some(previous), nodes[i]);
            }
        }
        Ok(nodes)
    }

    /// Index of the first node after which the feet jump over the seam of a closed patch.
    fn seam_between(&self, nodes: &[TrimNode]) -> Option<usize> {
        let (cu, cv) = self.search.seams(self.surface);
        let jumps = |a: f64, b: f64, closure: Option<f64>| closure.is_some_and(|c| (a - b).abs() > 0.5 * c);
        nodes.windows(2).position(|w| {
            // Long jumps in parameters with a short way in space.
            (jumps(w[0].uv.u, w[1].uv.u, cu) || jumps(w[0].uv.v, w[1].uv.v, cv)) && self.middle_is_off(&w[0], &w[1])
        })
    }

    fn middle_is_off(&self, a: &TrimNode, b: &TrimNode) -> bool {
        let s = 0.5 * (a.s + b.s);
        let seed = Point2::new(0.5 * (a.uv.u + b.uv.u), 0.5 * (a.uv.v + b.uv.v));
        let between = self.surface.point(seed.u, seed.v);
        self.path.space_point(s).is_some_and(|p| p.distance(between) > a.point.distance(b.point))
    }

    /// Share between two nodes at which the feet reach the seam, by halving.
    fn crossing(&self, a: &TrimNode, b: &TrimNode) -> f64 {
        let (mut low, mut high) = (*a, b.s);
        for _ in 0..60 {
            let s = 0.5 * (low.s + high);
            let Some(foot) = self.path.foot(self.surface, s, low.uv) else { break };
            let Some(p) = self.path.space_point(s) else { break };
            let other = self.path.foot(self.surface, s, b.uv).map_or(f64::INFINITY, |f| f.distance);
            if foot.point.distance(p) <= other {
                low = TrimNode { s, uv: foot.uv, point: foot.point };
            } else {
                high = s;
            }
        }
        0.5 * (low.s + high)
    }

    /// The end node on a pole: its free parameter is the limit along the trim.
    fn add_pole(&self, nodes: &mut Vec<TrimNode>, end: End, at_start: bool) {
        let (s, Some(pole)) = end else { return };
        let (Some(a), Some(b)) = (if at_start { (nodes.first(), nodes.get(1)) } else { (nodes.last(), nodes.iter().rev().nth(1)) }) else {
            return;
        };
        let limit = a.uv + (a.uv - b.uv) * ((s - a.s) / (a.s - b.s));
        let mut uv = pole.snap(limit);
        // A steep end may extrapolate out of a patch; its collapsed side ends there.
        if let Some((du, dv)) = self.surface.limits() {
            uv = Point2::new(du.clamp(uv.u), dv.clamp(uv.v));
        }
        if let PoleLine::FreeU(v) = pole.line {
            // The same pole line may be counted a whole turn away (tori).
            uv.v = super::closest::near(v, a.uv.v, self.surface.periods().1);
        }
        let node = TrimNode { s, uv, point: self.surface.point(uv.u, uv.v) };
        if at_start { nodes.insert(0, node) } else { nodes.push(node) }
    }
}

/// `count` intervals between neighbouring breaks, from `from` to `to`.
fn shares(from: f64, to: f64, breaks: &[f64], count: usize) -> Vec<f64> {
    let mut stops = vec![from];
    // Slivers between breaks would only add nodes.
    stops.extend(breaks.iter().copied().filter(|&s| s > from + 1e-9 && s < to - 1e-9));
    stops.arrange_by(f64::total_cmp);
    stops.push(to);
    stops.dedup();
    let count = if stops.len() > FIRST { 2 } else { count };
    let mut all = Vec::new();
    for w in stops.windows(2) {
        all.extend((0..count).map(|i| w[0] + (w[1] - w[0]) * (i as f64 / count as f64)));
    }
    all.push(to);
    all
}

fn length(nodes: &[TrimNode]) -> f64 {
    nodes.windows(2).map(|w| w[0].point.distance(w[1].point)).sum()
}

fn check(nodes: &[TrimNode]) -> Result<(), TrimError> {
    let sound = nodes.iter().all(|n| n.uv.is_finite() && n.point.is_finite() && n.s.is_finite());
    if sound && nodes.len() >= 2 { Ok(()) } else { Err(TrimError::NotFinite) }
}

/// Halves intervals whose straight line in (u, v) sags by more than the tolerance, mm.
fn refine(
    surface: &Surface,
    first: Vec<TrimNode>,
    tolerance: f64,
    depth: u32,
    node: &mut dyn FnMut(f64, Point2) -> Option<TrimNode>,
) -> Vec<TrimNode> {
    let mut nodes = Vec::with_capacity(first.len());
    let mut ahead: Vec<(TrimNode, u32)> = first.into_iter().rev().map(|n| (n, depth)).collect();
    let Some((mut here, _)) = ahead.pop() else { return nodes };
    nodes.push(here);
    while let Some(&(next, left)) = ahead.last() {
        let s = 0.5 * (here.s + next.s);
        let seed = Point2::new(0.5 * (here.uv.u + next.uv.u), 0.5 * (here.uv.v + next.uv.v));
        let middle = if left > 0 { node(s, seed) } else { None };
        match middle {
            Some(m) if m.point.is_finite() && m.point.distance(surface.point(seed.u, seed.v)) > tolerance => {
                if let Some(last) = ahead.last_mut() {
                    last.1 = left - 1;
                }
                ahead.push((m, left - 1));
            }
            _ => {
                nodes.push(next);
                here = next;
                ahead.pop();
            }
        }
    }
    nodes
}
