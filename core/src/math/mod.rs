//! Points, vectors, deterministic functions and small numeric tools.

mod frame;
mod interval;
pub(crate) mod outline;
mod point;
pub mod quadrature;
pub mod real;
mod transform;

pub use frame::Frame;
pub use glam::{DVec2 as Vec2, DVec3 as Vec3};
pub use interval::Interval;
pub use point::{Point2, Point3};
pub use transform::Similarity;
