//! Evaluation of a spline patch at scattered points: ours, and a loop as tight as the machine lets it be.

mod case;
mod exports;
mod lanes;
mod tight;

pub use case::{Case, VALUES};
