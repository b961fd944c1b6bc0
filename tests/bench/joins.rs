//! Joins G0 to G3 of a large sheet.

use super::sample::RUNS;
use super::table::Row;
use super::{files, kernel, recorded, worker};

/// In WebAssembly, over the kernel through its bindings.
const BAR: f64 = 0.15;

/// The row.
pub fn rows() -> Vec<Row> {
    let what = "1,600 faces: joins G0 to G3, wasm / kernel through its bindings";
    let Some(path) = files::grid(40, false) else { return Vec::new() };
    let Some(wasm) = worker::open(&path, None, RUNS, false) else { return vec![Row::missing(what, BAR, "not opened in the browser")] };
    let (theirs, from) = kernel::joins(&path).map_or_else(|| (recorded::joins(), " (recorded, scaled)"), |ms| (ms, ""));
    let note = format!("ours pair the borders too and choose their stations; theirs: 33 stations over edges known to be shared{from}");
    vec![Row::ms(what, wasm.joins, theirs, BAR).note(note)]
}
