//! A whole review by keyboard alone, on a model from outside: opened, gone through, judged, pinned, marked up, saved.

use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use rakelight_tests::{browser, data, site};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(60);
const CTRL: u8 = 2;
const SHIFT: u8 = 8;
const MODEL: &str = "nacelle_6patch.stp";

fn focused(inspector: &Inspector) -> String {
    inspector.page.ask("document.activeElement.id").as_str().unwrap_or_default().to_owned()
}

/// Tab, or back with Shift, until an element has the focus.
fn tab_to(inspector: &Inspector, id: &str, modifiers: u8) {
    for _ in 0..400 {
        if focused(inspector) == id {
            return;
        }
        inspector.page.key_with("Tab", modifiers);
    }
    panic!("#{id} is not reached by Tab");
}

fn write(inspector: &Inspector, text: &str) {
    for letter in text.chars() {
        inspector.page.key(&letter.to_string());
    }
}

#[test]
fn a_review_is_made_by_keyboard_alone() {
    let Some(model) = data::step_model(MODEL, "a review by keyboard") else { return };
    let inspector = Inspector { server: site::serve("", None), page: browser::page() };
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    page.go(&inspector.server.page());
    inspector.wait_for_model("bramble-a.step");
    let strokes = || page.ask("document.querySelectorAll('#pin-sheet path[data-pin]').length");
    let chosen = || page.ask("document.querySelector('#ledger-list [aria-current=true]')?.dataset.entry ?? null");

    // From the top of the page to the first button, and a file of one's own.
    page.key("Tab");
    assert_eq!(focused(&inspector), "skip");
    tab_to(&inspector, "open-button", 0);
    page.choose_in(|| page.key("Enter"), &model.path);
    page.wait(&format!("document.documentElement.dataset.model === {MODEL:?}"), SOON);
    inspector.wait_for_model(MODEL);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    let entries = page.ask("[...document.querySelectorAll('#ledger-list .row')].map((row) => row.dataset.entry)");
    assert!(entries.as_array().is_some_and(|all| all.len() >= 3), "{entries}");

    // From the model through the ledger. The first is overruled with a reason, which is undone and done again.
    tab_to(&inspector, "canvas", 0);
    page.key("j");
    assert_eq!(chosen(), entries[0]);
    page.key("e");
    assert_eq!(focused(&inspector), "mark-severity");
    let was = page.ask("document.querySelector('#mark-severity').value");
    page.key("ArrowDown");
    let severity = page.ask("document.querySelector('#mark-severity').value");
    assert_ne!(severity, was, "arrows choose in the list");
    page.key("Tab");
    assert_eq!(focused(&inspector), "mark-reason");
    write(&inspector, "agreed with the toolmaker");
    page.key("Enter");
    page.wait("document.querySelector('#mark-overruled')", SOON);
    page.key_with("z", CTRL);
    page.wait("document.querySelector('#mark-ask')", SOON);
    page.key_with("z", CTRL | SHIFT);
    page.wait("document.querySelector('#mark-overruled')", SOON);

    // The second is waived and the third gets a note.
    tab_to(&inspector, "canvas", SHIFT);
    page.key("j");
    page.key("w");
    let waived = chosen();
    page.key("j");
    page.key("t");
    assert_eq!(focused(&inspector), "mark-note");
    write(&inspector, "ask for the scan");
    let noted = chosen();
    assert!(noted != waived && waived != entries[0] && noted != Value::Null, "{waived}, {noted}");

    // A pin at the middle of the view, and two lines for it: the pen is moved, put down, moved and lifted.
    tab_to(&inspector, "canvas", SHIFT);
    page.key("f");
    inspector.wait_for_exact();
    page.key("i");
    page.key("Enter");
    page.wait("document.activeElement.id === 'pin-title'", SOON);
    write(&inspector, "soft here");
    tab_to(&inspector, "pin-draw", 0);
    page.key("Enter");
    page.wait("document.querySelector('#surface').dataset.pen === 'draw'", SOON);
    assert_eq!(focused(&inspector), "canvas", "the keys are the pen's");
    page.wait("getComputedStyle(document.querySelector('#pin-middle')).display === 'block'", SOON);
    assert!(page.text("#pin-bar").contains("Arrow keys"), "{}", page.text("#pin-bar"));
    let camera = || page.ask("document.querySelector('#pins [data-pin]').style.transform");
    let before = camera();
    page.key("ArrowLeft");
    page.key(" ");
    page.wait("document.querySelector('#live').textContent.includes('pen is down')", SOON);
    for key in ["ArrowRight", "ArrowRight", "ArrowUp", "ArrowUp", "ArrowUp"] {
        page.key(key);
    }
    // While it is down, no key turns the view under it.
    page.key("2");
    page.key(" ");
    page.wait("document.querySelectorAll('#pin-sheet path[data-pin]').length === 1", SOON);
    assert_eq!(camera(), before, "the view has not turned");
    let line = page.ask("document.querySelector('#pin-sheet path[data-pin]').getAttribute('d').match(/-?[0-9.]+/g).map(Number)");
    let line: Vec<f64> = line.as_array().expect("a line").iter().filter_map(Value::as_f64).collect();
    let [first, last] = [[line[0], line[1]], [line[line.len() - 2], line[line.len() - 1]]];
    assert!((last[0] - first[0] - 24.0).abs() < 1.0 && (first[1] - last[1] - 36.0).abs() < 1.0, "{line:?}");
    page.key("Enter");
    page.key("ArrowDown");
    page.key("Escape");
    assert_eq!(strokes(), json!(1), "a line that is let go is none");
    page.key("Enter");
    page.key_with("ArrowDown", SHIFT);
    page.key("Enter");
    page.wait("document.querySelectorAll('#pin-sheet path[data-pin]').length === 2", SOON);
    page.key_with("z", CTRL);
    assert_eq!(strokes(), json!(1));
    page.key_with("z", CTRL | SHIFT);
    assert_eq!(strokes(), json!(2));
    // In a window of another size a line begun would lie elsewhere.
    page.key("Enter");
    page.resize(1300, 860);
    page.wait("!document.querySelector('#pin-middle').classList.contains('down')", SOON);
    assert_eq!(strokes(), json!(2));
    page.key("Escape");
    page.wait("document.querySelector('#surface').dataset.pen === undefined", SOON);

    // Saved, from the head.
    tab_to(&inspector, "review-save", SHIFT);
    let file: Value = serde_json::from_str(&inspector.saved_after(|| page.key("Enter"))).expect("JSON");
    let review = &file["review"];
    let said: Vec<&Value> = review["marks"].as_object().expect("marks").values().collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said.iter().any(|mark| mark["severity"] == severity && mark["reason"] == "agreed with the toolmaker"), "{said:?}");
    assert!(said.iter().any(|mark| mark["state"] == "waived"), "{said:?}");
    assert!(said.iter().any(|mark| mark["note"] == "ask for the scan"), "{said:?}");
    let pin = &review["pins"][0];
    assert_eq!((&pin["title"], pin["strokes"].as_array().map(Vec::len)), (&json!("soft here"), Some(2)), "{pin}");
    assert_eq!(page.problems(), Vec::<String>::new());
}
