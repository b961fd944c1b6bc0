//! Joins of a patch that is moved by hand: drawn on the model and traced as the trial leaves them, beside what they were.

use std::time::Duration;

use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;

const SOON: Duration = Duration::from_secs(60);

const CURVE: &str = "document.querySelector('#trace-plot .curve:not(.before)')?.getAttribute('d')";

/// As vivid as the map of the joins; stripes and paint are all but grey.
fn vivid([r, g, b]: [u8; 3]) -> bool {
    r.max(g).max(b) - r.min(g).min(b) > 90
}

#[test]
fn joins_and_a_trace_follow_a_moved_control_point() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#finding-list [data-finding^='highlight.wiggle']");
    page.click_on("#pass-trials");
    page.click_on("#hand-on");
    page.wait("document.querySelector('#hand-row')", SOON);
    inspector.enter("#hand-row", "2");
    inspector.enter("#hand-column", "2");
    inspector.enter("#hand-step", "1");
    page.wait("document.querySelector('#trial-handle').dataset.point && !document.querySelector('#trial-place').hidden", SOON);
    let up = || {
        let was = page.ask("document.querySelector('#trial-handle').dataset.point");
        page.ask("document.querySelector('#trial-handle').focus()");
        page.key("ArrowUp");
        page.wait(&format!("document.querySelector('#trial-handle').dataset.point !== {was}"), SOON);
    };
    up();
    page.wait("document.querySelector('#trial-joins button')", SOON);
    assert!(page.ask("document.querySelector('#legend .legend') !== null").as_bool() == Some(true), "what the colours say");
    page.click_on("#trial-joins button");
    page.wait("document.querySelector('#trace').dataset.tried === 'true' && document.querySelector('#trace-plot .curve.before')", SOON);
    // The control point stays in the hand, and the trace follows it.
    let curve = page.ask(CURVE);
    up();
    page.wait(&format!("{CURVE} && {CURVE} !== {curve}"), SOON);
    let title = page.text("#trace h2");
    page.click_on("#trial-before");
    page.wait("document.querySelector('#trace').dataset.tried === 'false' && !document.querySelector('#trace-plot .curve.before')", SOON);
    assert_eq!(page.text("#trace h2"), title);
    page.click_on("#trial-after");
    page.click_on("#trace-close");

    // On the model the joins are coloured while a trial is on; the legend, which is as vivid, is put aside.
    page.click_on("#hand-on");
    page.wait("document.querySelector('#trial-place').hidden", SOON);
    page.ask("document.querySelector('#legend').style.display = 'none'");
    inspector.wait_for_exact();
    let on = inspector.count_pixels(vivid);
    page.click_on("#trial-list input[type=checkbox]");
    page.wait("document.querySelector('#trial-list [data-state=off]')", SOON);
    inspector.wait_for_exact();
    let off = inspector.count_pixels(vivid);
    assert!(on > off + 150, "{on} vivid pixels with joins, {off} without");
    assert_eq!(page.problems(), Vec::<String>::new());
}
