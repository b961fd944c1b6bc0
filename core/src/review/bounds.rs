//! The box round a model.

use crate::math::{Point3, Vec3};
use crate::tessellate::FaceMesh;

/// A box that grows with the meshes taken into it. Mesh points lie on the surfaces, so the box is short of the true
/// one by at most the chord tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    low: Vec3,
    high: Vec3,
}

impl Default for Bounds {
    fn default() -> Self {
        Self { low: Vec3::INFINITY, high: Vec3::NEG_INFINITY }
    }
}

impl Bounds {
    /// Takes a face in.
    pub fn add(&mut self, mesh: &FaceMesh) {
        for p in &mesh.positions {
            self.low = self.low.min(p.to_vec());
            self.high = self.high.max(p.to_vec());
        }
    }

    /// Least and greatest corner, mm; None while nothing is in it.
    pub fn corners(&self) -> Option<[Point3; 2]> {
        (self.low.x <= self.high.x).then(|| [Point3::from_vec(self.low), Point3::from_vec(self.high)])
    }
}
