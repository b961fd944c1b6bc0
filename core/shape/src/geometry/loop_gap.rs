//! Closing the gap two edges leave between them.

use super::SurfaceSearch;
use super::domain::{DomainSide, SideOrigin};
use super::loop_cut::{Rectangle, insert};
use super::trim::TrimNode;
use super::{DomainFault, DomainRepair, Surface};
use crate::math::{Interval, Point2, Point3, Vec2};

/// What a gap lies before, and its width, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Before {
    pub loop_index: usize,
    pub use_index: usize,
    pub gap: f64,
}

/// Closes the gaps of one loop.
pub(super) struct Closing<'a> {
    pub surface: &'a Surface,
    pub search: &'a SurfaceSearch,
    /// Length of the loop's edges, mm.
    pub length: f64,
    /// Sum of the gaps closed straight so far, mm.
    pub bridged: f64,
}

/// Gaps closed straight may together come to this share of the loop's edges. Larger: half a boundary is invented;
/// smaller: a loop that lacks one plain side is given up.
const PLAIN: f64 = 0.5;

/// Gaps up to this, mm, and up to [`SMALL`] of the loop's length are what exchange leaves at every corner (common
/// practice, no source): closed, but not worth a word. Larger: faults are hidden; smaller: they drown in noise.
const NOTED: f64 = 1e-3;

/// See [`NOTED`]: keeps small faces' gaps from hiding behind it.
const SMALL: f64 = 1e-4;

/// Width of a gap from which it is worth a word, in a loop of some length, mm.
pub(super) fn worth_noting(length: f64) -> f64 {
    NOTED.min(SMALL * length)
}

/// Ends that overrun each other by up to this are left to a bridge, mm: cutting them would move the end of an edge that
/// other faces share for less than exchange agrees on (common practice, no source). Larger: the boundary crosses
/// itself where it shows; smaller: faces part at corners for nothing.
pub(super) fn overlap_left(length: f64) -> f64 {
    (1e-2f64).min(1e-4 * length)
}

/// Points nearer to the surface's border than this share of the loop's length end on it. Larger: gaps beside the
/// border are drawn to it; smaller: edges written with few digits are not recognised.
const ON_BORDER: f64 = 1e-4;

/// The way along the border may be this many times the gap; a corner cut off evenly takes √2.
const DETOUR: f64 = 3.0;

/// Gaps along one side of a patch up to this share of the loop's length are bridged rather than called border.
/// Larger: a missing short side is taken for a bridge and has no joins; smaller: corners' noise gets joins.
const CORNERLESS: f64 = 0.01;

/// Parameters agree within this share of the closure.
const SAME: f64 = 1e-6;

type Closed = (Vec<DomainSide>, Option<DomainRepair>);

impl Closing<'_> {
    /// What closes the gap from one parameter point to another behind the given sides, of which some start on the other
    /// bank of a patch's seam (`jumps`), and the repair to list. Along the seam when the loop
    /// ran along it once only; along the border of a patch when both ends lie on it; else straight.
    ///
    /// # Errors
    /// When so much is missing that its course is not plain.
    pub fn close(
        &mut self,
        (sides, jumps): (&[DomainSide], &[usize]),
        from: Point2,
        to: Point2,
        before: Before,
    ) -> Result<Closed, DomainFault> {
        let Before { loop_index, use_index, gap } = before;
        let noted = gap > worth_noting(self.length);
        if noted {
            if let Some(side) = self.seam((sides, jumps), from, to) {
                return Ok((vec![side], Some(DomainRepair::SeamAdded { loop_index, use_index, gap })));
            }
            if let Some(sides) = self.along_border(from, to, gap) {
                return Ok((sides, Some(DomainRepair::BorderTaken { loop_index, use_index, gap })));
            }
        }
        self.bridged += gap;
        if self.bridged.is_nan() || self.bridged > PLAIN * self.length {
            return Err(DomainFault::Open { loop_index, use_index, gap });
        }
        let side = DomainSide::straight(self.surface, from, to, SideOrigin::Bridge);
        Ok((vec![side], noted.then_some(DomainRepair::Bridged { loop_index, use_index, gap })))
    }

    /// Cuts one of two sides back where the other one meets it: an edge that runs on beyond its corner. None when
    /// neither meets the other, or by no more than rounding of the exchange.
    pub fn cut_overrun(&self, last: &mut DomainSide, next: &mut DomainSide) -> Option<DomainRepair> {
        let (p, q) = (last.end(), next.start());
        let (p, q) = (self.surface.point(p.u, p.v), self.surface.point(q.u, q.v));
        let gap = p.distance(q);
        if gap.is_nan() || gap <= overlap_left(self.length) {
            return None;
        }
        let named = |side: &DomainSide| match side.origin {
            SideOrigin::Edge { loop_index, use_index } => Some(DomainRepair::Cut { loop_index, use_index, size: gap }),
            _ => None,
        };
        let meets = |side: &DomainSide, end: f64, other: Point3| {
            let foot = side.trim.closest(self.surface, other, Some(end));
            let (low, high) = (side.from.min(side.to), side.from.max(side.to));
            let near = foot.point.distance(other) <= worth_noting(self.length).max(SAME * self.length);
            (near && foot.s > low && foot.s < high && foot.s != end).then_some(TrimNode { s: foot.s, uv: foot.uv, point: foot.point })
        };
        if let (Some(repair), Some(node)) = (named(last), meets(last, last.to, q)) {
            last.to = node.s;
            insert(last, node);
            return Some(repair);
        }
        if let (Some(repair), Some(node)) = (named(next), meets(next, next.from, p)) {
            next.from = node.s;
            insert(next, node);
            return Some(repair);
        }
        None
    }

    /// The side that runs the other way between the same points, whole closures away; on a patch, whose parameters start
    /// anew at its seam, a jump over the seam since then stands for the closure.
    fn seam(&self, (sides, jumps): (&[DomainSide], &[usize]), from: Point2, to: Point2) -> Option<DomainSide> {
        let (cu, cv) = self.search.closures();
        let (du, dv) = self.surface.domain();
        let size = |over: Interval| if over.is_bounded() { over.length() } else { self.length };
        let whole = |d: f64, closure: Option<f64>, over: Interval| match closure {
            Some(c) => ((d / c) - (d / c).round()).abs() <= SAME,
            None => d.abs() <= SAME * size(over),
        };
        let moved = |d: Vec2| cu.is_some_and(|c| d.x.abs() > 0.5 * c) || cv.is_some_and(|c| d.y.abs() > 0.5 * c);
        let round = |i: usize| jumps.iter().filter(|&&j| j > i).count() % 2 == 1;
        sides.iter().enumerate().filter(|(_, s)| matches!(s.origin, SideOrigin::Edge { .. })).find_map(|(i, s)| {
            let (a, b) = (from - s.end(), to - s.start());
            let fits = whole(a.x, cu, du) && whole(a.y, cv, dv) && whole(b.x, cu, du) && whole(b.y, cv, dv);
            let turned = moved(a) && (a - b).length() < 0.5 * a.length();
            (fits && (turned || !moved(a) && !moved(b) && round(i))).then(|| {
                let mut back = s.clone().reversed();
                back.shift += a;
                back
            })
        })
    }

    /// The way from one point of a patch's border to another: the shorter one over a small gap; where a whole side is
    /// missing, the one that keeps the region on the left, unless the other is by far shorter.
    fn along_border(&self, from: Point2, to: Point2, gap: f64) -> Option<Vec<DomainSide>> {
        let (u, v) = self.surface.limits()?;
        if !u.is_bounded() || !v.is_bounded() || !self.on_border(from) || !self.on_border(to) {
            return None;
        }
        let (cu, cv) = self.search.closures();
        let rectangle = Rectangle::new(u, v, self.search.poles(), (cu.is_some(), cv.is_some()), (true, true));
        let way = |a: Point2, b: Point2| {
            let start = rectangle.position(a);
            let ahead = rectangle.position(b) - start;
            let mut sides = Vec::new();
            let distance = if ahead < 0.0 { ahead + 4.0 } else { ahead };
            rectangle.walk(self.surface, a, start, distance, b, &mut sides).ok()?;
            let length: f64 = sides.iter().map(|s| s.trim.node_length()).sum();
            Some((sides, length))
        };
        let (left, right) = (way(from, to)?, way(to, from)?);
        let back = |sides: Vec<DomainSide>| sides.into_iter().rev().map(DomainSide::reversed).collect();
        let shorter = left.1.min(right.1);
        if gap <= 0.2 * self.length && shorter > DETOUR * gap {
            return None;
        }
        if gap <= CORNERLESS * self.length && left.0.len().min(right.0.len()) < 2 {
            return None;
        }
        let takes_left = if gap <= 0.2 * self.length { left.1 <= right.1 } else { left.1 <= 4.0 * right.1 };
        Some(if takes_left { left.0 } else { back(right.0) })
    }

    fn on_border(&self, p: Point2) -> bool {
        let (u, v) = self.surface.domain();
        let d = self.surface.derivs(u.clamp(p.u), v.clamp(p.v), 1);
        let beside = |x: f64, ends: [f64; 2], speed: f64| ends.iter().any(|e| (x - e).abs() * speed <= ON_BORDER * self.length);
        beside(p.u, [u.low, u.high], d.su.length()) || beside(p.v, [v.low, v.high], d.sv.length())
    }
}
