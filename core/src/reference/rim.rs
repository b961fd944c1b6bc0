//! The borders of a face, as far as a nearest point may lie on them.

use crate::geometry::{Domain, DomainSide, SideOrigin, Surface};
use crate::math::{Point2, Point3, Vec3, real, root};

/// How far the straight lines between a side's nodes may lie off it, as a share of its length. Larger: more places next to the
/// border are looked at twice; smaller: more nodes.
const SAG: f64 = 2.5e-4;

/// Twice what trims promise of their polylines, as a share of their length: as near the border, those do not tell inside from outside.
const UNSURE: f64 = 1e-3;

/// Parts that a stretch between two nodes of a trim is cut into before its sag is looked at, and times a part may be halved. Smaller:
/// an S-bend between nodes goes unseen.
const PARTS: usize = 3;
const DEPTH: u32 = 7;

/// Share of a side within which its end is reached.
const AT_END: f64 = 1e-9;

/// A side of a domain as points, with the box round them.
#[derive(Debug, Clone)]
pub(super) struct Rim {
    side: (usize, usize),
    nodes: Vec<(f64, Point3)>,
    low: Vec3,
    high: Vec3,
    /// How far the nodes' lines may lie off the side, mm.
    pub(super) sag: f64,
}

/// The point of a face's border nearest to a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct RimFoot {
    pub(super) point: Point3,
    pub(super) uv: Point2,
    /// Unit direction of travel, the face on the left against Su × Sv.
    along: Vec3,
    /// The face's angle there, radians: a half turn but at corners.
    pub(super) angle: f64,
    pub(super) sag: f64,
}

impl Rim {
    /// The sides of a domain that are borders in space.
    pub(super) fn all(surface: &Surface, domain: &Domain) -> Vec<Rim> {
        let mut all = Vec::new();
        for (l, one) in domain.loops.iter().enumerate() {
            for (s, side) in one.sides.iter().enumerate() {
                if matches!(side.origin, SideOrigin::Seam | SideOrigin::Pole) {
                    continue;
                }
                let nodes = nodes(surface, side);
                let (mut low, mut high, mut length) = (Vec3::INFINITY, Vec3::NEG_INFINITY, 0.0);
                for (_, p) in &nodes {
                    (low, high) = (low.min(p.to_vec()), high.max(p.to_vec()));
                }
                for w in nodes.windows(2) {
                    length += w[0].1.distance(w[1].1);
                }
                if low.is_finite() && high.is_finite() && nodes.len() > 1 {
                    all.push(Rim { side: (l, s), nodes, low, high, sag: UNSURE * length });
                }
            }
        }
        all
    }

    /// No point of the side is nearer than this, mm.
    pub(super) fn at_least(&self, p: Point3) -> f64 {
        let at = p.to_vec();
        (self.low - at).max(at - self.high).max(Vec3::ZERO).length() - self.sag
    }

    /// Distance of the nodes' lines, mm, and the index of the nearest one.
    fn rough(&self, p: Point3) -> (f64, usize) {
        let mut best = (f64::INFINITY, 0);
        for (i, w) in self.nodes.windows(2).enumerate() {
            let (a, way) = (w[0].1, w[1].1 - w[0].1);
            let t = ((p - a).dot(way) / way.length_squared()).clamp(0.0, 1.0);
            let d = p.distance(if t.is_nan() { a } else { a + way * t });
            if d < best.0 {
                best = (d, i);
            }
        }
        best
    }
}

/// Places along a side, from its start to its end, so close that straight lines between them keep to it.
fn nodes(surface: &Surface, side: &DomainSide) -> Vec<(f64, Point3)> {
    // A trim straight in the parameter plane has no nodes between its ends, however it runs in space.
    let at = |s: f64| (s, side.at(surface, s).point);
    let stops = side.nodes();
    let mut rough = Vec::new();
    for w in stops.windows(2) {
        rough.extend((0..PARTS).map(|i| at(w[0].0 + (w[1].0 - w[0].0) * i as f64 / PARTS as f64)));
    }
    rough.extend(stops.last().map(|n| at(n.0)));
    let length: f64 = rough.windows(2).map(|w| w[0].1.distance(w[1].1)).sum();
    let mut all: Vec<(f64, Point3)> = rough.first().copied().into_iter().collect();
    for w in rough.windows(2) {
        halve(&at, w[0], w[1], SAG * length, DEPTH, &mut all);
    }
    all
}

fn halve(at: &impl Fn(f64) -> (f64, Point3), a: (f64, Point3), b: (f64, Point3), sag: f64, depth: u32, out: &mut Vec<(f64, Point3)>) {
    let middle = at(0.5 * (a.0 + b.0));
    if depth > 0 && middle.1.distance(a.1.lerp(b.1, 0.5)) > sag {
        halve(at, a, middle, sag, depth - 1, out);
        halve(at, middle, b, sag, depth - 1, out);
    } else {
        out.push(b);
    }
}

/// The nearest point of some rims of one face.
pub(super) fn nearest_on_rims<'a>(
    surface: &Surface,
    domain: &Domain,
    rims: impl IntoIterator<Item = &'a Rim>,
    p: Point3,
) -> Option<RimFoot> {
    let mut rough: Vec<(f64, usize, &Rim)> = Vec::new();
    let mut least = f64::INFINITY;
    for rim in rims {
        if rim.at_least(p) > least {
            continue;
        }
        let (d, at) = rim.rough(p);
        least = least.min(d + rim.sag);
        rough.push((d, at, rim));
    }
    let mut best: Option<(f64, RimFoot)> = None;
    for (_, at, rim) in rough.into_iter().filter(|r| r.0 - r.2.sag <= least) {
        let Some(foot) = on_side(surface, domain, rim, at, p) else { continue };
        let d = foot.point.distance(p);
        if best.as_ref().is_none_or(|b| d < b.0) {
            best = Some((d, foot));
        }
    }
    best.map(|b| b.1)
}

/// The foot on a side, next to the line between its nodes `at` and `at` + 1: where the way to `p` is square to it.
fn on_side(surface: &Surface, domain: &Domain, rim: &Rim, at: usize, p: Point3) -> Option<RimFoot> {
    let side = domain.loops.get(rim.side.0)?.sides.get(rim.side.1)?;
    let share = |i: usize| rim.nodes.get(i).or(rim.nodes.last()).map(|n| n.0);
    let (from, to) = (share(at.saturating_sub(1))?, share(at + 2)?);
    let towards = |s: f64| {
        let here = side.at(surface, s);
        (here.point - p).dot(here.tangent)
    };
    // Falling at one end and rising at the other: a least distance between. The nodes run as the loop does, shares may not.
    let (low, high) = (from.min(to), from.max(to));
    let (a, b) = (towards(low), towards(high));
    let s = if a >= 0.0 && b >= 0.0 {
        low
    } else if a <= 0.0 && b <= 0.0 {
        high
    } else if a < 0.0 {
        root((low, a), (high, b), 0.0, |s| Some(towards(s)).filter(|x| x.is_finite()))?
    } else {
        // A greatest distance between: one of the ends.
        let d = |s: f64| side.at(surface, s).point.distance(p);
        if d(low) <= d(high) { low } else { high }
    };
    let here = side.at(surface, s);
    let along = (if side.forward { here.tangent } else { -here.tangent }).try_normalize().unwrap_or(Vec3::ZERO);
    let span = (side.to - side.from).abs();
    let ends = [(s - side.from).abs() <= AT_END * span, (s - side.to).abs() <= AT_END * span];
    let angle = angle(surface, domain, rim.side, ends, here.uv);
    (here.point.is_finite()).then_some(RimFoot { point: here.point, uv: here.uv, along, angle, sag: rim.sag })
}

/// The angle of a face at a place of its border.
fn angle(surface: &Surface, domain: &Domain, (l, s): (usize, usize), [first, last]: [bool; 2], uv: Point2) -> f64 {
    let half = real::PI;
    if !first && !last {
        return half;
    }
    let of = || {
        let sides = &domain.loops.get(l)?.sides;
        let count = sides.len();
        let (before, after) = if first { ((s + count - 1) % count, s) } else { (s, (s + 1) % count) };
        let run = |side: &DomainSide, share: f64| {
            let t = side.at(surface, share).tangent;
            (if side.forward { t } else { -t }).try_normalize()
        };
        let (before, after) = (sides.get(before)?, sides.get(after)?);
        let (comes, goes) = (run(before, before.to)?, run(after, after.from)?);
        let n = surface.normal(uv.u, uv.v)?;
        Some(half - real::atan2(comes.cross(goes).dot(n), comes.dot(goes)))
    };
    of().unwrap_or(half)
}

impl RimFoot {
    /// True when a point of the surface near this foot lies on the face's side of the border.
    pub(super) fn is_inside(&self, surface: &Surface, at: Point3) -> bool {
        let Some(normal) = surface.normal(self.uv.u, self.uv.v) else { return false };
        (at - self.point).dot(normal.cross(self.along)) >= 0.0
    }
}
