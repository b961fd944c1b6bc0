//! Loops that wind round a periodic surface: where it is cut open, so that they bound a region of the plane.

use super::SurfaceSearch;
use super::domain::DomainSide;
use super::loop_chain::Chain;
use super::loop_cut::{Arc, Axis, Rectangle, close, cut, pieces};
use super::loop_untie::Numbered;
use super::outer_border::pole_span;
use super::pole::PoleLine;
use super::{DomainFault, DomainRepair, Surface};
use crate::math::{Arrange, Interval, Point2, Vec2};

/// Loops that wind round a periodic surface, cut open at a seam. Where the file's orientation leads nowhere, the
/// orders that bound something are tried and the loops turned.
pub(super) fn wound(
    surface: &Surface,
    search: &SurfaceSearch,
    chains: Vec<Chain>,
    repairs: &mut Vec<DomainRepair>,
) -> Result<Vec<Numbered>, DomainFault> {
    let layout: Vec<(usize, (i64, i64), f64)> = chains.iter().map(|c| (c.loop_index, c.winding, c.middle().v)).collect();
    let mut order: Vec<usize> = (0..layout.len()).filter(|&i| layout[i].1.0 != 0).collect();
    order.arrange_by(|&a, &b| layout[a].2.total_cmp(&layout[b].2));
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
pub(super) struct Seams {
    u: Option<f64>,
    v: Option<f64>,
}

impl Seams {
    /// Of a surface that no loop winds round.
    pub const NONE: Seams = Seams { u: None, v: None };

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
    pub fn rectangle(&self, surface: &Surface, search: &SurfaceSearch, arcs: &[Arc]) -> Rectangle {
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

/// The box of the arcs in (u, v).
pub(super) fn extremes(arcs: &[Arc]) -> (Interval, Interval) {
    let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
    arcs.iter().flat_map(|a| &a.sides).flat_map(DomainSide::polyline).fold((none, none), |(u, v), p| (u.including(p.u), v.including(p.v)))
}
