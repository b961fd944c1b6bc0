//! Points, vectors, deterministic functions and small numeric tools.

mod end_to_end;
mod frame;
mod interval;
mod jet2;
pub mod least_squares;
mod order;
pub mod outline;
mod point;
pub mod quadrature;
mod quantile;
pub mod real;
mod root;
pub mod sets;
mod transform;

pub use end_to_end::end_to_end;
pub use frame::Frame;
pub use glam::{DVec2 as Vec2, DVec3 as Vec3};
pub use interval::Interval;
pub use jet2::{Jet2, Scalar};
pub use order::{Arrange, distinct, grouped, order, retain};
pub use point::{Point2, Point3};
pub use quantile::quantiles;
pub use root::root;
pub use transform::Similarity;
