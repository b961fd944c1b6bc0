//! Regions that wind round a closed surface: cutting their loops along seams and walking the rectangle's border
//! from one open arc to the next.

use super::domain::{DomainSide, SideOrigin};
use super::pole::{Pole, PoleLine};
use super::trim::TrimNode;
use super::{DomainFault, Surface};
use crate::math::{Arrange, Interval, Point2, Vec2};

/// Sides end to end; closed, or with both ends on the border of the rectangle.
pub(super) struct Arc {
    pub sides: Vec<DomainSide>,
    pub closed: bool,
}

/// Which parameter is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    U,
    V,
}

impl Axis {
    pub fn of(self, p: Point2) -> f64 {
        if self == Axis::U { p.u } else { p.v }
    }

    fn vector(self, x: f64) -> Vec2 {
        if self == Axis::U { Vec2::new(x, 0.0) } else { Vec2::new(0.0, x) }
    }
}

/// Shares of the period within which a point lies on the cut. Larger: short sides beside the cut are swallowed.
const ON_CUT: f64 = 1e-9;

/// Cuts closed or open chains of sides at `at` + whole periods and moves every stretch between `at` and
/// `at` + period.
pub(super) fn cut(surface: &Surface, arcs: Vec<Arc>, axis: Axis, at: f64, period: f64) -> Vec<Arc> {
    let mut out = Vec::new();
    for arc in arcs {
        let mut sides = Vec::new();
        for side in arc.sides {
            split(surface, side, axis, at, period, &mut sides);
        }
        let apart = |a: &DomainSide, b: &DomainSide| (axis.of(a.end()) - axis.of(b.start())).abs() > 0.5 * period;
        let broken: Vec<usize> =
            (0..sides.len()).filter(|&i| (i > 0 || arc.closed) && apart(&sides[(i + sides.len() - 1) % sides.len()], &sides[i])).collect();
        if broken.is_empty() {
            out.push(Arc { sides, closed: arc.closed });
            continue;
        }
        out.extend(pieces(sides, &broken, arc.closed));
    }
    out
}

/// A ring (or open run) of sides broken before each of the given indices.
pub(super) fn pieces(mut sides: Vec<DomainSide>, broken: &[usize], closed: bool) -> Vec<Arc> {
    let mut broken = broken.to_vec();
    broken.arrange();
    broken.dedup();
    if closed && let Some(&first) = broken.first() {
        let by = first.min(sides.len());
        sides.rotate_left(by);
        broken.iter_mut().for_each(|b| *b -= first);
    }
    let mut out = Vec::new();
    while let Some(last) = broken.pop() {
        if last > 0 && last < sides.len() {
            out.push(Arc { sides: sides.split_off(last), closed: false });
        }
    }
    out.push(Arc { sides, closed: false });
    out.reverse();
    out
}

fn split(surface: &Surface, mut side: DomainSide, axis: Axis, at: f64, period: f64, out: &mut Vec<DomainSide>) {
    let strips = |p: Point2| (axis.of(p) - at) / period;
    let mut stops = vec![side.from];
    for w in side.nodes().windows(2) {
        let (a, b) = (strips(w[0].1), strips(w[1].1));
        let (low, high) = (a.min(b), a.max(b));
        let mut here: Vec<f64> = Vec::new();
        let mut line = (low + ON_CUT).ceil();
        while line < high - ON_CUT && here.len() < 64 {
            here.push(crossing(w[0].0, w[1].0, a < line, &|s| strips(side.uv(surface, s)) < line));
            line += 1.0;
        }
        if a > b {
            here.reverse();
        }
        // The end node itself, where it lies on the cut.
        if (b - b.round()).abs() <= ON_CUT {
            here.push(w[1].0);
        }
        stops.extend(here);
    }
    stops.push(side.to);
    stops.dedup_by(|b, a| (*b - *a).abs() < 1e-12);
    if stops.len() < 2 {
        stops = vec![side.from, side.to];
    }
    // Exact nodes where the trim is cut, on the line itself.
    let inside = stops.len().saturating_sub(2);
    for &s in stops.iter().skip(1).take(inside) {
        let mut p = side.at(surface, s);
        let snapped = at + strips(p.uv).round() * period;
        p.uv = if axis == Axis::U { Point2::new(snapped, p.uv.v) } else { Point2::new(p.uv.u, snapped) };
        let node = TrimNode { s, uv: p.uv + (-side.shift), point: p.point };
        insert(&mut side, node);
    }
    for w in stops.windows(2) {
        let mut part = DomainSide { from: w[0], to: w[1], ..side.clone() };
        let middle = part.uv(surface, 0.5 * (w[0] + w[1]));
        part.shift -= axis.vector(strips(middle).floor() * period);
        out.push(part);
    }
}

/// Adds a known point to a side's trim.
pub(super) fn insert(side: &mut DomainSide, node: TrimNode) {
    let i = side.trim.piece_at(node.s);
    let Some(piece) = side.trim.pieces.get_mut(i) else { return };
    let place = piece.nodes.partition_point(|n| n.s < node.s - 1e-12);
    match piece.nodes.get_mut(place) {
        Some(n) if (n.s - node.s).abs() <= 1e-12 => n.uv = node.uv,
        _ => piece.nodes.insert(place, node),
    }
}

fn crossing(a: f64, b: f64, below: bool, is_below: &dyn Fn(f64) -> bool) -> f64 {
    let (mut a, mut b) = (a, b);
    for _ in 0..60 {
        let middle = 0.5 * (a + b);
        if is_below(middle) == below { a = middle } else { b = middle }
    }
    0.5 * (a + b)
}

/// The rectangle loops are closed along: a border may be a seam, a pole, a patch's own side, or out of reach.
pub(super) struct Rectangle {
    pub u: Interval,
    pub v: Interval,
    /// Lower v, upper u, upper v, lower u; None: unbounded in that direction.
    pub borders: [Option<SideOrigin>; 4],
}

impl Rectangle {
    /// Names the borders of a rectangle by what the surface does there.
    pub fn new(u: Interval, v: Interval, poles: &[Pole], closed: (bool, bool), bounded: (bool, bool)) -> Self {
        let name = |seam: bool, is_bounded: bool, line: PoleLine| {
            let same = |p: &&Pole| match (p.line, line) {
                (PoleLine::FreeU(a), PoleLine::FreeU(b)) | (PoleLine::FreeV(a), PoleLine::FreeV(b)) => {
                    (a - b).abs() <= 1e-9 * (1.0 + a.abs())
                }
                _ => false,
            };
            if poles.iter().any(|p| same(&p)) {
                Some(SideOrigin::Pole)
            } else if !is_bounded {
                None
            } else if seam {
                Some(SideOrigin::Seam)
            } else {
                Some(SideOrigin::Natural)
            }
        };
        let borders = [
            name(closed.1, bounded.1, PoleLine::FreeU(v.low)),
            name(closed.0, bounded.0, PoleLine::FreeV(u.high)),
            name(closed.1, bounded.1, PoleLine::FreeU(v.high)),
            name(closed.0, bounded.0, PoleLine::FreeV(u.low)),
        ];
        Self { u, v, borders }
    }

    /// The whole rectangle as a loop.
    pub fn whole(&self, surface: &Surface) -> Result<Vec<DomainSide>, DomainFault> {
        let mut sides = Vec::new();
        self.walk(surface, self.corner(0), 0.0, 4.0, self.corner(0), &mut sides)?;
        Ok(sides)
    }

    fn corner(&self, i: usize) -> Point2 {
        match i % 4 {
            0 => Point2::new(self.u.low, self.v.low),
            1 => Point2::new(self.u.high, self.v.low),
            2 => Point2::new(self.u.high, self.v.high),
            _ => Point2::new(self.u.low, self.v.high),
        }
    }

    /// Position along the border, counter-clockwise from the lower left corner, 0 to 4.
    pub fn position(&self, p: Point2) -> f64 {
        let (x, y) = ((p.u - self.u.low) / self.u.length(), (p.v - self.v.low) / self.v.length());
        let off = [y.abs(), (1.0 - x).abs(), (1.0 - y).abs(), x.abs()];
        let along = [x, 1.0 + y, 3.0 - x, 4.0 - y];
        let mut best = 0;
        for i in 1..4 {
            let open = |i: usize| self.borders[i].is_none();
            if (open(best) && !open(i)) || (open(best) == open(i) && off[i] < off[best]) {
                best = i;
            }
        }
        along[best].clamp(best as f64, best as f64 + 1.0)
    }

    /// Straight sides from `from` along the border, over `distance` of position, to `to`.
    pub fn walk(
        &self,
        surface: &Surface,
        from: Point2,
        position: f64,
        distance: f64,
        to: Point2,
        out: &mut Vec<DomainSide>,
    ) -> Result<(), DomainFault> {
        let mut here = from;
        let mut at = position;
        let end = position + distance;
        if !end.is_finite() {
            return Err(DomainFault::Unbounded);
        }
        loop {
            let border = (at + 1e-12).floor();
            let next = (border + 1.0).min(end);
            let i = border as usize % 4;
            let goal = if next >= end - 1e-12 { to } else { self.corner(i + 1) };
            if here != goal {
                let origin = self.borders[i].ok_or(DomainFault::Unbounded)?;
                out.push(DomainSide::straight(surface, here, goal, origin));
            }
            here = goal;
            at = next;
            if at >= end - 1e-12 {
                return Ok(());
            }
        }
    }
}

/// Joins open arcs to closed loops, each end walking counter-clockwise along the border to the next start.
///
/// # Errors
/// When the way leads round an unbounded border: the loops enclose no finite region; or there are too many arcs.
pub(super) fn close(surface: &Surface, arcs: Vec<Arc>, rectangle: &Rectangle) -> Result<Vec<Vec<DomainSide>>, DomainFault> {
    let mut loops = Vec::new();
    // Each with its start's position along the border.
    let mut open: Vec<(Vec<DomainSide>, f64)> = Vec::new();
    for arc in arcs {
        if arc.closed {
            loops.push(arc.sides);
        } else if let Some(start) = arc.sides.first().map(DomainSide::start) {
            open.push((arc.sides, rectangle.position(start)));
        }
    }
    if open.len() > MOST_ARCS {
        return Err(DomainFault::Tangled);
    }
    while let Some((mut sides, home)) = open.pop() {
        while let (Some(start), Some(end)) = (sides.first().map(DomainSide::start), sides.last().map(DomainSide::end)) {
            let from = rectangle.position(end);
            // Slightly behind, by rounding, is here.
            let way = |to: f64| {
                let d = to - from;
                let d = if d < -1e-7 { d + 4.0 } else { d };
                d.max(0.0)
            };
            let mut best = (way(home), None);
            for (i, (_, position)) in open.iter().enumerate() {
                if way(*position) < best.0 {
                    best = (way(*position), Some(i));
                }
            }
            match best {
                (distance, None) => {
                    rectangle.walk(surface, end, from, distance, start, &mut sides)?;
                    break;
                }
                (distance, Some(i)) => {
                    let (next, _) = open.swap_remove(i);
                    let to = next.first().map_or(end, DomainSide::start);
                    rectangle.walk(surface, end, from, distance, to, &mut sides)?;
                    sides.extend(next);
                }
            }
        }
        loops.push(sides);
    }
    Ok(loops)
}

/// Most open arcs joined by comparing all with all. Larger: hostile loops cost seconds; smaller: loops that cross a seam
/// very often are given up.
const MOST_ARCS: usize = 4000;
