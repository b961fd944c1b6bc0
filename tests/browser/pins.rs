//! Pins: placed by click and by keyboard, gone back to with camera and lamps, drawn for, and read from outside.

use std::time::Duration;

use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(60);
const CTRL: u8 = 2;
const SHIFT: u8 = 8;

/// How far a flag or a line may lie from where it belongs, pixels.
const NEAR: f64 = 2.0;

/// The demo, turned a little from where it was fitted.
fn opened(width: u32, height: u32) -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(width, height);
    inspector.wait_for_model(demo::NAME);
    inspector.page.ask("document.querySelector('#canvas').focus()");
    inspector.page.key("ArrowLeft");
    inspector
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
}

/// Where a pin's flag stands, from the canvas's corner.
fn flag(inspector: &Inspector, key: u32) -> (f64, f64) {
    let told = inspector.page.ask(&format!(
        "(() => {{ const flag = document.querySelector('#pins [data-pin=\"{key}\"]'); return flag && !flag.hidden ? flag.style.transform.match(/-?[0-9.]+/g).slice(0, 2).map(Number) : []; }})()"
    ));
    let at = numbers(&told);
    assert_eq!(at.len(), 2, "no flag of pin {key}");
    (at[0], at[1])
}

/// The lines that are seen, each its points from the canvas's corner.
fn lines(inspector: &Inspector) -> Vec<Vec<(f64, f64)>> {
    let told = inspector.page.ask(
        "[...document.querySelectorAll('#pin-sheet path[data-pin]:not([hidden])')].map((line) => line.getAttribute('d').match(/-?[0-9.]+/g).map(Number))",
    );
    told.as_array().expect("lines").iter().map(|line| numbers(line).as_chunks::<2>().0.iter().map(|[x, y]| (*x, *y)).collect()).collect()
}

fn near(a: (f64, f64), b: (f64, f64)) -> bool {
    (a.0 - b.0).hypot(a.1 - b.1) <= NEAR
}

fn write(inspector: &Inspector, text: &str) {
    for letter in text.chars() {
        inspector.page.key(&letter.to_string());
    }
}

fn focused(inspector: &Inspector) -> String {
    inspector.page.ask("document.activeElement.id").as_str().unwrap_or_default().to_owned()
}

fn shift_tab_to(inspector: &Inspector, wanted: &str) {
    for _ in 0..80 {
        inspector.page.key_with("Tab", SHIFT);
        if inspector.page.ask(&format!("document.activeElement.matches({wanted:?})")) == Value::Bool(true) {
            return;
        }
    }
    panic!("{wanted} is not reached by Tab");
}

/// Places a pin at the middle of the view by mouse.
fn pinned(inspector: &Inspector) {
    inspector.page.click_on("#pin-add");
    inspector.page.wait("document.querySelector('#surface').dataset.pen === 'aim'", SOON);
    let (x, y) = inspector.canvas().middle();
    inspector.page.click(x, y);
    inspector.page.wait("document.querySelector('#pin-title')", SOON);
}

fn pins(inspector: &Inspector) -> Value {
    inspector
        .page
        .ask("[...document.querySelectorAll('#ledger-list [data-pin]')].map((row) => [Number(row.dataset.pin), row.dataset.severity])")
}

#[test]
fn a_pin_is_placed_by_a_click_listed_and_its_words_are_words_only() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    // Beside the model there is no place for a pin, and it is said.
    page.click_on("#pin-add");
    let canvas = inspector.canvas();
    page.click(canvas.x + 6.0, canvas.y + canvas.height / 2.0);
    page.wait("document.querySelector('#slips').innerText.includes('no model at this place')", SOON);
    assert_eq!(pins(&inspector), json!([]));
    assert_eq!(page.ask("document.querySelector('#surface').dataset.pen"), "aim");
    let (x, y) = canvas.middle();
    page.click(x, y);
    page.wait("document.querySelector('#pin-title')", SOON);
    assert!(!page.text("#slips").contains("no model at this place"));
    assert_eq!(focused(&inspector), "pin-title");
    assert!(near(flag(&inspector, 1), (x - canvas.x, y - canvas.y)), "{:?}", flag(&inspector, 1));

    let markup = "<img src=x onerror=\"document.title='ran'\"><b>bold</b>";
    for field in ["#pin-title", "#pin-text"] {
        page.ask(&format!(
            "(() => {{ const box = document.querySelector('{field}'); box.focus(); box.value = {markup:?}; box.dispatchEvent(new Event('input')); }})()"
        ));
    }
    assert!(page.text("#ledger-list [data-pin] .row-title").contains("<b>bold</b>"));
    assert_eq!(page.ask("document.querySelectorAll('#ledger img, #ledger .row-title b, #card h3 b').length"), Value::from(0));
    assert_eq!(page.ask("document.querySelector('#card h3').textContent"), Value::from(markup));
    assert_eq!(page.ask("document.title.includes('ran')"), Value::Bool(false));

    // Its severity ranks it: first of its kind, good below all others, under their heading.
    assert_eq!(pins(&inspector), json!([[1, "fix"]]));
    let first = "[...document.querySelectorAll('#finding-list .row')].find((row) => row.dataset.severity === 'serious').dataset.pin ?? ''";
    page.click_on("#pin-serious");
    assert_eq!(page.ask(first), "1");
    page.click_on("#pin-good");
    assert_eq!(page.ask("document.querySelector('#good-list .row').dataset.pin"), "1");
    let open = page.text("#pass-overview .pass-count");
    page.click_on("#pin-note");
    assert_eq!(page.text("#pass-overview .pass-count"), open, "a note asks for nothing");
    page.click_on("#pin-polish");
    assert_ne!(page.text("#pass-overview .pass-count"), open, "an own finding does");
    page.click_on("#mark-fixed");
    assert_eq!(page.text("#pass-overview .pass-count"), open);

    // It is gone to by its flag as by its row, and deleted for good only by the user.
    page.click_on("#card-close");
    let (x, y) = flag(&inspector, 1);
    page.click(canvas.x + x, canvas.y + y - 22.0);
    page.wait("document.querySelector('#pin-title')", SOON);
    page.click_on("#pin-delete");
    assert_eq!(pins(&inspector), json!([]));
    assert_eq!(page.ask("document.querySelectorAll('#pins [data-pin]').length"), Value::from(0));
    page.click_on("#undo");
    assert_eq!(pins(&inspector), json!([[1, "polish"]]));
    // All the way back and on again: nothing in between is lost.
    let row = page.text("#ledger-list [data-pin]");
    page.ask("(() => { for (let i = 0; i < 60; i += 1) document.querySelector('#undo').click(); })()");
    assert_eq!(pins(&inspector), json!([]));
    page.ask("(() => { for (let i = 0; i < 60; i += 1) document.querySelector('#redo').click(); })()");
    assert_eq!(pins(&inspector), json!([]), "the last step was its deletion");
    page.click_on("#undo");
    assert_eq!(page.text("#ledger-list [data-pin]"), row);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_pin_is_placed_named_judged_and_gone_to_by_keys_alone() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.key("i");
    page.wait("document.querySelector('#surface').dataset.pen === 'aim'", SOON);
    page.key("Escape");
    assert_eq!(page.ask("document.querySelector('#surface').dataset.pen ?? null"), Value::Null);
    page.key("i");
    page.key("Enter");
    page.wait("document.activeElement.id === 'pin-title'", SOON);
    // Letters are letters while one writes.
    write(&inspector, "a wave");
    page.key("Tab");
    assert_eq!(focused(&inspector), "pin-text");
    write(&inspector, "dig j/k");
    assert_eq!(page.ask("document.querySelector('#mark-open').getAttribute('aria-pressed')"), "true");
    assert!(page.text("#ledger-list [data-pin]").contains("a wave"));
    // What was typed in one visit is one step.
    shift_tab_to(&inspector, "#finding-list .row");
    page.key_with("z", CTRL);
    assert_eq!(page.ask("document.querySelector('#pin-text').value"), "");
    page.key_with("z", CTRL | SHIFT);
    assert_eq!(page.ask("document.querySelector('#pin-text').value"), "dig j/k");

    // On from entry to entry, with the camera; what is chosen is the row with the focus.
    let chosen = || page.ask("document.querySelector('#ledger-list [aria-current=true]')?.dataset.entry ?? null");
    let entries = page.ask("[...document.querySelectorAll('#ledger-list .row')].map((row) => row.dataset.entry)");
    let at = entries.as_array().expect("rows").iter().position(|entry| entry == "pin 1").expect("the pin");
    assert_eq!(chosen(), "pin 1");
    page.key("j");
    assert_eq!(chosen(), entries[at + 1]);
    assert_eq!(page.ask("document.activeElement.dataset.entry"), entries[at + 1]);
    page.key("ArrowDown");
    assert_eq!(chosen(), entries[at + 2]);
    page.key("ArrowUp");
    page.key("k");
    assert_eq!(chosen(), "pin 1");
    page.key("a");
    assert!(page.text("#ledger-list [data-pin]").contains("Agreed"));
    page.key("w");
    assert!(page.text("#ledger-list [data-pin]").contains("Waived"));
    page.key("r");
    assert!(page.text("#ledger-list [data-pin]").contains("Fixed"));
    page.key("t");
    assert_eq!(focused(&inspector), "pin-text");
    // The same from the model.
    page.ask("document.querySelector('#canvas').focus()");
    page.key("1");
    page.key("j");
    assert_eq!(chosen(), entries[at + 1]);
    assert_eq!(focused(&inspector), "canvas");
    page.key("o");
    page.key("/");
    assert_eq!(focused(&inspector), "ledger-find");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_pin_brings_back_its_camera_and_when_asked_its_lamps() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    page.click_on("#pass-highlights");
    page.wait("document.querySelector('#lamp-azimuth')?.offsetParent", SOON);
    let lamps = || page.ask("['azimuth', 'elevation', 'width'].map((name) => document.querySelector(`#lamp-${name}`).value)");
    pinned(&inspector);
    let (then, rig) = (flag(&inspector, 1), lamps());
    page.click_on("#card-close");
    page.click_on("#preset-sun");
    assert_ne!(lamps(), rig);
    page.click_on("#view-front");
    page.click_on("#view-projection");
    page.click_on("#pass-overview");
    inspector.wait_for_exact();
    assert!(!near(flag(&inspector, 1), then), "the view is another");
    let other = lamps();

    page.click_on("#ledger-list [data-pin='1']");
    inspector.wait_for_exact();
    assert!(near(flag(&inspector, 1), then), "{:?}, {then:?} before", flag(&inspector, 1));
    assert_eq!(page.ask("document.querySelector('#view-projection').getAttribute('aria-pressed')"), "false");
    assert_eq!(lamps(), other, "lamps come back only when asked");
    page.click_on("#pin-lamps");
    assert_eq!(lamps(), rig);
    assert_eq!(page.ask("document.querySelector('#pass-highlights').getAttribute('aria-expanded')"), "true");
    page.click_on("#undo");
    assert_eq!(lamps(), other);

    // It takes another view, and its old one back.
    page.click_on("#view-top");
    page.click_on("#pin-keep");
    let top = flag(&inspector, 1);
    page.click_on("#view-front");
    page.click_on("#pin-go");
    inspector.wait_for_exact();
    assert!(near(flag(&inspector, 1), top));
    page.click_on("#undo");
    page.click_on("#pin-go");
    inspector.wait_for_exact();
    assert!(near(flag(&inspector, 1), then));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn what_is_drawn_stays_on_its_place_at_any_size_and_goes_when_the_view_turns() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    pinned(&inspector);
    let canvas = inspector.canvas();
    let from = flag(&inspector, 1);
    let to = (from.0 + 130.0, from.1 - 90.0);
    let at = |(x, y): (f64, f64)| (canvas.x + x, canvas.y + y);
    page.click_on("#pin-draw");
    page.wait("document.querySelector('#surface').dataset.pen === 'draw'", SOON);
    page.drag(at(from), at(to), "left");
    let drawn = lines(&inspector);
    assert_eq!(drawn.len(), 1);
    assert!(near(drawn[0][0], from) && near(drawn[0][drawn[0].len() - 1], to), "{drawn:?}, from {from:?} to {to:?}");
    assert!(drawn[0].len() <= 4, "a straight line needs few points: {drawn:?}");
    assert!(near(flag(&inspector, 1), from), "a stroke turns nothing");
    // By finger, and a dot.
    page.touch(&[[at((from.0 - 60.0, from.1)), at((from.0 - 60.0, from.1 + 70.0))]]);
    page.click(at((from.0 + 20.0, from.1 + 20.0)).0, at((from.0 + 20.0, from.1 + 20.0)).1);
    assert_eq!(lines(&inspector).len(), 3);
    // Each is one step.
    page.click_on("#pin-undo-stroke");
    assert_eq!(lines(&inspector).len(), 2);
    page.click_on("#undo");
    assert_eq!(lines(&inspector).len(), 3);
    page.click_on("#undo");
    page.click_on("#undo");
    assert_eq!(lines(&inspector), drawn);
    page.click_on("#redo");
    page.click_on("#redo");
    assert_eq!(lines(&inspector).len(), 3);
    page.click_on("#pin-draw-done");
    assert_eq!(page.ask("document.querySelector('#surface').dataset.pen ?? null"), Value::Null);

    // In windows of other sizes: on the place, as large as the model is seen.
    let grown = |height: f64| ((to.0 - from.0) * height / canvas.height, (to.1 - from.1) * height / canvas.height);
    for (width, height) in [(1024, 640), (1300, 1000), (1440, 900)] {
        page.resize(width, height);
        std::thread::sleep(Duration::from_millis(400));
        inspector.wait_for_exact();
        let (foot, seen, size) = (flag(&inspector, 1), lines(&inspector), grown(inspector.canvas().height));
        assert!(near(seen[0][0], foot), "{width} × {height}: {seen:?}, {foot:?}");
        let end = seen[0][seen[0].len() - 1];
        assert!(near(end, (foot.0 + size.0, foot.1 + size.1)), "{width} × {height}: {end:?}, {foot:?} and {size:?}");
    }

    // Nearer they stay on the plane they lie in; turned they are gone, and there is a way back.
    page.wheel(at(from).0, at(from).1, -200.0);
    inspector.wait_for_exact();
    let nearer = lines(&inspector);
    assert_eq!(nearer.len(), 3);
    assert!(near(nearer[0][0], flag(&inspector, 1)));
    page.ask("document.querySelector('#canvas').focus()");
    page.key("ArrowLeft");
    page.wait("document.querySelector('#pin-back')", SOON);
    assert_eq!(lines(&inspector).len(), 0);
    page.click_on("#pin-back");
    inspector.wait_for_exact();
    assert_eq!(lines(&inspector).len(), 3);
    assert!(near(lines(&inspector)[0][0], from));
    // Not chosen, they are seen from its very camera only.
    page.click_on("#card-close");
    assert_eq!(lines(&inspector).len(), 3);
    page.wheel(at(from).0, at(from).1, -200.0);
    inspector.wait_for_exact();
    assert_eq!(lines(&inspector).len(), 0);

    // Drawing goes to the pin's view first, and ends when the view turns away.
    page.ask("document.querySelector('#canvas').focus()");
    page.key("2");
    page.click_on("#ledger-list [data-pin='1']");
    page.key("2");
    page.click_on("#view-back");
    page.click_on("#pin-draw");
    page.wait("document.querySelectorAll('#pin-sheet path[data-pin]:not([hidden])').length === 3", SOON);
    page.ask("document.querySelector('#canvas').focus()");
    page.key("2");
    page.wait("document.querySelector('#surface').dataset.pen === undefined", SOON);
    page.click_on("#pin-clear");
    assert_eq!(page.ask("document.querySelectorAll('#pin-sheet path[data-pin]').length"), Value::from(0));
    page.click_on("#undo");
    assert_eq!(page.ask("document.querySelectorAll('#pin-sheet path[data-pin]').length"), Value::from(3));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn pins_are_hidden_told_behind_the_model_and_reached_on_a_phone() {
    let inspector = opened(1440, 900);
    let page = &inspector.page;
    pinned(&inspector);
    page.click_on("#card-close");
    let behind = "document.querySelector('#pins [data-pin]').classList.contains('behind')";
    page.wait(&format!("!{behind}"), SOON);
    // From the other side the place is behind the model.
    for _ in 0..10 {
        page.ask("document.querySelector('#canvas').focus()");
        page.key("ArrowLeft");
        page.key("ArrowLeft");
        page.key("ArrowLeft");
    }
    page.wait(behind, SOON);
    page.click_on("#ledger-more");
    page.click_on("#pins-shown");
    assert_eq!(page.ask("document.querySelectorAll('#pins [data-pin]').length"), Value::from(0));
    page.click_on("#pins-shown");

    page.resize(390, 844);
    std::thread::sleep(Duration::from_millis(400));
    page.click_on("#ledger-list [data-pin]");
    page.wait("document.querySelector('#pin-title')?.offsetParent", SOON);
    let cut = page.ask(
        "[...document.querySelectorAll('#card button, #card input, #card textarea, #pin-bar button')].filter((b) => b.offsetParent)
            .filter((b) => { const r = b.getBoundingClientRect(); return r.left < 0 || r.right > innerWidth || r.height < 24 || (b.tagName === 'BUTTON' && b.scrollWidth > b.clientWidth + 1); }).map((b) => b.id)",
    );
    assert_eq!(cut, json!([]));
    page.click_on("#pin-draw");
    page.wait("document.querySelector('#surface').dataset.pen === 'draw'", SOON);
    let (x, y) = inspector.canvas().middle();
    page.touch(&[[(x - 40.0, y), (x + 40.0, y)]]);
    assert_eq!(lines(&inspector).len(), 1);
    assert_eq!(page.ask("document.documentElement.scrollWidth <= innerWidth"), Value::Bool(true));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn pins_and_judgements_from_outside_are_read_with_care() {
    let inspector = opened(800, 560);
    let read = |file: &str, name: &str, value: &Value| -> Result<Value, String> {
        let told = inspector.page.ask(&format!(
            "import('./{file}.js').then(({{ {name} }}) => {{ try {{ return {name}(JSON.parse({:?})); }} catch (error) {{ return error.message; }} }})",
            value.to_string()
        ));
        match told {
            Value::String(why) => Err(why),
            value => Ok(value),
        }
    };
    let pins = |value: &Value| read("pins", "readPins", value);
    let marks = |value: &Value| read("marks", "readMarks", value);
    let lamps = json!({"family": "isophote", "azimuth": 35, "elevation": 60, "turn": 0, "spacing": 0.08, "step": 7.5, "count": 125, "width": 0.5, "reach": 1});
    let camera = json!({"target": [1, 2.5, -3], "yaw": 0.5, "pitch": -0.25, "distance": 900, "projection": "orthographic"});
    let pin = json!({
        "key": 7, "model": "a.step", "title": "Wave", "text": "two\nlines", "severity": "note", "state": "waived", "place": [1, 2, 3], "face": 4,
        "camera": camera, "lamps": lamps, "pass": "joins", "strokes": [[[0, 0, 1], [1, 2, 3]]],
    });
    assert_eq!(pins(&json!([pin])), Ok(json!([pin])), "what is sound comes back as it was");
    // Numbers that tell nothing apart are given anew; what belongs to nothing is left out.
    let mut odd = pin.clone();
    odd["more"] = json!({"deep": [1]});
    let mut second = pin.clone();
    second["key"] = json!(1);
    let mut third = pin.clone();
    third["key"] = json!(2);
    assert_eq!(pins(&json!([odd, pin])), Ok(json!([second, third])));
    for (field, value) in [
        ("model", json!(1)),
        ("title", json!("x".repeat(201))),
        ("text", json!("x".repeat(4001))),
        ("text", json!({"toString": 1})),
        ("severity", json!("worst")),
        ("state", json!("done")),
        ("place", json!([1, 2])),
        ("place", json!([1, 2, 1e12])),
        ("face", json!(1.5)),
        ("camera", Value::Null),
        ("lamps", json!({"family": "isophote"})),
        ("pass", json!("__proto__")),
        ("strokes", json!([[]])),
        ("strokes", json!(vec![json!([[0, 0, 0]]); 41])),
        ("strokes", json!([vec![json!([0, 0, 0]); 201]])),
        ("strokes", json!([[[0, 0, "1"]]])),
    ] {
        let mut wrong = pin.clone();
        wrong[field] = value;
        let why = pins(&json!([pin, wrong])).expect_err(&wrong.to_string());
        assert!(why.starts_with("Pin 2: "), "{why}");
    }
    assert!(pins(&json!({})).expect_err("no list").contains("list"));
    assert!(pins(&json!(vec![pin.clone(); 501])).expect_err("too many").contains("500"));

    // What is done in the page keeps to the same bounds, and a long way of the hand becomes few points close to it.
    let most = inspector.page.ask(&format!(
        "Promise.all([import('./pins.js'), import('./strokes.js')]).then(([{{ PINS_ACTIONS }}, {{ thinned }}]) => {{
            const pin = {pin};
            let review = {{ pins: [] }};
            for (let i = 0; i < 503; i += 1) review = PINS_ACTIONS['add-pin'](review, {{ pin: {{ ...pin, strokes: [] }} }});
            for (let i = 0; i < 43; i += 1) review = PINS_ACTIONS['add-stroke'](review, {{ key: 500, stroke: Array(300).fill([0, 0, i]) }});
            const way = Array.from({{ length: 4000 }}, (_, i) => [i / 5, 120 * Math.sin(i / 150) + (i % 2)]);
            const few = thinned(way, 200);
            const off = Math.max(...way.map(([x, y]) => Math.min(...few.slice(1).map(([bx, by], i) => {{
                const [ax, ay] = few[i];
                const t = Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)));
                return Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay));
            }}))));
            return [review.pins.length, review.pins.at(-1).strokes.length, review.pins.at(-1).strokes[0].length, few.length <= 200, off < 2];
        }})"
    ));
    assert_eq!(most, json!([500, 40, 200, true, true]));

    let sound = json!({"a|b": {"state": "agreed", "note": "n"}, "a|c": {"state": "open", "severity": "good", "reason": "meant"}});
    assert_eq!(marks(&sound), Ok(sound));
    // What was said in the words of before.
    let old =
        json!({"a|b": {"state": "overruled", "reason": "meant"}, "a|c": {"state": "overruled", "reason": ""}, "a|d": {"state": "open"}});
    assert_eq!(marks(&old), Ok(json!({"a|b": {"state": "open", "severity": "good", "reason": "meant"}, "a|c": {"state": "waived"}})));
    for wrong in [
        json!([]),
        json!({"b": {}}),
        json!({"a|b": 1}),
        json!({"a|b": {"state": "done"}}),
        json!({"a|b": {"severity": "fix"}}),
        json!({"a|b": {"severity": "note", "reason": "x"}}),
    ] {
        assert!(marks(&wrong).is_err(), "{wrong}");
    }
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}
