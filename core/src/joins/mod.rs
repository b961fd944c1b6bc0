//! Where faces meet: pairing of their boundaries by geometry, and how smoothly they join.

mod class;
mod join;
mod station;

#[cfg(test)]
mod closed_forms;

pub use class::{Class, Order};
pub use join::{Join, Peak, Station, Summaries, Summary};
pub use station::{Border, FLAT_RADIUS, Measures, Sides, measure};
