//! The segments of all borders, and which of them lie near a point.

use crate::layout::{Boxes, Item};
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

/// Segments in a tree over their boxes.
#[derive(Debug, Clone)]
pub struct Segments {
    all: Vec<Segment>,
    boxes: Boxes,
}

impl Segments {
    /// Builds the tree. The order of results depends only on the order given.
    pub fn new(all: Vec<Segment>) -> Self {
        let items = all.iter().enumerate().map(|(id, s)| Item { low: s.low(), high: s.high(), id }).collect();
        Self { boxes: Boxes::new(items), all }
    }

    /// Calls `found` for every segment whose border may come within `radius` of `p`, with the distance to the segment.
    pub fn near(&self, p: Point3, radius: f64, mut found: impl FnMut(&Segment, f64)) {
        self.boxes.each_near(p, radius, |id| {
            if let Some((s, d)) = self.all.get(id).map(|s| (s, s.distance(p))).filter(|(s, d)| *d <= radius + s.sag) {
                found(s, d);
            }
        });
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
            Segments::new(segments).near(p, radius, |s, _| got.push(s.node));
            want.sort_unstable();
            got.sort_unstable();
            prop_assert_eq!(got, want);
        }
    }
}
