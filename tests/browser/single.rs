//! The page as one file: from disk, with the network cut, it shows what the served page shows, keeps its own review, and lets no word run.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rakelight_core::demo::bramble;
use rakelight_pack::single::{Contents, filled, key};
use rakelight_tests::hostile_words::{AUDIT, FILE_NAME, step, words};
use rakelight_tests::inspector::Inspector;
use rakelight_tests::picture::Picture;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);
const LONG: Duration = Duration::from_secs(120);
/// The view that the review was saved with is shown.
const IN_USE: &str = "document.querySelector('#pass-highlights').getAttribute('aria-expanded') === 'true'";

fn written(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a file");
    path
}

/// Agrees to a finding of the ledger, with a note, and waits until that is kept.
fn judge(inspector: &Inspector, row: usize, note: &str) {
    let page = &inspector.page;
    page.ask(&format!("document.querySelectorAll('#finding-list [data-finding]')[{row}].click()"));
    page.click_on("#mark-agreed");
    page.ask(&format!(
        "((box) => {{ box.value = {note:?}; box.dispatchEvent(new Event('input')); }})(document.querySelector('#mark-note'))"
    ));
    page.ask("document.querySelector('#canvas').focus()");
    page.key("Escape");
    page.wait("document.documentElement.dataset.kept === 'here'", LONG);
}

/// Makes a trial of the chosen patch and turns it off.
fn try_and_turn_off(inspector: &Inspector) {
    let page = &inspector.page;
    page.ask("document.querySelector('#finding-list [data-finding^=\"rows.evenness\"]').click()");
    page.click_on("#pass-trials");
    page.click_on("#make-add");
    page.wait("document.querySelector('#trial-list [data-state=made]')", LONG);
    page.ask("document.querySelector('#trial-list input[type=checkbox]').click()");
    page.wait("document.querySelector('#trial-list [data-state=off]')", LONG);
    page.click_on("#pass-highlights");
    page.wait("document.documentElement.dataset.kept === 'here'", LONG);
}

/// What the canvas shows with nothing over it, and the rows of the ledger.
fn seen(inspector: &Inspector) -> (Picture, Value) {
    let page = &inspector.page;
    page.ask("document.querySelector('#slips').style.display = 'none'; document.querySelector('#ledger-all')?.click()");
    page.ask("document.activeElement.blur()");
    page.hover(2.0, 2.0);
    page.wait("document.querySelectorAll('#finding-list .row').length > 5", LONG);
    inspector.wait_for_exact();
    let picture = page.picture(inspector.canvas());
    page.ask("document.querySelector('#slips').style.display = ''");
    (picture, page.ask("[...document.querySelectorAll('#finding-list .row')].map((row) => row.innerText)"))
}

/// One file of the page as it is; its size is told first.
fn saved(inspector: &Inspector) -> String {
    let page = &inspector.page;
    page.click_on("#single-save");
    page.wait("document.querySelector('#single-take')", SOON);
    let told = page.text("#single-slip");
    let text = inspector.saved_by("#single-take");
    let size = format!("{:.1} MB", text.len() as f64 / 1024.0 / 1024.0);
    assert!(told.contains(&size), "{size}: {told}");
    page.wait("document.querySelector('#single-slip') === null", SOON);
    text
}

/// What a file holds beside the page.
fn contents(text: &str) -> Value {
    let place = text.split_once(" id=\"packed\">").and_then(|(_, rest)| rest.split_once('<')).expect("its place").0;
    serde_json::from_str(place).expect("JSON")
}

/// The policy of a file, and what it knows by its hash.
fn fixed(text: &str) -> Vec<&str> {
    let within = |from: &str, to: &str| text.split_once(from).and_then(|(_, rest)| rest.split_once(to)).map(|(part, _)| part);
    let script = |id: &str| within(&format!("<script id=\"packed-{id}\">"), "</script>").expect("a script");
    let policy = within("Content-Security-Policy\" content=\"", "\"").expect("a policy");
    vec![policy, within("<style>", "</style>").expect("a style"), script("bindings"), script("script")]
}

/// Opens a file from disk, and waits until its model is there, then a sign of its review.
fn open(inspector: &Inspector, file: &Path, sign: &str) {
    inspector.page.go(&format!("file://{}", file.display()));
    inspector.wait_for_model(FILE_NAME);
    inspector.page.wait(sign, LONG);
    inspector.page.wait("document.documentElement.dataset.kept === 'here'", LONG);
}

fn review(inspector: &Inspector) -> Value {
    let mut file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    file["review"].take()
}

fn marks(inspector: &Inspector) -> Vec<Value> {
    review(inspector)["marks"].as_object().expect("marks").values().cloned().collect()
}

/// Nothing was asked of any network, nothing went wrong, and words are words.
fn assert_quiet(inspector: &Inspector, when: &str) {
    let page = &inspector.page;
    let own = |address: &String| ["file:", "blob:", "data:"].iter().any(|kind| address.starts_with(kind));
    assert_eq!(page.requests().into_iter().filter(|address| !own(address)).collect::<Vec<_>>(), Vec::<String>::new(), "{when}");
    assert_eq!(page.problems(), Vec::<String>::new(), "{when}");
    assert_eq!(page.ask(AUDIT), json!([]), "{when}");
    assert_eq!(page.dialogs(), 0, "{when}");
}

#[test]
fn one_file_from_disk_is_the_served_page_with_a_review_of_its_own() {
    let (text, _) = step(&bramble::step(bramble::Revision::A));
    let inspector = Inspector::open(Some(&written(FILE_NAME, &text)));
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(FILE_NAME);
    page.click_on("#pass-highlights");
    inspector.enter("#lamp-azimuth", "77");
    page.click_on("#view-left");
    // Before anything is looked at from near, after which borders stay finer than they need be.
    let (picture, _) = seen(&inspector);
    judge(&inspector, 0, &words(2));
    try_and_turn_off(&inspector);
    let tried = review(&inspector)["trials"].take();
    assert_eq!((&tried[0]["edit"]["edit"], &tried[0]["on"]), (&json!("refit"), &json!(false)));
    page.click_on("#view-left");
    let (_, rows) = seen(&inspector);
    assert!(picture.colours() > 1000, "{} colours", picture.colours());
    let first = saved(&inspector);
    assert!(first.len() < 3_000_000, "{} bytes", first.len());

    let one = written("one.html", &first);
    page.offline();
    open(&inspector, &one, IN_USE);
    let (from_disk, same_rows) = seen(&inspector);
    assert_eq!(same_rows, rows);
    let difference = from_disk.difference(&picture, 2);
    assert!(difference <= 0.001, "{difference}");
    assert_eq!(marks(&inspector), [json!({"state": "agreed", "note": words(2)})]);
    assert_eq!(review(&inspector)["trials"], tried);
    assert_eq!(page.ask("document.querySelectorAll('#demo-button, #address-button, #reference-demo:not([hidden])').length"), 0);

    // The file makes files as the served page does.
    judge(&inspector, 1, &words(5));
    let second = saved(&inspector);
    assert_eq!(fixed(&second), fixed(&first));
    let [before, after] = [contents(&first), contents(&second)];
    assert_ne!(before["key"], after["key"]);
    assert_eq!(before["model"], after["model"]);
    assert_quiet(&inspector, "the first file");

    // Another file with the same model and a review of its own: neither hears of the other.
    let review = before["review"].as_str().map(str::to_owned);
    let others = Contents { key: key().expect("a key"), model: Some((FILE_NAME.into(), text.into_bytes())), review };
    let two = written("two.html", &filled(&second, &others).expect("a place"));
    open(&inspector, &two, IN_USE);
    assert_eq!(page.ask("document.querySelector('#kept-back') === null"), true);
    assert_eq!(marks(&inspector), [json!({"state": "agreed", "note": words(2)})]);
    assert_quiet(&inspector, "the second file");

    open(&inspector, &one, "document.querySelector('#kept-back')");
    assert_eq!(marks(&inspector).len(), 2);
    page.click_on("#review-within");
    page.wait("document.documentElement.dataset.kept === 'here' && document.querySelector('#kept-back') === null", LONG);
    assert_eq!(marks(&inspector).len(), 1);
    assert_quiet(&inspector, "the first file again");

    let stopped = page.ask(
        "new Promise((done) => {
            addEventListener('securitypolicyviolation', ({ effectiveDirective }) => done(effectiveDirective), { once: true });
            fetch('https://models.example/a.stp').catch(() => {});
        })",
    );
    assert_eq!(stopped, "connect-src");
    page.ask("document.body.append(Object.assign(document.createElement('script'), { textContent: 'globalThis.ran = 1' }))");
    assert_eq!(page.ask("globalThis.ran === undefined"), true);
}
