//! Models and reviews whose every word is hostile: shown as words wherever the page shows them, with the page's policy and without it.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rakelight_core::demo::bramble;
use rakelight_tests::hostile_words::{AUDIT, FILE_NAME, PAYLOADS, step, words};
use rakelight_tests::inspector::Inspector;
use rakelight_tests::{browser, site};
use serde_json::{Value, json};

use super::link::KEPT;

const SOON: Duration = Duration::from_secs(60);

/// Puts one odd value after another in each place of a sound file, and odd keys beside its own. Returns how many there were, how many
/// were refused, which were not refused by a sentence of ours, and whether objects are as they were.
const ODD: &str = "import('./review-file.js').then(({ readReview }) => {
    const places = [];
    const visit = (value, at) => {
        places.push(at);
        if (value !== null && typeof value === 'object') Object.keys(value).forEach((key) => visit(value[key], [...at, key]));
    };
    visit(sound, []);
    const own = JSON.parse('{\"__proto__\": {\"polluted\": 1}, \"constructor\": {\"prototype\": {\"polluted\": 1}}}');
    const odd = [null, [], {}, '', ' ', 'x'.repeat(30000), 1e308, -1, 0.5, true, '__proto__', own, [[[[[[[1]]]]]]], ...payloads];
    const [wrong, count] = [[], { all: 0, refused: 0 }];
    const tried = (file, at) => {
        count.all += 1;
        try {
            JSON.stringify(readReview(file));
        } catch (error) {
            count.refused += 1;
            const theirs = /is not a function|not iterable|Cannot read|\\[object/.test(error.message);
            if (theirs || error.constructor !== Error || error.message.length > 800) wrong.push(`${at.join('.')}: ${error}`.slice(0, 300));
        }
    };
    for (const at of places.slice(1)) {
        for (const value of odd) {
            const file = structuredClone(sound);
            at.slice(0, -1).reduce((part, key) => part[key], file)[at.at(-1)] = value;
            tried(file, at);
        }
    }
    for (const at of places) {
        const text = JSON.stringify(at.reduce((part, key) => part[key], sound));
        if (!text.startsWith('{')) continue;
        for (const key of ['__proto__', 'constructor', 'toString', ...payloads]) {
            const part = JSON.parse(`{${JSON.stringify(key)}: {\"polluted\": 1}${text === '{}' ? '' : ','}${text.slice(1)}`);
            if (at.length === 0) { tried(part, at); continue; }
            const file = structuredClone(sound);
            at.slice(0, -1).reduce((whole, one) => whole[one], file)[at.at(-1)] = part;
            tried(file, at);
        }
    }
    return [count.all, count.refused, wrong.slice(0, 8), ({}).polluted === undefined];
})";

fn written(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a file");
    path
}

/// The demo with hostile names, and one face whose boundary cannot be used, so that it is listed by its name.
fn model() -> String {
    let (text, _) = step(&bramble::step(bramble::Revision::A));
    let at = text.rfind("ADVANCED_FACE(").expect("a face");
    let (before, face) = text.split_at(at);
    let (head, rest) = face.split_once("',(").expect("its bounds");
    let (_, rest) = rest.split_once("),").expect("their end");
    let surface = &rest[..rest.find(',').expect("its surface")];
    format!("{before}{head}',({surface}),{rest}")
}

fn assert_words(inspector: &Inspector, when: &str) {
    assert_eq!(inspector.page.ask(AUDIT), json!([]), "{when}");
    assert_eq!(inspector.page.dialogs(), 0, "{when}");
}

/// Words of a part of the page are shown as they are.
fn assert_shown(inspector: &Inspector, place: &str, what: &str) {
    let tidy = |text: &str| text.replace('\u{200b}', "").split_whitespace().collect::<Vec<_>>().join(" ");
    let shown = inspector.page.ask(&format!(
        "[...document.querySelectorAll({place:?})].map((one) =>
            [one.textContent, ...[...one.querySelectorAll('input, textarea')].map((box) => box.value)].join(' ')).join(' ')"
    ));
    let shown = tidy(shown.as_str().expect("a text"));
    assert!(shown.contains(&tidy(what)), "{place} does not show {what}: {}", shown.chars().take(600).collect::<String>());
}

fn walk(policy: bool) {
    let inspector = Inspector { server: site::serve("", None), page: browser::page() };
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    let lines: Vec<String> = (100..103).map(words).collect();
    page.before(&format!("try {{ localStorage.setItem('rakelight-checklist', {:?}); }} catch {{}}", json!(lines).to_string()));
    if !policy {
        page.without_policy();
    }
    page.go(&format!("{}?open=open/none.step", inspector.server.folder()));
    inspector.wait_for_failure();
    if !policy {
        // What the policy would stop does run now: the audit can fail.
        page.ask("{ const one = document.createElement('script'); one.textContent = 'globalThis.ran = 1'; document.body.append(one); }");
        assert_eq!(page.ask(AUDIT).as_array().map(Vec::len), Some(2));
        page.ask("{ delete globalThis.ran; document.body.querySelector(':scope > script').remove(); }");
    }

    // The model: its own name, its author's, its faces'.
    inspector.choose(&written(FILE_NAME, &model()));
    page.wait("document.documentElement.dataset.state === 'ready'", SOON);
    page.wait("document.documentElement.dataset.kept === 'here' && document.querySelectorAll('#finding-list .row').length > 5", SOON);
    assert_shown(&inspector, "#model-name", FILE_NAME);
    page.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    let told = page.text("#pass-overview-body");
    assert!(PAYLOADS.iter().filter(|one| told.contains(**one)).count() >= 2, "its author is not shown: {told}");
    page.wait("document.querySelector('#report-untrimmed li')", SOON);
    assert!(page.text("#report-untrimmed").contains("ran=1"), "{}", page.text("#report-untrimmed"));
    assert_words(&inspector, "a model");
    page.click_on("#finding-list [data-finding^='join.']");
    page.wait("document.querySelector('#card .facts')", SOON);
    for place in ["#finding-list .row-where", "#card .facts"] {
        assert!(
            page.ask(&format!("[...document.querySelectorAll({place:?})].some((one) => one.textContent.includes('ran=1'))")) == json!(true),
            "{place}"
        );
    }
    page.click_on("#mark-agreed");
    let key = page.ask("document.querySelector('#ledger-list [aria-current=true]').dataset.entry");
    page.ask("document.querySelector('#canvas').focus()");
    page.key("f");
    inspector.wait_for_exact();
    page.key("i");
    page.key("Enter");
    page.wait("document.querySelector('#pin-title')", SOON);
    let mut sound: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");

    // The review: what was said of a finding, a pin, the checklist, a picture that is not there.
    let review = &mut sound["review"];
    let mark = review["marks"].as_object_mut().expect("marks").values_mut().next().expect("the one that was agreed");
    *mark = json!({"state": "waived", "severity": "good", "reason": words(1), "note": words(2)});
    review["pins"][0]["title"] = json!(words(3));
    review["pins"][0]["text"] = json!(words(4));
    let texts = PAYLOADS.iter().enumerate().map(|(at, one)| json!({"text": format!("c{at} {one}"), "note": words(at), "state": "missing"}));
    review["checklist"] = texts.collect();
    let view = json!({"side": "front", "yaw": 0, "pitch": 0});
    review["underlay"] =
        json!({"file": words(7), "view": view, "x": 0, "y": 0, "width": 100, "turn": 0, "flip": false, "opacity": 1, "front": false});
    inspector.choose(&written("hostile words.review.json", &sound.to_string()));
    page.wait("document.querySelector('#slips').innerText.includes('is in use')", SOON);
    page.click_on("#card-close");
    page.ask(&format!("document.querySelector(`[data-entry=\"${{CSS.escape({key})}}\"]`).click()"));
    page.wait("document.querySelector('#mark-overruled')", SOON);
    assert_shown(&inspector, "#card", &words(1));
    assert_shown(&inspector, "#card", &words(2));
    assert_shown(&inspector, "#ledger-list [data-pin]", &words(3));
    page.click_on("#ledger-list [data-pin]");
    page.wait("document.querySelector('#pin-title')", SOON);
    assert_shown(&inspector, "#card", &words(3));
    assert_shown(&inspector, "#card", &words(4));
    let passes = page.ask("[...document.querySelectorAll('#passes .pass')].map((one) => one.id)");
    for pass in passes.as_array().expect("passes") {
        page.ask(&format!("document.getElementById({pass}).click()"));
        std::thread::sleep(Duration::from_millis(500));
        page.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
        assert_words(&inspector, &pass.to_string());
    }
    page.ask("{ const one = document.querySelector('#pass-reference'); if (one.getAttribute('aria-expanded') !== 'true') one.click(); }");
    for at in 0..PAYLOADS.len() {
        assert_shown(&inspector, "#checklist", &format!("c{at} {}", PAYLOADS[at]));
    }
    assert_shown(&inspector, "#pass-reference-body", &words(7));
    page.ask("document.querySelector('#checklist .check-text').click()");
    page.ask("document.querySelector('#undo').click()");
    page.wait("document.querySelector('#checklist-start')?.checkVisibility()", SOON);
    page.click_on("#checklist-start");
    assert_shown(&inspector, "#checklist", &lines[0]);
    assert_words(&inspector, "the template");

    // Reviews of another model, and refused ones, tell what was in them.
    let mut other = sound.clone();
    other["model"]["name"] = json!(words(8));
    other["model"]["hash"] = json!("0".repeat(64));
    inspector.choose(&written("hostile other.review.json", &other.to_string()));
    page.wait("document.querySelector('#review-other')", SOON);
    assert_shown(&inspector, "#review-other", &words(8));
    page.click_on("#review-leave");
    let mut refused = sound.clone();
    refused["review"]["marks"][words(5)] = json!({"state": words(6)});
    inspector.choose(&written("hostile refused.review.json", &refused.to_string()));
    page.wait("document.querySelector('#failure')", SOON);
    assert_shown(&inspector, "#failure", &words(5));
    page.click_on("#failure-dismiss");
    assert_words(&inspector, "reviews");

    let told = page.ask(&format!("{{ globalThis.sound = {sound}; globalThis.payloads = {}; }} {ODD}", json!(PAYLOADS)));
    assert_eq!((&told[2], &told[3]), (&json!([]), &json!(true)), "refused otherwise than by a sentence of ours");
    assert!(told[0].as_i64() > Some(1000) && told[1].as_i64() > Some(500), "{told}");
    assert_words(&inspector, "odd values");

    // Links: one with the review, to a model of a hostile name, and one whose fragment is none.
    page.ask(&format!(
        "{{ const one = wasm_bindgen.link_read({KEPT:?}); one.model = {{ hash: '0'.repeat(32), name: {}, source: 'own' }};
        one.pins.forEach((pin) => {{ pin.text = {}; }}); location.hash = wasm_bindgen.link_text(one); }}",
        json!(words(9).chars().take(120).collect::<String>()),
        json!(words(10))
    ));
    page.wait("document.querySelector('#review-waits, #review-other')", SOON);
    assert_shown(&inspector, "#review-waits, #review-other", &words(9).chars().take(60).collect::<String>());
    assert_words(&inspector, "a link");
    for fragment in [format!("v1.{}", PAYLOADS[0]), format!("v1.AAAA{}", words(11)), words(12)] {
        page.ask(&format!("{{ document.querySelector('#failure-dismiss')?.click(); location.hash = {}; }}", json!(fragment)));
        std::thread::sleep(Duration::from_millis(200));
        assert_words(&inspector, "a fragment");
    }

    let mine: Vec<String> = page.problems().into_iter().filter(|one| !one.contains("none.step")).collect();
    assert_eq!(mine, Vec::<String>::new());
}

#[test]
fn hostile_words_stay_words_under_the_policy() {
    walk(true);
}

#[test]
fn hostile_words_stay_words_without_the_policy() {
    walk(false);
}
