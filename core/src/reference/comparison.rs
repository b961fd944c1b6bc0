//! A reviewed model and its reference side by side.

use super::whole::Shape;
use super::{ModelIndex, Nearest, Reference};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;
use crate::progress::Progress;

/// What is needed to ask for distances both ways.
#[derive(Debug, Clone, Copy)]
pub struct Comparison<'a> {
    /// What it is held against.
    pub reference: &'a Reference,
    /// The reviewed model.
    pub sheets: Sheets<'a>,
    /// The same, by place.
    pub reviewed: &'a ModelIndex,
    /// For each face of the reference, or for its mesh as a whole, −1 where its outward side is to be the other one than its own; see
    /// [`facing`].
    pub turned: &'a [f64],
}

/// Triangles of a mesh, and of a face, that are asked which way they face. Larger: slower; smaller: folded faces are told by chance.
const ASKED: (usize, usize) = (2000, 16);

impl ModelIndex {
    /// Of a reviewed model: copies of faces left out, sides as its joins tell.
    pub fn reviewed(sheets: &Sheets<'_>, graph: &JoinGraph, progress: &mut dyn Progress) -> Self {
        Self::new(sheets, |id| (!graph.is_copy(id)).then(|| graph.orientation.sign(id)), progress)
    }
}

/// Which way a reference faces: −1 for those of its faces (or, one number, its mesh) whose normals lie against those of the reviewed
/// model beside them, by area. Loose faces and many scans come with either, and no sign of a distance would mean anything.
pub fn facing(reference: &Reference, sheets: &Sheets<'_>, reviewed: &ModelIndex) -> Vec<f64> {
    let vote = |triangles: &mut dyn Iterator<Item = [Point3; 3]>| {
        let mut sum = 0.0;
        for [a, b, c] in triangles {
            let normal: Vec3 = (b - a).cross(c - a);
            let middle = Point3::from_vec((a.to_vec() + b.to_vec() + c.to_vec()) / 3.0);
            let near = reviewed.roughly(middle).is_some_and(|(d, off)| d - off <= reference.far);
            if near && let Some(there) = reviewed.nearest(sheets, middle, &[]).filter(|n| n.distance <= reference.far) {
                sum += normal.dot(there.normal);
            }
        }
        if sum < 0.0 { -1.0 } else { 1.0 }
    };
    match &reference.shape {
        Shape::Mesh(mesh) => {
            let step = mesh.triangle_count().div_ceil(ASKED.0).max(1);
            vec![vote(&mut mesh.corners().step_by(step))]
        }
        Shape::Model(held) => {
            let of = |id: FaceId| {
                let (points, triangles) = held.index.mesh(id);
                let at = |n: u32| points.get(n as usize).copied().unwrap_or_default();
                let step = triangles.len().div_ceil(ASKED.1).max(1);
                // A face's triangles run as its own sense says, which is its outward side here too.
                vote(&mut triangles.iter().step_by(step).map(|t| t.map(at)))
            };
            (0..held.model.faces.len()).map(|i| of(FaceId::new(i))).collect()
        }
    }
}

impl Comparison<'_> {
    /// The reference's point nearest to a place; None of a place that is no number.
    pub fn on_reference(&self, p: Point3) -> Option<Nearest> {
        match &self.reference.shape {
            Shape::Mesh(mesh) => mesh.nearest(p).map(|n| Nearest { normal: n.normal * self.turned.first().copied().unwrap_or(1.0), ..n }),
            Shape::Model(held) => held.index.nearest(&held.sheets(), p, self.turned),
        }
    }

    /// The reviewed model's point nearest to a place.
    pub fn on_reviewed(&self, p: Point3) -> Option<Nearest> {
        self.reviewed.nearest(&self.sheets, p, &[])
    }

    /// Distance from a place to the reference, mm; rough where it is farther from `level` than that can be wrong by.
    pub fn to_reference(&self, p: Point3, level: f64) -> Option<f64> {
        match &self.reference.shape {
            Shape::Mesh(mesh) => mesh.nearest(p).map(|n| n.distance),
            Shape::Model(held) => told(held.index.roughly(p)?, level, || self.on_reference(p)),
        }
    }

    /// The same to the reviewed model.
    pub fn to_reviewed(&self, p: Point3, level: f64) -> Option<f64> {
        told(self.reviewed.roughly(p)?, level, || self.on_reviewed(p))
    }

    /// True where a mesh's triangles face the other way than the model, or any face of a model does.
    pub fn is_turned(&self) -> bool {
        self.turned.iter().any(|t| *t < 0.0)
    }
}

/// A rough distance (and how far it may be off) where that does, else the exact one.
fn told((rough, off): (f64, f64), level: f64, exact: impl FnOnce() -> Option<Nearest>) -> Option<f64> {
    if (rough - level).abs() > NEARLY * off { Some(rough) } else { exact().map(|n| n.distance) }
}

/// Times a mesh's own distance from its surface that a level must be away for the mesh to tell. Larger: slower; smaller: edges of
/// what is missing follow the triangles.
const NEARLY: f64 = 2.0;
