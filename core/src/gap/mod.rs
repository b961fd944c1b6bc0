//! Gaps between panels: which edges face each other, and what is measured across at each station along.
//!
//! A gap lies between two skins. Its edges are outlines, sharp edges behind which a flange falls away, or roundings that roll over
//! into one; what faces each other of those is found by the edges' own directions, since their outlines may lie deep.

mod brink;
mod brinks;
mod exposed;
mod fall;
mod find;
mod line;
mod obstacles;
mod pairs;
mod shores;
mod side;
mod station;
mod trims;
mod walk;

#[cfg(test)]
pub(crate) mod built;
#[cfg(test)]
mod tests;

pub use brink::BrinkKind;
pub use exposed::{BALL, Exposed, ExposedKind, exposed};
pub use fall::{Flange, flanges};
pub use find::{between, gaps};
pub use line::{LineOffset, line_offset};
pub use station::{Gap, GapSide, GapStation};
pub use trims::{TrimmedEdge, trimmed_edges};
