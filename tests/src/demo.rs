//! The demo as the page has it: written, and read again.

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::{self, Limits};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;

/// Its file name.
pub const NAME: &str = "bramble-a.step";

/// Revision A with its joins.
///
/// # Panics
/// It does not read.
pub fn read_again() -> (Prepared, JoinGraph) {
    read(step(Revision::A).as_bytes())
}

/// A file made of it, with its joins.
///
/// # Panics
/// It does not read.
pub fn read(bytes: &[u8]) -> (Prepared, JoinGraph) {
    let import = exchange::read(bytes, NAME, &Limits::default(), &mut Silent).expect("the demo reads");
    let prepared = Prepared::new(import);
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
    (prepared, graph)
}
