//! Fillets: which faces are blends, and how they lie to the faces they lead between (measures §6).

mod across;
mod balance;
mod blend;
mod chain;
mod cut;
mod sides;
mod spine;
mod station;
mod supports;

#[cfg(test)]
pub(crate) mod profiles;
#[cfg(test)]
mod solids;
#[cfg(test)]
mod tests;

pub use balance::balanced_radius;
pub use blend::{Blend, BlendKind, blends};
pub use chain::{Fillet, Fillets, fillets};
pub use sides::FaceSide;
pub use station::{FilletStation, Setting};
