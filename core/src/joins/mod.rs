//! Where faces meet: pairing of their boundaries by geometry, and how smoothly they join.

mod centre;
mod chain;
mod class;
mod contrast;
mod graph;
mod join;
mod judge;
mod knots;
mod orientation;
mod pair;
pub(crate) mod peak;
mod role;
mod segments;
mod sheets;
mod station;
mod strand;
mod stretch;
mod survey;
mod track;

#[cfg(test)]
pub(crate) mod arrangements;
#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod invariance;
#[cfg(test)]
mod loose_sheets;

pub use class::{Class, Order};
pub use contrast::contrasting;
pub use graph::{Cancelled, JoinEnd, JoinGraph, Options};
pub use join::{Join, Peak, Station, Summaries, Summary};
pub use judge::{Floors, Reach, Role, required};
pub use orientation::{Orientation, Skin};
pub use sheets::{Rim, Sheets, SideRef};
pub use station::{Border, FLAT_RADIUS, Measures, Sides, measure};
pub use track::{Meeting, Track};
