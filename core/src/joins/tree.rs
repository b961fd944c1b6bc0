//! A box tree over the segments of all borders: which ones lie near a point.

use crate::math::{Point3, Vec3};

/// A segment of a border's polyline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Index of the strand.
    pub strand: usize,
    /// Index of its first node.
    pub node: usize,
    /// First end.
    pub a: Point3,
    /// Second end.
    pub b: Point3,
    /// How far the border may lie off the segment, mm.
    pub sag: f64,
}

/// A static tree of axis-parallel boxes, halved at the median of the longest side. Building costs n log² n, a
/// query log n plus what it finds.
#[derive(Debug, Clone)]
pub struct Tree {
    segments: Vec<Segment>,
    /// Boxes as an implicit binary tree over ranges of `segments`.
    nodes: Vec<Node>,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    low: Vec3,
    high: Vec3,
    first: usize,
    count: usize,
    /// Index of the second child; the first follows its parent. 0 for a leaf.
    right: usize,
}

/// Segments in a leaf. Larger: more distances per query; smaller: more boxes.
const LEAF: usize = 4;

impl Tree {
    /// Builds the tree. The order of results depends only on the order given.
    pub fn new(mut segments: Vec<Segment>) -> Self {
        let mut nodes = Vec::new();
        let count = segments.len();
        build(&mut segments, 0, count, &mut nodes);
        Self { segments, nodes }
    }

    /// Calls `found` for every segment whose border may come within `radius` of `p`, with the distance to the segment.
    pub fn near(&self, p: Point3, radius: f64, mut found: impl FnMut(&Segment, f64)) {
        let at = p.to_vec();
        let mut open = vec![0usize];
        while let Some(i) = open.pop() {
            let Some(node) = self.nodes.get(i) else { continue };
            let outside = (node.low - at).max(at - node.high).max(Vec3::ZERO);
            if outside.length() > radius {
                continue;
            }
            if node.right > 0 {
                open.push(node.right);
                open.push(i + 1);
                continue;
            }
            for s in self.segments.iter().skip(node.first).take(node.count) {
                let d = s.distance(p);
                if d <= radius + s.sag {
                    found(s, d);
                }
            }
        }
    }
}

impl Segment {
    /// Share of the segment, 0 to 1, of its point closest to `p`.
    pub fn share(&self, p: Point3) -> f64 {
        let d = self.b - self.a;
        let l = d.length_squared();
        if l > 0.0 { ((p - self.a).dot(d) / l).clamp(0.0, 1.0) } else { 0.0 }
    }

    fn distance(&self, p: Point3) -> f64 {
        self.a.lerp(self.b, self.share(p)).distance(p)
    }

    fn low(&self) -> Vec3 {
        self.a.to_vec().min(self.b.to_vec()) - Vec3::splat(self.sag)
    }

    fn high(&self) -> Vec3 {
        self.a.to_vec().max(self.b.to_vec()) + Vec3::splat(self.sag)
    }
}

fn build(all: &mut [Segment], first: usize, count: usize, nodes: &mut Vec<Node>) {
    let Some(part) = all.get_mut(first..first + count) else { return };
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for s in part.iter() {
        (low, high) = (low.min(s.low()), high.max(s.high()));
    }
    let here = nodes.len();
    nodes.push(Node { low, high, first, count, right: 0 });
    if count <= LEAF {
        return;
    }
    let size = high - low;
    let axis = if size.x >= size.y && size.x >= size.z {
        0
    } else if size.y >= size.z {
        1
    } else {
        2
    };
    let key = |s: &Segment| (s.low() + s.high()).to_array()[axis];
    part.sort_by(|x, y| key(x).total_cmp(&key(y)).then((x.strand, x.node).cmp(&(y.strand, y.node))));
    let half = count / 2;
    build(all, first, half, nodes);
    let right = nodes.len();
    if let Some(node) = nodes.get_mut(here) {
        node.right = right;
    }
    build(all, first + half, count - half, nodes);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The obviously right twin: every segment against the point.
        #[test]
        fn finds_what_looking_at_all_finds(
            ends in proptest::collection::vec(proptest::array::uniform6(-10.0f64..10.0), 0..80),
            p in proptest::array::uniform3(-12.0f64..12.0), radius in 0.0f64..6.0,
        ) {
            let p = Point3::new(p[0], p[1], p[2]);
            let segments: Vec<Segment> = ends.iter().enumerate().map(|(i, e)| Segment {
                strand: i / 3, node: i, a: Point3::new(e[0], e[1], e[2]), b: Point3::new(e[3], e[4], e[5]), sag: 0.1 * (i % 4) as f64,
            }).collect();
            let mut want: Vec<usize> = segments.iter().filter(|s| s.distance(p) <= radius + s.sag).map(|s| s.node).collect();
            let mut got = Vec::new();
            Tree::new(segments).near(p, radius, |s, _| got.push(s.node));
            want.sort_unstable();
            got.sort_unstable();
            prop_assert_eq!(got, want);
        }
    }
}
