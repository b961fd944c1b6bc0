//! The Fillets pass: fillets on the model, the list, and the sections of the chosen one.

use std::time::Duration;

use rakelight_core::measure::{Memo, Subject};
use rakelight_core::review::FilletsRecord;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);

fn yellow([r, g, b]: [u8; 3]) -> bool {
    r > b.saturating_add(70) && g > b.saturating_add(60) && r.abs_diff(g) < 45
}

fn opened() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-fillets");
    inspector.page.wait("document.querySelector('#fillet-0')", SOON);
    inspector.wait_for_exact();
    inspector
}

#[test]
fn fillets_are_listed_with_the_cores_figures_and_plotted_section_by_section() {
    let inspector = opened();
    let page = &inspector.page;
    let (prepared, graph) = demo::read_again();
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: None };
    let record = FilletsRecord::new(&subject);
    assert!(record.edges.len() > 4, "{} fillets", record.edges.len());
    assert_eq!(page.ask("document.querySelectorAll('#fillet-list .line-row').length"), json!(record.edges.len()));
    for (i, edge) in record.edges.iter().enumerate() {
        let radius: Value = page.ask(&format!("Number(document.querySelector('#fillet-{i}').dataset.radius)"));
        assert_eq!(radius.as_f64(), Some(edge.radius[0].0), "fillet {i}");
    }
    assert!(inspector.count_pixels(yellow) > 500, "fillets stand out on the model");

    // The unbalanced one: its plot has a knob a section, and its limits.
    let least = |e: &rakelight_core::review::FilletRecord| e.balance.map_or(1.0, |b| b.0);
    let worst = (0..record.edges.len()).min_by(|&a, &b| least(&record.edges[a]).total_cmp(&least(&record.edges[b]))).expect("one");
    page.click_on(&format!("#fillet-{worst}"));
    page.wait("document.querySelector('#fillet-drawer:not([hidden])')", SOON);
    page.click_on("#fillet-measure-balance");
    page.wait("document.querySelectorAll('#fillet-plot .limit').length === 3", SOON);
    let chain = &subject.fillets().chains[worst];
    assert_eq!(page.ask("document.querySelectorAll('#fillet-plot .knob').length"), json!(chain.stations.len()));
    let values: Value = page.ask("Math.min(...[...document.querySelectorAll('#fillet-plot .knob')].map((k) => Number(k.dataset.value)))");
    assert_eq!(values.as_f64(), Some(least(&record.edges[worst])));

    // Keys go from section to section.
    page.ask("document.querySelector('#fillet-plot').focus()");
    page.key("End");
    let at: Value = page.ask("document.querySelector('#fillet-plot').getAttribute('aria-valuenow')");
    assert_eq!(at, json!(chain.stations.len().to_string()));
    page.key("ArrowLeft");
    assert!(page.text("#fillet-drawer .trace-station").contains("mm"));
    page.click_on("#fillet-close");
    page.wait("document.querySelector('#fillet-drawer').hidden", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_finding_of_a_fillet_chooses_it() {
    let inspector = opened();
    let page = &inspector.page;
    page.wait("document.querySelector('#finding-list [data-finding]')", SOON);
    let count: Value = page.ask("document.querySelector('#pass-fillets .pass-count').textContent");
    assert_eq!(count, json!("2"), "the tight and the unbalanced one");
    page.click_on("#finding-list [data-finding^='fillet.']");
    page.wait("document.querySelector('#fillet-drawer:not([hidden])')", SOON);
    assert!(page.text("#fillet-facts").contains("radius"));
    assert_eq!(page.problems(), Vec::<String>::new());
}
