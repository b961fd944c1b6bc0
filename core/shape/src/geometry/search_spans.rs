//! The closest point of a spline patch by branch and bound over its spans.
//!
//! A piece of the patch lies in the hull of its control points (NB P4.5, P4.14), so no point of it is nearer than the
//! hull is. Pieces whose bound is no better than the best foot found are dropped, others are halved. Ma & Hewitt,
//! *Point inversion and projection for NURBS curve and surface*, CAGD 20, 2003, choose candidates likewise.

use super::Surface;
use super::closest::{Foot, closest_on_surface};
use crate::math::{Interval, Point2, Point3, Vec3};
use crate::nurbs::{self, KnotVector};
use core::cmp::Ordering;
use std::collections::BinaryHeap;

/// How much nearer a point may be that is not found: share of the distance. Larger: the wrong one of two nearly equal
/// feet; smaller: more halvings, each of which gains a factor of four.
const OF_DISTANCE: f64 = 1e-6;

/// The same as a share of the patch's size. Smaller: rounding keeps pieces alive for ever.
const OF_SIZE: f64 = 1e-9;

/// Pieces looked at before the best foot so far is taken. Larger: a point on the axis of a round patch, which has
/// feet everywhere, costs time for nothing; smaller: the stated accuracy is missed sooner.
const MOST_PIECES: usize = 3000;

/// Boxes round the control points of spans and of runs of spans.
#[derive(Debug, Clone)]
pub(super) struct SpanTree {
    nodes: Vec<Node>,
    spans_u: Vec<usize>,
    spans_v: Vec<usize>,
    size: f64,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    low: Vec3,
    high: Vec3,
    /// Runs of spans, from and up to.
    u: (usize, usize),
    v: (usize, usize),
    /// The two halves; None for a single span.
    halves: Option<(usize, usize)>,
}

impl SpanTree {
    pub(super) fn new(s: &nurbs::Surface) -> Self {
        let spans = |k: &KnotVector| -> Vec<usize> { k.breaks().windows(2).map(|w| k.span(w[0])).collect() };
        let (spans_u, spans_v) = (spans(s.knots_u()), spans(s.knots_v()));
        let mut tree = Self { nodes: Vec::new(), spans_u, spans_v, size: 0.0 };
        let whole = ((0, tree.spans_u.len()), (0, tree.spans_v.len()));
        tree.build(s, whole.0, whole.1);
        tree.size = tree.nodes.first().map_or(0.0, |n| (n.high - n.low).length());
        tree
    }

    /// Adds the node of a run of spans and, below it, its halves; returns its index.
    fn build(&mut self, s: &nurbs::Surface, u: (usize, usize), v: (usize, usize)) -> usize {
        let at = self.nodes.len();
        self.nodes.push(Node { low: Vec3::INFINITY, high: Vec3::NEG_INFINITY, u, v, halves: None });
        let (nu, nv) = (u.1 - u.0, v.1 - v.0);
        let mut node = Node { low: Vec3::INFINITY, high: Vec3::NEG_INFINITY, u, v, halves: None };
        if nu <= 1 && nv <= 1 {
            self.each_point(s, u.0, v.0, |p, _| {
                node.low = node.low.min(p.to_vec());
                node.high = node.high.max(p.to_vec());
            });
        } else {
            let (first, second) = if nu >= nv {
                let middle = u.0 + nu / 2;
                (self.build(s, (u.0, middle), v), self.build(s, (middle, u.1), v))
            } else {
                let middle = v.0 + nv / 2;
                (self.build(s, u, (v.0, middle)), self.build(s, u, (middle, v.1)))
            };
            for half in [first, second] {
                if let Some(h) = self.nodes.get(half) {
                    node.low = node.low.min(h.low);
                    node.high = node.high.max(h.high);
                }
            }
            node.halves = Some((first, second));
        }
        if let Some(place) = self.nodes.get_mut(at) {
            *place = node;
        }
        at
    }

    /// Control points (with weights) that count on one span, u-major.
    fn each_point(&self, s: &nurbs::Surface, i: usize, j: usize, mut take: impl FnMut(Point3, f64)) {
        let (Some(&su), Some(&sv)) = (self.spans_u.get(i), self.spans_v.get(j)) else { return };
        let (p, q, (_, nv)) = (s.knots_u().degree(), s.knots_v().degree(), s.size());
        for a in su.saturating_sub(p)..=su {
            for b in sv.saturating_sub(q)..=sv {
                if let Some(&point) = s.points().get(a * nv + b) {
                    take(point, s.weights().and_then(|w| w.get(a * nv + b)).copied().unwrap_or(1.0));
                }
            }
        }
    }

    /// One span as a Bézier piece.
    fn piece(&self, s: &nurbs::Surface, i: usize, j: usize) -> Option<Piece> {
        let local = |k: &KnotVector, span: usize| {
            let p = k.degree();
            KnotVector::new(p, k.knots().get(span.checked_sub(p)?..=span + p + 1)?.to_vec()).ok()
        };
        let (mut points, mut weights) = (Vec::new(), Vec::new());
        self.each_point(s, i, j, |p, w| {
            points.push(p);
            weights.push(w);
        });
        let (ku, kv) = (local(s.knots_u(), *self.spans_u.get(i)?)?, local(s.knots_v(), *self.spans_v.get(j)?)?);
        let (u, v) = (ku.domain(), kv.domain());
        let own = nurbs::Surface::new(ku, kv, points, Some(weights)).ok()?.clamped().ok()?;
        let weights = own.weights()?;
        let points = own.points().iter().zip(weights).map(|(p, &w)| [p.x * w, p.y * w, p.z * w, w]).collect();
        let (nu, nv) = own.size();
        Some(Piece { nu, nv, points, u, v })
    }

    /// The closest point to `p`. `surface` holds `s`.
    pub(super) fn closest(&self, surface: &Surface, s: &nurbs::Surface, p: Point3) -> Foot {
        let (du, dv) = s.domain();
        let middle = Point2::new(du.at(0.5), dv.at(0.5));
        let mut best: Option<Foot> = None;
        let mut ahead = BinaryHeap::new();
        if p.is_finite() && !self.nodes.is_empty() {
            ahead.push(Entry { bound: 0.0, order: 0, what: What::Node(0) });
        }
        let (mut order, mut pieces) = (0usize, 0usize);
        while let Some(Entry { bound, what, .. }) = ahead.pop() {
            let near_enough = |b: &Foot| bound >= b.distance * (1.0 - OF_DISTANCE) - OF_SIZE * self.size;
            if best.as_ref().is_some_and(near_enough) || pieces > MOST_PIECES {
                break;
            }
            let parts: Vec<What> = match what {
                What::Node(i) => match self.nodes.get(i) {
                    Some(Node { halves: Some((a, b)), .. }) => vec![What::Node(*a), What::Node(*b)],
                    Some(n) => self.piece(s, n.u.0, n.v.0).map(What::Piece).into_iter().collect(),
                    None => Vec::new(),
                },
                What::Piece(piece) => piece.halves().map(What::Piece).into_iter().collect(),
            };
            for part in parts {
                let bound = match &part {
                    What::Node(i) => self.nodes.get(*i).map_or(0.0, |n| outside(n.low, n.high, p)),
                    What::Piece(piece) => {
                        pieces += 1;
                        let (seed, distance) = piece.nearest_corner(p);
                        if best.is_none_or(|b| distance < b.distance) {
                            let foot = closest_on_surface(surface, p, seed);
                            if best.is_none_or(|b| foot.distance < b.distance) {
                                best = Some(foot);
                            }
                        }
                        piece.bound(p)
                    }
                };
                order += 1;
                ahead.push(Entry { bound, order, what: part });
            }
        }
        best.unwrap_or_else(|| closest_on_surface(surface, p, middle))
    }
}

/// Distance from a point to a box.
fn outside(low: Vec3, high: Vec3, p: Point3) -> f64 {
    let p = p.to_vec();
    (low - p).max(p - high).max(Vec3::ZERO).length()
}

/// A Bézier piece of the patch: homogeneous control points, u-major, over its part of the domain.
#[derive(Debug, Clone)]
struct Piece {
    nu: usize,
    nv: usize,
    points: Vec<[f64; 4]>,
    u: Interval,
    v: Interval,
}

impl Piece {
    fn point(&self, i: usize, j: usize) -> Point3 {
        self.points.get(i * self.nv + j).map_or(Point3::ORIGIN, |&[x, y, z, w]| Point3::new(x / w, y / w, z / w))
    }

    /// The nearest of the four corners, which lie on the patch: its parameters and distance.
    fn nearest_corner(&self, p: Point3) -> (Point2, f64) {
        let (i, j) = (self.nu - 1, self.nv - 1);
        let corners = [
            (self.point(0, 0), self.u.low, self.v.low),
            (self.point(i, 0), self.u.high, self.v.low),
            (self.point(0, j), self.u.low, self.v.high),
            (self.point(i, j), self.u.high, self.v.high),
        ];
        let mut best = (Point2::new(self.u.low, self.v.low), f64::INFINITY);
        for (q, u, v) in corners {
            if q.distance(p) < best.1 {
                best = (Point2::new(u, v), q.distance(p));
            }
        }
        best
    }

    /// No point of the piece is nearer to `p`: the greater of the distances to the box round the control points and
    /// to the plane that keeps them all on its far side, square to the way from the piece to `p`.
    fn bound(&self, p: Point3) -> f64 {
        let (mut low, mut high, mut middle) = (Vec3::INFINITY, Vec3::NEG_INFINITY, Vec3::ZERO);
        let all = || self.points.iter().map(|&[x, y, z, w]| Vec3::new(x / w, y / w, z / w));
        for q in all() {
            (low, high, middle) = (low.min(q), high.max(q), middle + q);
        }
        let way = p.to_vec() - middle / self.points.len().max(1) as f64;
        let flat = way.try_normalize().map_or(0.0, |n| all().map(|q| (p.to_vec() - q).dot(n)).fold(f64::INFINITY, f64::min));
        outside(low, high, p).max(flat)
    }

    /// Both halves, cut across the longer way.
    fn halves(&self) -> [Piece; 2] {
        let (mut along_u, mut along_v) = (0.0, 0.0);
        for i in 0..self.nu {
            for j in 0..self.nv {
                let q = self.point(i, j);
                if i > 0 {
                    along_u += q.distance(self.point(i - 1, j));
                }
                if j > 0 {
                    along_v += q.distance(self.point(i, j - 1));
                }
            }
        }
        let of_u = along_u * self.nv as f64 >= along_v * self.nu as f64;
        let (mut first, mut second) = (self.clone(), self.clone());
        let (count, lines) = if of_u { (self.nu, self.nv) } else { (self.nv, self.nu) };
        let place = |line: usize, k: usize| if of_u { k * self.nv + line } else { line * self.nv + k };
        let mut row = vec![[0.0; 4]; count];
        for line in 0..lines {
            for (k, x) in row.iter_mut().enumerate() {
                *x = self.points.get(place(line, k)).copied().unwrap_or_default();
            }
            // de Casteljau at the middle: first and last of each level are the control points of the halves (NB A1.5).
            for level in 0..count {
                let last = count - 1 - level;
                let ends = (row.first().copied(), row.get(last).copied());
                if let (Some(to), Some(from)) = (first.points.get_mut(place(line, level)), ends.0) {
                    *to = from;
                }
                if let (Some(to), Some(from)) = (second.points.get_mut(place(line, last)), ends.1) {
                    *to = from;
                }
                for k in 0..last {
                    let next = row.get(k + 1).copied().unwrap_or_default();
                    if let Some(x) = row.get_mut(k) {
                        for (a, b) in x.iter_mut().zip(next) {
                            *a = 0.5 * (*a + b);
                        }
                    }
                }
            }
        }
        let (range_first, range_second) = if of_u { (&mut first.u, &mut second.u) } else { (&mut first.v, &mut second.v) };
        let middle = 0.5 * (range_first.low + range_first.high);
        range_first.high = middle;
        range_second.low = middle;
        [first, second]
    }
}

#[derive(Debug)]
enum What {
    Node(usize),
    Piece(Piece),
}

/// Something still to be looked at; the heap gives the least bound first, and of equal ones the earlier.
#[derive(Debug)]
struct Entry {
    bound: f64,
    order: usize,
    what: What,
}

impl Ord for Entry {
    fn cmp(&self, other: &Self) -> Ordering {
        other.bound.total_cmp(&self.bound).then(other.order.cmp(&self.order))
    }
}

impl PartialOrd for Entry {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Entry {}
