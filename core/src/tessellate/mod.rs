//! Trimmed faces to triangles: watertight along shared edges, with (u, v) at every vertex.

mod cdt;
mod fill;
mod grid;
mod lattice;
mod mesh;
mod outline;
mod refine;
mod region;
mod steps;
mod tolerance;
mod vertices;

pub use fill::FillError;
pub use mesh::{Border, FaceMesh};
pub use tolerance::Tolerance;
