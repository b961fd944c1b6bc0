//! Stripes by which the flow of a surface is judged: the lamps, and what they draw.

mod rig;
mod stripe;

pub use rig::{Family, LampRig, RigError};
pub use stripe::{edges, in_stripe, stripe_value};
