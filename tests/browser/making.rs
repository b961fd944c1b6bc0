//! Limits that go by sheet and tool: what falls short is listed once it is asked for, and no longer when it is not.

use std::time::Duration;

use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;

const SOON: Duration = Duration::from_secs(60);

#[test]
fn radii_and_undercut_are_listed_when_they_are_asked_for() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-form");
    let listed = |measure: &str| format!("document.querySelector(`#finding-list [data-finding^='{measure}|']`) !== null");
    let gone = |measure: &str| page.wait(&format!("!({})", listed(measure)), SOON);
    gone("form.offset");
    // The demo's fillets of 3 mm and less are too tight for thick sheet.
    inspector.enter("#making-sheet", "2");
    inspector.enter("#making-inner", "2");
    page.wait(&listed("form.offset"), SOON);
    inspector.enter("#making-sheet", "");
    inspector.enter("#making-inner", "");
    gone("form.offset");
    inspector.enter("#making-radius", "2.5");
    page.wait(&listed("form.radius"), SOON);
    page.click_on("#undo");
    gone("form.radius");
    // A hood over cheeks does not come out of its tool along x.
    page.click_on("#pull-plus-x");
    page.click_on("#making-draft");
    page.wait(&listed("form.draft"), SOON);
    let surveys = page.ask("document.querySelector('#join-limits')?.dataset.surveys ?? '1'");
    assert_eq!(surveys, serde_json::json!("1"), "joins are not looked for again");
    page.click_on("#making-draft");
    gone("form.draft");
    assert_eq!(page.problems(), Vec::<String>::new());
}
