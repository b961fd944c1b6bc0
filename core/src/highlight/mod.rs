//! Stripes by which the flow of a surface is judged: the lamps, and what they draw.

mod rig;
mod stripe;

pub use rig::{Eye, Family, LampRig, RigError};
pub use stripe::{Pierce, edges, in_stripe, pierce, stripe_of, stripe_place, stripe_value};
