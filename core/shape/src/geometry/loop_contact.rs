//! Where the loops of a region meet one another or themselves, exactly.

use super::Surface;
use super::domain::DomainSide;
use super::loop_gap::overlap_left;
use crate::math::outline::{Outline, Segment};
use crate::math::{Arrange, Interval, Point2, Vec2};
use std::collections::BTreeMap;

/// A place on a side, by its index among all sides and a share of its trim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub side: usize,
    pub share: f64,
}

/// Two places that are one point of the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Contact {
    pub spots: [Spot; 2],
    pub uv: Point2,
    /// True where the two cross or touch inside; false where they have a corner in common.
    pub is_crossing: bool,
}

/// All sides with what follows what.
pub(super) struct Ring<'a> {
    pub sides: Vec<&'a DomainSide>,
    /// Index of the loop a side belongs to.
    pub owner: Vec<usize>,
    /// Index of the side that follows in the same loop.
    pub next: Vec<usize>,
    /// Length of each loop, mm.
    lengths: Vec<f64>,
}

impl<'a> Ring<'a> {
    pub fn new(loops: &'a [Vec<DomainSide>]) -> Self {
        let mut ring = Ring { sides: Vec::new(), owner: Vec::new(), next: Vec::new(), lengths: Vec::new() };
        for (index, sides) in loops.iter().enumerate() {
            let first = ring.sides.len();
            ring.lengths.push(sides.iter().map(|s| s.trim.node_length()).sum());
            for (i, side) in sides.iter().enumerate() {
                ring.sides.push(side);
                ring.owner.push(index);
                ring.next.push(first + (i + 1) % sides.len().max(1));
            }
        }
        ring
    }
}

/// Pairs of segments compared before a region is called tangled. Larger: hostile loops cost seconds; smaller: faces
/// with thousands of holes are given up.
const PAIRS: usize = 10_000_000;

/// Contacts followed exactly. Larger: slow on hostile loops; smaller: two long rough edges beside each other are given
/// up.
const CONTACTS: usize = 4000;

/// Two points are one within this share of the box around all loops. Larger: narrow necks are cut; smaller: rounding
/// of trims hides contacts.
const SAME: f64 = 1e-9;

/// A crossing nearer to the common corner of two sides than this share of the box is that corner.
const AT_CORNER: f64 = 1e-7;

/// Every contact but the corners where consecutive sides meet; None when there are too many to sort out.
pub(super) fn contacts(surface: &Surface, ring: &Ring) -> Option<Vec<Contact>> {
    let lines: Vec<Vec<(f64, Point2)>> = ring.sides.iter().map(|s| s.nodes()).collect();
    let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
    let (u, v) = lines.iter().flatten().fold((none, none), |(u, v), n| (u.including(n.1.u), v.including(n.1.v)));
    let scale = Vec2::new(u.length(), v.length()).max(Vec2::splat(f64::MIN_POSITIVE));
    if !scale.is_finite() {
        return Some(Vec::new());
    }
    let plane = Plane { surface, ring, scale };
    let mut found = plane.corners();
    let mut numbers: BTreeMap<(u64, u64), u32> = BTreeMap::new();
    let (mut segments, mut places) = (Vec::new(), Vec::new());
    for (side, line) in lines.iter().enumerate() {
        for w in line.windows(2) {
            let [from, to] = w else { continue };
            let mut number = |p: Vec2| {
                let fresh = numbers.len() as u32;
                *numbers.entry((p.x.to_bits(), p.y.to_bits())).or_insert(fresh)
            };
            let place = |p: Point2| (p.to_vec() - Vec2::new(u.low, v.low)) / scale + Vec2::ZERO;
            let (a, b) = (place(from.1), place(to.1));
            let ends = [number(a), number(b)];
            if ends[0] != ends[1] {
                segments.push(Segment { a, b, ends, net: 1 });
                places.push((side, from.0, to.0));
            }
        }
    }
    let outline = Outline::new(segments);
    let pairs = outline.crossings_within(PAIRS)?;
    if pairs.len() > CONTACTS {
        return None;
    }
    for (i, j) in pairs {
        let (Some(s), Some(t), Some(&p), Some(&q)) = (outline.segments().get(i), outline.segments().get(j), places.get(i), places.get(j))
        else {
            continue;
        };
        let (x, y) = meeting(s, t);
        let start = [Spot { side: p.0, share: p.1 + (p.2 - p.1) * x }, Spot { side: q.0, share: q.1 + (q.2 - q.1) * y }];
        if let Some(contact) = plane.exact(start)
            && !found.iter().rev().take(64).any(|c| plane.is_same(c, &contact))
        {
            found.push(contact);
        }
    }
    Some(found)
}

/// Shares of two segments at which their lines meet; the middles of parallel ones.
fn meeting(s: &Segment, t: &Segment) -> (f64, f64) {
    let (d, e, r) = (s.b - s.a, t.b - t.a, t.a - s.a);
    let det = d.perp_dot(e);
    if det == 0.0 {
        return (0.5, 0.5);
    }
    ((r.perp_dot(e) / det).clamp(0.0, 1.0), (r.perp_dot(d) / det).clamp(0.0, 1.0))
}

struct Plane<'a, 'b> {
    surface: &'a Surface,
    ring: &'a Ring<'b>,
    scale: Vec2,
}

impl Plane<'_, '_> {
    fn apart(&self, a: Point2, b: Point2) -> f64 {
        ((a - b) / self.scale).length()
    }

    /// Corners that a loop comes to more than once.
    fn corners(&self) -> Vec<Contact> {
        let mut starts: Vec<(usize, Point2, usize)> =
            self.ring.sides.iter().enumerate().map(|(i, s)| (self.ring.owner.get(i).copied().unwrap_or(0), s.start(), i)).collect();
        starts.arrange_by(|a, b| a.0.cmp(&b.0).then(a.1.u.total_cmp(&b.1.u)).then(a.1.v.total_cmp(&b.1.v)).then(a.2.cmp(&b.2)));
        let mut found = Vec::new();
        for (k, a) in starts.iter().enumerate() {
            let near = |b: &&(usize, Point2, usize)| b.0 == a.0 && (b.1.u - a.1.u).abs() <= SAME * self.scale.x;
            if let Some(b) = starts.iter().skip(k + 1).take(32).take_while(near).find(|b| self.apart(a.1, b.1) <= SAME) {
                let spot = |i: usize| Spot { side: i, share: self.ring.sides.get(i).map_or(0.0, |s| s.from) };
                found.push(Contact { spots: [spot(a.2), spot(b.2)], uv: a.1, is_crossing: false });
            }
        }
        found
    }

    /// Newton's method on the two trims; None where they only seem to meet, run along each other, or follow one
    /// another at a corner.
    fn exact(&self, start: [Spot; 2]) -> Option<Contact> {
        let [mut a, mut b] = start;
        let (p, q) = (self.ring.sides.get(a.side)?, self.ring.sides.get(b.side)?);
        let hold = |s: &DomainSide, x: f64| x.clamp(s.from.min(s.to), s.from.max(s.to));
        let mut met = None;
        for _ in 0..16 {
            let (x, y) = (p.at(self.surface, a.share), q.at(self.surface, b.share));
            if self.apart(x.uv, y.uv) <= SAME {
                met = Some(x.uv);
                break;
            }
            let (d, e, r) = (x.duv / self.scale, y.duv / self.scale, (y.uv - x.uv) / self.scale);
            let det = d.perp_dot(e);
            if det.is_nan() || det.abs() <= 1e-12 * d.length() * e.length() {
                return None;
            }
            a.share = hold(p, a.share + r.perp_dot(e) / det);
            b.share = hold(q, b.share + r.perp_dot(d) / det);
        }
        let uv = met?;
        let at = |s: Point2| self.apart(uv, s) <= AT_CORNER;
        let corner = |x: usize, y: usize| self.ring.next.get(x) == Some(&y) && self.ring.sides.get(y).is_some_and(|s| at(s.start()));
        if corner(a.side, b.side) || corner(b.side, a.side) {
            return None;
        }
        if a.side == b.side && (a.share - b.share).abs() <= AT_CORNER {
            return None;
        }
        let (a, b) = (self.settled(a, uv), self.settled(b, uv));
        let at_corner = |s: Spot| self.ring.sides.get(s.side).is_some_and(|side| s.share == side.from);
        if at_corner(a) && at_corner(b) {
            // Corners of one loop in common are found by themselves; of two loops they are left.
            return None;
        }
        let same_loop = self.ring.owner.get(a.side) == self.ring.owner.get(b.side);
        if (at_corner(a) && !same_loop && !self.passes(a, b)) || (at_corner(b) && !same_loop && !self.passes(b, a)) {
            return None;
        }
        if self.is_noise(a, b) || self.is_noise(b, a) {
            return None;
        }
        Some(Contact { spots: [a, b], uv, is_crossing: true })
    }

    /// True when the loop runs from one place over a corner to the other in so short steps that it is no fault: two
    /// edges overrun each other by no more than what exchange leaves at every corner.
    fn is_noise(&self, from: Spot, to: Spot) -> bool {
        let Some(length) = self.ring.owner.get(from.side).and_then(|&o| self.ring.lengths.get(o)) else { return false };
        let limit = overlap_left(*length);
        let point = |side: usize, share: f64| self.ring.sides.get(side).map(|s| s.at(self.surface, share).point);
        let (mut here, mut at, mut longest) = (from, point(from.side, from.share), 0.0f64);
        for _ in 0..4 {
            let Some(side) = self.ring.sides.get(here.side) else { return false };
            let ahead = if side.forward { to.share - here.share } else { here.share - to.share };
            let stop = if here.side == to.side && ahead >= 0.0 { to.share } else { side.to };
            let next = point(here.side, stop);
            longest = longest.max(at.zip(next).map_or(f64::INFINITY, |(a, b)| a.distance(b)));
            if longest > limit || stop != side.to || (here.side == to.side && ahead >= 0.0) {
                return longest <= limit;
            }
            let Some(&n) = self.ring.next.get(here.side) else { return false };
            let start = self.ring.sides.get(n).map_or(0.0, |s| s.from);
            (here, at) = (Spot { side: n, share: start }, point(n, start));
        }
        false
    }

    /// A place at an end of its side as the start of a side.
    fn settled(&self, spot: Spot, uv: Point2) -> Spot {
        let Some(side) = self.ring.sides.get(spot.side) else { return spot };
        if self.apart(uv, side.start()) <= AT_CORNER {
            return Spot { share: side.from, ..spot };
        }
        if self.apart(uv, side.end()) <= AT_CORNER {
            let next = self.ring.next.get(spot.side).copied().unwrap_or(spot.side);
            return Spot { side: next, share: self.ring.sides.get(next).map_or(spot.share, |s| s.from) };
        }
        spot
    }

    /// True when the loop with a corner at `corner` goes there from one side of the other trim to its other side.
    fn passes(&self, corner: Spot, other: Spot) -> bool {
        let run = |s: &DomainSide, x: f64| s.at(self.surface, x).duv / self.scale * if s.forward { 1.0 } else { -1.0 };
        let before = self.ring.next.iter().position(|&n| n == corner.side);
        let (Some(after), Some(before), Some(across)) =
            (self.ring.sides.get(corner.side), before.and_then(|i| self.ring.sides.get(i)), self.ring.sides.get(other.side))
        else {
            return false;
        };
        let along = run(across, other.share);
        along.perp_dot(run(before, before.to)) * along.perp_dot(run(after, after.from)) > 0.0
    }

    fn is_same(&self, a: &Contact, b: &Contact) -> bool {
        let near = |x: Spot, y: Spot| x.side == y.side && (x.share - y.share).abs() <= 1e-7;
        let [p, q] = a.spots;
        let [r, s] = b.spots;
        (near(p, r) && near(q, s)) || (near(p, s) && near(q, r))
    }
}
