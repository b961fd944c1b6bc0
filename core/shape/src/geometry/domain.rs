//! The trimmed region of a surface in its (u, v) plane.

use super::loop_cut::Rectangle;
use super::trim::{Trim, TrimPoint};
use super::{DomainFault, DomainRepair, Region, Surface, SurfaceSearch, domain_area};
use crate::math::{Interval, Point2, Vec2};

/// The region of the parameter plane a face covers: closed loops with the region on their left, outer loops
/// counter-clockwise and holes clockwise. Periods are unwrapped, seams and poles closed, so that in the plane every
/// loop is a closed curve; on periodic surfaces parameters may run beyond the surface's own domain.
#[derive(Debug, Clone, PartialEq)]
pub struct Domain {
    /// Outer loops first.
    pub loops: Vec<DomainLoop>,
    /// What had to be mended.
    pub repairs: Vec<DomainRepair>,
    /// Why the face's loops could not be used; None when they were. The loops here are then the border of the whole
    /// surface, or of the box round what could be laid on it: to be shown, not to be measured.
    pub untrimmed: Option<DomainFault>,
    pub(super) periods: (Option<f64>, Option<f64>),
}

/// A closed curve in the parameter plane.
#[derive(Debug, Clone, PartialEq)]
pub struct DomainLoop {
    /// Sides end to end, the region on the left.
    pub sides: Vec<DomainSide>,
}

/// A trim as a loop runs along it.
#[derive(Debug, Clone, PartialEq)]
pub struct DomainSide {
    /// The trim.
    pub trim: Trim,
    /// True when the loop runs with rising share.
    pub forward: bool,
    /// Share of the trim where the side starts: 0 or 1, unless the trim is cut at a pole or seam.
    pub from: f64,
    /// Share where it ends.
    pub to: f64,
    /// Whole periods added to the trim's parameters.
    pub shift: Vec2,
    /// What the side is.
    pub origin: SideOrigin,
}

/// What a side of a domain stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideOrigin {
    /// An edge of the face: index of the loop in the face and of the use in that loop.
    Edge {
        /// Index among the face's loops.
        loop_index: usize,
        /// Index among that loop's uses.
        use_index: usize,
    },
    /// A cut through a surface that closes on itself; the loop runs along it twice.
    Seam,
    /// A parameter line that is one point in space.
    Pole,
    /// The border of an untrimmed patch.
    Natural,
    /// A short straight piece over the gap two edges leave at a corner.
    Bridge,
}

impl Domain {
    /// The part of a surface between two values of each parameter; sides on a pole are single points.
    ///
    /// # Errors
    /// When an interval is empty or not finite.
    pub fn rectangle(surface: &Surface, u: Interval, v: Interval) -> Result<Domain, DomainFault> {
        let spans = |i: Interval| i.is_bounded() && i.length() > 0.0;
        if !spans(u) || !spans(v) {
            return Err(DomainFault::Empty);
        }
        let search = SurfaceSearch::new(surface);
        let sides = Rectangle::new(u, v, search.poles(), (false, false), (true, true)).whole(surface)?;
        Ok(Domain { loops: vec![DomainLoop { sides }], repairs: Vec::new(), untrimmed: None, periods: surface.periods() })
    }

    /// Area of the region on the surface, mm², integrated along the exact trims; ≥ 0.
    pub fn area(&self, surface: &Surface) -> f64 {
        domain_area::area(self, surface)
    }

    /// True when the parameter point, or its image whole periods away, lies in the region. Decided on the polylines
    /// of the trims' nodes: within their sag of the boundary (5e-4 of a trim's length) either answer may come.
    pub fn contains(&self, uv: Point2) -> bool {
        Region::new(self).contains(uv)
    }

    /// Smallest box in (u, v) around the nodes of all loops.
    pub fn bounds(&self) -> (Interval, Interval) {
        let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
        let (mut u, mut v) = (none, none);
        for side in self.loops.iter().flat_map(|l| &l.sides) {
            for p in side.polyline() {
                (u, v) = (u.including(p.u), v.including(p.v));
            }
        }
        (u, v)
    }
}

impl DomainLoop {
    /// The nodes of all sides as one closed polygon, last point left out.
    pub fn polygon(&self) -> Vec<Point2> {
        let mut all: Vec<Point2> = Vec::new();
        for side in &self.sides {
            let mut line = side.polyline();
            line.pop();
            all.extend(line);
        }
        all
    }

    /// Signed area of that polygon in the parameter plane, positive when counter-clockwise.
    pub fn signed_area(&self) -> f64 {
        polygon_area(&self.polygon())
    }
}

impl DomainSide {
    /// A side that runs along a whole straight trim.
    pub(super) fn straight(surface: &Surface, from: Point2, to: Point2, origin: SideOrigin) -> Self {
        Self { trim: Trim::straight(surface, from, to), forward: true, from: 0.0, to: 1.0, shift: Vec2::ZERO, origin }
    }

    /// Exact point at a share of the trim between [`DomainSide::from`] and [`DomainSide::to`], whole periods added.
    pub fn at(&self, surface: &Surface, s: f64) -> TrimPoint {
        // The middle tells the stretch between cuts: at a cut itself the share alone is ambiguous.
        let mut p = self.trim.at_piece(surface, s, self.piece());
        p.uv = p.uv + self.shift;
        p
    }

    /// Exact parameters at a share of the trim, whole periods added.
    pub fn uv(&self, surface: &Surface, s: f64) -> Point2 {
        self.at(surface, s).uv
    }

    /// Nodes of the trim from start to end of the side: share and parameters, whole periods added.
    pub fn nodes(&self) -> Vec<(f64, Point2)> {
        let (low, high) = (self.from.min(self.to), self.from.max(self.to));
        let Some(piece) = self.trim.pieces.get(self.piece()) else { return Vec::new() };
        let mut all = vec![(low, piece.guess(low))];
        all.extend(piece.nodes.iter().filter(|n| n.s > low && n.s < high).map(|n| (n.s, n.uv)));
        all.push((high, piece.guess(high)));
        if self.from > self.to {
            all.reverse();
        }
        for n in &mut all {
            n.1 = n.1 + self.shift;
        }
        all
    }

    /// The nodes' parameters from start to end.
    pub fn polyline(&self) -> Vec<Point2> {
        self.nodes().into_iter().map(|n| n.1).collect()
    }

    /// Parameters where the side starts.
    pub fn start(&self) -> Point2 {
        self.end_at(self.from)
    }

    /// Parameters where it ends.
    pub fn end(&self) -> Point2 {
        self.end_at(self.to)
    }

    fn end_at(&self, s: f64) -> Point2 {
        self.trim.pieces.get(self.piece()).map_or(Point2::default(), |p| p.guess(s)) + self.shift
    }

    fn piece(&self) -> usize {
        self.trim.piece_at(0.5 * (self.from + self.to))
    }

    /// The same side run the other way.
    pub(super) fn reversed(mut self) -> Self {
        core::mem::swap(&mut self.from, &mut self.to);
        self.forward = !self.forward;
        self
    }
}

/// Signed area of a closed polygon, positive when counter-clockwise.
pub(super) fn polygon_area(p: &[Point2]) -> f64 {
    let Some(&o) = p.first() else { return 0.0 };
    let next = p.iter().cycle().skip(1);
    0.5 * p.iter().zip(next).map(|(&a, &b)| (a - o).perp_dot(b - o)).sum::<f64>()
}

/// Even–odd test of a point against a closed polygon (Preparata & Shamos, *Computational Geometry*, §2.2).
pub(super) fn encloses(polygon: &[Point2], p: Point2) -> bool {
    let next = polygon.iter().cycle().skip(1);
    let crossings =
        polygon.iter().zip(next).filter(|(a, b)| (a.v > p.v) != (b.v > p.v) && p.u < a.u + (b.u - a.u) * ((p.v - a.v) / (b.v - a.v)));
    crossings.count() % 2 == 1
}
