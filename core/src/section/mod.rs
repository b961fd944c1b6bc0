//! Plane sections of a model: curves of a plane and the trimmed faces, followed over joins, with their curvature.

mod apart;
mod net;
mod plane;
mod profile;
mod trace;

#[cfg(test)]
mod tests;

pub use apart::apart;
pub use net::SectionFace;
pub use plane::{Plane, stack};
pub use profile::{Dip, Extremum, Profile};
pub use trace::{Precision, SectionLine, SectionPoint, section};
