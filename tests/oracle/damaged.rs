//! What is no model is refused with a message that says where, and never anything worse.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rakelight_core::exchange::{self, Limits};
use rakelight_core::joins::{self, JoinGraph};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::hostile::{allowed_memory, allowed_time, has_place, own_time};
use rakelight_tests::{damage, damaged, data, memory, mesh_files};

#[test]
fn each_kind_of_damage_is_named_with_its_line() {
    for file in damaged::all() {
        let result = exchange::read(&file.bytes, file.name, &Limits::default(), &mut Silent);
        let error = result.err().unwrap_or_else(|| panic!("{} was read", file.name));
        // Where a face falls because of what it refers to, both places are named.
        let named = error.line == Some(file.line) || error.to_string().contains(&format!("(line {})", file.line));
        assert!(named, "{} line {}: {error}", file.name, file.line);
        assert!(error.message.len() > 10, "{}: {error}", file.name);
    }
}

#[test]
fn the_file_they_are_made_from_is_sound() {
    let text = damaged::one_face("#20=PLANE('',#21);");
    let import = exchange::read(text.as_bytes(), "square.stp", &Limits::default(), &mut Silent).expect("a model");
    assert!(import.report.unread.is_empty(), "{:?}", import.report);
}

/// A file may end anywhere, and any byte may be lost or changed on its way.
#[test]
fn no_cut_and_no_changed_byte_makes_the_reader_panic() {
    let full = std::env::var_os("RAKELIGHT_FULL").is_some();
    let Some(model) = data::step_model("torus_apple_degenerate.stp", "damage sweeps") else {
        return;
    };
    let sound = model.bytes();
    let step = if full { 1 } else { 7 };
    for end in (0..sound.len()).step_by(step) {
        let _ = exchange::read(&sound[..end], model.name, &Limits::default(), &mut Silent);
    }
    for at in (0..sound.len()).step_by(step) {
        for byte in [b'(', b')', b'\'', b'#', b'9', b'$', b';', 0, 0xff] {
            let mut bytes = sound.clone();
            bytes[at] = byte;
            let _ = exchange::read(&bytes, model.name, &Limits::default(), &mut Silent);
        }
    }
}

/// Ten models, small ones, so that a sweep takes seconds, and the meshes made here.
const STEP: [&str; 6] = [
    "as1_assembly_214.stp",
    "nist_mbe_pmi_3_inch.stp",
    "revolve_profile.stp",
    "sphere_quarter_pieces.stp",
    "splinecage_4patch.stp",
    "torus_apple_degenerate.stp",
];
const IGES: [&str; 4] = ["cube_msbo_186.igs", "hull_wigley.iges", "pipe_hollow_metre.iges", "wing_d150.igs"];

/// Random damage: a model with its report, or an error that says where; in bounded time and memory; never a panic.
#[test]
fn random_damage_gives_a_model_or_an_error_with_its_place() {
    let seeds = if std::env::var_os("RAKELIGHT_FULL").is_some() { 200 } else { 20 };
    let purpose = "the sweep of damages";
    let models = STEP.into_iter().filter_map(|name| data::step_model(name, purpose));
    let models = models.chain(IGES.into_iter().filter_map(|name| data::iges_model(name, purpose)));
    let mut files: Vec<(&str, Vec<u8>)> = models.map(|model| (model.name, model.bytes())).collect();
    files.extend(mesh_files::all().into_iter().map(|file| (file.name, file.bytes)));
    let mut wrong = Vec::new();
    for (name, sound) in &files {
        let (mut models, mut errors, mut slowest, mut largest) = (0, 0, 0.0f64, 0);
        for seed in 0..seeds {
            let (kind, bytes) = damage::damage(sound, seed);
            match catch_unwind(AssertUnwindSafe(|| consequence(name, &bytes, seed % 5 == 3))) {
                Ok(Ok(outcome)) => {
                    if outcome.model {
                        models += 1;
                    } else {
                        errors += 1;
                    }
                    slowest = slowest.max(outcome.seconds);
                    largest = largest.max(outcome.memory);
                }
                Ok(Err(what)) => wrong.push(format!("{name}, seed {seed}, {kind:?}: {what}")),
                Err(_) => wrong.push(format!("{name}, seed {seed}, {kind:?}: a panic, told above")),
            }
        }
        println!("{name}: {models} models, {errors} errors; slowest {slowest:.3} s, most memory {largest} bytes of {} file", sound.len());
        assert!(models + errors + wrong.len() as u64 >= seeds);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

struct Outcome {
    model: bool,
    seconds: f64,
    memory: usize,
}

/// What reading these bytes comes to, and where `further`, what faces and joins make of them.
fn consequence(name: &str, bytes: &[u8], further: bool) -> Result<Outcome, String> {
    let began = own_time();
    let (result, peak) = memory::peak_of(|| exchange::read(bytes, name, &Limits::default(), &mut Silent));
    let took = own_time() - began;
    if took > allowed_time(bytes.len()) {
        return Err(format!("reading {} bytes took {took:?}", bytes.len()));
    }
    if peak > allowed_memory(bytes.len()) {
        return Err(format!("reading {} bytes took {peak} bytes of memory", bytes.len()));
    }
    let model = match result {
        Ok(import) => {
            let faces = import.model.faces.len();
            if faces == 0 && import.model.meshes.is_empty() && import.report.unread.is_empty() {
                return Err("an empty model, and nothing is said of it".into());
            }
            if further {
                let prepared = Prepared::new(import);
                let shown = prepared.domains.iter().filter(|domain| domain.is_some()).count();
                if shown + prepared.faults.len() < faces {
                    return Err(format!("of {faces} faces {shown} are shown and {} explained", prepared.faults.len()));
                }
                JoinGraph::find(&prepared.sheets(), &prepared.areas, &joins::Options::default(), &mut Silent)
                    .map_err(|e| format!("{e:?}"))?;
            }
            true
        }
        Err(error) if has_place(&error) => false,
        Err(error) => return Err(format!("no place in: {error}")),
    };
    Ok(Outcome { model, seconds: took.as_secs_f64(), memory: peak })
}
