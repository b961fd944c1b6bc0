//! Position, first and second derivatives at scattered points, against a loop that is the limit, native and in WebAssembly.

use super::sample::{best, timed};
use super::table::Row;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_bench_wasm::Case;
use rakelight_tests::{browser, site};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Ours over the limit.
const BAR: f64 = 2.0;

/// Points in a batch: what comes of them stays in the processor's cache, as in use.
const POINTS: usize = 2000;

/// Batches a run.
const BATCHES: usize = 100;

/// Runs of which the best counts; in a browser the first ones are slower until its compiler has come round.
const RUNS: usize = 14;

/// Degrees and spans each way.
const CASES: [(usize, usize); 4] = [(3, 1), (5, 1), (3, 8), (5, 8)];

/// Runs in a page: the best ms of both, in turns.
const PAGE: &str = "async (module, cases, points, batches, runs) => {
    const bytes = Uint8Array.from(atob(module), (c) => c.charCodeAt(0));
    const { instance: { exports } } = await WebAssembly.instantiate(bytes, {});
    const timed = (name) => { const from = performance.now(); exports[name](batches); return performance.now() - from; };
    return cases.map(([degree, spans]) => {
        exports.prepare(degree, spans, points);
        let [ours, tight] = [Infinity, Infinity];
        for (let run = 0; run < runs; run++) {
            ours = Math.min(ours, timed('ours'));
            tight = Math.min(tight, timed('tight'));
        }
        return [ours, tight];
    });
}";

/// Rows of all cases.
pub fn rows() -> Vec<Row> {
    let mut rows: Vec<Row> = CASES.iter().map(|&(degree, spans)| native(degree, spans)).collect();
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&format!("{}notices.txt", server.folder()));
    let module = BASE64_STANDARD.encode(std::fs::read(built()).expect("the loops' module"));
    let told = page.ask(&format!("({PAGE})('{module}', {}, {POINTS}, {BATCHES}, {RUNS})", json!(CASES)));
    for (k, (degree, spans)) in CASES.into_iter().enumerate() {
        let side = |i: usize| told[k][i].as_f64().unwrap_or(f64::NAN);
        rows.push(row("wasm simd128", degree, spans, side(0), side(1)));
    }
    rows
}

fn row(place: &str, degree: usize, spans: usize, ours: f64, tight: f64) -> Row {
    let what = format!("evaluation to 2nd derivatives, degree {degree}, {spans} × {spans} spans, {place}");
    let rate = |ms: f64| (POINTS * BATCHES) as f64 / ms / 1e3;
    Row::ms(what, ours, tight, BAR).note(format!("million points a second: {:.1}, the tight loop {:.1}", rate(ours), rate(tight)))
}

fn native(degree: usize, spans: usize) -> Row {
    let (mut ours, mut tight) = (Case::new(degree, spans, POINTS), Case::new(degree, spans, POINTS));
    let run = |_| {
        let own = timed(|| (0..BATCHES).for_each(|_| std::hint::black_box(&mut ours).ours()));
        [own, timed(|| (0..BATCHES).for_each(|_| std::hint::black_box(&mut tight).tight()))]
    };
    let runs: Vec<[f64; 2]> = (0..RUNS).map(run).collect();
    let own = ours.own_values();
    let largest = own.iter().flatten().fold(0.0_f64, |m, x| m.max(x.abs()));
    let apart = own.iter().flatten().zip(tight.values().iter().flatten()).fold(0.0_f64, |m, (a, b)| m.max((a - b).abs()));
    let mut row = row("native", degree, spans, best(runs.iter().map(|r| r[0])), best(runs.iter().map(|r| r[1])));
    row.note += &format!("; apart by {:.0e} of the largest value", apart / largest);
    row
}

/// Points a second of the tight loop, natively, one span.
pub fn tight_native(degree: usize) -> f64 {
    let mut case = Case::new(degree, 1, POINTS);
    let ms = best((0..RUNS).map(|_| timed(|| (0..BATCHES).for_each(|_| std::hint::black_box(&mut case).tight()))));
    (POINTS * BATCHES) as f64 / ms * 1e3
}

/// The same code for WebAssembly, as the page's module is built, with vectors.
fn built() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let target = root.join("target/bench-wasm");
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.args(["build", "--locked", "--quiet", "--package", "rakelight-bench-wasm", "--profile", "wasm"]);
    cargo.args(["--target", "wasm32-unknown-unknown", "--target-dir"]).arg(&target).current_dir(&root);
    let status = cargo.env("CARGO_ENCODED_RUSTFLAGS", "-Ctarget-feature=+simd128").status().expect("cargo");
    assert!(status.success(), "the loops are not built for WebAssembly");
    target.join("wasm32-unknown-unknown/wasm/rakelight_bench_wasm.wasm")
}
