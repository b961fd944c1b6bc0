//! What a face takes in small and in large models: of 20,000 no more than of 1,600.

use super::table::Row;
use super::{files, native, worker};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;

/// Patches each way of the sheets: 16, 256, 1,600, 6,400 and about 20,000 faces.
const ACROSS: [usize; 5] = [4, 16, 40, 80, 141];

/// Where in that list what is held to each other begins; the last is held to it.
const FROM: usize = 2;

/// A face of the largest model over one of 1,600.
const BAR: f64 = 1.3;

/// Names a file for a process that is to open it and to tell what it took.
const CHILD: &str = "RAKELIGHT_BENCH_FILE";

/// Told of a face: name, unit, and name in what a process tells.
const MEASURES: [(&str, &str, &str); 6] = [
    ("import", "µs", "import"),
    ("triangles", "µs", "tessellate"),
    ("joins", "µs", "joins"),
    ("findings", "µs", "grade"),
    ("all", "µs", "all"),
    ("memory", "kB", "memory"),
];

/// Whether this process is to open a file: does so, and tells what it took.
pub fn is_child() -> bool {
    let Some(path) = std::env::var_os(CHILD) else { return false };
    let bytes = std::fs::read(&path).expect("the file");
    let took = native::once(&bytes, &files::name(Path::new(&path)), None, true);
    let all = took.all() + took.grade;
    let told = json!({"import": took.import, "tessellate": took.tessellate, "joins": took.joins, "grade": took.grade, "all": all,
        "faces": took.faces, "memory": peak()});
    println!("{told}");
    true
}

/// Largest resident memory of this process, kB; 0 where the system does not tell.
fn peak() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0.0)
}

/// Runs over a model: large ones take long, and their times vary less.
fn runs(across: usize) -> usize {
    if across > 80 {
        1
    } else if across > 40 {
        2
    } else {
        3
    }
}

/// The rows, natively and in WebAssembly.
pub fn rows() -> Vec<Row> {
    let mut rows = compared("native", &ACROSS, &MEASURES, FROM, alone);
    // No findings in the browser: they take most of the time, by the same code.
    let measures: Vec<_> = MEASURES.iter().copied().filter(|(name, ..)| *name != "findings").collect();
    rows.extend(compared("wasm", &ACROSS[FROM..], &measures, 0, browsed));
    rows
}

fn compared(
    place: &str,
    across: &[usize],
    measures: &[(&str, &'static str, &str)],
    from: usize,
    open: fn(usize) -> Option<Value>,
) -> Vec<Row> {
    let opened: Vec<Option<Value>> = across.iter().map(|&across| open(across)).collect();
    let a_face = |told: &Option<Value>, name: &str, unit: &str| {
        let told = told.as_ref()?;
        let scale = if unit == "µs" { 1e3 } else { 1.0 };
        Some(scale * told[name].as_f64()? / told["faces"].as_f64()?)
    };
    let row = |&(what, unit, name): &(&str, &'static str, &str)| {
        let values: Vec<f64> = opened.iter().map(|told| a_face(told, name, unit).unwrap_or(f64::NAN)).collect();
        let list: Vec<String> = across.iter().zip(&values).map(|(n, x)| format!("{} faces {x:.1}", n * n)).collect();
        let what = format!("growth, {what} a face, {place}: 20,000 faces / 1,600");
        Row::ms(what, values.last().copied().unwrap_or(f64::NAN), values[from], BAR).unit(unit).note(list.join(", "))
    };
    measures.iter().map(row).collect()
}

/// In a process of its own, for its memory: the best of some runs.
fn alone(across: usize) -> Option<Value> {
    let once = || {
        let program = std::env::current_exe().ok()?;
        let out = Command::new(program).env(CHILD, files::own(across)).output().ok()?;
        serde_json::from_slice::<Value>(&out.stdout).ok()
    };
    (0..runs(across)).filter_map(|_| once()).reduce(least)
}

fn least(a: Value, b: Value) -> Value {
    let mut a = a;
    for (name, value) in a.as_object_mut().into_iter().flatten() {
        if let Some(other) = b[name.as_str()].as_f64().filter(|other| value.as_f64().is_some_and(|x| *other < x)) {
            *value = other.into();
        }
    }
    a
}

fn browsed(across: usize) -> Option<Value> {
    let took = worker::open(&files::own(across), None, runs(across), false)?;
    Some(json!({"import": took.import, "tessellate": took.tessellate, "joins": took.joins, "all": took.sum(),
        "faces": across * across, "memory": took.memory / 1e3}))
}
