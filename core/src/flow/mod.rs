//! Stripes as curves: their edges traced on trimmed faces, followed over joins, and measured.

mod beside;
mod climb;
mod crossing;
mod drawing;
mod extrema;
mod face_trace;
mod gap;
mod kink;
mod links;
mod net;
mod reading;
mod record;
mod ripple;
mod smooth;
mod spread;
mod stripes;
mod twins;
mod walk;
mod wiggle;

#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod measured;
#[cfg(test)]
mod order_rule;
#[cfg(test)]
mod ripple_tests;
#[cfg(test)]
mod wiggle_tests;

pub use beside::{Beside, beside};
pub use climb::{Climb, angles, climb};
pub use crossing::{Crossing, End, Link};
pub use drawing::svg;
pub use face_trace::{Piece, Precision, Trace, trace_face};
pub use gap::{Leap, WIDEST_GAP, leaps, leaps_between};
pub use kink::largest_kink;
pub(crate) use links::chains;
pub(crate) use net::share_of;
pub use reading::{Reading, Stripe};
pub use record::json;
pub use ripple::{Ripple, ripple};
pub use spread::{Course, Spread, spread};
pub use stripes::{Line, Stripes, stripes};
pub use twins::{Twin, twins};
pub use walk::{Stop, walk};
pub use wiggle::{Wiggle, wiggle};
