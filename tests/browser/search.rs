//! Another search distance looks for the joins anew, keeps the rest, and can be cancelled and undone.

use std::time::Duration;

use rakelight_tests::data;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

fn enter(inspector: &Inspector, mm: &str) {
    inspector.enter("#join-search", mm);
    inspector.page.wait("document.documentElement.dataset.state === 'busy'", SOON);
}

fn classes(inspector: &Inspector) -> String {
    inspector.page.text("#join-classes")
}

#[test]
fn another_distance_finds_joins_anew_and_undo_the_old_ones() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    inspector.wait_for_model(DEMO);
    page.click_on("#pass-joins");
    let first = classes(&inspector);
    assert!(first.contains("Open join"), "the demo's gaping lamp walls: {first}");
    let surveys = || page.ask("document.querySelector('#join-limits').dataset.surveys");
    assert_eq!(surveys(), Value::from("1"));
    page.click_on("#view-front");
    inspector.wait_for_exact();
    // The demo's walls gape by 1.2 mm: within 2 mm they are joins with a gap.
    enter(&inspector, "2");
    inspector.wait_for_model(DEMO);
    page.wait("!document.querySelector('#join-classes').innerText.includes('Open join')", SOON);
    assert_eq!(surveys(), Value::from("2"));
    assert!(page.text("#finding-list").contains("Gap at a join"));
    page.click_on("#undo");
    page.wait("document.documentElement.dataset.state === 'busy'", SOON);
    inspector.wait_for_model(DEMO);
    page.wait("document.querySelector('#join-limits').dataset.surveys === '3'", SOON);
    assert_eq!(classes(&inspector), first);
    assert!(page.ask("document.querySelector('#search-usual').hidden") == Value::Bool(true));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_cancelled_search_keeps_the_joins_there_are() {
    let Some(large) = data::step_model("nist_mbe_pmi_2.stp", "cancelling a search for joins") else { return };
    let inspector = Inspector::open(Some(&large.path));
    let page = &inspector.page;
    inspector.wait_for_model("nist_mbe_pmi_2.stp");
    page.click_on("#pass-joins");
    let first = classes(&inspector);
    let before = page.ask("document.querySelector('#join-search').value");
    enter(&inspector, "0.05");
    page.wait("document.querySelector('#cancel')", SOON);
    page.ask("document.querySelector('#cancel').click()");
    page.wait("document.documentElement.dataset.state === 'ready'", SOON);
    assert_eq!((classes(&inspector), page.ask("document.querySelector('#join-search').value")), (first, before));
    // Its worker still answers.
    assert!(inspector.check_json().contains("nist_mbe_pmi_2.stp"));
    assert_eq!(page.ask("document.querySelector('#join-limits').dataset.surveys"), Value::from("1"));
    assert_eq!(page.problems(), Vec::<String>::new());
}
