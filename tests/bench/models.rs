//! Every model at hand, against the general-purpose kernel.

use super::kernel::{self, Limits};
use super::sample::RUNS;
use super::table::Row;
use super::{files, worker};
use rakelight_tests::data;

/// Share of a model's diagonal, and angle, radians: our usual limits.
const LIMITS: Limits = Limits::Share(1e-4, 0.2);

/// Share of files that may be slower.
const BAR: f64 = 0.1;

/// A row a file, and one of them all.
pub fn rows() -> Vec<Row> {
    let mut rows = Vec::new();
    for model in data::models("timing") {
        let what = format!("  {}: import, triangles, wasm / kernel native", files::name(&model.path));
        let Some(theirs) = kernel::import(&model.path, LIMITS) else {
            rows.push(Row { bar: None, ..Row::missing(what, 1.0, "the kernel is not here, or does not read it") });
            continue;
        };
        let Some(wasm) = worker::open(&model.path, None, RUNS, false) else { continue };
        rows.push(Row::ms(what, wasm.import + wasm.tessellate, theirs.all(), 1.0));
    }
    let known: Vec<&Row> = rows.iter().filter(|row| !row.ratio().is_nan()).collect();
    let slower: Vec<&str> =
        known.iter().filter(|row| row.ratio() > 1.0).map(|row| row.what.trim().split(':').next().unwrap_or_default()).collect();
    let what = "share of files slower in wasm than in the kernel native, of what may be";
    let all = if known.is_empty() {
        Row::missing(what, 1.0, "the kernel is not here")
    } else {
        let share = slower.len() as f64 / known.len() as f64;
        let names = if slower.is_empty() { "none".into() } else { slower.join(", ") };
        Row::ms(what, share, BAR, 1.0).unit("").note(format!(
            "no slower: {} of {} files; slower: {names}",
            known.len() - slower.len(),
            known.len()
        ))
    };
    rows.insert(0, all);
    rows
}
