//! Plane sections of triangle meshes.

use super::whole::Shape;
use super::{MeshIndex, Reference};
use crate::flow::chains;
use crate::math::Point3;
use crate::section::Plane;
use std::collections::BTreeMap;

/// A section of a mesh from end to end.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshLine {
    /// Its corners, mm, each on a side of a triangle; of a closed one the first comes again at the end.
    pub points: Vec<Point3>,
    /// True when it runs back into itself.
    pub closed: bool,
}

/// The curves in which a plane cuts a mesh, each triangle in one straight piece. Corners in the plane count as above it, so that no
/// piece comes twice; triangles that lie in the plane have none.
pub fn mesh_section(plane: &Plane, mesh: &MeshIndex) -> Vec<MeshLine> {
    let (points, triangles) = mesh.parts();
    cut(plane, points, triangles)
}

impl Reference {
    /// The curves in which a plane cuts it: of a model those of its faces' triangles, face by face, to be seen beside others and not
    /// to be measured.
    pub fn section(&self, plane: &Plane) -> Vec<MeshLine> {
        match &self.shape {
            Shape::Mesh(mesh) => mesh_section(plane, mesh),
            Shape::Model(held) => {
                let of = |face| {
                    let (points, triangles) = held.index.mesh(face);
                    cut(plane, points, triangles)
                };
                held.index.faces().flat_map(of).collect()
            }
        }
    }
}

fn cut(plane: &Plane, points: &[Point3], triangles: &[[u32; 3]]) -> Vec<MeshLine> {
    let heights: Vec<f64> = points.iter().map(|p| plane.distance(*p)).collect();
    let height = |n: u32| heights.get(n as usize).copied().unwrap_or(f64::NAN);
    let above = |n: u32| height(n) >= 0.0;
    let mut numbers: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    let mut places: Vec<Point3> = Vec::new();
    let mut pairs = Vec::new();
    for &[a, b, c] in triangles {
        let mut met = [0; 2];
        let mut count = 0;
        for (p, q) in [(a, b), (b, c), (c, a)] {
            if above(p) == above(q) {
                continue;
            }
            // All sides that end in a corner in the plane meet it in that corner.
            let (low, high) = match (height(p) == 0.0, height(q) == 0.0) {
                (true, _) => (p, p),
                (_, true) => (q, q),
                _ => (p.min(q), p.max(q)),
            };
            let number = *numbers.entry((low, high)).or_insert_with(|| {
                let at = |n: u32| points.get(n as usize).copied().unwrap_or_default();
                let share = if low == high { 0.0 } else { height(low) / (height(low) - height(high)) };
                places.push(at(low).lerp(at(high), share));
                u32::try_from(places.len() - 1).unwrap_or(u32::MAX)
            });
            if let Some(slot) = met.get_mut(count) {
                *slot = number;
            }
            count += 1;
        }
        if count == 2 {
            pairs.push((met[0], met[1]));
        }
    }
    let line = |chain: Vec<u32>| MeshLine {
        closed: chain.len() > 2 && chain.first() == chain.last(),
        points: chain.iter().filter_map(|n| places.get(*n as usize)).copied().filter(|p| p.is_finite()).collect(),
    };
    chains(&pairs).into_iter().map(line).filter(|l| l.points.len() > 1).collect()
}
