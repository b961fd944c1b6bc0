//! The triangles a stripe function is searched on: a face's own, halved where the function bends between two vertices.

use super::reading::{Reading, Sample};
use crate::geometry::{Domain, DomainSide, Surface};
use crate::highlight::{Family, LampRig, edges};
use crate::math::{Point2, Vec2};
use crate::tessellate::FaceMesh;
use std::collections::BTreeMap;

/// Times a side may be halved. Larger: a silhouette, where highlight lines run to infinity, is cut ever finer; smaller:
/// small closed stripes inside one triangle are missed.
const DEPTH: u8 = 6;

/// Share of the lamp spacing, and of the difference between two vertices, by which the function may bow off a straight
/// line between them before the side is halved. Larger: stripes that turn back inside a triangle are cut off; smaller:
/// triangles are halved where stripes run smoothly.
const BOW: f64 = 0.25;

/// Share of the lamp spacing by which the function may rise to an extremum between two vertices. Larger: the tips of
/// stripes are cut off; smaller: triangles without any stripe are halved.
const EXTREMUM: f64 = 0.02;

/// Most triangles a face may come to, as a multiple of those of its mesh, and at least [`LEAST`].
const GROWTH: usize = 16;
const LEAST: usize = 16_384;

/// A side between two vertices, lower number first.
pub(super) type Side = (u32, u32);

/// A stretch of a trim between two vertices on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OnTrim {
    /// Index among the loops of the domain.
    pub loop_index: usize,
    /// Index among that loop's sides.
    pub side_index: usize,
    /// Shares of the trim at the side's lower and higher vertex.
    pub shares: (f64, f64),
}

/// A vertex.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    /// Parameters.
    pub uv: Point2,
    /// The stripe function.
    pub sample: Sample,
}

/// Triangles with the stripe function at their vertices.
pub(super) struct Net<'a> {
    pub rig: &'a LampRig,
    pub surface: &'a Surface,
    pub domain: &'a Domain,
    pub vertices: Vec<Vertex>,
    pub triangles: Vec<[u32; 3]>,
    pub borders: BTreeMap<Side, OnTrim>,
    /// Lowest and highest value at which a stripe has an edge; None where no vertex comes near one.
    range: Option<(f64, f64)>,
    /// True when halving stopped at the cap, so that small stripes may be missing.
    pub capped: bool,
}

/// The side between two vertices.
pub(super) fn side(a: u32, b: u32) -> Side {
    (a.min(b), a.max(b))
}

impl<'a> Net<'a> {
    /// Reads the function at all vertices of a mesh, and halves sides until it is tame between them.
    pub fn new(rig: &'a LampRig, surface: &'a Surface, domain: &'a Domain, mesh: &FaceMesh) -> Self {
        let mut net = Self {
            rig,
            surface,
            domain,
            vertices: Vec::new(),
            triangles: mesh.triangles.clone(),
            borders: BTreeMap::new(),
            range: None,
            capped: false,
        };
        net.vertices = mesh.uv.iter().map(|&uv| net.vertex(uv)).collect();
        net.range = range(rig, &net.vertices);
        net.lay_borders(mesh);
        net.halve(LEAST.max(GROWTH * mesh.triangles.len()));
        net
    }

    /// The function at a parameter point.
    pub fn sample(&self, uv: Point2) -> Sample {
        Sample::at(self.rig, &self.surface.derivs(uv.u, uv.v, 3))
    }

    /// Lowest and highest value at which a stripe has an edge; None where there is none near.
    pub fn range(&self) -> Option<(f64, f64)> {
        self.range
    }

    /// The domain's side behind a border.
    pub fn trim(&self, on: &OnTrim) -> Option<&'a DomainSide> {
        self.domain.loops.get(on.loop_index)?.sides.get(on.side_index)
    }

    fn vertex(&self, uv: Point2) -> Vertex {
        Vertex { uv, sample: self.sample(uv) }
    }

    /// Lays the mesh's border sides on the trims they were sampled from.
    fn lay_borders(&mut self, mesh: &FaceMesh) {
        for border in &mesh.borders {
            let (loop_index, side_index) = border.side;
            let Some(trim) = self.domain.loops.get(loop_index).and_then(|l| l.sides.get(side_index)) else { continue };
            let nodes = trim.nodes();
            let shares: Vec<Option<f64>> =
                border.vertices.iter().map(|&n| mesh.uv.get(n as usize).and_then(|&uv| share_of(&nodes, uv))).collect();
            for (pair, s) in border.vertices.windows(2).zip(shares.windows(2)) {
                if let ([a, b], [Some(sa), Some(sb)]) = (pair, s) {
                    let shares = if a < b { (*sa, *sb) } else { (*sb, *sa) };
                    self.borders.insert(side(*a, *b), OnTrim { loop_index, side_index, shares });
                }
            }
        }
    }

    fn halve(&mut self, most: usize) {
        let mut middles: BTreeMap<Side, Option<u32>> = BTreeMap::new();
        let mut work: Vec<([u32; 3], u8)> = core::mem::take(&mut self.triangles).into_iter().map(|t| (t, 0)).collect();
        while let Some((t, depth)) = work.pop() {
            if depth >= DEPTH || self.triangles.len() + work.len() >= most {
                // A neighbour may have halved a side of this one all the same: it must follow, or stripes break.
                self.capped |= depth < DEPTH;
                match self.parts(t, |_, s| middles.get(&s).copied().flatten()) {
                    parts if parts.len() > 1 => work.extend(parts.into_iter().map(|p| (p, DEPTH))),
                    _ => self.triangles.push(t),
                }
                continue;
            }
            let parts = self.parts(t, |net, s| match middles.get(&s) {
                Some(m) => *m,
                None => {
                    let middle = net.is_wild(s).then(|| net.middle(s));
                    middles.insert(s, middle);
                    middle
                }
            });
            match parts.len() {
                1 => self.triangles.push(t),
                _ => work.extend(parts.into_iter().map(|p| (p, depth + 1))),
            }
        }
        // Sides halved after their first triangle was done.
        let mut done = false;
        while !done {
            done = true;
            for t in core::mem::take(&mut self.triangles) {
                let parts = self.parts(t, |_, s| middles.get(&s).copied().flatten());
                done &= parts.len() == 1;
                self.triangles.extend(parts);
            }
        }
    }

    /// A triangle cut at the middles of its sides.
    fn parts(&mut self, [a, b, c]: [u32; 3], mut middle: impl FnMut(&mut Self, Side) -> Option<u32>) -> Vec<[u32; 3]> {
        let on = [middle(self, side(a, b)), middle(self, side(b, c)), middle(self, side(c, a))];
        match on {
            [None, None, None] => vec![[a, b, c]],
            [Some(x), Some(y), Some(z)] => vec![[a, x, z], [x, b, y], [z, y, c], [x, y, z]],
            [Some(x), None, None] => vec![[a, x, c], [x, b, c]],
            [None, Some(y), None] => vec![[b, y, a], [y, c, a]],
            [None, None, Some(z)] => vec![[c, z, b], [z, a, b]],
            [Some(x), Some(y), None] => vec![[x, b, y], [a, x, y], [a, y, c]],
            [None, Some(y), Some(z)] => vec![[y, c, z], [b, y, z], [b, z, a]],
            [Some(x), None, Some(z)] => vec![[z, a, x], [c, z, x], [c, x, b]],
        }
    }

    /// True when the function between two vertices is not told by its values there.
    fn is_wild(&self, s: Side) -> bool {
        let (Some(a), Some(b)) = (self.vertices.get(s.0 as usize), self.vertices.get(s.1 as usize)) else { return false };
        let Some((lowest, highest)) = self.range else { return false };
        let sign = |v: &Vertex, c: f64| v.sample.excess(c).map(|x| x >= 0.0);
        let crossed = [lowest, highest].iter().any(|&c| sign(a, c) != sign(b, c));
        let (Some(x), Some(y)) = (a.sample.reading, b.sample.reading) else { return crossed };
        if a.sample.is_facing() != b.sample.is_facing() {
            return crossed;
        }
        let way: Vec2 = b.uv - a.uv;
        let slope = |r: &Reading| r.f.u * way.x + r.f.v * way.y;
        let (ga, gb) = (slope(&x), slope(&y));
        if !(ga.is_finite() && gb.is_finite()) {
            // The apex of the isophotes.
            return true;
        }
        // How far the cubic through both values and slopes (Hermite) leaves the straight line half way.
        let (bow, rise) = (((ga - gb) / 8.0).abs(), (y.f.f - x.f.f).abs());
        if x.f.f.max(y.f.f) + bow < lowest || x.f.f.min(y.f.f) - bow > highest {
            return false;
        }
        // Monotone cubics: Fritsch & Carlson, SIAM J. Numer. Anal. 17(2), 1980.
        let turns = ga * gb < 0.0 || ga.abs().max(gb.abs()) > 3.0 * rise;
        (turns && bow > EXTREMUM * self.rig.spacing) || (bow > BOW * self.rig.spacing && bow > BOW * rise)
    }

    /// A new vertex half way along a side, on the trim where the side is a piece of border.
    fn middle(&mut self, s: Side) -> u32 {
        let number = self.vertices.len() as u32;
        let at = |n: u32| self.vertices.get(n as usize).map_or(Point2::default(), |v| v.uv);
        let (a, b) = (at(s.0), at(s.1));
        let mut uv = Point2::new(0.5 * (a.u + b.u), 0.5 * (a.v + b.v));
        if let Some(on) = self.borders.get(&s).copied()
            && let Some(trim) = self.trim(&on)
        {
            let share = 0.5 * (on.shares.0 + on.shares.1);
            uv = trim.uv(self.surface, share);
            // The new vertex has the highest number.
            self.borders.insert((s.0, number), OnTrim { shares: (on.shares.0, share), ..on });
            self.borders.insert((s.1, number), OnTrim { shares: (on.shares.1, share), ..on });
        }
        let vertex = self.vertex(uv);
        self.vertices.push(vertex);
        number
    }
}

/// Lowest and highest edge of the stripes near the values at the vertices. Lamps in a plane are few; angles end at π/2.
fn range(rig: &LampRig, vertices: &[Vertex]) -> Option<(f64, f64)> {
    let ends = match rig.family {
        Family::Isophote => {
            let values = || vertices.iter().filter_map(|v| v.sample.reading.map(|r| r.f.f));
            let (low, high) = (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
            // One stripe more on either side, which an extremum between vertices may reach.
            edges(rig, low - rig.spacing, high + rig.spacing)
        }
        _ => {
            let reach = f64::from(rig.count) * rig.spacing;
            edges(rig, -reach, reach)
        }
    };
    Some((*ends.first()?, *ends.last()?))
}

/// Share of the trim at the place of its polyline nearest to a parameter point.
pub(crate) fn share_of(nodes: &[(f64, Point2)], uv: Point2) -> Option<f64> {
    let near = nodes.windows(2).map(|w| {
        let (a, b) = (w[0].1, w[1].1);
        let (way, to) = (b - a, uv - a);
        let square = way.length_squared();
        let t = if square > 0.0 { (to.dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
        ((to - way * t).length_squared(), w[0].0 + (w[1].0 - w[0].0) * t)
    });
    near.min_by(|x, y| x.0.total_cmp(&y.0)).map(|n| n.1)
}
