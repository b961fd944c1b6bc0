//! Stripes as curves: their edges traced on trimmed faces, followed over joins, and measured.

mod crossing;
mod face_trace;
mod links;
mod net;
mod reading;
mod smooth;
mod stripes;

#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod order_rule;

pub use crossing::{Crossing, End, Link};
pub use face_trace::{Piece, Precision, Trace, trace_face};
pub use reading::{Reading, Stripe};
pub use stripes::{Line, Stripes, stripes};
