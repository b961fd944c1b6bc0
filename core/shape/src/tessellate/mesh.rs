//! The triangles of a face.

use super::Tolerance;
use super::fill::{Fill, FillError, fill};
use super::region::Region;
use crate::geometry::Surface;
use crate::math::{Point2, Point3, Vec3};
use crate::model::{EdgeId, FaceId};

/// Triangles of one face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceMesh {
    /// The face.
    pub face: FaceId,
    /// Vertex positions, mm; those on shared edges are the same to the bit in every face that uses the edge.
    pub positions: Vec<Point3>,
    /// Surface parameters at each vertex, running on over periods; a seam has two vertices a point.
    pub uv: Vec<Point2>,
    /// Unit normals of the face (turned where the face's sense is opposite to its surface's).
    pub normals: Vec<Vec3>,
    /// Triangles by vertex number, counter-clockwise seen against the face normal.
    pub triangles: Vec<[u32; 3]>,
    /// Border polylines, one a side of the face's domain.
    pub borders: Vec<Border>,
    /// True when steps were widened, or left wide, to keep the face below its cap on triangles.
    pub capped: bool,
    /// True when the border crosses or touches itself; triangles next to the crossing may overlap the border.
    pub crossed: bool,
    /// Largest distance seen between a triangle and the surface, at triangle centres and the middles of inner sides, mm.
    pub deviation: f64,
}

/// Mesh vertices along one side of a face.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Border {
    /// The model edge behind it; none for a seam, a pole or a patch's own border.
    pub edge: Option<EdgeId>,
    /// The side of the face's domain: index of its loop, and among that loop's sides.
    pub side: (usize, usize),
    /// Vertex numbers, in the edge's own direction; along the loop where there is no edge.
    pub vertices: Vec<u32>,
}

impl FaceMesh {
    /// Meshes a region of a surface.
    ///
    /// # Errors
    /// When the region's border is degenerate.
    pub(super) fn new(
        face: FaceId,
        surface: &Surface,
        same_sense: bool,
        region: &Region,
        tolerance: &Tolerance,
    ) -> Result<Self, FillError> {
        let filled = fill(surface, region, tolerance)?;
        Ok(Self::from_fill(face, same_sense, region, filled))
    }

    /// Keeps the border points and the inner points in use, and drops triangles that have shrunk to a line.
    fn from_fill(face: FaceId, same_sense: bool, region: &Region, filled: Fill) -> Self {
        let border = region.points.len();
        let position = |n: usize| region.points.get(n).map(|p| p.position).or(filled.vertices.on.get(n).copied()).unwrap_or_default();
        // At a pole and at welded corners several vertices share a place: a triangle on two of them has no area.
        let flat = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|n| position(n as usize));
            a == b || b == c || c == a
        };
        let kept: Vec<[u32; 3]> = filled.triangles.iter().copied().filter(|t| !flat(t)).collect();
        let mut used = vec![false; filled.vertices.uv.len()];
        used.iter_mut().take(border).for_each(|u| *u = true);
        for n in kept.iter().flatten() {
            if let Some(u) = used.get_mut(*n as usize) {
                *u = true;
            }
        }
        let mut renumbered = vec![0u32; used.len()];
        let mut mesh = FaceMesh {
            face,
            positions: Vec::new(),
            uv: Vec::new(),
            normals: Vec::new(),
            triangles: Vec::with_capacity(kept.len()),
            borders: region.runs.iter().map(|r| Border { edge: r.edge, side: r.side, vertices: r.points.clone() }).collect(),
            capped: filled.capped,
            crossed: filled.crossed,
            deviation: filled.deviation,
        };
        let sign = if same_sense { 1.0 } else { -1.0 };
        for (n, _) in used.iter().enumerate().filter(|(_, u)| **u) {
            if let Some(slot) = renumbered.get_mut(n) {
                *slot = mesh.positions.len() as u32;
            }
            mesh.positions.push(position(n));
            mesh.uv.push(filled.vertices.uv(n as u32));
            mesh.normals.push(filled.vertices.normal(n as u32) * sign);
        }
        let number = |n: u32| renumbered.get(n as usize).copied().unwrap_or(0);
        for [a, b, c] in kept {
            let (a, b, c) = (number(a), number(b), number(c));
            mesh.triangles.push(if same_sense { [a, b, c] } else { [a, c, b] });
        }
        mesh
    }

    /// Sum of the triangles' areas, mm².
    pub fn area(&self) -> f64 {
        self.corners().map(|[a, b, c]| 0.5 * (b - a).cross(c - a).length()).sum()
    }

    /// Length of all borders, mm.
    pub fn border_length(&self) -> f64 {
        let at = |n: u32| self.positions.get(n as usize).copied().unwrap_or_default();
        self.borders.iter().flat_map(|b| b.vertices.windows(2)).map(|w| at(w[0]).distance(at(w[1]))).sum()
    }

    /// Corner positions of each triangle.
    pub fn corners(&self) -> impl Iterator<Item = [Point3; 3]> + '_ {
        self.triangles.iter().map(|t| t.map(|n| self.positions.get(n as usize).copied().unwrap_or_default()))
    }
}

#[cfg(test)]
mod tests;
