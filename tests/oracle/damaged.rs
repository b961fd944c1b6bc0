//! What is no model is refused with a message that says where, and never anything worse.

use rakelight_core::exchange::{self, Limits};
use rakelight_core::progress::Silent;
use rakelight_tests::{damaged, data};

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
