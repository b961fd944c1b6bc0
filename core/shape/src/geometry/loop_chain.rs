//! Chaining the trims of one loop end to end in the (u, v) plane.

use super::SurfaceSearch;
use super::closest::near;
use super::domain::{DomainSide, SideOrigin};
use super::loop_gap::{Before, Closing, worth_noting};
use super::pole::{Pole, PoleLine};
use super::trim::Trim;
use super::{DomainFault, DomainRepair, Surface};
use crate::math::{Point2, Vec2};

/// An edge as a loop runs along it, the region on its left in the parameter plane.
pub(crate) struct BoundaryUse {
    pub trim: Trim,
    pub forward: bool,
    pub loop_index: usize,
    pub use_index: usize,
}

/// A loop laid out in the plane.
pub(super) struct Chain {
    pub loop_index: usize,
    pub sides: Vec<DomainSide>,
    /// Whole periods the loop winds round in u and v.
    pub winding: (i64, i64),
    /// Indices of sides that start on the other bank of a patch's seam than where the side before ended.
    pub jumps: Vec<usize>,
}

/// Gaps below this share of the loop's length are rounding, not worth a side. Larger: areas lose digits.
const ROUNDING: f64 = 1e-9;

/// Ends on the two banks of a seam meet within this share of the loop's length. Larger: wide gaps that straddle a seam
/// are taken for a jump over it.
const JUMP: f64 = 0.2;

/// Points nearer to a pole than this share of the loop's length are on it.
const AT_POLE: f64 = 1e-5;

/// Shares of the closure within which a side lies on a seam. Larger: edges beside a seam are moved across it.
const ON_SEAM: f64 = 1e-6;

pub(super) fn chain(
    surface: &Surface,
    search: &SurfaceSearch,
    uses: Vec<BoundaryUse>,
    repairs: &mut Vec<DomainRepair>,
) -> Result<Chain, DomainFault> {
    let loop_index = uses.first().map_or(0, |u| u.loop_index);
    let length: f64 = uses.iter().map(|u| u.trim.node_length()).sum();
    let link = Link { surface, search, length };
    let mut ahead = link.sides(uses, repairs);
    // A side on a seam may lie on either bank: start with one that may not.
    if let Some(i) = ahead.iter().position(|s| !link.on_seam(s)) {
        ahead.rotate_left(i);
    }
    let mut chain = Chain { loop_index, sides: Vec::new(), winding: (0, 0), jumps: Vec::new() };
    let mut closing = Closing { surface, search, length, bridged: 0.0 };
    for mut side in ahead {
        let Some(last) = chain.sides.last_mut() else {
            chain.sides.push(side);
            continue;
        };
        let target = link.place(last, last.end(), &side, side.start());
        side.shift += target - side.start();
        repairs.extend(closing.cut_overrun(last, &mut side));
        let ends = (last.end(), side.start());
        link.connect(&mut chain, &mut closing, repairs, ends, side.origin, false)?;
        chain.sides.push(side);
    }
    if let [first, .., last] = chain.sides.as_mut_slice()
        && link.place(last, last.end(), first, first.start()) == first.start()
    {
        repairs.extend(closing.cut_overrun(last, first));
    }
    let (Some(first), Some(last)) = (chain.sides.first(), chain.sides.last()) else { return Err(DomainFault::Empty) };
    let (start, end, origin) = (first.start(), last.end(), first.origin);
    let target = link.place(last, end, first, start);
    let whole = |d: f64, period: Option<f64>| period.map_or(0, |p| (d / p).round() as i64);
    let (pu, pv) = surface.periods();
    chain.winding = (whole(target.u - start.u, pu), whole(target.v - start.v, pv));
    link.connect(&mut chain, &mut closing, repairs, (end, target), origin, true)?;
    Ok(chain)
}

struct Link<'a> {
    surface: &'a Surface,
    search: &'a SurfaceSearch,
    length: f64,
}

impl Link<'_> {
    /// The uses as sides, split at cuts; collapsed ones become pole sides or are dropped.
    fn sides(&self, uses: Vec<BoundaryUse>, repairs: &mut Vec<DomainRepair>) -> Vec<DomainSide> {
        let mut sides = Vec::new();
        for u in uses {
            let origin = SideOrigin::Edge { loop_index: u.loop_index, use_index: u.use_index };
            if u.trim.node_length() <= ROUNDING * self.length {
                let ends: Vec<Point2> = u.trim.nodes().map(|n| n.uv).collect();
                if ends.first().is_some_and(|&a| self.pole_at(a).is_none()) {
                    repairs.push(DomainRepair::NoLength { loop_index: u.loop_index, use_index: u.use_index });
                }
                if let (Some(&a), Some(&b)) = (ends.first(), ends.last())
                    && self.pole_at(a).is_some()
                    && a != b
                {
                    let (a, b) = if u.forward { (a, b) } else { (b, a) };
                    sides.push(DomainSide::straight(self.surface, a, b, SideOrigin::Pole));
                }
                continue;
            }
            let mut stops = vec![0.0];
            stops.extend(u.trim.cuts());
            stops.push(1.0);
            let mut own: Vec<DomainSide> = stops
                .windows(2)
                .map(|w| DomainSide { trim: u.trim.clone(), forward: true, from: w[0], to: w[1], shift: Vec2::ZERO, origin })
                .collect();
            if !u.forward {
                own = own.into_iter().rev().map(DomainSide::reversed).collect();
            }
            sides.extend(own);
        }
        sides
    }

    /// Where the next side must start, whole closures away from where it does.
    fn place(&self, last: &DomainSide, previous: Point2, next: &DomainSide, start: Point2) -> Point2 {
        let (pu, pv) = self.surface.periods();
        if let (Some(period), Some(pole)) = (pu, self.pole_between(last, previous, next, start))
            && let PoleLine::FreeU(_) = pole.line
        {
            let inner = last.nodes().iter().rev().nth(1).map_or(previous.v, |n| n.1.v);
            // Seen from the region the loop turns left at a pole: at the upper one towards smaller u.
            let turn = |d: f64| d - (d / period).floor() * period;
            let whole = |t: f64| if t < 1e-9 * period { t + period } else { t };
            let u = if inner < previous.v {
                previous.u - whole(turn(previous.u - start.u))
            } else {
                previous.u + whole(turn(start.u - previous.u))
            };
            return Point2::new(u, near(start.v, previous.v, pv));
        }
        let (cu, cv) = self.search.seams(self.surface);
        let line = next.polyline();
        Point2::new(
            bank(&line, near(start.u, previous.u, pu), previous.u, cu, |p| p.u, self.domain(0)),
            bank(&line, near(start.v, previous.v, pv), previous.v, cv, |p| p.v, self.domain(1)),
        )
    }

    fn domain(&self, axis: usize) -> (f64, f64) {
        let (u, v) = self.surface.domain();
        if axis == 0 { (u.low, u.high) } else { (v.low, v.high) }
    }

    /// Adds what lies between two sides: nothing, a pole, what closes a gap; or notes a jump over a patch's seam.
    fn connect(
        &self,
        chain: &mut Chain,
        closing: &mut Closing,
        repairs: &mut Vec<DomainRepair>,
        (from, to): (Point2, Point2),
        next: SideOrigin,
        at_end: bool,
    ) -> Result<(), DomainFault> {
        if from == to {
            return Ok(());
        }
        let gap = self.surface.point(from.u, from.v).distance(self.surface.point(to.u, to.v));
        if let (Some(p), Some(q)) = (self.pole_at(from), self.pole_at(to))
            && p == q
        {
            chain.sides.push(DomainSide::straight(self.surface, from, to, SideOrigin::Pole));
            // On a large face what counts as the pole is wider than what passes for closed.
            if gap > worth_noting(self.length) {
                let (loop_index, use_index) = chain.before(next);
                repairs.push(DomainRepair::Bridged { loop_index, use_index, gap });
            }
            return Ok(());
        }
        if gap <= JUMP * self.length {
            let (cu, cv) = self.search.seams(self.surface);
            let over = |d: f64, closure: Option<f64>| closure.is_some_and(|c| d.abs() > 0.5 * c);
            if over(to.u - from.u, cu) || over(to.v - from.v, cv) {
                chain.jumps.push(if at_end { 0 } else { chain.sides.len() });
                return Ok(());
            }
        }
        if gap.is_nan() || gap > ROUNDING * self.length {
            let (loop_index, use_index) = chain.before(next);
            let (sides, repair) = closing.close((&chain.sides, &chain.jumps), from, to, Before { loop_index, use_index, gap })?;
            chain.sides.extend(sides);
            repairs.extend(repair);
        }
        Ok(())
    }

    fn pole_at(&self, uv: Point2) -> Option<Pole> {
        let p = self.surface.point(uv.u, uv.v);
        self.search.poles().iter().find(|pole| pole.point.distance(p) <= AT_POLE * self.length).copied()
    }

    /// The pole two sides meet at, unless one of them runs along it and so says itself which way round.
    fn pole_between(&self, last: &DomainSide, end: Point2, next: &DomainSide, start: Point2) -> Option<Pole> {
        let (a, b) = (self.pole_at(end)?, self.pole_at(start)?);
        let along = |s: &DomainSide| s.origin == SideOrigin::Pole;
        (a == b && !along(last) && !along(next)).then_some(a)
    }

    fn on_seam(&self, side: &DomainSide) -> bool {
        let (cu, cv) = self.search.seams(self.surface);
        let line = side.polyline();
        let lies = |closure: Option<f64>, pick: fn(&Point2) -> f64, (low, high): (f64, f64)| {
            closure.is_some_and(|c| [low, high].iter().any(|end| line.iter().all(|p| (pick(p) - end).abs() <= ON_SEAM * c)))
        };
        lies(cu, |p| p.u, self.domain(0)) || lies(cv, |p| p.v, self.domain(1))
    }
}

/// The start of a side in one direction: moved to the other bank when the whole side lies on a seam and that bank
/// is nearer to where the side before ended.
fn bank(line: &[Point2], start: f64, previous: f64, closure: Option<f64>, pick: fn(&Point2) -> f64, (low, high): (f64, f64)) -> f64 {
    let Some(c) = closure else { return start };
    let lies = |end: f64| line.iter().all(|p| (pick(p) - end).abs() <= ON_SEAM * c);
    let moved = if lies(low) {
        start + c
    } else if lies(high) {
        start - c
    } else {
        return start;
    };
    if (moved - previous).abs() < (start - previous).abs() { moved } else { start }
}

impl Chain {
    /// Loop and use that a repair before side `next` is named by.
    fn before(&self, next: SideOrigin) -> (usize, usize) {
        match next {
            SideOrigin::Edge { loop_index, use_index } => (loop_index, use_index),
            _ => (self.loop_index, 0),
        }
    }

    /// The chain run the other way, winding and jumps with it.
    pub fn reversed(self) -> Chain {
        let count = self.sides.len();
        let sides: Vec<DomainSide> = self.sides.into_iter().rev().map(reversed_side).collect();
        let jumps = self.jumps.iter().map(|&j| if j == 0 { 0 } else { count - j }).collect();
        Chain { sides, winding: (-self.winding.0, -self.winding.1), jumps, ..self }
    }

    /// Mean of the nodes in u and v.
    pub fn middle(&self) -> Point2 {
        let all: Vec<Point2> = self.sides.iter().flat_map(DomainSide::polyline).collect();
        let n = all.len().max(1) as f64;
        Point2::new(all.iter().map(|p| p.u).sum::<f64>() / n, all.iter().map(|p| p.v).sum::<f64>() / n)
    }
}

/// A side run the other way.
pub(super) fn reversed_side(side: DomainSide) -> DomainSide {
    side.reversed()
}
