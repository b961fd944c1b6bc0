//! Putting the edges of one loop in order by where they end: turned ones, shuffled ones, doubled ones, spurs.

use super::SurfaceSearch;
use super::loop_chain::BoundaryUse;
use super::{DomainRepair, Surface};
use crate::math::Point3;

/// Gaps below this share of the loop's length leave the given order alone. Larger: swapped short edges are bridged
/// instead of put right; smaller: loops with plain tolerance gaps are searched in vain.
const IN_ORDER: f64 = 1e-3;

/// A new order must bring the gaps below this share of what they were. Larger: open loops are shuffled for little;
/// smaller: an order that is plain but leaves another fault's gap is not found.
const BETTER: f64 = 0.2;

/// Points nearer than this share of the loop's length, or of the edge's, are the same point. Larger: narrow out-and-back
/// stretches with area are dropped; smaller: rounding of vertices hides real ones.
const SAME: f64 = 1e-6;

/// Most edges of a loop whose order is searched, since the search compares all with all. Larger: a hostile loop costs
/// seconds; smaller: long outlines cut into short pieces keep their faults.
const MOST: usize = 2000;

/// The uses of one loop as one or several runs, each end to end as well as geometry allows.
pub(super) fn ordered(
    surface: &Surface,
    search: &SurfaceSearch,
    uses: Vec<BoundaryUse>,
    repairs: &mut Vec<DomainRepair>,
) -> Vec<Vec<BoundaryUse>> {
    let Some(loop_index) = uses.first().map(|u| u.loop_index) else { return Vec::new() };
    let length: f64 = uses.iter().map(|u| u.trim.node_length()).sum();
    let order = Order { surface, search, length, loop_index };
    let mut run: Vec<Placed> = uses.into_iter().map(Placed::new).collect();
    order.drop_spurs(&mut run, repairs);
    let mut runs = vec![run];
    if let Some(run) = runs.first_mut()
        && run.len() > 1
        && run.len() <= MOST
    {
        // Turning first: a seam run along twice the same way is no double.
        if order.is_open(run) {
            order.turn(run, repairs);
        }
        if order.is_open(run) {
            order.drop_doubles(run, repairs);
        }
        if order.is_open(run)
            && let Some(better) = order.chained(run, repairs)
        {
            runs = better;
        }
    }
    runs.into_iter().map(|run| run.into_iter().map(|p| p.used).collect()).collect()
}

struct Placed {
    used: BoundaryUse,
    /// Where the trim starts and ends, mm, as the loop runs.
    ends: [Point3; 2],
}

impl Placed {
    fn new(used: BoundaryUse) -> Self {
        let first = used.trim.nodes().next().map(|n| n.point).unwrap_or_default();
        let last = used.trim.nodes().next_back().map_or(first, |n| n.point);
        let ends = if used.forward { [first, last] } else { [last, first] };
        Self { used, ends }
    }

    fn flip(&mut self) {
        self.used.forward = !self.used.forward;
        self.ends.reverse();
    }
}

struct Order<'a> {
    surface: &'a Surface,
    search: &'a SurfaceSearch,
    length: f64,
    loop_index: usize,
}

impl Order<'_> {
    /// Distance left before each use.
    fn gaps<'p>(&self, run: &'p [Placed]) -> impl Iterator<Item = f64> + 'p {
        let before = run.iter().cycle().skip(run.len().saturating_sub(1));
        before.zip(run).map(|(a, b)| a.ends[1].distance(b.ends[0]))
    }

    fn is_open(&self, run: &[Placed]) -> bool {
        run.len() > 1 && self.gaps(run).any(|g| g > IN_ORDER * self.length)
    }

    fn same(&self, a: Point3, b: Point3) -> bool {
        a.distance(b) <= SAME * self.length
    }

    /// True when two uses cover the same stretch: in the same direction, or, `back`, in opposite ones.
    fn covers(&self, a: &Placed, b: &Placed, back: bool) -> bool {
        let ends = if back { [b.ends[1], b.ends[0]] } else { b.ends };
        let middle = |p: &Placed| p.used.trim.at(self.surface, 0.5).point;
        // Judged by the edge's own length: in a long loop of fine points neighbours are near, too.
        let slack = SAME * a.used.trim.node_length();
        let same = |p: Point3, q: Point3| p.distance(q) <= slack;
        same(a.ends[0], ends[0])
            && same(a.ends[1], ends[1])
            && !same(a.ends[0], a.ends[1])
            && same(b.used.trim.closest(self.surface, middle(a), Some(0.5)).point, middle(a))
    }

    /// Drops neighbours that run out and back. At a pole that is how a seam looks.
    fn drop_spurs(&self, run: &mut Vec<Placed>, repairs: &mut Vec<DomainRepair>) {
        let is_spur = |a: &Placed, b: &Placed| {
            let at_pole = self.search.poles().iter().any(|pole| pole.point.distance(a.ends[1]) <= 1e-5 * self.length);
            !at_pole && self.same(a.ends[1], b.ends[0]) && self.covers(a, b, true)
        };
        let mut note = |p: &Placed| {
            let (loop_index, use_index) = (self.loop_index, p.used.use_index);
            repairs.push(DomainRepair::Spur { loop_index, use_index, length: p.used.trim.node_length() });
        };
        let mut kept: Vec<Placed> = Vec::with_capacity(run.len());
        for p in run.drain(..) {
            match kept.last() {
                Some(last) if is_spur(last, &p) => {
                    note(last);
                    kept.pop();
                }
                _ => kept.push(p),
            }
        }
        let mut ends = (0, kept.len());
        while ends.1 - ends.0 > 1
            && let (Some(a), Some(b)) = (kept.get(ends.1 - 1), kept.get(ends.0))
            && is_spur(a, b)
        {
            note(a);
            ends = (ends.0 + 1, ends.1 - 1);
        }
        kept.truncate(ends.1);
        kept.drain(..ends.0);
        *run = kept;
    }

    fn drop_doubles(&self, run: &mut Vec<Placed>, repairs: &mut Vec<DomainRepair>) {
        let mut kept: Vec<Placed> = Vec::with_capacity(run.len());
        for p in run.drain(..) {
            if kept.iter().any(|k| self.same(k.ends[0], p.ends[0]) && self.covers(k, &p, false)) {
                let (loop_index, use_index, length) = (self.loop_index, p.used.use_index, p.used.trim.node_length());
                repairs.push(DomainRepair::Doubled { loop_index, use_index, length });
            } else {
                kept.push(p);
            }
        }
        *run = kept;
    }

    /// Keeps the order and turns the edges whose turning closes the loop: the cheapest of all choices, found edge by
    /// edge for either choice of the first.
    fn turn(&self, run: &mut [Placed], repairs: &mut Vec<DomainRepair>) {
        let before: f64 = self.gaps(run).sum();
        let gap = |a: &Placed, ta: bool, b: &Placed, tb: bool| a.ends[usize::from(!ta)].distance(b.ends[usize::from(tb)]);
        // Among equals the choice with fewer turns.
        let turning = 1e-9 * self.length;
        let mut best: Option<(f64, Vec<bool>)> = None;
        for first in [false, true] {
            let mut cost = if first { [f64::INFINITY, turning] } else { [0.0, f64::INFINITY] };
            let mut from: Vec<[bool; 2]> = Vec::with_capacity(run.len());
            for w in run.windows(2) {
                let [a, b] = w else { continue };
                let step = |tb: bool| {
                    let straight = cost[0] + gap(a, false, b, tb);
                    let turned = cost[1] + gap(a, true, b, tb);
                    let own = if tb { turning } else { 0.0 };
                    if turned < straight { (turned + own, true) } else { (straight + own, false) }
                };
                let (keep, flip) = (step(false), step(true));
                cost = [keep.0, flip.0];
                from.push([keep.1, flip.1]);
            }
            let (Some(head), Some(tail)) = (run.first(), run.last()) else { return };
            for last in [false, true] {
                let total = cost[usize::from(last)] + gap(tail, last, head, first);
                if best.as_ref().is_none_or(|b| total < b.0) {
                    let mut turns = vec![last];
                    let mut here = last;
                    for step in from.iter().rev() {
                        here = step[usize::from(here)];
                        turns.push(here);
                    }
                    turns.reverse();
                    best = Some((total, turns));
                }
            }
        }
        let Some((total, mut turns)) = best else { return };
        let count = turns.iter().filter(|t| **t).count();
        if total.is_nan() || total > BETTER * before || count == 0 {
            return;
        }
        if 2 * count > run.len() {
            // Rather the list was written backwards than nearly every edge.
            let gap = self.gaps(run).fold(0.0, f64::max);
            run.reverse();
            turns.reverse();
            turns.iter_mut().for_each(|t| *t = !*t);
            repairs.push(DomainRepair::Reordered { loop_index: self.loop_index, gap });
        }
        let gaps: Vec<f64> = self.gaps(run).collect();
        for (i, p) in run.iter_mut().enumerate().filter(|(i, _)| turns.get(*i) == Some(&true)) {
            let after = gaps.get((i + 1) % gaps.len()).copied().unwrap_or(0.0);
            let gap = gaps.get(i).copied().unwrap_or(0.0).max(after);
            repairs.push(DomainRepair::EdgeTurned { loop_index: self.loop_index, use_index: p.used.use_index, gap });
            p.flip();
        }
    }

    /// Chains the edges anew, each followed by the one that starts (or, turned, ends) nearest. None when that leaves
    /// the loop hardly less open.
    fn chained(&self, run: &mut Vec<Placed>, repairs: &mut Vec<DomainRepair>) -> Option<Vec<Vec<Placed>>> {
        let (before, worst) = self.gaps(run).fold((0.0, 0.0f64), |(sum, worst), g| (sum + g, worst.max(g)));
        let plan = self.plan(run);
        let ends = |&(i, turned): &(usize, bool)| {
            run.get(i).map_or([Point3::default(); 2], |p| if turned { [p.ends[1], p.ends[0]] } else { p.ends })
        };
        let left = |chain: &Vec<(usize, bool)>| -> f64 {
            chain.iter().zip(chain.iter().cycle().skip(1)).map(|(a, b)| ends(a)[1].distance(ends(b)[0])).sum()
        };
        let total: f64 = plan.iter().map(left).sum();
        if total.is_nan() || total > BETTER * before {
            return None;
        }
        let turned: Vec<usize> = plan.iter().flatten().filter(|(_, t)| *t).map(|(i, _)| *i).collect();
        let loop_index = self.loop_index;
        if plan.len() > 1 {
            repairs.push(DomainRepair::Parted { loop_index, count: plan.len() });
        } else {
            repairs.push(DomainRepair::Reordered { loop_index, gap: worst });
        }
        let mut stock: Vec<Option<Placed>> = run.drain(..).map(Some).collect();
        for i in turned {
            if let Some(Some(p)) = stock.get_mut(i) {
                p.flip();
                repairs.push(DomainRepair::EdgeTurned { loop_index, use_index: p.used.use_index, gap: worst });
            }
        }
        let take = |chain: Vec<(usize, bool)>| chain.into_iter().filter_map(|(i, _)| stock.get_mut(i)?.take()).collect();
        Some(plan.into_iter().map(take).collect())
    }

    /// The nearest-end chains as indices and turns.
    fn plan(&self, run: &[Placed]) -> Vec<Vec<(usize, bool)>> {
        let turning = 1e-9 * self.length;
        let mut unused: Vec<usize> = (0..run.len()).collect();
        let mut plan = Vec::new();
        while !unused.is_empty() {
            let first = unused.remove(0);
            let Some(start) = run.get(first) else { break };
            let mut chain = vec![(first, false)];
            let mut here = start.ends[1];
            loop {
                let reach = |&i: &usize, turned: bool| run.get(i).map_or(f64::INFINITY, |p| p.ends[usize::from(turned)].distance(here));
                let nearest = unused
                    .iter()
                    .enumerate()
                    .flat_map(|(k, i)| [(reach(i, false), k, false), (reach(i, true) + turning, k, true)])
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                let home = here.distance(start.ends[0]);
                match nearest {
                    Some((distance, k, turned)) if distance < home || (home > SAME * self.length && distance <= home) => {
                        let i = unused.remove(k);
                        here = run.get(i).map_or(here, |p| p.ends[usize::from(!turned)]);
                        chain.push((i, turned));
                    }
                    _ => break,
                }
            }
            plan.push(chain);
        }
        plan
    }
}
