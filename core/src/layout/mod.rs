//! How faces lie to each other as sheets: one on another, as mirror images, and which side of a closed skin is out.

mod boxes;
mod field;
mod merge;
#[cfg(test)]
mod merge_tests;
mod mirror;
mod mirror_plane;
mod outside;
mod overlap;
mod patch;

pub use boxes::{Boxes, Item};
pub use field::Field;
pub use merge::{BoxSide, Half, Merged, merge};
pub use mirror::{Deviation, Mirror, MirrorExtent, mirror};
pub use mirror_plane::MirrorPlane;
pub use outside::outward;
pub use overlap::{Cover, Overlap, overlaps};
