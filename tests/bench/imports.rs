//! Import and triangles: in WebAssembly against native, and against the general-purpose kernel.

use super::kernel::{self, Limits};
use super::sample::RUNS;
use super::table::Row;
use super::{files, native, recorded, worker};
use rakelight_tests::data;
use std::path::{Path, PathBuf};

/// Chord, mm, and angle, radians, of the sheets.
pub const LIMITS: (f64, f64) = (0.1, 0.1);

/// In WebAssembly, over native.
const AGAINST_NATIVE: f64 = 1.5;

/// Models from elsewhere that are timed natively too.
const MODELS: [&str; 2] = ["mouse_cover.step", "ventilator.stp"];

/// WebAssembly against native, one worker, the usual limits.
pub fn against_native() -> Vec<Row> {
    let mut paths: Vec<PathBuf> = files::grid(40, false).into_iter().collect();
    paths.extend(MODELS.into_iter().filter_map(|name| data::step_model(name, "timing")).map(|model| model.path));
    let row = |path: PathBuf| {
        let what = format!("{}: import, triangles, joins, wasm / native", files::name(&path));
        let Some(wasm) = worker::open(&path, None, RUNS, false) else {
            return Row::missing(what, AGAINST_NATIVE, "not opened in the browser");
        };
        let own = native::open(&path, None);
        let part = |a: f64, b: f64| format!("{a:.0}/{b:.0}");
        let parts = [(wasm.import, own.import), (wasm.tessellate, own.tessellate), (wasm.joins, own.joins)].map(|(a, b)| part(a, b));
        let [import, tessellate, joins] = parts;
        Row::ms(what, wasm.sum(), own.all(), AGAINST_NATIVE)
            .note(format!("import {import}, triangles {tessellate}, joins {joins} ms; packing of faces in both"))
    };
    paths.into_iter().map(row).collect()
}

/// Reading the text alone, in WebAssembly.
pub fn reading() -> Vec<Row> {
    const BAR: f64 = 0.6;
    let Some(path) = files::grid(40, false) else { return Vec::new() };
    let what = format!("{}: Part 21 text alone, wasm / kernel native", files::name(&path));
    let Some(wasm) = worker::open(&path, Some(LIMITS), RUNS, false) else {
        return vec![Row::missing(what, BAR, "not opened in the browser")];
    };
    vec![match measured(&path) {
        Some((theirs, "")) => {
            Row::ms(what, wasm.read, theirs.parse, BAR).note("until the first entity is asked for; the copy into the module included")
        }
        _ => Row { ours: wasm.read, ..Row::missing(what, BAR, "the kernel is not here; its parse alone is not recorded") },
    }]
}

/// Import and triangles in WebAssembly against the kernel native, the sheets, equal limits.
pub fn against_kernel() -> Vec<Row> {
    let sheets = [(false, 0.5), (true, 0.3)];
    let row = |(trimmed, bar): (bool, f64)| {
        let what = format!("1,600 faces{}: import, triangles, wasm / kernel native", if trimmed { ", trimmed" } else { "" });
        let Some(path) = files::grid(40, trimmed) else {
            return vec![Row::missing(what, bar, "the generator of trimmed sheets needs the kernel, which is not here")];
        };
        let Some(wasm) = worker::open(&path, Some(LIMITS), RUNS, false) else {
            return vec![Row::missing(what, bar, "not opened in the browser")];
        };
        let Some((theirs, from)) = measured(&path) else { return vec![Row::missing(what, bar, "the kernel is not here")] };
        // The same code makes the same triangles natively, where they are counted.
        let own = native::once(&std::fs::read(&path).expect("a file"), &files::name(&path), Some(LIMITS), false);
        let sides = format!(
            "import {:.0} + {:.0} ms, the kernel {:.0} + {:.0} + {:.0} ms{from}; triangles {} and {:.0}; our largest deviation {:.3} mm of {} mm",
            wasm.import,
            wasm.tessellate,
            theirs.parse,
            theirs.transfer,
            theirs.mesh,
            own.triangles,
            theirs.triangles,
            own.deviation,
            LIMITS.0
        );
        // Where triangles stray farther than was asked for, the limits are not the same, whatever the times say.
        let strayed =
            Row::ms(format!("{}: our largest deviation / chord limit", files::name(&path)), own.deviation, LIMITS.0, 1.0).unit("mm");
        vec![Row::ms(what, wasm.import + wasm.tessellate, theirs.all(), bar).note(sides), strayed]
    };
    sheets.into_iter().flat_map(row).collect()
}

/// The kernel's times over a sheet, and what to say of where they are from.
fn measured(path: &Path) -> Option<(kernel::Import, &'static str)> {
    kernel::import(path, Limits::Fixed(LIMITS.0, LIMITS.1))
        .map(|times| (times, ""))
        .or_else(|| recorded::import(&files::name(path)).map(|times| (times, " (recorded, scaled)")))
}
