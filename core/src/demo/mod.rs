//! Models of our own making: what the inspector shows when nothing else is given, and what its tests hold it to.
//!
//! Nothing here reads a file; the rest of the core never looks in here.

pub mod bramble;
pub mod course;
#[cfg(test)]
mod form_seen;
#[cfg(test)]
mod reclassed;
#[cfg(test)]
mod said;
#[cfg(test)]
mod scores;
pub mod yard;
