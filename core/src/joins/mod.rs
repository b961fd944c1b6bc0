//! Where faces meet: pairing of their boundaries by geometry, and how smoothly they join.

mod again;
mod centre;
mod chain;
mod class;
mod contrast;
mod corner;
mod crease;
mod edge_corner;
mod edge_flow;
#[cfg(test)]
mod edge_flow_tests;
mod edge_share;
mod ends;
mod face_edge;
mod feature;
mod graph;
mod join;
mod judge;
mod knots;
mod orientation;
mod pair;
mod paired;
pub(crate) mod peak;
mod reclass;
mod ridge;
#[cfg(test)]
mod ridge_tests;
mod role;
mod segments;
mod sheets;
mod station;
mod strand;
mod stretch;
mod survey;
mod tight;
mod track;

#[cfg(test)]
pub(crate) mod arrangements;
#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod corner_tests;
#[cfg(test)]
mod invariance;
#[cfg(test)]
mod loose_sheets;

pub use class::{Class, Order};
pub use contrast::contrasting;
pub use corner::{Corner, corners};
pub use edge_flow::{Chain, ChainEnd, ChainStop, Crossing, EdgeFlow, ThroughBreak, edge_flow};
pub use edge_share::EdgeShare;
pub use face_edge::FaceEdge;
pub use feature::{FeatureLine, LineKind, Stop, feature_lines};
pub use graph::{Cancelled, JoinEnd, JoinGraph, Options};
pub use join::{Join, Peak, Station, Summaries, Summary};
pub use judge::{Floors, Reach, Role, required};
pub use orientation::{Orientation, Skin};
pub use ridge::{Fade, Flip};
pub use role::peak_curvature;
pub use sheets::{Rim, Sheets, SideRef};
pub use station::{Border, FLAT_RADIUS, Measures, Sides, measure};
pub use track::{Meeting, Track};
