//! The model: faces on surfaces, bounded by loops of edges, with their names, colours and origin in the file.
//!
//! Everything is in millimetres and world position: the reader has applied units and placements.

mod attributes;
mod curve;
mod domain;
mod edge;
mod exploded;
mod face;
mod ids;
mod mesh;
mod transformed;
mod trim_choice;

pub use attributes::{Colour, LengthUnit, Source};
pub use curve::FreeCurve;
pub use domain::DomainError;
pub use edge::{Edge, Vertex};
pub use face::{EdgeUse, Face, Loop, TrimCurve};
pub use ids::{EdgeId, FaceId, PartId, VertexId};
pub use mesh::Mesh;

/// A whole model as read.
#[derive(Debug, Clone, Default)]
pub struct Model {
    /// Name of the product or file, as the file gives it.
    pub name: String,
    /// Schema or format name, as the file gives it.
    pub schema: String,
    /// Length unit the file was written in.
    pub unit: LengthUnit,
    /// Faces in file order; assemblies repeat a part's faces once an instance.
    pub faces: Vec<Face>,
    /// Edges.
    pub edges: Vec<Edge>,
    /// Vertices.
    pub vertices: Vec<Vertex>,
    /// Curves that bound no face, in file order: construction lines, wireframes.
    pub curves: Vec<FreeCurve>,
    /// Triangle meshes, for reference only: they have no curvature to review.
    pub meshes: Vec<Mesh>,
    /// Parts (or instances of parts) by name.
    pub parts: Vec<String>,
}

impl Model {
    /// A face; None for an id of another model.
    pub fn face(&self, id: FaceId) -> Option<&Face> {
        self.faces.get(id.index())
    }

    /// An edge; None for an id of another model.
    pub fn edge(&self, id: EdgeId) -> Option<&Edge> {
        self.edges.get(id.index())
    }

    /// Ids and faces, in file order.
    pub fn faces(&self) -> impl Iterator<Item = (FaceId, &Face)> {
        self.faces.iter().enumerate().map(|(i, f)| (FaceId::new(i), f))
    }
}
