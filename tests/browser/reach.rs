//! Every control by Tab, with its focus seen; and none of them cut off or covered at 200 % zoom and on a phone.

use std::time::Duration;

use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(60);

/// Remembers what has had the focus; `walk.missed(places)` lists what has not.
const WALK: &str = include_str!("walk.js");
/// Lists what is cut off, covered, or does not hold its words, as the window is now.
const REACH: &str = include_str!("reach.js");

/// Sizes of the window: what is left of 1440 × 900 at 200 %, a phone, and the least of a desk.
const WINDOWS: [(u32, u32, u32); 3] = [(720, 450, 2), (390, 844, 1), (1024, 640, 1)];

fn opened() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector
}

fn passes(inspector: &Inspector) -> Vec<String> {
    let told = inspector.page.ask("[...document.querySelectorAll('#passes .pass')].map((one) => one.id)");
    let passes: Vec<String> = told.as_array().expect("passes").iter().filter_map(|one| one.as_str().map(str::to_owned)).collect();
    assert!(passes.len() >= 10, "{passes:?}");
    passes
}

/// Unfolds a pass, and gives what it asks of the worker `milliseconds` to come.
fn unfold(inspector: &Inspector, pass: &str, milliseconds: u64) {
    inspector.page.ask(&format!(
        "{{ const one = document.querySelector('#{pass}'); one.focus(); if (one.getAttribute('aria-expanded') !== 'true') one.click(); }}"
    ));
    inspector.page.wait(&format!("document.querySelector('#{pass}-body').checkVisibility()"), SOON);
    std::thread::sleep(Duration::from_millis(milliseconds));
}

/// Tab, from where the focus is, until an expression is true.
fn tab_until(inspector: &Inspector, there: &str) {
    for _ in 0..600 {
        inspector.page.key("Tab");
        if inspector.page.ask(there) == Value::Bool(true) {
            return;
        }
    }
    panic!("not by 600 presses of Tab: {there}");
}

/// Nothing in these places was passed over, and of nothing was the focus unseen.
fn assert_walked(inspector: &Inspector, what: &str, places: &str, least: i64) {
    let told = inspector.page.ask(&format!("walk.missed({places:?})"));
    assert_eq!((&told[1], &told[2]), (&json!([]), &json!([])), "{what}: not reached by Tab, then: focus not seen");
    assert!(told[0].as_i64() >= Some(least), "{what} has {} controls", told[0]);
}

#[test]
fn every_control_is_reached_by_tab_and_its_focus_is_seen() {
    let inspector = opened();
    let page = &inspector.page;
    page.ask(WALK);
    let passes = passes(&inspector);
    for (at, pass) in passes.iter().enumerate() {
        unfold(&inspector, pass, 700);
        page.ask("walk.begin()");
        let next = passes.get(at + 1).map_or(String::new(), |next| format!("document.activeElement.id === {next:?} || "));
        tab_until(&inspector, &format!("{next}!document.activeElement.closest('#passes')"));
        assert_walked(&inspector, pass, &format!("#{pass}-body"), 1);
    }
    // The plan map is one stop of Tab; its marks are gone through by its own keys.
    unfold(&inspector, "pass-layout", 0);
    page.wait("document.querySelectorAll('#plan [role=option]').length > 20", SOON);
    let marks = page.ask("document.querySelectorAll('#plan [role=option]').length").as_u64().expect("a number");
    page.ask("document.querySelector('#plan').focus()");
    page.key("Home");
    let mut been = std::collections::BTreeSet::new();
    for _ in 0..marks {
        been.insert(page.ask("document.querySelector('#plan').getAttribute('aria-activedescendant')").as_str().expect("an id").to_owned());
        page.key("PageDown");
    }
    assert_eq!(been.len() as u64, marks);

    // The rig over the model, the drawers, then all the rest with a card open.
    unfold(&inspector, "pass-highlights", 0);
    page.ask("document.querySelector('#stripe-highlight').click()");
    page.ask("document.querySelector('#canvas').focus(); walk.begin()");
    tab_until(&inspector, "!document.activeElement.closest('#stage')");
    assert_walked(&inspector, "the rig", "#rig", 4);
    unfold(&inspector, "pass-rows", 0);
    page.ask("document.querySelector('#patch-table tbody button').click()");
    page.wait("document.querySelector('#rows-view-trace')?.checkVisibility()", SOON);
    for view in ["trace", "profile", "patches"] {
        page.ask(&format!("document.querySelector('#rows-view-{view}').click()"));
        page.ask("document.querySelector('#canvas').focus(); walk.begin()");
        page.key_with("Tab", 8);
        tab_until(&inspector, "!document.activeElement.closest('#passes, #stage')");
        assert_walked(&inspector, view, "#stage", 15);
    }
    unfold(&inspector, "pass-overview", 0);
    page.ask("document.querySelector('#finding-list [data-finding^=\"join.\"]').click()");
    page.wait("document.querySelector('#trace-plot') && document.querySelector('#mark-note')", SOON);
    page.ask("document.activeElement.blur(); document.querySelector('#skip').focus(); walk.begin()");
    page.key("Tab");
    tab_until(&inspector, "document.activeElement === document.body || document.activeElement.id === 'skip'");
    assert_walked(&inspector, "the page", "#head, #stage, #ledger", 60);
    // The last Tab may have led out of the page.
    page.to_front();
    page.ask("document.querySelector('#link-copy').focus(); walk.begin()");
    page.key("Enter");
    page.wait(
        "document.querySelector('#link').contains(document.activeElement) && document.querySelector('#link-text').value !== ''",
        SOON,
    );
    for _ in 0..5 {
        page.key("Tab");
    }
    assert_walked(&inspector, "the link", "#link", 3);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn nothing_is_cut_off_or_covered_at_200_percent_zoom_or_on_a_phone() {
    let inspector = opened();
    let page = &inspector.page;
    let passes = passes(&inspector);
    let mut wrong = Vec::new();
    let mut look = |what: &str, (width, height, _): (u32, u32, u32)| {
        let told = inspector.page.ask(REACH);
        assert!(told[0].as_i64() >= Some(2), "{what}: {} controls", told[0]);
        let list = told[1].as_array().expect("a list");
        wrong.extend(list.iter().map(|one| format!("{what} at {width} × {height}: {}", one.as_str().unwrap_or_default())));
    };
    for window @ (width, height, scale) in WINDOWS {
        page.resize_zoomed(width, height, scale);
        page.wait(&format!("innerWidth === {width} && devicePixelRatio === {scale}"), SOON);
        // The page folds a pass away when it becomes narrow.
        page.ask("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(0))))");
        for pass in &passes {
            // What is told once stays.
            unfold(&inspector, pass, if scale == 2 { 700 } else { 100 });
            look(pass, window);
        }
        unfold(&inspector, "pass-overview", 0);
        if width < 768 {
            page.ask("document.querySelector('#pass-overview').click()");
        }
        page.ask(
            "{ const one = document.querySelector('#ledger-toggle'); if (one.getAttribute('aria-expanded') === 'false') one.click(); }",
        );
        page.ask("document.querySelector('#finding-list [data-finding^=\"join.\"]').click()");
        page.wait("document.querySelector('#trace-plot') && document.querySelector('#mark-ask')", SOON);
        page.ask("document.querySelector('#mark-ask').click()");
        look("card of a finding", window);
        page.ask("document.querySelector('#trace-table-toggle').click()");
        look("trace as a table", window);
        page.ask("document.querySelector('#trace-table-toggle').click(); document.querySelector('#card-close').click()");
        page.ask("document.querySelector('#canvas').focus()");
        page.key("i");
        page.key("Enter");
        page.wait("document.querySelector('#pin-title')", SOON);
        look("card of a pin", window);
        page.ask("document.querySelector('#card-close').click(); document.querySelector('#address-button').click()");
        look("consent", window);
        page.ask("document.querySelector('#consent').close(); document.querySelector('#link-copy').click()");
        page.wait("document.querySelector('#link-text').value !== '' && !document.querySelector('#link-take').disabled", SOON);
        look("link", window);
        page.ask("document.querySelector('#link').close()");
    }
    assert_eq!(wrong, Vec::<String>::new());

    // The last window is the least of a desk: there a long name gives way, not the buttons.
    page.ask("document.querySelector('#model-name b').textContent = 'a_rather_long_name_of_a_model_as_they_come_'.repeat(3)");
    let rows =
        page.ask("new Set([...document.querySelectorAll('#head button')].map((one) => Math.round(one.getBoundingClientRect().top))).size");
    assert_eq!(rows, 1, "the head's buttons stand in one row");
    assert_eq!(page.ask("document.querySelector('#model-name').title"), demo::NAME);
    assert_eq!(page.problems(), Vec::<String>::new());
}
