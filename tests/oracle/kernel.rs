//! What a general-purpose kernel reads from the files our writer writes: models that were read, and the demo with trials made.
//!
//! Oracle: the kernel named in tests/kernel/read_back.py. It is not in the plain run: its answers are recorded with the
//! digest of the very bytes it read, so that a changed writer (or reader) cannot pass on an old answer. `tests/run full`
//! asks it anew. To record after a change: RAKELIGHT_KERNEL=<a Python with the kernel> RAKELIGHT_RECORD=1
//! cargo test -p rakelight-tests --test oracle kernel

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

use rakelight_core::exchange::{self, Limits, write};
use rakelight_core::model::Model;
use rakelight_core::progress::Silent;
use rakelight_pack::digits;
use rakelight_tests::{data, mended};
use serde_json::{Value, json};

/// Agreement asked of areas: ours against the kernel's of what we wrote, and that against its own of the source.
const RELATIVE: f64 = 1e-4;

struct Written {
    text: String,
    faces: usize,
    area: f64,
    /// The kernel's own answers to its source are at hand.
    known: bool,
}

impl Written {
    fn new(model: &Model, text: String, known: bool) -> Self {
        let areas = model.faces().filter_map(|(id, f)| Some(model.domain(id).ok()?.area(&f.surface)));
        Self { area: areas.sum(), faces: model.faces.len(), text, known }
    }
}

/// The model of each file at hand, as we write it, with our own count and area.
fn written() -> BTreeMap<String, Written> {
    let mut all = BTreeMap::new();
    for model in [data::step_models("the kernel's reading"), data::iges_models("the kernel's reading")].concat() {
        let import =
            exchange::read(&model.bytes(), model.name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{}: {e}", model.name));
        let text = write::step(&import.model, &write::StepOptions { file_name: model.name.into(), ..Default::default() }).text;
        all.insert(model.name.to_owned(), Written::new(&import.model, text, true));
    }
    let (applied, text) = mended::handed_over();
    all.insert(mended::WRITTEN.to_owned(), Written::new(&applied.model, text, false));
    all
}

fn record_path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/kernel/written.json")
}

/// The kernel's answers to files as written now.
fn asked(python: &Path, all: &BTreeMap<String, Written>) -> Value {
    let folder = env::temp_dir().join(format!("rakelight-kernel-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    let mut command = Command::new(python);
    command.arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("kernel/read_back.py"));
    for (name, one) in all {
        let path = folder.join(format!("{name}.stp"));
        fs::write(&path, &one.text).expect("a file");
        command.arg(path);
    }
    let output = command.output().expect("the kernel's Python runs");
    let _ = fs::remove_dir_all(&folder);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8_lossy(&output.stdout);
    // The kernel may write lines of its own before the answer.
    let start = text.find("{\n").expect("an answer");
    let answers: Value = serde_json::from_str(&text[start..]).expect("JSON");
    let row = |(name, one): (&String, &Written)| {
        let answer = &answers[format!("{name}.stp")];
        (
            name.clone(),
            json!({ "sha256": digits::sha256(one.text.as_bytes()), "faces": answer["faces"], "area": answer["area"], "error": answer["error"] }),
        )
    };
    Value::Object(all.iter().map(row).collect())
}

#[test]
fn the_kernel_reads_what_we_write() {
    let all = written();
    let live = env::var_os("RAKELIGHT_KERNEL").map(|python| asked(Path::new(&python), &all));
    if let (Some(live), Some(_)) = (&live, env::var_os("RAKELIGHT_RECORD")) {
        fs::create_dir_all(record_path().parent().expect("a folder")).expect("a folder");
        fs::write(record_path(), format!("{live:#}\n")).expect("the record");
    }
    let answers = live.unwrap_or_else(|| {
        let text = fs::read_to_string(record_path()).expect("tests/data/kernel/written.json");
        serde_json::from_str(&text).expect("JSON")
    });
    let source = data::oracle("kernel-properties.json", "the kernel's reading");
    for (name, one) in &all {
        let row = &answers[name];
        assert_eq!(
            row["sha256"].as_str(),
            Some(digits::sha256(one.text.as_bytes()).as_str()),
            "{name}: other bytes than the kernel has read; record anew"
        );
        assert!(row["error"].is_null(), "{name}: {row}");
        let area = row["area"].as_f64().expect("an area");
        println!("{name}: kernel {area} mm² over {}, ours {}, relative {:.1e}", row["faces"], one.area, area / one.area - 1.0);
        assert_eq!(row["faces"].as_u64(), Some(one.faces as u64), "{name}: faces");
        assert!((area - one.area).abs() <= RELATIVE * one.area, "{name}: {area} for our {}", one.area);
        if let Some(source) = source.as_ref().filter(|_| one.known) {
            let rows = source["files"].as_array().expect("rows");
            let of_source = rows.iter().find(|r| r["file"].as_str().is_some_and(|f| f.ends_with(&format!("/{name}"))));
            let want = of_source.and_then(|r| r["area_mm2"].as_f64()).expect("the source's area");
            assert!((area - want).abs() <= RELATIVE * want, "{name}: {area}, of the source {want}");
        }
    }
}
