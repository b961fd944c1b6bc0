//! From loops of trims to the region they bound.

use super::SurfaceSearch;
use super::domain::{Domain, DomainLoop, DomainSide, encloses, polygon_area};
use super::loop_chain::{BoundaryUse, Chain, chain, reversed_side};
use super::loop_cut::{Arc, Axis, Rectangle, close, cut, pieces};
use super::loop_order::ordered;
use super::loop_untie::{Numbered, untied};
use super::pole::PoleLine;
use super::{DomainFault, DomainRepair, Surface, SurfaceKind};
use crate::math::{Interval, Point2, Vec2};

/// The whole surface: a patch's own rectangle, a whole sphere or torus.
///
/// # Errors
/// For planes, cylinders and cones, which have no end.
pub(crate) fn natural(surface: &Surface, search: &SurfaceSearch) -> Result<Domain, DomainFault> {
    let loops = vec![whole(surface, search, 0.0, 0.0)?];
    Ok(Domain { loops, repairs: Vec::new(), untrimmed: None, periods: surface.periods() })
}

/// The region on the left of the given loops.
///
/// # Errors
/// Open loops, loops that bound no finite region, or none.
pub(crate) fn assemble(
    surface: &Surface,
    search: &SurfaceSearch,
    loops: Vec<Vec<BoundaryUse>>,
    mut repairs: Vec<DomainRepair>,
) -> Result<Domain, DomainFault> {
    let mut chains = Vec::new();
    for uses in loops {
        for run in ordered(surface, search, uses, &mut repairs) {
            if !run.is_empty() {
                chains.push(chain(surface, search, run, &mut repairs)?);
            }
        }
    }
    if chains.len() > MOST_LOOPS {
        return Err(DomainFault::Tangled);
    }
    if chains.is_empty() {
        return natural(surface, search);
    }
    let winds = chains.iter().any(|c| c.winding != (0, 0));
    let jumps = chains.iter().any(|c| !c.jumps.is_empty());
    let mut closed = Vec::new();
    if winds {
        closed = wound(surface, search, chains, &mut repairs)?;
    } else if jumps {
        let arcs: Vec<Arc> = chains
            .into_iter()
            .flat_map(|c| if c.jumps.is_empty() { vec![Arc { sides: c.sides, closed: true }] } else { pieces(c.sides, &c.jumps, true) })
            .collect();
        let rectangle = Seams { u: None, v: None }.rectangle(surface, search, &arcs);
        closed.extend(close(surface, arcs, &rectangle)?.into_iter().map(|sides| (None, sides)));
    } else {
        closed.extend(chains.into_iter().map(|c| (Some(c.loop_index), c.sides)));
        if let Some(outer) = around_holes(surface, search, &closed)? {
            closed.push((None, outer));
        }
    }
    let mut closed = untied(surface, closed, &mut repairs)?;
    if !winds && let Some(outer) = missing_outer(surface, search, &closed)? {
        closed.push((None, outer));
        repairs.push(DomainRepair::OuterMissing);
    }
    let loops = nested(surface, closed, &mut repairs);
    let area: f64 = loops.iter().map(DomainLoop::signed_area).sum();
    if loops.is_empty() || area.is_nan() || area <= 0.0 {
        return Err(DomainFault::Empty);
    }
    Ok(Domain { loops, repairs, untrimmed: None, periods: surface.periods() })
}

/// Loops of one face that are nested by comparing all with all. Larger: a hostile face costs seconds; smaller: sieves
/// are given up.
const MOST_LOOPS: usize = 10_000;

/// The whole surface as one loop; periodic directions start at `u0` and `v0`.
fn whole(surface: &Surface, search: &SurfaceSearch, u0: f64, v0: f64) -> Result<DomainLoop, DomainFault> {
    let (u, v) = surface.domain();
    let (pu, pv) = surface.periods();
    let (cu, cv) = search.closures();
    let over = |domain: Interval, period: Option<f64>, at: f64, closure: Option<f64>| match period {
        Some(p) => Some((Interval::new(at, at + p), true)),
        None if domain.is_bounded() => Some((domain, closure.is_some())),
        None => None,
    };
    let (u, closed_u) = over(u, pu, u0, cu).ok_or(DomainFault::Unbounded)?;
    let (v, closed_v) = match pole_span(surface, search) {
        Some(span) => (span, false),
        None => over(v, pv, v0, cv).ok_or(DomainFault::Unbounded)?,
    };
    let rectangle = Rectangle::new(u, v, search.poles(), (closed_u, closed_v), (true, true));
    Ok(DomainLoop { sides: rectangle.whole(surface)? })
}

/// v between the two poles of a torus that meets itself: the part beyond them is another surface.
fn pole_span(surface: &Surface, search: &SurfaceSearch) -> Option<Interval> {
    if surface.kind() != SurfaceKind::Torus {
        return None;
    }
    let at: Vec<f64> = search.poles().iter().filter_map(|p| if let PoleLine::FreeU(v) = p.line { Some(v) } else { None }).collect();
    match at[..] {
        [a, b] => Some(Interval::new(a.min(b), a.max(b))),
        _ => None,
    }
}

/// Loops that wind round a periodic surface, cut open at a seam. Where the file's orientation leads nowhere, the
/// orders that bound something are tried and the loops turned.
fn wound(
    surface: &Surface,
    search: &SurfaceSearch,
    chains: Vec<Chain>,
    repairs: &mut Vec<DomainRepair>,
) -> Result<Vec<Numbered>, DomainFault> {
    let layout: Vec<(usize, (i64, i64), f64)> = chains.iter().map(|c| (c.loop_index, c.winding, c.middle().v)).collect();
    let mut order: Vec<usize> = (0..layout.len()).filter(|&i| layout[i].1.0 != 0).collect();
    order.sort_by(|&a, &b| layout[a].2.total_cmp(&layout[b].2));
    // Which chains to turn: none; then so that winding alternates upwards, starting with + or with −.
    let alternating = |first: bool| -> Vec<bool> {
        let mut turn = vec![false; layout.len()];
        for (k, &i) in order.iter().enumerate() {
            turn[i] = ((layout[i].1.0 > 0) == (k % 2 == 0)) != first;
        }
        turn
    };
    let attempts = [vec![false; layout.len()], alternating(true), alternating(false)];
    let seams = Seams::choose(surface, &chains);
    let mut fault = DomainFault::Unbounded;
    for turn in &attempts {
        let arcs: Vec<Arc> = chains
            .iter()
            .zip(turn)
            .flat_map(|(c, &turned)| {
                let copy = Chain { loop_index: c.loop_index, sides: c.sides.clone(), winding: c.winding, jumps: c.jumps.clone() };
                let copy = if turned { copy.reversed() } else { copy };
                if copy.jumps.is_empty() { vec![Arc { sides: copy.sides, closed: true }] } else { pieces(copy.sides, &copy.jumps, true) }
            })
            .collect();
        match seams.close(surface, search, arcs) {
            Ok(loops) => {
                let turned = turn.iter().zip(&layout).filter(|(t, _)| **t);
                repairs.extend(turned.map(|(_, l)| DomainRepair::Reversed { loop_index: l.0 }));
                return Ok(loops.into_iter().map(|sides| (None, sides)).collect());
            }
            Err(e) => fault = e,
        }
    }
    Err(fault)
}

/// Where a periodic surface is cut.
struct Seams {
    u: Option<f64>,
    v: Option<f64>,
}

impl Seams {
    fn choose(surface: &Surface, chains: &[Chain]) -> Seams {
        let (pu, pv) = surface.periods();
        let winds_u = chains.iter().any(|c| c.winding.0 != 0);
        let winds_v = chains.iter().any(|c| c.winding.1 != 0);
        let cut = |winds: bool, period: Option<f64>, axis| period.filter(|_| winds).map(|p| quietest(chains, axis, p));
        Seams { u: cut(winds_u, pu, Axis::U), v: cut(winds_v, pv, Axis::V) }
    }

    fn close(&self, surface: &Surface, search: &SurfaceSearch, mut arcs: Vec<Arc>) -> Result<Vec<Vec<DomainSide>>, DomainFault> {
        let (pu, pv) = surface.periods();
        if let (Some(pu), Some(pv), None) = (pu, pv, pole_span(surface, search)) {
            if self.v.is_none() {
                gather(&mut arcs, Axis::V, pv, |s| s.end().u > s.start().u);
            }
            if self.u.is_none() {
                gather(&mut arcs, Axis::U, pu, |s| s.end().v < s.start().v);
            }
        }
        if let (Some(at), Some(p)) = (self.u, pu) {
            arcs = cut(surface, arcs, Axis::U, at, p);
        }
        if let (Some(at), Some(p)) = (self.v, pv) {
            arcs = cut(surface, arcs, Axis::V, at, p);
        }
        let rectangle = self.rectangle(surface, search, &arcs);
        close(surface, arcs, &rectangle)
    }

    /// The rectangle the arcs lie in: from seam to seam, to the surface's own sides, to the poles next to the arcs,
    /// or beyond them all where the surface runs on.
    fn rectangle(&self, surface: &Surface, search: &SurfaceSearch, arcs: &[Arc]) -> Rectangle {
        let (domain_u, domain_v) = surface.domain();
        let (pu, pv) = surface.periods();
        let (cu, cv) = search.closures();
        let (u, v) = extremes(arcs);
        let middle = 0.5 * (v.low + v.high);
        let room = |over: Interval| Interval::new(over.low - 1.0 - over.length(), over.high + 1.0 + over.length());
        // Limits, whether they are one line in space, and whether the region may end there.
        let limits = |cut: Option<f64>, period: Option<f64>, domain: Interval, closure: Option<f64>, arcs: Interval| match (cut, period) {
            (Some(at), Some(p)) => (Interval::new(at, at + p), true, true),
            (_, None) if domain.is_bounded() => (domain, closure.is_some(), true),
            _ => (room(arcs), false, false),
        };
        let (u, closed_u, bounded_u) = limits(self.u, pu, domain_u, cu, u);
        let (mut v, closed_v, mut bounded_v) = limits(self.v, pv, domain_v, cv, v);
        if let (Some(span), None) = (pole_span(surface, search), self.v) {
            (v, bounded_v) = (span, true);
        } else {
            let at = |p: &super::Pole| if let PoleLine::FreeU(at) = p.line { Some(at) } else { None };
            let poles = || search.poles().iter().filter_map(at);
            // However far away: the region may reach the tip.
            if let Some(below) = poles().filter(|&at| at <= middle).reduce(f64::max) {
                v.low = if bounded_v { below.max(v.low) } else { below };
            }
            if let Some(above) = poles().filter(|&at| at > middle).reduce(f64::min) {
                v.high = if bounded_v { above.min(v.high) } else { above };
            }
        }
        Rectangle::new(u, v, search.poles(), (closed_u, closed_v), (bounded_u, bounded_v))
    }
}

/// A torus cut in one direction only: every chain is brought within one turn beyond the one the region starts at.
fn gather(arcs: &mut [Arc], axis: Axis, period: f64, starts: fn(&DomainSide) -> bool) {
    let mean = |a: &Arc| {
        let all: Vec<f64> = a.sides.iter().flat_map(DomainSide::polyline).map(|p| axis.of(p)).collect();
        all.iter().sum::<f64>() / all.len().max(1) as f64
    };
    let Some(base) = arcs.iter().find(|a| a.sides.iter().all(starts)).map(mean) else { return };
    // The region lies above a loop winding to larger u, and on the smaller-u side of one winding to larger v.
    for arc in arcs {
        let k = ((mean(arc) - base) / period + 1e-9).floor();
        let by = if axis == Axis::V { Vec2::new(0.0, -k * period) } else { Vec2::new(-k * period, 0.0) };
        arc.sides.iter_mut().for_each(|s| s.shift += by);
    }
}

/// The cut that meets the fewest trims inside: starts of sides are tried, then a few places between.
fn quietest(chains: &[Chain], axis: Axis, period: f64) -> f64 {
    let sides = || chains.iter().flat_map(|c| &c.sides);
    let winding = |c: &&Chain| if axis == Axis::U { c.winding.0 != 0 } else { c.winding.1 != 0 };
    let mut candidates: Vec<f64> = chains.iter().filter(winding).flat_map(|c| &c.sides).take(24).map(|s| axis.of(s.start())).collect();
    let first = candidates.first().copied().unwrap_or(0.0);
    candidates.extend((1..8).map(|k| first + 0.12 * period * f64::from(k)));
    let cost = |at: f64| -> usize {
        let strips = |p: Point2| (axis.of(p) - at) / period;
        sides()
            .map(|s| {
                let line: Vec<f64> = s.polyline().into_iter().map(strips).collect();
                let on = |x: f64| (x - x.round()).abs() < 1e-9;
                let inside = line.windows(2).filter(|w| (w[0] + 1e-9).floor() != (w[1] + 1e-9).floor() && !on(w[0]) && !on(w[1])).count();
                let inner = line.iter().skip(1).take(line.len().saturating_sub(2)).filter(|&&x| on(x)).count();
                // Running along the cut is worst: such a side belongs to neither strip.
                inside + inner + if line.len() > 1 && line.iter().all(|&x| on(x)) { 1000 } else { 0 }
            })
            .sum()
    };
    let best = candidates.into_iter().map(|at| (cost(at), at)).min_by(|a, b| a.0.cmp(&b.0));
    best.map_or(0.0, |b| b.1)
}

fn extremes(arcs: &[Arc]) -> (Interval, Interval) {
    let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
    arcs.iter().flat_map(|a| &a.sides).flat_map(DomainSide::polyline).fold((none, none), |(u, v), p| (u.including(p.u), v.including(p.v)))
}

/// On a surface without a border loops that run clockwise bound the rest of it: its outline, cut clear of them.
fn around_holes(surface: &Surface, search: &SurfaceSearch, closed: &[Numbered]) -> Result<Option<Vec<DomainSide>>, DomainFault> {
    if !endless(surface, search) {
        return Ok(None);
    }
    let area = |sides: &Vec<DomainSide>| polygon_area(&sides.iter().flat_map(DomainSide::polyline).collect::<Vec<_>>());
    let largest = closed.iter().map(|(_, s)| area(s)).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    if largest.is_none_or(|a| a >= 0.0) {
        return Ok(None);
    }
    let arcs: Vec<Arc> = closed.iter().map(|(_, s)| Arc { sides: s.clone(), closed: true }).collect();
    let (u, v) = extremes(&arcs);
    let clear = |over: Interval, period: Option<f64>| period.map_or(0.0, |p| over.high + 0.5 * (p - over.length()).max(0.0) - p);
    let (pu, pv) = surface.periods();
    Ok(Some(whole(surface, search, clear(u, pu), clear(v, pv))?.sides))
}

/// True for spheres, tori and what is swept to be like them: u runs round, v too or from pole to pole. A patch's
/// own sides count as a border even where they meet.
fn endless(surface: &Surface, search: &SurfaceSearch) -> bool {
    if surface.kind() == SurfaceKind::Nurbs || surface.periods().0.is_none() {
        return false;
    }
    let (_, v) = surface.domain();
    let pole_at = |x: f64| search.poles().iter().any(|p| matches!(p.line, PoleLine::FreeU(at) if at == x));
    surface.periods().1.is_some() || search.closures().1.is_some() || (pole_at(v.low) && pole_at(v.high))
}

/// Two or more loops on a patch that all run clockwise and lie beside one another are holes without a loop around
/// them: the patch's own border. (One alone is an outer loop written the wrong way round.)
fn missing_outer(surface: &Surface, search: &SurfaceSearch, closed: &[Numbered]) -> Result<Option<Vec<DomainSide>>, DomainFault> {
    if surface.limits().is_none() || closed.len() < 2 {
        return Ok(None);
    }
    let polygons: Vec<Vec<Point2>> = closed.iter().map(|(_, s)| s.iter().flat_map(DomainSide::polyline).collect()).collect();
    if polygons.iter().any(|p| polygon_area(p) >= 0.0) {
        return Ok(None);
    }
    let outlines: Vec<Outline> = polygons.iter().map(|p| Outline::new(p.clone())).collect();
    let beside = |(i, p): (usize, &Vec<Point2>)| {
        let own = samples(p);
        outlines.iter().enumerate().all(|(j, o)| i == j || !o.holds_most(&own, Vec2::ZERO))
    };
    if !polygons.iter().enumerate().all(beside) {
        return Ok(None);
    }
    Ok(whole(surface, search, 0.0, 0.0).ok().map(|l| l.sides))
}

/// Outer loops counter-clockwise, holes clockwise and within their outer loop's period; loops that ran the wrong
/// way are turned.
fn nested(surface: &Surface, closed: Vec<Numbered>, repairs: &mut Vec<DomainRepair>) -> Vec<DomainLoop> {
    let mut loops: Vec<(Option<usize>, DomainLoop, f64)> = closed
        .into_iter()
        .map(|(index, sides)| {
            let l = DomainLoop { sides };
            let area = l.signed_area();
            (index, l, area)
        })
        .collect();
    loops.sort_by(|a, b| b.2.abs().total_cmp(&a.2.abs()));
    let periods = surface.periods();
    let shifts = |period: Option<f64>| period.map_or(vec![0.0], |p| [0.0, -1.0, 1.0, -2.0, 2.0].map(|k| k * p).to_vec());
    let (shifts_u, shifts_v) = (shifts(periods.0), shifts(periods.1));
    let mut done: Vec<(DomainLoop, usize)> = Vec::new();
    let mut outer = 0;
    let mut outlines: Vec<Outline> = Vec::new();
    for (index, mut l, area) in loops {
        let sampled = samples(&l.polygon());
        let mut best = (0usize, 0.0, 0.0);
        if !outlines.is_empty() {
            for &a in &shifts_u {
                for &b in &shifts_v {
                    let count = outlines.iter().filter(|o| o.holds_most(&sampled, Vec2::new(a, b))).count();
                    if count > best.0 {
                        best = (count, a, b);
                    }
                }
            }
            l.sides.iter_mut().for_each(|s| s.shift += Vec2::new(best.1, best.2));
        }
        let depth = best.0;
        let is_outer = depth % 2 == 0;
        if is_outer != (area > 0.0) {
            l.sides = l.sides.into_iter().rev().map(reversed_side).collect();
            if let Some(loop_index) = index {
                repairs.push(DomainRepair::Reversed { loop_index });
            }
        }
        // Loops cut at a seam may lie in several parts without fault.
        outer += usize::from(depth == 0 && index.is_some());
        outlines.push(Outline::new(l.polygon()));
        done.push((l, depth));
    }
    if outer > 1 {
        repairs.push(DomainRepair::SeveralOuter { count: outer });
    }
    done.sort_by_key(|(_, depth)| *depth);
    done.into_iter().map(|(l, _)| l).collect()
}

/// A loop's polygon with its box, so that far loops are told apart at once.
struct Outline {
    polygon: Vec<Point2>,
    u: Interval,
    v: Interval,
}

impl Outline {
    fn new(polygon: Vec<Point2>) -> Self {
        let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
        let (u, v) = polygon.iter().fold((none, none), |(u, v), p| (u.including(p.u), v.including(p.v)));
        Self { polygon, u, v }
    }

    /// More than half of the points, moved, lie inside: holes may touch their outer loop at corners.
    fn holds_most(&self, points: &[Point2], shift: Vec2) -> bool {
        let inside = |p: Point2| self.u.contains(p.u, 0.0) && self.v.contains(p.v, 0.0) && encloses(&self.polygon, p);
        2 * points.iter().filter(|&&p| inside(p + shift)).count() > points.len()
    }
}

/// Up to about ten points of a polygon.
fn samples(polygon: &[Point2]) -> Vec<Point2> {
    polygon.iter().step_by((polygon.len() / 8).max(1)).copied().collect()
}
