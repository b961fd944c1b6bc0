//! Samples one edge, or one side without an edge, finely enough for every face that uses it.

use super::Tolerance;
use super::chord::distance_to_segment;
use crate::geometry::{DomainSide, SideOrigin, Surface};
use crate::math::{Arrange, Point2, Point3, Vec3, real};
use crate::model::Edge;

/// A path in space with the sides of faces that run along it.
pub(super) struct Track<'a> {
    /// The edge with its end vertices; none for a side on its own, which then is the only user.
    pub edge: Option<EdgePath<'a>>,
    /// Sides that run along the path.
    pub users: Vec<User<'a>>,
    /// Shares where the path may bend sharply, rising.
    breaks: Vec<f64>,
}

/// An edge and where its ends are to stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgePath<'a> {
    /// The edge.
    pub edge: &'a Edge,
    /// Position at share 0, mm.
    pub start: Point3,
    /// Position at share 1, mm.
    pub end: Point3,
}

/// A side of a face along a track.
#[derive(Debug, Clone, Copy)]
pub(super) struct User<'a> {
    /// The face's surface.
    pub surface: &'a Surface,
    /// The side.
    pub side: &'a DomainSide,
    /// True for the second side at a seam, which runs against the first.
    pub against: bool,
    /// True when the whole side is one point in space.
    pub pole: bool,
}

/// A sample of a track.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    /// Share of the track.
    pub share: f64,
    /// Position common to all users, mm.
    pub point: Point3,
    /// Unit direction of the path before and after; zero where it stands still.
    pub along: [Vec3; 2],
    /// Each user's own point; none where its side does not reach.
    pub feet: Vec<Option<Foot>>,
}

/// A user's point at a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Foot {
    /// Share of its trim.
    pub trim: f64,
    /// Parameters, whole periods added.
    pub uv: Point2,
    /// Its own surface point, mm.
    pub on: Point3,
    /// The normal before and after; on a pole's side, where it does not change, the direction that leads away from the
    /// pole.
    pub facing: [Option<Vec3>; 2],
}

/// Halvings of one piece. Larger: a cusp fills memory. Smaller: long edges with a short bend stay coarse.
const DEPTH: usize = 14;

/// Pieces a closed edge starts with. Fewer than three would enclose nothing.
const CLOSED_PIECES: usize = 6;

/// Share of the chord limit that borders may use. Larger: a facet beside the border, which cannot be refined without
/// parting the border, exceeds the limit. Smaller: more border points than the grid inside has use for.
const BORDER_SHARE: f64 = 0.5;

/// Shares closer than this are one. Larger: short spans are passed over. Smaller: samples of one place, apart by rounding.
const SEPARATE: f64 = 1e-9;

/// How far before and after a break directions are taken. Larger: the bend itself is missed on short spans. Smaller: the
/// directions are those at the break, where only one of the two sides is evaluated.
const ASIDE: f64 = 1e-7;

/// Breaks looked at inside one piece. Larger: edges of many spans cost more. Smaller: a short wave may go unseen.
const PROBES: usize = 7;

impl<'a> Track<'a> {
    /// A track along an edge, or for sides on their own.
    pub fn new(edge: Option<EdgePath<'a>>, users: Vec<User<'a>>) -> Self {
        Self { edge, users, breaks: Self::find_breaks(edge) }
    }

    /// Samples so that chords keep the chord limit, on every user's surface too, and directions and normals the
    /// angle limit. Rising shares, 0 and 1 included.
    pub fn sample(&self, tolerance: &Tolerance) -> Vec<Node> {
        let tolerance = &Tolerance { chord: BORDER_SHARE * tolerance.chord, ..*tolerance };
        let bridge = self.users.iter().all(|u| u.side.origin == SideOrigin::Bridge);
        let closed = self.edge.is_some_and(|e| e.edge.start == e.edge.end);
        let pieces = if closed { CLOSED_PIECES } else { 1 };
        let mut shares: Vec<f64> = (0..=pieces).map(|k| k as f64 / pieces as f64).collect();
        if self.edge.is_some() {
            // Where a side ends on the way (the edge passes a pole or the seam of a patch) there must be a sample.
            shares.extend(self.users.iter().flat_map(|u| [u.side.from, u.side.to]).filter(|s| *s > 0.0 && *s < 1.0));
            shares.arrange_by(f64::total_cmp);
            shares.dedup_by(|b, a| *b - *a <= SEPARATE);
        }
        let (Some(first), Some(last)) = (self.node(0.0, None), self.node(1.0, None)) else { return Vec::new() };
        let ends = (first.clone(), last.clone());
        let mut nodes = vec![first];
        for &share in shares.iter().skip(1) {
            let next = if share == 1.0 { Some(last.clone()) } else { self.node(share, Some((&ends.0, &ends.1))) };
            let (Some(next), Some(from)) = (next, nodes.last().cloned()) else { continue };
            if !bridge {
                self.between(&from, &next, tolerance, DEPTH, &mut nodes);
            }
            nodes.push(next);
        }
        nodes
    }

    /// A sample between two others, halfway.
    pub fn halfway(&self, a: &Node, b: &Node) -> Option<Node> {
        self.node(0.5 * (a.share + b.share), Some((a, b)))
    }

    /// Adds the samples wanted strictly between two.
    fn between(&self, a: &Node, b: &Node, tolerance: &Tolerance, depth: usize, nodes: &mut Vec<Node>) {
        let Some(split) = self.split(a, b, tolerance) else { return };
        if depth == 0 {
            return;
        }
        self.between(a, &split, tolerance, depth - 1, nodes);
        nodes.push(split.clone());
        self.between(&split, b, tolerance, depth - 1, nodes);
    }

    /// The sample at which a piece must be split; none when it keeps the limits.
    fn split(&self, a: &Node, b: &Node, tolerance: &Tolerance) -> Option<Node> {
        let middle = self.halfway(a, b)?;
        if middle.share <= a.share || middle.share >= b.share {
            return None;
        }
        let inner: Vec<f64> = self.breaks.iter().copied().filter(|&s| s > a.share + SEPARATE && s < b.share - SEPARATE).collect();
        let stride = inner.len().div_ceil(PROBES).max(1);
        let over = |n: &Node| self.excess(a, n, b, tolerance) > 1.0;
        let probe = |&share: &f64| self.node(share, Some((a, b)));
        if !over(&middle) && !inner.iter().step_by(stride).filter_map(probe).any(|n| over(&n)) {
            return None;
        }
        // At the middlemost break: bends come to stand at samples, and halves stay halves.
        inner.get(inner.len() / 2).and_then(probe).or(Some(middle))
    }

    /// By what factor the piece a–b exceeds a limit, judged at the sample `m` inside it.
    fn excess(&self, a: &Node, m: &Node, b: &Node, tolerance: &Tolerance) -> f64 {
        let length = a.point.distance(b.point);
        let mut worst = distance_to_segment(m.point, a.point, b.point) / tolerance.chord;
        let visible = a.point.distance(m.point) + m.point.distance(b.point) > 2.0 * tolerance.chord;
        let turn = |x: Vec3, y: Vec3| if x == Vec3::ZERO || y == Vec3::ZERO { 0.0 } else { real::angle_between(x, y) };
        let half_turn = turn(a.along[1], m.along[0]).max(turn(m.along[1], b.along[0]));
        // Sag of a half, were it an arc: tells a wave that crosses its own chord in the middle.
        worst = worst.max(length * half_turn / (16.0 * tolerance.chord));
        if visible {
            worst = worst.max(half_turn.max(turn(a.along[1], b.along[0])) / tolerance.angle);
        }
        for (user, ((fa, fm), fb)) in self.users.iter().zip(a.feet.iter().zip(&m.feet).zip(&b.feet)) {
            let (Some(fa), Some(fm), Some(fb)) = (fa, fm, fb) else { continue };
            let pole = user.pole;
            if visible || pole {
                let turned = |x: &Foot, y: &Foot| x.facing[1].zip(y.facing[0]).map_or(0.0, |(x, y)| real::angle_between(x, y));
                // Ends alone would miss a whole turn, as around a pole.
                worst = worst.max(turned(fa, fm).max(turned(fm, fb)).max(turned(fa, fb)) / tolerance.angle);
            }
            if !pole {
                // The straight line in (u, v) that the triangles will know must not leave the chord either.
                let uv = (fa.uv.to_vec() + fb.uv.to_vec()) * 0.5;
                let off = distance_to_segment(user.surface.point(uv.x, uv.y), a.point, b.point);
                worst = worst.max((off - fm.on.distance(m.point)) / tolerance.chord);
            }
        }
        if worst.is_finite() { worst } else { 0.0 }
    }

    fn is_break(&self, share: f64) -> bool {
        self.breaks.binary_search_by(|b| b.total_cmp(&share)).is_ok()
    }

    /// Shares where the path may bend sharply, rising.
    fn find_breaks(edge: Option<EdgePath>) -> Vec<f64> {
        match edge {
            Some(path) => {
                let e = path.edge;
                let to_share = |t: f64| (t - e.t0) / (e.t1 - e.t0);
                let mut all: Vec<f64> = e.curve.breaks_between(e.t0, e.t1).into_iter().map(to_share).collect();
                all.arrange_by(f64::total_cmp);
                all
            }
            None => Vec::new(),
        }
    }

    /// The sample at a share; `around` gives samples on both sides to seed the search for feet. None when the path or a
    /// foot is not finite.
    fn node(&self, share: f64, around: Option<(&Node, &Node)>) -> Option<Node> {
        let Some(path) = self.edge else { return self.own_node(share) };
        let point = if share <= 0.0 {
            path.start
        } else if share >= 1.0 {
            path.end
        } else {
            path.edge.point(share)
        };
        let aside = if self.is_break(share) { ASIDE } else { 0.0 };
        let along = [share - aside, share + aside].map(|s| path.edge.tangent(s).try_normalize().unwrap_or(Vec3::ZERO));
        let foot = |(k, user): (usize, &User)| {
            let at = |node: &Node| node.feet.get(k).copied().flatten().map(|f| (node.share, f.trim));
            let mut foot = user.foot(share, point, around.and_then(|(a, b)| at(a).zip(at(b))))?;
            if aside > 0.0 {
                foot.facing = [foot.trim - aside, foot.trim + aside].map(|s| user.foot_at(s).facing[0]);
            }
            Some(foot)
        };
        let feet: Vec<Option<Foot>> = self.users.iter().enumerate().map(foot).collect();
        let sound = point.is_finite() && feet.iter().flatten().all(|f| f.uv.is_finite() && f.on.is_finite());
        sound.then_some(Node { share, point, along, feet })
    }

    fn own_node(&self, share: f64) -> Option<Node> {
        let user = self.users.first()?;
        let trim = |user: &User| {
            let s = if user.against { 1.0 - share } else { share };
            user.side.from * (1.0 - s) + user.side.to * s
        };
        let feet: Vec<Foot> = self.users.iter().map(|u| u.foot_at(trim(u))).collect();
        let point = feet.first()?.on;
        let along = user.side.at(user.surface, trim(user)).tangent.try_normalize().unwrap_or(Vec3::ZERO);
        let sound = feet.iter().all(|f| f.uv.is_finite() && f.on.is_finite());
        sound.then(|| Node { share, point, along: [along; 2], feet: feet.into_iter().map(Some).collect() })
    }
}

impl<'a> User<'a> {
    /// A side of a face on a surface.
    pub fn new(surface: &'a Surface, side: &'a DomainSide) -> Self {
        let user = Self { surface, side, against: false, pole: side.origin == SideOrigin::Pole };
        let free = matches!(side.origin, SideOrigin::Natural | SideOrigin::Seam);
        Self { pole: user.pole || (free && user.is_one_point()), ..user }
    }

    /// Surface points at the start, middle and end of the side.
    pub fn marks(&self) -> [Point3; 3] {
        [0.0, 0.5, 1.0].map(|s| self.side.at(self.surface, self.side.from * (1.0 - s) + self.side.to * s).point)
    }

    fn is_one_point(&self) -> bool {
        let [a, b, c] = self.marks();
        same_place(a, b) && same_place(b, c)
    }

    /// This side's point for an edge point: the same share of the edge's own feet, the closest point of a
    /// parameter-plane curve. `around`: shares of edge and trim at samples on both sides.
    fn foot(&self, share: f64, point: Point3, around: Option<((f64, f64), (f64, f64))>) -> Option<Foot> {
        let (low, high) = (self.side.from.min(self.side.to), self.side.from.max(self.side.to));
        if share < low || share > high {
            return None;
        }
        if !self.side.trim.is_pcurve() || share == low || share == high {
            return Some(self.foot_at(share));
        }
        let ((s0, t0), (s1, t1)) = around.unwrap_or(((low, low), (high, high)));
        let seed = if s1 > s0 { t0 + (t1 - t0) * (share - s0) / (s1 - s0) } else { share };
        let start = self.side.at(self.surface, seed);
        // Both curves are swept evenly more often than not: then there is nothing to search.
        if start.point.distance(point) <= 1e-9 * (1.0 + point.to_vec().abs().max_element()) {
            return Some(self.foot_at(seed));
        }
        let found = self.side.trim.closest(self.surface, point, Some(seed));
        // A foot outside the neighbours' stretch, or further off, has slid to another branch.
        let sound = found.s > t0 && found.s < t1 && found.point.distance(point) <= start.point.distance(point);
        Some(self.foot_at(if sound { found.s } else { seed }))
    }

    fn foot_at(&self, trim: f64) -> Foot {
        let uv = self.side.uv(self.surface, trim);
        let d = self.surface.derivs(uv.u, uv.v, 1);
        let facing = if self.pole {
            let away = if d.su.length_squared() > d.sv.length_squared() { d.su } else { d.sv };
            away.try_normalize()
        } else {
            let cross = d.su.cross(d.sv);
            (cross.length() > 1e-9 * d.su.length() * d.sv.length()).then(|| cross.try_normalize()).flatten()
        };
        Foot { trim, uv, on: d.s, facing: [facing; 2] }
    }
}

/// True when two points differ by no more than rounding of their coordinates.
pub(super) fn same_place(a: Point3, b: Point3) -> bool {
    a.distance(b) <= 1e-9 * (1.0 + a.to_vec().abs().max_element())
}
