//! Trials: findings' remedies tried, measured, seen before and after, taken back, handed over and read back; control points moved by hand.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::model::Model;
use rakelight_pack::digits;
use rakelight_tests::browser::Rect;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::mended::{FAULTS, Fault, WRITTEN, concerns};
use rakelight_tests::picture::Picture;
use rakelight_tests::{demo, schema};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(90);

const STRIP: &str = "document.querySelector('#trial-strip').dataset";

fn data(path: &str) -> Value {
    let text = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap_or_else(|e| panic!("{path}: {e}"));
    serde_json::from_slice(&text).expect("JSON")
}

/// Trials of the review as it is saved.
fn trials(inspector: &Inspector) -> Vec<Value> {
    let file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    assert_eq!(schema::breaches(&data("../www/review.schema.json"), &file), Vec::<String>::new());
    file["review"]["trials"].as_array().expect("a list").clone()
}

/// The row of the worst finding of a fault, by its key.
fn row(inspector: &Inspector, model: &Model, fault: Fault) -> Option<String> {
    let keys = inspector.page.ask("[...document.querySelectorAll('#finding-list [data-finding]')].map((row) => row.dataset.finding)");
    let all: Vec<String> = serde_json::from_value(keys).expect("keys");
    let on = |key: &String| {
        let mut parts = key.split('|');
        let measure = parts.next() == Some(fault.0.text());
        let faces = parts.next().unwrap_or_default().split('+').map(|id| id.parse().expect("a face"));
        measure && concerns(model, fault, faces)
    };
    all.into_iter().find(on)
}

/// Chooses a finding among those of all passes and tries its remedy.
fn try_it(inspector: &Inspector, key: &str) {
    let page = &inspector.page;
    page.ask(&format!("document.querySelector('[data-finding={key:?}]').click()"));
    page.wait("document.querySelector('#card-try')", SOON);
    page.click_on("#card-try");
}

/// Waits until more trials than before are made and the model is measured with them; what is told of them.
fn measured(inspector: &Inspector, before: u64) -> Value {
    let page = &inspector.page;
    let all = "document.querySelectorAll('#trial-list > li')";
    page.wait(&format!("{all}.length > {before} && [...{all}].every((row) => row.dataset.state === 'made')"), SOON);
    page.wait(&format!("{STRIP}.measured === 'true'"), SOON);
    page.ask(&format!("({{ ...{STRIP}, sentence: document.querySelector('#trial-sentence').textContent }})"))
}

/// The model as it stands on the canvas, without what lies along its borders or has the focus.
fn picture(inspector: &Inspector) -> Picture {
    let page = &inspector.page;
    page.ask("document.activeElement.blur()");
    page.hover(2.0, 2.0);
    inspector.wait_for_exact();
    let Rect { x, y, width, height } = inspector.canvas();
    page.picture(Rect { x: x + 20.0, y: y + 80.0, width: width - 40.0, height: height - 180.0 })
}

fn file(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a file");
    path
}

#[test]
fn remedies_are_tried_measured_seen_taken_back_and_handed_over() {
    let started = Instant::now();
    let lap = |what: &str| println!("{:.1} s: {what}", started.elapsed().as_secs_f64());
    let (prepared, _) = demo::read_again();
    let model = &prepared.import.model;
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);
    lap("open");

    // One press each: the trial is made, the faces change, the model is measured with it, and the finding is gone.
    let count = || page.ask("document.querySelectorAll('#trial-list > li').length").as_u64().expect("a number");
    for fault in FAULTS {
        let before = count();
        page.click_on("#pass-overview");
        let key = row(&inspector, model, fault).unwrap_or_else(|| panic!("{fault:?} is not listed"));
        try_it(&inspector, &key);
        let told = measured(&inspector, before);
        lap(&told["sentence"].to_string());
        assert_eq!(page.ask("document.querySelector('#pass-trials').classList.contains('here')"), json!(true));
        assert_eq!(told["helps"], "helps", "{fault:?}: {told}");
        assert!(told["sentence"].as_str().is_some_and(|s| s.contains(fault.0.title()) && s.contains("is gone")), "{fault:?}: {told}");
    }
    page.click_on("#card-try");
    page.wait("document.querySelector('#card-untried')?.textContent.startsWith('Tried already')", SOON);
    let kept = trials(&inspector);
    assert_eq!(kept.len() as u64, count(), "none is made twice");
    assert!(kept.len() >= FAULTS.len() && kept.iter().all(|one| one["on"] == true && one.get("key").is_none()), "{kept:?}");
    let all = kept.len();

    // Before and after under the same lamps, by a press and by a key, which may be held too. From far: near by each picture takes seconds.
    page.click_on("#view-fit");
    let after = picture(&inspector);
    page.click_on("#trial-before");
    let before = picture(&inspector);
    assert!(before.difference(&after, 24) > 1e-4, "{}", before.difference(&after, 24));
    let pressed =
        |which: &str| page.ask(&format!("document.querySelector('#trial-{which}').getAttribute('aria-pressed')")) == json!("true");
    let key =
        |kind: &str| page.ask(&format!("document.querySelector('#canvas').dispatchEvent(new KeyboardEvent('{kind}', {{ key: 'b' }}))"));
    page.ask("document.querySelector('#canvas').focus()");
    page.key("b");
    assert!(pressed("after"));
    assert_eq!(picture(&inspector).difference(&after, 0), 0.0, "the same picture again");
    key("keydown");
    assert!(pressed("before"));
    std::thread::sleep(Duration::from_millis(500));
    key("keyup");
    assert!(pressed("after"));
    lap("before and after");

    // Off and on again; undo takes back what the page has done to the review.
    page.click_on("#trial-list li:first-child input[type=checkbox]");
    page.wait("document.querySelectorAll('#trial-list [data-state=off]').length === 1", SOON);
    page.click_on("#undo");
    page.wait(&format!("document.querySelectorAll('#trial-list [data-state=made]').length === {all}"), SOON);
    assert_eq!(trials(&inspector), kept);
    lap("off and on");

    // Handed over: the whole as the kernel has read it, byte for byte; the patches alone; pictures and drawings of both.
    // What is measured meanwhile moves the buttons: they are pressed where they are.
    let press = |button: &str| page.ask(&format!("document.querySelector('{button}').click()"));
    let saved = |button: &str| inspector.saved_after(|| drop(press(button)));
    let step = saved("#trial-step-whole");
    let read = &data("data/kernel/written.json")[WRITTEN];
    let digest = digits::sha256(step.as_bytes());
    assert_eq!((read["sha256"].as_str(), &read["error"]), (Some(digest.as_str()), &Value::Null), "other bytes than the kernel has read");
    assert_eq!(read["faces"].as_u64(), Some(model.faces.len() as u64 - 1));
    let part = saved("#trial-step");
    assert!(part.starts_with("ISO-10303-21;") && part.len() < step.len() / 2);
    lap("files");
    page.ask(
        "((make) => {
            globalThis.files = [];
            URL.createObjectURL = (blob) => {
                blob.text().then((text) => files.push([blob.type, blob.size, text]));
                return make.call(URL, blob);
            };
        })(URL.createObjectURL)",
    );
    // A low canvas: pictures are at least so wide, and each pixel of them is computed exactly.
    page.resize(1440, 500);
    press("#trial-pictures");
    page.wait("files.length === 2 && !document.querySelector('#trial-pictures').disabled", SOON);
    let sizes = page.ask("files.splice(0).map(([type, size]) => [type, size > 20000])");
    assert_eq!(sizes, json!([["image/png", true], ["image/png", true]]));
    page.resize(1440, 900);
    lap("pictures");
    press("#trial-drawings");
    page.wait("files.length === 2 && document.querySelector('#trial-drawings-progress').hidden", SOON);
    let drawn: Vec<(String, usize, String)> = serde_json::from_value(page.ask("files")).expect("two");
    let lines = drawn.iter().map(|(_, _, text)| text.lines().filter(|line| line.starts_with("<path data-value")).collect::<Vec<_>>());
    let [was, now]: [Vec<&str>; 2] = lines.collect::<Vec<_>>().try_into().expect("two");
    let same = was.iter().filter(|line| now.contains(line)).count();
    assert!(drawn.iter().all(|(kind, _, _)| kind == "image/svg+xml") && was.len() > 100, "{} lines", was.len());
    assert!(same > was.len() / 4 && same < was.len(), "{same} of {} lines are as they were", was.len());
    lap("drawings");

    // What no edit can mend says so.
    page.click_on("#pass-overview");
    let none = page.ask("document.querySelector('#finding-list [data-finding^=\"gap.width\"]').dataset.finding");
    try_it(&inspector, none.as_str().expect("a key"));
    page.wait("document.querySelector('#card-untried')?.textContent.startsWith('Not tried')", SOON);
    assert_eq!(count(), all as u64);

    // By hand: a point, by key along its normal, then by pointer, with a locked side; each is one step.
    page.click_on("#pass-overview");
    page.ask(&format!("document.querySelector('[data-finding={:?}]').click()", row(&inspector, model, FAULTS[1]).expect("a row")));
    page.click_on("#pass-trials");
    page.click_on("#hand-on");
    page.wait("document.querySelector('#hand-row')", SOON);
    inspector.enter("#hand-row", "3");
    inspector.enter("#hand-column", "3");
    inspector.enter("#hand-lock-0", "g1");
    page.wait("document.querySelector('#trial-handle').dataset.at === '3 3' && !document.querySelector('#trial-place').hidden", SOON);
    let point = || page.ask("document.querySelector('#trial-handle').dataset.point");
    let place = |text: &Value| -> Vec<f64> { text.as_str().expect("a point").split(' ').map(|x| x.parse().expect("a number")).collect() };
    let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt();
    let start = point();
    page.ask("document.querySelector('#trial-handle').focus()");
    page.key("ArrowUp");
    page.wait(&format!("document.querySelector('#trial-handle').dataset.point !== {start}"), SOON);
    let off = apart(&place(&start), &place(&point()));
    assert!((off - 0.1).abs() < 1e-6, "a step of a key is 0.1 mm: {off}");
    let (x, y) = page.place("#trial-handle").middle();
    page.drag((x, y), (x + 6.0, y - 30.0), "left");
    let by = |one: &Value| -> Vec<f64> { serde_json::from_value(one["edit"]["by"].clone()).expect("a move") };
    assert_eq!(count(), all as u64 + 1);
    lap("by hand");

    // By its numbers; what breaks something says so, whatever else is gone.
    page.ask("((box) => { box.value = 'crown'; box.dispatchEvent(new Event('change')); })(document.querySelector('#make-kind'))");
    inspector.enter("#make-third1", "3");
    press("#make-add");
    let told = measured(&inspector, all as u64 + 1);
    lap(&told.to_string());
    assert_ne!(told["helps"], "helps", "{told}");
    assert!(told["new"] != "0" || told["worse"] != "0", "{told}");
    press("#undo");
    page.wait(&format!("document.querySelectorAll('#trial-list > li').length === {}", all + 1), SOON);

    // A drag is one step.
    press("#undo");
    let back = trials(&inspector);
    assert_eq!((&back[..all], back.len()), (&kept[..], all + 1));
    assert_eq!(back[all]["edit"]["locks"][0], json!({"held": "g1"}));
    assert!((apart(&by(&back[all]), &[0.0; 3]) - 0.1).abs() < 1e-9, "{back:?}");

    // Opened as the next revision, what was handed over has none of the five.
    inspector.choose(&file(WRITTEN, &step));
    inspector.wait_for_model(WRITTEN);
    page.choose("#earlier-input", &file(demo::NAME, &bramble::step(Revision::A)));
    page.wait("document.querySelector('#earlier-counts')", SOON);
    let counts = page.ask("['fixed', 'gone'].map((fate) => Number(document.querySelector('#earlier-counts').dataset[fate]))");
    lap(&format!("as a revision, fixed and gone: {counts}"));
    page.click_on("#pass-overview");
    let (now, _) = demo::read(step.as_bytes());
    for fault in FAULTS {
        assert_eq!(row(&inspector, &now.import.model, fault), None, "{fault:?} is in the ledger");
    }
    assert!(counts[0].as_u64().zip(counts[1].as_u64()).is_some_and(|(fixed, gone)| fixed + gone >= FAULTS.len() as u64), "{counts}");
    assert_eq!(page.problems(), Vec::<String>::new());
    lap("end");
}
