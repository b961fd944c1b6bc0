//! Trials: what would become of patches if they were made otherwise, as a layer over the imported model, which never changes.
//!
//! [`Trials`] is an ordered list of named edits, each on or off; [`Trials::apply`] gives the model with those that are on, one
//! upon the other, and for each what moved and by how much. An edit is a file of its own here; each names faces by their place
//! in the imported model, which stays their name in every trial after it.

mod apply;
mod bench;
mod border;
mod change;
mod conform;
mod crown;
mod drag;
mod edge_refit;
mod edit;
mod error;
mod extend;
mod fillet;
mod fillet_section;
mod follow;
mod json;
mod kept;
mod leader;
mod lock;
mod merge;
mod net;
mod refit;
mod ridge;
mod ridge_place;
mod seam;
mod sweep;
mod text;
mod trials;

#[cfg(test)]
mod conform_tests;
#[cfg(test)]
mod fillet_tests;
#[cfg(test)]
mod rebuild_tests;
#[cfg(test)]
mod shape_tests;
#[cfg(test)]
mod tests;

pub use apply::{Applied, Failure};
pub use bench::sheet;
pub use change::{BothWays, Change, Moved, both_ways};
pub use conform::Conform;
pub use crown::Crown;
pub use drag::{Drag, Twin};
pub use edge_refit::EdgeRefit;
pub use edit::Edit;
pub use error::TrialError;
pub use extend::Extend;
pub use fillet::{Profile, Refillet, Setback};
pub use json::TrialJsonError;
pub use lock::Lock;
pub use merge::Merge;
pub use net::side;
pub use refit::{Refit, Size};
pub use ridge::RidgeSign;
pub use ridge_place::{RidgePlace, second_row_pace};
pub use seam::Seam;
pub use sweep::{Resweep, Sections};
pub use trials::{Trial, Trials};
