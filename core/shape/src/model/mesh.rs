//! Triangle meshes.

use crate::math::Point3;

/// A triangle mesh, to hold a model against. Nothing about it is measured as a surface.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mesh {
    /// Name from the file, often empty.
    pub name: String,
    /// Corners, mm.
    pub points: Vec<Point3>,
    /// Indices into `points`, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}
