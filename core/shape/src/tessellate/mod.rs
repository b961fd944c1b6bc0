//! Trimmed faces to triangles: watertight along shared edges, with (u, v) at every vertex.
//!
//! [`Tessellator`] samples every edge once for all faces that use it; each face's border is then a polygon in (u, v),
//! filled along parameter lines as densely as the surface turns, by a constrained Delaunay triangulation.

mod borders;
mod cdt;
mod chord;
mod crossings;
mod fill;
mod grid;
mod invariants;
mod lattice;
mod mesh;
mod refine;
mod region;
mod ring;
mod steps;
mod tessellation;
mod tolerance;
mod track;
mod vertices;

pub use fill::FillError;
pub use invariants::MeshFault;
pub use mesh::{Border, FaceMesh};
pub use tessellation::{MeshError, Tessellation, Tessellator, stream, tessellate};
pub use tolerance::Tolerance;
