//! The edges of a face with their lengths.

use super::sheets::{Sheets, SideRef};
use super::strand::Strand;
use crate::geometry::SideOrigin;
use crate::math::Point3;
use crate::model::FaceId;
use std::collections::BTreeMap;

/// One edge of a face, whole even where a pole or a seam cuts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceEdge {
    /// Arc length on the surface, mm, to about 1e-5 relative.
    pub length: f64,
    /// A point half way along its longest piece.
    pub middle: Point3,
}

impl Sheets<'_> {
    /// The edges of a face in the order of its loops; the natural borders of an untrimmed patch count as edges, seams, poles and
    /// bridges over gaps do not.
    pub fn edges(&self, face: FaceId) -> Vec<FaceEdge> {
        let Some(domain) = self.domain(face) else { return Vec::new() };
        let mut all: BTreeMap<(usize, usize, bool), (f64, f64, Point3)> = BTreeMap::new();
        for (loop_index, l) in domain.loops.iter().enumerate() {
            for (side_index, side) in l.sides.iter().enumerate() {
                let key = match side.origin {
                    SideOrigin::Edge { loop_index, use_index } => (loop_index, use_index, true),
                    SideOrigin::Natural => (loop_index, side_index, false),
                    SideOrigin::Seam | SideOrigin::Pole | SideOrigin::Bridge => continue,
                };
                let Some(strand) = Strand::new(self, SideRef { face, loop_index, side_index }) else { continue };
                let middle = strand.spot(0.5 * (strand.low + strand.high)).point;
                let (length, longest, at) = all.entry(key).or_insert((0.0, 0.0, middle));
                *length += strand.length;
                if strand.length > *longest {
                    (*longest, *at) = (strand.length, middle);
                }
            }
        }
        all.into_values().map(|(length, _, middle)| FaceEdge { length, middle }).collect()
    }

    /// How many sides of a face have shrunk to a point.
    pub fn collapsed_sides(&self, face: FaceId) -> usize {
        let sides = self.domain(face).into_iter().flat_map(|d| &d.loops).flat_map(|l| &l.sides);
        sides.filter(|s| s.origin == SideOrigin::Pole).count()
    }
}
