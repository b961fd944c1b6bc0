//! Which faces have outlines that run beside each other across a gap.

use crate::joins::{Class, JoinGraph};
use crate::layout::{Boxes, Item};
use crate::math::{Point3, Vec3, distinct};
use crate::model::FaceId;
use std::collections::{BTreeMap, BTreeSet};

/// Outlines across gaps.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Beside {
    /// Pairs of faces, the lower id first.
    pub pairs: BTreeSet<(FaceId, FaceId)>,
    /// Indices of the outlines that take part, in the list of joins.
    pub outlines: BTreeSet<usize>,
}

/// Least length, as a multiple of the widest gap, along which two outlines must run beside each other. Larger: short gaps go
/// unseen; smaller: where corners come near each other, a gap is taken to be.
const LEAST: f64 = 2.0;

/// Least cosine between outlines that run beside each other. Larger: gaps that open go unseen; smaller: outlines that cross at a
/// corner count. Common practice, no source.
const PARALLEL: f64 = 0.7;

/// Pairs of faces that have outlines beside each other, at most `widest` mm apart. Faces that have a join between them, an open
/// one too, are left out: their edges should meet.
pub fn beside(graph: &JoinGraph, widest: f64) -> Beside {
    let mut all: Vec<Segment> = Vec::new();
    for (outline, join) in graph.joins.iter().enumerate().filter(|(_, j)| j.class == Class::Outline) {
        let Some(&face) = join.faces.first() else { continue };
        all.extend(join.stations.windows(2).map(|w| Segment { face, outline, from: w[0].p, to: w[1].p }));
    }
    let item = |(id, s): (usize, &Segment)| {
        let (a, b) = (s.from.to_vec(), s.to.to_vec());
        Item { low: a.min(b), high: a.max(b), id }
    };
    let boxes = Boxes::new(all.iter().enumerate().map(item).collect());
    let mut found: BTreeMap<(FaceId, FaceId), (f64, BTreeSet<usize>)> = BTreeMap::new();
    for s in &all {
        boxes.each_near(s.from.lerp(s.to, 0.5), widest + 0.5 * s.way().length(), |id| {
            let Some(t) = all.get(id).filter(|t| t.face > s.face) else { return };
            let length = s.along(t, widest);
            if length > 0.0 {
                let (sum, outlines) = found.entry((s.face, t.face)).or_default();
                *sum += length;
                outlines.extend([s.outline, t.outline]);
            }
        });
    }
    let joined = distinct(graph.joins.iter().filter_map(|join| match *join.faces.as_slice() {
        [a, b] => Some((a.min(b), a.max(b))),
        _ => None,
    }));
    let mut beside = Beside::default();
    let apart = |pair: &(FaceId, FaceId)| joined.binary_search(pair).is_err();
    for (pair, (_, outlines)) in found.into_iter().filter(|(pair, (length, _))| *length > LEAST * widest && apart(pair)) {
        beside.pairs.insert(pair);
        beside.outlines.extend(outlines);
    }
    beside
}

/// A piece of an outline between two stations.
struct Segment {
    face: FaceId,
    outline: usize,
    from: Point3,
    to: Point3,
}

impl Segment {
    fn way(&self) -> Vec3 {
        self.to - self.from
    }

    /// Length along which another one runs beside it, mm; 0 where it does not.
    fn along(&self, other: &Segment, widest: f64) -> f64 {
        let (Some(own), Some(its)) = (self.way().try_normalize(), other.way().try_normalize()) else { return 0.0 };
        if own.dot(its).abs() < PARALLEL {
            return 0.0;
        }
        let (a, b) = ((other.from - self.from).dot(own), (other.to - self.from).dot(own));
        let (low, high) = (a.min(b).max(0.0), a.max(b).min(self.way().length()));
        let middle = self.from + own * (0.5 * (low + high));
        let share = ((middle - other.from).dot(its) / other.way().length()).clamp(0.0, 1.0);
        let near = other.from.lerp(other.to, share).distance(middle) <= widest;
        if near { (high - low).max(0.0) } else { 0.0 }
    }
}
