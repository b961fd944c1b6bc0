//! A border as the pairing sees it: a polyline to search in, and exact points on the surface's own trim.

use super::Border;
use super::segments::Segment;
use super::sheets::{Rim, Sheets, SideRef};
use crate::geometry::SideOrigin;
use crate::math::{Point3, Vec3};
use crate::model::PartId;

/// One side of one face's domain.
#[derive(Debug, Clone)]
pub struct Strand<'a> {
    /// Which side.
    pub at: SideRef,
    /// The side with its surface.
    pub rim: Rim<'a>,
    /// The part its face belongs to.
    pub part: PartId,
    /// Lowest share.
    pub low: f64,
    /// Highest share.
    pub high: f64,
    /// Length of the polyline, mm.
    pub length: f64,
    nodes: Vec<(f64, Point3)>,
}

/// An exact point of a strand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Share on the trim.
    pub share: f64,
    /// Position on the surface, mm.
    pub point: Point3,
    /// Unit direction of rising share; zero where the trim stands still.
    pub tangent: Vec3,
}

/// Fewest segments of a strand. Smaller: partners that meet only a part of it may be missed from its side; larger: slower.
const SEGMENTS: usize = 6;
/// Most places of a strand at which partners are looked for; shorter partners are found from their own side.
const PROBES: usize = 24;
/// How far a border may sag off its polyline, as a share of its length. Larger: more segments are looked at that lie
/// out of reach; smaller: more segments.
const SAG: f64 = 1e-3;
/// Times a segment may be halved for its sag.
const HALVINGS: u32 = 8;

impl<'a> Strand<'a> {
    /// The strand of a side. None for a side without length.
    pub fn new(sheets: &Sheets<'a>, at: SideRef) -> Option<Self> {
        let rim = sheets.rim(at)?;
        let (low, high) = rim.shares();
        let mut raw: Vec<(f64, Point3)> = rim.side.nodes().into_iter().map(|(s, uv)| (s, rim.surface.point(uv.u, uv.v))).collect();
        if rim.side.from > rim.side.to {
            raw.reverse();
        }
        if raw.iter().any(|n| !n.1.is_finite()) {
            return None;
        }
        let step = (high - low) / SEGMENTS as f64;
        let mut first: Vec<(f64, Point3)> = Vec::new();
        for &(share, point) in &raw {
            if let Some(&(before, _)) = first.last() {
                let parts = ((share - before) / step).ceil().clamp(1.0, SEGMENTS as f64) as usize;
                for i in 1..parts {
                    let s = before + (share - before) * (i as f64 / parts as f64);
                    first.push((s, rim.side.at(rim.surface, s).point));
                }
            }
            first.push((share, point));
        }
        let nodes = straightened(&rim, first);
        let length = nodes.windows(2).map(|w| w[0].1.distance(w[1].1)).sum();
        let part = sheets.face(at.face)?.part;
        (length > 0.0).then_some(Strand { at, rim, part, low, high, length, nodes })
    }

    /// The segments of the polyline, for the tree.
    pub fn segments(&self, strand: usize) -> impl Iterator<Item = Segment> {
        let sag = SAG * self.length;
        self.nodes.windows(2).enumerate().map(move |(node, w)| Segment { strand, node, a: w[0].1, b: w[1].1, sag })
    }

    /// Shares to look for partners at: middles of segments, never the ends, where neighbours meet.
    pub fn probes(&self) -> Vec<f64> {
        let n = self.nodes.len() - 1;
        let every = n.div_ceil(PROBES).max(1);
        self.nodes.windows(2).skip(every / 2).step_by(every).map(|w| 0.5 * (w[0].0 + w[1].0)).collect()
    }

    /// Estimate of the share at a share `t` of segment `node`.
    pub fn share_on(&self, node: usize, t: f64) -> f64 {
        match (self.nodes.get(node), self.nodes.get(node + 1)) {
            (Some(a), Some(b)) => a.0 + (b.0 - a.0) * t,
            _ => self.low,
        }
    }

    /// The exact point at a share.
    pub fn spot(&self, share: f64) -> Spot {
        let p = self.rim.side.at(self.rim.surface, share.clamp(self.low, self.high));
        Spot { share: p.s, point: p.point, tangent: p.tangent.try_normalize().unwrap_or(Vec3::ZERO) }
    }

    /// The closest point to `p` near a share, held to the strand.
    pub fn foot(&self, p: Point3, seed: f64) -> Spot {
        let q = self.rim.side.trim.closest(self.rim.surface, p, Some(seed.clamp(self.low, self.high)));
        if q.s < self.low || q.s > self.high {
            return self.spot(q.s);
        }
        Spot { share: q.s, point: q.point, tangent: q.tangent.try_normalize().unwrap_or(Vec3::ZERO) }
    }

    /// The closest point to `p` anywhere, from the nearest node.
    pub fn foot_anywhere(&self, p: Point3) -> Spot {
        let nearest = self.nodes.iter().min_by(|a, b| a.1.distance(p).total_cmp(&b.1.distance(p)));
        self.foot(p, nearest.map_or(self.low, |n| n.0))
    }

    /// The border at a share.
    pub fn border(&self, share: f64) -> Border {
        self.rim.border(share.clamp(self.low, self.high))
    }

    /// Length per share near the middle of the whole strand, mm: to turn lengths into shares.
    pub fn speed(&self) -> f64 {
        self.length / (self.high - self.low)
    }
}

/// The polyline with segments halved until the border lies within [`SAG`] of them.
fn straightened(rim: &Rim<'_>, first: Vec<(f64, Point3)>) -> Vec<(f64, Point3)> {
    let allowed = SAG * first.windows(2).map(|w| w[0].1.distance(w[1].1)).sum::<f64>();
    let mut nodes = Vec::with_capacity(first.len());
    let mut ahead: Vec<((f64, Point3), u32)> = first.into_iter().rev().map(|n| (n, HALVINGS)).collect();
    nodes.extend(ahead.pop().map(|n| n.0));
    while let (Some(&here), Some(&(next, left))) = (nodes.last(), ahead.last()) {
        let share = 0.5 * (here.0 + next.0);
        let middle = rim.side.at(rim.surface, share).point;
        let chord = next.1 - here.1;
        let off = (middle - here.1).cross(chord).length() / chord.length().max(f64::MIN_POSITIVE);
        // A border parametrised unevenly may have its middle off the chord's middle; only the sag counts.
        if left > 0 && off > allowed {
            if let Some(n) = ahead.last_mut() {
                n.1 = left - 1;
            }
            ahead.push(((share, middle), left - 1));
        } else {
            nodes.push(next);
            ahead.pop();
        }
    }
    nodes
}

impl Sheets<'_> {
    /// Length of all borders of a face, mm, to about 1e-5 relative; seams and poles left out.
    pub fn perimeter(&self, face: crate::model::FaceId) -> f64 {
        let Some(domain) = self.domain(face) else { return 0.0 };
        let sides = domain.loops.iter().enumerate().flat_map(|(l, d)| (0..d.sides.len()).map(move |s| (l, s)));
        let length = |(loop_index, side_index)| {
            let at = SideRef { face, loop_index, side_index };
            let origin = self.rim(at)?.side.origin;
            let border = matches!(origin, SideOrigin::Edge { .. } | SideOrigin::Natural);
            border.then(|| Strand::new(self, at)).flatten().map(|s| s.length)
        };
        sides.filter_map(length).sum()
    }
}
