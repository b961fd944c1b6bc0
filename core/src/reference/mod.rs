//! What a model is held against: a mesh or another model, the signed distance to it, and what of it is missing.
//!
//! [`Reference`] is prepared once; [`Comparison`] holds a reviewed model to it. Nearest points are exact: of meshes over all
//! their triangles ([`MeshIndex`]), of models on the trimmed surfaces themselves ([`ModelIndex`]).

mod comparison;
mod distance;
mod far;
mod join_path;
mod mesh_index;
mod mesh_section;
mod model_index;
mod nearest;
mod rim;
mod statistics;
mod sweep;
mod triangle;
mod whole;

#[cfg(test)]
mod mesh_tests;
#[cfg(test)]
mod model_tests;
#[cfg(test)]
mod offset_tests;
#[cfg(test)]
mod sweep_tests;

pub use comparison::{Comparison, facing};
pub use distance::{Apart, Extreme, FaceDistances, face_distances, tilt};
pub use far::{FarRegion, Soup, far_regions};
pub use join_path::{JoinSweep, join_path, patch_sides, sweep_of_joins};
pub use mesh_index::MeshIndex;
pub use mesh_section::{MeshLine, mesh_section};
pub use model_index::ModelIndex;
pub use nearest::{Nearest, TOUCHING};
pub use statistics::{Bin, Statistics, Tilt};
pub use sweep::{ENDS, Sweep, sweep_between};
pub use whole::{FAR, Reference, ReferenceError};
