//! Surfaces, faces and models; reading and writing their files; their triangles: all that a model goes through before anything is measured.
//! A package of its own, since it is compiled for speed before size, as far as that is cheap. Conventions: the core's front page.
#![forbid(unsafe_code)]

pub mod exchange;
pub mod geometry;
pub mod model;
pub mod progress;
pub mod tessellate;

pub use rakelight_numeric::{math, nurbs};
