//! The checklist of a complete model: by mouse, by keyboard alone, its template in the browser's storage, and a part that is missing.

use std::path::Path;
use std::time::Duration;

use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);
const SHIFT: u8 = 8;
const ALT: u8 = 1;
const CTRL: u8 = 2;

fn opened(width: u32, height: u32) -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(width, height);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-reference");
    inspector.page.wait("document.querySelector('#checklist-start')?.offsetParent", SOON);
    inspector
}

/// Words of the lines, from first to last.
fn lines(inspector: &Inspector) -> Vec<String> {
    let told = inspector.page.ask("[...document.querySelectorAll('#checklist .check-text')].map((one) => one.textContent)");
    told.as_array().expect("a list").iter().map(|one| one.as_str().expect("words").to_owned()).collect()
}

fn focused(inspector: &Inspector) -> String {
    inspector.page.ask("document.activeElement.id").as_str().unwrap_or_default().to_owned()
}

fn tally(inspector: &Inspector) -> String {
    inspector.page.text("#checklist-tally")
}

/// Chooses an option of a list of choices as the browser's own menu does.
fn pick(inspector: &Inspector, selector: &str, value: &str) {
    inspector.page.ask(&format!(
        "(() => {{ const box = document.querySelector('{selector}'); box.focus(); box.value = '{value}'; box.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()"
    ));
}

fn write(inspector: &Inspector, text: &str) {
    for letter in text.chars() {
        inspector.page.key(&letter.to_string());
    }
}

/// Tab until an element has the focus.
fn tab_to(inspector: &Inspector, id: &str) {
    for _ in 0..60 {
        inspector.page.key("Tab");
        if focused(inspector) == id {
            return;
        }
    }
    panic!("#{id} is not reached by Tab");
}

#[test]
fn a_list_is_filled_ticked_changed_moved_and_taken_back_by_mouse() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    assert_eq!(lines(&inspector), Vec::<String>::new());
    page.click_on("#checklist-start");
    let usual = lines(&inspector);
    assert!((10..=20).contains(&usual.len()), "{usual:?}");
    assert_eq!(tally(&inspector), format!("0 of {} there", usual.len()));

    // States, told by mark, word and count.
    pick(&inspector, "#check-state-1", "there");
    pick(&inspector, "#check-state-2", "missing");
    pick(&inspector, "#check-state-3", "needless");
    assert_eq!(tally(&inspector), format!("1 of {} there, 1 missing", usual.len() - 1));
    assert!(page.text("#live").contains(&tally(&inspector)));
    let marks =
        page.ask("new Set([...document.querySelectorAll('.check-mark path')].slice(0, 4).map((one) => one.getAttribute('d'))).size");
    assert_eq!(marks, json!(4), "each state has another shape");

    // A line's words and note; one stretch of typing is one step.
    page.click_on("#check-1");
    page.click_on("#check-words-1");
    page.key_with("a", CTRL);
    page.ask("document.execCommand('insertText', false, 'Skin  <b>closed</b>')");
    page.click_on("#check-note-1");
    page.ask("document.execCommand('insertText', false, 'Tail still open')");
    assert_eq!(lines(&inspector)[0], "Skin <b>closed</b>", "words stay words, spaces are one");
    assert_eq!(page.text("[data-key='1'] .check-has"), "note");
    page.click_on("#undo");
    assert_eq!(page.text("[data-key='1'] .check-has"), "");
    page.click_on("#undo");
    assert_eq!(lines(&inspector)[0], usual[0]);
    page.click_on("#redo");
    assert_eq!(lines(&inspector)[0], "Skin <b>closed</b>");

    // Words taken away come back.
    page.click_on("#check-words-1");
    page.key_with("a", CTRL);
    page.key("Delete");
    page.click_on("#check-note-1");
    assert_eq!(lines(&inspector)[0], "Skin <b>closed</b>");

    // Moved, deleted, taken back.
    page.click_on("#check-down-1");
    assert_eq!(lines(&inspector)[1], "Skin <b>closed</b>");
    assert_eq!(focused(&inspector), "check-down-1");
    page.click_on("#check-delete-1");
    assert_eq!(lines(&inspector).len(), usual.len() - 1);
    page.click_on("#undo");
    page.click_on("#undo");
    assert_eq!(lines(&inspector)[0], "Skin <b>closed</b>");
    assert_eq!(lines(&inspector).len(), usual.len());
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_place_is_kept_and_gone_back_to() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.click_on("#checklist-start");
    page.click_on("#check-2");
    inspector.wait_for_exact();
    page.click_on("#view-top");
    inspector.wait_for_exact();
    let there = page.picture(inspector.canvas());
    // A face is chosen, and belongs to the place.
    let (x, y) = inspector.canvas().middle();
    page.click(x + 70.0, y + 50.0); // beside the join in the middle
    page.wait("document.querySelector('#live').textContent.startsWith('Picked')", SOON);
    page.click_on("#check-keep-2");
    page.wait("document.querySelector('#check-go-2').offsetParent", SOON);
    assert!(page.text("[data-key='2'] .check-place").contains(demo::NAME));
    page.click_on("#view-front");
    page.ask("document.querySelector('#canvas').focus()");
    page.key("Escape");
    inspector.wait_for_exact();
    let elsewhere = page.picture(inspector.canvas());
    page.click_on("#check-go-2");
    inspector.wait_for_exact();
    let back = page.picture(inspector.canvas());
    let (off, far) = (back.difference(&there, 8), elsewhere.difference(&there, 8));
    assert!(off < far / 2.0, "{off} off the kept view, which is {far} off the one between");
    page.click_on("#check-forget-2");
    assert_eq!(focused(&inspector), "check-keep-2");
    assert_eq!(page.text("[data-key='2'] .check-has"), "");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_keyboard_alone_does_all_of_it() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.ask("document.querySelector('#pass-reference').focus()");
    tab_to(&inspector, "checklist-add");
    page.key("Enter");
    assert_eq!(focused(&inspector), "checklist-fresh");
    for words in ["Hood", "Doors", "Sill"] {
        write(&inspector, words);
        page.key("Enter");
    }
    page.key("Enter"); // nothing in it: nothing is added
    page.key("Escape");
    assert_eq!(focused(&inspector), "checklist-add");
    assert_eq!(lines(&inspector), ["Hood", "Doors", "Sill"]);

    page.ask("document.querySelector('#pass-reference').focus()");
    tab_to(&inspector, "check-1");
    page.key_with("ArrowDown", ALT);
    assert_eq!(lines(&inspector), ["Doors", "Hood", "Sill"]);
    assert_eq!(focused(&inspector), "check-1");
    assert_eq!(page.text("#live"), "Line 2 of 3.");
    page.key("Tab");
    assert_eq!(focused(&inspector), "check-state-1");
    page.key("m"); // the browser's own way to choose by a letter
    page.wait("document.querySelector('[data-key=\"1\"]').dataset.state === 'missing'", SOON);
    page.key_with("Tab", SHIFT);
    page.key("Enter");
    assert_eq!(page.ask("document.querySelector('#check-1').getAttribute('aria-expanded')"), json!("true"));
    tab_to(&inspector, "check-words-1");
    page.key("End");
    write(&inspector, " left");
    page.key("Tab");
    write(&inspector, "Ask");
    page.key("Escape");
    assert_eq!(focused(&inspector), "check-1");
    assert_eq!(lines(&inspector), ["Doors", "Hood left", "Sill"]);
    assert_eq!(page.text("[data-key='1'] .check-has"), "note");
    page.key("Enter");
    tab_to(&inspector, "check-keep-1");
    page.key("Enter");
    page.wait("document.querySelector('#check-go-1').offsetParent", SOON);
    page.key_with("Tab", SHIFT);
    assert_eq!(focused(&inspector), "check-forget-1");
    page.key_with("Tab", SHIFT);
    assert_eq!(focused(&inspector), "check-go-1");
    page.key("Enter");
    tab_to(&inspector, "check-up-1");
    page.key("Enter");
    page.key("Enter"); // at the top already
    assert_eq!(lines(&inspector), ["Hood left", "Doors", "Sill"]);
    tab_to(&inspector, "check-delete-1");
    page.key("Enter");
    assert_eq!(focused(&inspector), "check-2");
    assert_eq!(lines(&inspector), ["Doors", "Sill"]);
    page.key_with("z", CTRL);
    assert_eq!(lines(&inspector), ["Hood left", "Doors", "Sill"]);
    assert!(page.text("#live").contains("1 missing"), "{}", page.text("#live"));
    page.key_with("z", CTRL | SHIFT);
    assert_eq!(lines(&inspector), ["Doors", "Sill"]);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn an_own_template_outlasts_the_page_and_can_be_given_up() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.click_on("#checklist-start");
    let usual = lines(&inspector);
    while lines(&inspector).len() > 2 {
        page.ask("document.querySelector('#checklist .check:last-child .check-text').click()");
        page.ask("document.querySelector('#checklist .check:last-child [id^=check-delete]').click()");
    }
    pick(&inspector, "#check-state-1", "missing");
    page.click_on("#template-keep");
    page.wait("document.querySelector('#checklist-said').textContent.includes('2 lines')", SOON);
    again(&inspector);
    assert_eq!(lines(&inspector), Vec::<String>::new(), "a review that begins anew");
    page.click_on("#checklist-start");
    assert_eq!(lines(&inspector), usual[..2]);
    assert_eq!(tally(&inspector), "0 of 2 there", "words only");
    page.click_on("#template-usual");
    assert_eq!(focused(&inspector), "template-keep");
    again(&inspector);
    page.click_on("#checklist-start");
    assert_eq!(lines(&inspector), usual);
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// Loads the page anew, and begins a review anew.
fn again(inspector: &Inspector) {
    let page = &inspector.page;
    page.go(&inspector.server.page());
    inspector.wait_for_model(demo::NAME);
    page.wait("['here', 'saving'].includes(document.documentElement.dataset.kept)", SOON);
    page.ask("document.querySelector('#review-afresh')?.click()");
    page.click_on("#pass-reference");
    page.wait("document.querySelector('#checklist-add')?.offsetParent", SOON);
}

#[test]
fn a_template_that_is_no_list_of_lines_is_told_and_harms_nothing() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    let many = json!(vec!["line"; 10_000]).to_string();
    let turned = json!([{"text": "fine", "place": {"model": "m", "face": -1, "camera": {}}}]).to_string();
    for (kept, why) in [
        ("{", "not JSON"),
        ("{\"lines\": 3}", "list of lines"),
        ("[\"fine\", 7]", "Line 2"),
        ("[\"fine\", \"fine\", {\"text\": \" \"}]", "Line 3"),
        ("[{\"text\": \"fine\", \"state\": \"__proto__\"}]", "state"),
        (many.as_str(), "10000 lines"),
        (turned.as_str(), "place"),
    ] {
        page.ask(&format!("localStorage.setItem('rakelight-checklist', {})", json!(kept)));
        again(&inspector);
        let told = page.text("#template-wrong");
        assert!(told.contains(why), "{kept:.60}: {told}");
        page.click_on("#checklist-start");
        assert!(lines(&inspector).len() > 10, "the usual lines");
    }
    // Nothing was taken away without being asked.
    assert_eq!(page.ask("localStorage.getItem('rakelight-checklist')"), json!(turned));
    page.click_on("#template-usual");
    assert_eq!(page.ask("localStorage.getItem('rakelight-checklist')"), Value::Null);
    assert_eq!(page.text("#template-wrong"), "");

    // Markup is words.
    page.ask("localStorage.setItem('rakelight-checklist', JSON.stringify(['<img src=x onerror=\"globalThis.caught = 1\">', 'a\\u202eb']))");
    again(&inspector);
    page.click_on("#checklist-start");
    assert_eq!(lines(&inspector), ["<img src=x onerror=\"globalThis.caught = 1\">", "a b"]);
    assert_eq!(page.ask("[typeof caught, document.querySelectorAll('#checklist img').length]"), json!(["undefined", 0]));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn where_nothing_is_stored_the_template_lasts_as_long_as_the_page() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.ask("for (const name of ['getItem', 'setItem', 'removeItem']) Storage.prototype[name] = () => { throw new DOMException('no', 'SecurityError'); };");
    page.click_on("#checklist-add");
    write(&inspector, "Mine");
    page.key("Enter");
    page.key("Escape");
    page.click_on("#template-keep");
    page.wait("document.querySelector('#checklist-said').textContent.includes('until this page is closed')", SOON);
    assert_eq!(page.text("#live"), page.text("#checklist-said"));
    page.click_on("#check-1");
    page.click_on("#check-delete-1");
    assert_eq!(focused(&inspector), "checklist-add");
    page.click_on("#checklist-start");
    assert_eq!(lines(&inspector), ["Mine"]);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_list_is_bounded_and_says_so() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    let long = "x".repeat(500);
    page.ask(&format!(
        "localStorage.setItem('rakelight-checklist', JSON.stringify(Array.from({{ length: 200 }}, (_, i) => i + '{}')))",
        &long[3..]
    ));
    again(&inspector);
    page.click_on("#checklist-start");
    assert_eq!(lines(&inspector).len(), 200);
    assert_eq!(page.ask("document.querySelector('#checklist-add').getAttribute('aria-disabled')"), json!("true"));
    assert!(page.text("#complete").contains("200 lines"));
    page.ask(&format!("localStorage.setItem('rakelight-checklist', JSON.stringify(['x{long}']))"));
    again(&inspector);
    assert!(page.text("#template-wrong").contains("500"), "{}", page.text("#template-wrong"));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_part_that_is_missing_goes_onto_the_list_with_its_place() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    let plate = "solid\nfacet normal 0 0 1\nouter loop\nvertex -2e3 -2e3 200\nvertex 4e3 -2e3 200\nvertex -2e3 4e3 200\nendloop\nendfacet\nendsolid\n";
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("plate for the list.stl");
    std::fs::write(&path, plate).expect("a file");
    page.choose("#reference-input", &path);
    page.wait("document.querySelector('#missing-add-1')", Duration::from_secs(120));
    inspector.wait_for_exact();
    let before = page.picture(inspector.canvas());
    page.click_on("#missing-add-1");
    let all = lines(&inspector);
    let [line] = all.as_slice() else { panic!("{all:?}") };
    assert!(line.contains("plate for the list.stl") && line.contains("mm²"), "{line}");
    assert_eq!(tally(&inspector), "0 of 1 there, 1 missing");
    assert_eq!(focused(&inspector), "missing-add-1");
    assert_eq!(page.text("#missing-add-1"), "On the checklist");
    page.click_on("#missing-add-1");
    assert_eq!(lines(&inspector).len(), 1, "once");
    page.click_on("#check-1");
    page.click_on("#check-go-1");
    inspector.wait_for_exact();
    assert!(page.picture(inspector.canvas()).difference(&before, 8) > 0.02, "the camera has gone there");
    page.click_on("#undo");
    assert_eq!(page.text("#missing-add-1"), "Add to the checklist");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn on_a_phone_everything_is_in_reach_and_nothing_is_cut() {
    let inspector = opened(390, 844);
    let page = &inspector.page;
    page.click_on("#checklist-start");
    page.click_on("#check-1");
    let beyond = page.ask(
        "[...document.querySelectorAll('#complete *')].filter((one) => one.checkVisibility() && one.getBoundingClientRect().right > innerWidth + 0.5).map((one) => one.id || one.className)",
    );
    assert_eq!(beyond, json!([]), "wider than the window");
    let small = page.ask(
        "[...document.querySelectorAll('#complete :is(button, select, textarea, input)')].filter((one) => one.checkVisibility()).map((one) => [one.id, one.getBoundingClientRect()]).filter(([, box]) => box.height < 24 || box.width < 24).map(([id]) => id)",
    );
    assert_eq!(small, json!([]), "smaller than a finger's target");
    assert_eq!(page.ask("document.documentElement.scrollWidth <= innerWidth"), json!(true));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn lines_from_outside_are_read_with_all_they_have_or_refused_by_name() {
    let inspector = opened(1024, 640);
    let read = |value: &Value| {
        let told = inspector
            .page
            .ask(&format!("import('./checklist.js').then(({{ readChecklist }}) => {{ try {{ return readChecklist({value}); }} catch (error) {{ return error.message; }} }})"));
        match told {
            Value::String(why) => Err(why),
            lines => Ok(lines),
        }
    };
    let camera = json!({"target": [1, 2.5, -3], "yaw": 0.5, "pitch": -0.25, "distance": 900, "projection": "orthographic"});
    let sound = json!([
        {"key": 1, "text": "Doors", "state": "there", "note": "two\nlines", "place": {"model": "a.step", "face": 7, "camera": camera}, "part": null},
        {"key": 2, "text": "Sill", "state": "missing", "note": "", "place": {"model": "a.step", "face": null, "camera": null, "point": [0, 1, 2], "size": 30}, "part": "a part"},
    ]);
    assert_eq!(read(&sound), Ok(sound.clone()), "what is sound comes back as it was");
    // Keys of others, unknown fields and what cannot be seen are not taken over.
    let odd = json!([{"key": 99, "text": " a\u{202e}b\n", "more": {"deep": [1]}}]);
    assert_eq!(read(&odd), Ok(json!([{"key": 1, "text": "a b", "state": "open", "note": "", "place": null, "part": null}])));

    let with = |field: &str, value: Value| {
        let mut line = sound[0].clone();
        line[field] = value;
        json!(["fine", line])
    };
    let place = |field: &str, value: Value| {
        let mut place = sound[0]["place"].clone();
        place[field] = value;
        with("place", place)
    };
    let seen = |field: &str, value: Value| {
        let mut other = camera.clone();
        other[field] = value;
        place("camera", other)
    };
    for wrong in [
        json!(["fine", null]),
        json!(["fine", [1]]),
        with("text", json!(3)),
        with("text", json!("\u{2066} \n")),
        with("text", json!("x".repeat(501))),
        with("note", json!("x".repeat(2001))),
        with("note", json!({})),
        with("state", json!("done")),
        with("state", json!(["open"])),
        with("part", json!("x".repeat(301))),
        with("place", json!("here")),
        place("face", json!(-1)),
        place("face", json!(1.5)),
        place("model", json!(7)),
        place("camera", Value::Null),
        seen("target", json!([0, 0])),
        seen("target", json!([0, 0, 1e12])),
        seen("distance", json!(0)),
        seen("yaw", json!("0")),
        seen("projection", json!("fish")),
    ] {
        let why = read(&wrong).expect_err(&wrong.to_string());
        assert!(why.starts_with("Line 2: its ") || why.starts_with("Line 2: it "), "{wrong}: {why}");
    }
    for wrong in [Value::Null, json!(7), json!({"length": 2}), json!("lines")] {
        assert!(read(&wrong).expect_err("no list").contains("list of lines"));
    }
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}
