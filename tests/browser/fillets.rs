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

/// Left, top, right and bottom of the marks on the chosen fillet's theoretical edge, in shares of the canvas.
fn marked(inspector: &Inspector) -> [f64; 4] {
    let picture = inspector.page.picture(inspector.canvas());
    let near = |[r, g, b, _]: [u8; 4]| r.abs_diff(213) < 12 && g.abs_diff(94) < 12 && b < 12;
    let places = (0..picture.width * picture.height).map(|i| (i % picture.width, i / picture.width));
    let (mut low, mut high) = ((usize::MAX, usize::MAX), (0, 0));
    for (x, y) in places.filter(|&(x, y)| near(picture.pixel(x, y))) {
        low = (low.0.min(x), low.1.min(y));
        high = (high.0.max(x), high.1.max(y));
    }
    assert!(low.0 <= high.0, "no marks");
    let share = |at: usize, of: usize| f64::from(u32::try_from(at).expect("small")) / f64::from(u32::try_from(of).expect("small"));
    [share(low.0, picture.width), share(low.1, picture.height), share(high.0, picture.width), share(high.1, picture.height)]
}

#[test]
fn a_chosen_fillet_is_seen_whole_and_in_the_middle() {
    let inspector = opened();
    let page = &inspector.page;
    page.calm();
    page.resize(1024, 640);
    let all: Value = page.ask("[...document.querySelectorAll('#fillet-list .line-row')].map((row) => row.id)");
    for id in all.as_array().expect("a list").iter().filter_map(Value::as_str) {
        page.ask(&format!("document.querySelector('#{id}').click()"));
        page.wait("document.querySelector('#fillet-drawer:not([hidden])')", SOON);
        std::thread::sleep(Duration::from_millis(200));
        inspector.wait_for_exact();
        let [left, top, right, bottom] = marked(&inspector);
        assert!(left > 0.02 && right < 0.98 && top > 0.02 && bottom < 0.98, "{id} is cut: {left} {top} {right} {bottom}");
        assert!((left + right - 1.0).abs() < 0.2 && (top + bottom - 1.0).abs() < 0.2, "{id} is aside: {left} {top} {right} {bottom}");
        assert!(right - left > 0.3 || bottom - top > 0.3, "{id} is far: {left} {top} {right} {bottom}");
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// What stands below each other on a phone, none of it over another or out of the window.
fn stacked(inspector: &Inspector, parts: &[&str]) {
    let mut edge = 0.0;
    for part in parts {
        let box_ = inspector.page.place(part);
        assert!(box_.height > 16.0, "{part} has no room: {box_:?}");
        assert!(box_.y >= edge - 0.5, "{part} begins at {}, above {edge}", box_.y);
        edge = box_.y + box_.height;
    }
    assert!(edge <= 844.5, "{parts:?} end at {edge}");
}

#[test]
fn on_a_phone_a_chosen_fillet_or_gap_lies_over_nothing() {
    let inspector = opened();
    let page = &inspector.page;
    page.calm();
    page.resize(390, 844);
    page.wait("document.querySelector('#pass-fillets-body').hidden", SOON);
    page.click_on("#pass-fillets");
    page.click_on("#fillet-0");
    page.wait("document.querySelector('#fillet-drawer:not([hidden])')", SOON);
    page.wait("document.querySelector('#pass-fillets-body').hidden", SOON);
    stacked(&inspector, &["#head", "#passes", "#canvas", "#fillet-drawer", "#status", "#ledger .ledger-head"]);
    assert!(page.place("#canvas").height > 250.0, "{:?}", page.place("#canvas"));

    // A finding's card takes more room, an unfolded pass too.
    page.click_on("#fillet-close");
    page.click_on("#ledger-toggle");
    page.click_on("#finding-list [data-finding^='fillet.']");
    page.wait("document.querySelector('#fillet-drawer:not([hidden])')", SOON);
    let finding = ["#head", "#passes", "#canvas", "#fillet-drawer", "#status", "#card"];
    stacked(&inspector, &finding);
    page.click_on("#pass-fillets");
    page.wait("!document.querySelector('#pass-fillets-body').hidden", SOON);
    stacked(&inspector, &finding);
    page.click_on("#card-close");

    page.click_on("#pass-gaps");
    page.wait("document.querySelector('#gap-0')", SOON);
    page.click_on("#gap-0");
    stacked(&inspector, &["#head", "#passes", "#canvas", "#status", "#ledger .ledger-head", "#ledger-list"]);
    page.click_on("#finding-list [data-finding^='gap.']");
    page.wait("!document.querySelector('#card').hidden", SOON);
    stacked(&inspector, &["#head", "#passes", "#canvas", "#status", "#card"]);
    assert_eq!(page.problems(), Vec::<String>::new());
}
