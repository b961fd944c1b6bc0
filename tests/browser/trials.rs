//! Trials: a finding's remedy tried, measured, seen before and after, taken back, handed over; control points moved by hand.

use std::fs;
use std::path::Path;
use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::progress::Silent;
use rakelight_core::review::{Options, run};
use rakelight_tests::browser::Rect;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::schema;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(90);

const STRIP: &str = "document.querySelector('#trial-strip').dataset";

/// Chooses the first finding of a measure and tries its remedy.
fn try_first(inspector: &Inspector, measure: &str) {
    let page = &inspector.page;
    page.wait(&format!("document.querySelector('#finding-list [data-finding^=\"{measure}\"]')"), SOON);
    page.click_on(&format!("#finding-list [data-finding^=\"{measure}\"]"));
    page.wait("document.querySelector('#card-try')", SOON);
    page.click_on("#card-try");
}

fn trials(inspector: &Inspector) -> Value {
    let file: Value = serde_json::from_str(&inspector.saved_by("#review-save")).expect("JSON");
    let text = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../www/review.schema.json")).expect("the schema");
    assert_eq!(schema::breaches(&serde_json::from_slice(&text).expect("a schema"), &file), Vec::<String>::new());
    file["review"]["trials"].clone()
}

/// The canvas once it is exact, without what lies along its borders.
fn picture(inspector: &Inspector) -> Vec<u8> {
    inspector.wait_for_exact();
    let Rect { x, y, width, height } = inspector.canvas();
    inspector.page.picture(Rect { x: x + 20.0, y: y + 80.0, width: width - 40.0, height: height - 180.0 }).rgba
}

/// Pixels that differ.
fn apart(a: &[u8], b: &[u8]) -> usize {
    a.as_chunks::<4>()
        .0
        .iter()
        .zip(b.as_chunks::<4>().0)
        .filter(|(a, b)| a[..3].iter().zip(&b[..3]).any(|(x, y)| x.abs_diff(*y) > 24))
        .count()
}

fn findings(text: &str, measure: &str) -> usize {
    let check = run(text.as_bytes(), "tried.stp", &Options::default(), &mut Silent, &mut || 0.0).expect("a check");
    check.findings.iter().filter(|f| f.measure == measure && f.severity != "good").count()
}

#[test]
fn a_remedy_is_tried_measured_seen_taken_back_and_handed_over() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.wait("document.documentElement.dataset.kept === 'here'", SOON);

    // One press: the trial is made, the faces change, the model is measured with it.
    try_first(&inspector, "highlight.wiggle");
    page.wait("document.querySelector('#trial-list [data-state=made]')", SOON);
    assert!(page.ask("document.querySelector('#pass-trials').classList.contains('here')") == json!(true));
    page.wait(&format!("{STRIP}.measured === 'true'"), SOON);
    let told = page.ask(&format!(
        "[{STRIP}.helps, Number({STRIP}.gone) + Number({STRIP}.better), document.querySelector('#trial-sentence').textContent]"
    ));
    println!("wiggle: {told}");
    assert!(told[1].as_u64().is_some_and(|n| n > 0), "{told}");
    let kept = trials(&inspector);
    assert_eq!(kept[0]["on"], true, "{kept}");
    assert!(kept[0]["edit"]["edit"].is_string() && kept[0].get("key").is_none(), "{kept}");

    // Before and after under the same lamps, by a press and by a key.
    let after = picture(&inspector);
    page.click_on("#trial-before");
    let before = picture(&inspector);
    assert!(apart(&before, &after) > 50, "{}", apart(&before, &after));
    page.ask("document.querySelector('#canvas').focus()");
    page.key("b");
    page.wait("document.querySelector('#trial-after').getAttribute('aria-pressed') === 'true'", SOON);
    assert_eq!(apart(&picture(&inspector), &after), 0, "the same picture again");

    // Off, and on again; undo takes back what the page has done to the review.
    page.click_on("#trial-list input[type=checkbox]");
    page.wait("document.querySelector('#trial-list [data-state=off]')", SOON);
    assert_eq!(apart(&picture(&inspector), &before), 0, "as it came");
    page.click_on("#undo");
    page.wait("document.querySelector('#trial-list [data-state=made]')", SOON);

    // Handed over as STEP, and gone from the ledger when it is opened.
    let step = inspector.saved_by("#trial-step-whole");
    let seeded = findings(&bramble::step(Revision::A), "highlight.wiggle");
    let left = findings(&step, "highlight.wiggle");
    assert!(left < seeded, "{left} of {seeded} wiggles are left");
    let part = inspector.saved_by("#trial-step");
    assert!(part.starts_with("ISO-10303-21;") && part.len() < step.len() / 2);

    // What no edit can mend says so.
    page.click_on("#pass-overview");
    try_first(&inspector, "gap.width");
    page.wait("document.querySelector('#card-untried')?.textContent.startsWith('Not tried')", SOON);
    assert_eq!(trials(&inspector).as_array().map(Vec::len), Some(1));

    // By hand: a point of the changed patch, by key along its normal, then by pointer; each drag is one step.
    page.click_on("#pass-trials");
    let face = &kept[0]["edit"]["face"];
    page.ask(&format!(
        "document.querySelector('#finding-list [data-finding*=\"|{face}|\"], #finding-list [data-finding^=\"highlight.wiggle\"]').click()"
    ));
    page.click_on("#hand-on");
    page.wait("document.querySelector('#hand-row')", SOON);
    inspector.enter("#hand-row", "3");
    inspector.enter("#hand-column", "3");
    page.wait("document.querySelector('#trial-handle').dataset.point && !document.querySelector('#trial-place').hidden", SOON);
    let place = || -> Vec<f64> {
        let told = page.ask("document.querySelector('#trial-handle').dataset.point.split(' ').map(Number)");
        serde_json::from_value(told).expect("a point")
    };
    let gone = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt();
    let start = place();
    page.ask("document.querySelector('#trial-handle').focus()");
    page.key("ArrowUp");
    page.wait("document.querySelectorAll('#trial-list [data-state=made]').length === 2", SOON);
    page.wait(
        &format!(
            "document.querySelector('#trial-handle').dataset.point !== '{}'",
            start.iter().map(f64::to_string).collect::<Vec<_>>().join(" ")
        ),
        SOON,
    );
    let off = gone(&start, &place());
    assert!((off - 0.1).abs() < 1e-6, "a step of a key is 0.1 mm: {off}");
    let (x, y) = page.place("#trial-handle").middle();
    page.drag((x, y), (x + 6.0, y - 30.0), "left");
    page.wait("document.querySelectorAll('#trial-list [data-state=made]').length === 2", SOON);
    let all = trials(&inspector);
    assert_eq!(all.as_array().map(Vec::len), Some(2));
    let by: Vec<f64> = serde_json::from_value(all[1]["edit"]["by"].clone()).expect("a move");
    assert!(gone(&by, &[0.0; 3]) > 0.2, "{by:?}");
    page.click_on("#undo");
    let back: Vec<f64> = serde_json::from_value(trials(&inspector)[1]["edit"]["by"].clone()).expect("a move");
    assert!((gone(&back, &[0.0; 3]) - 0.1).abs() < 1e-9, "the drag was one step: {back:?}");

    // By its numbers.
    page.ask("((box) => { box.value = 'crown'; box.dispatchEvent(new Event('change')); })(document.querySelector('#make-kind'))");
    inspector.enter("#make-third1", "0.5");
    page.click_on("#make-add");
    page.wait("document.querySelectorAll('#trial-list > li').length === 3", SOON);
    page.wait("document.querySelectorAll('#trial-list [data-state=waiting]').length === 0", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}
