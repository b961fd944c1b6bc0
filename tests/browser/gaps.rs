//! The Gaps pass: gaps on the model, what is measured along them, exposed edges, and two edges picked.

use std::time::Duration;

use rakelight_core::measure::{Memo, Subject};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);

fn opened() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-gaps");
    inspector.page.wait("document.querySelector('#gap-0')", SOON);
    inspector.wait_for_exact();
    inspector
}

fn number(inspector: &Inspector, script: &str) -> f64 {
    let value: Value = inspector.page.ask(script);
    value.as_f64().unwrap_or_else(|| value.as_str().and_then(|text| text.parse().ok()).unwrap_or_else(|| panic!("{script}: {value}")))
}

#[test]
fn the_hatch_is_listed_and_its_curves_are_the_cores() {
    let inspector = opened();
    let page = &inspector.page;
    let (prepared, graph) = demo::read_again();
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: None };
    let gaps = subject.gaps();
    let [gap] = gaps.as_slice() else { panic!("{} gaps", gaps.len()) };
    assert_eq!(number(&inspector, "document.querySelector('#gap-0').dataset.length"), gap.length);
    page.click_on("#gap-0");
    page.wait("document.querySelectorAll('.gap-plot').length === 4", SOON);
    let (least, most) = gap.stations.iter().fold((f64::INFINITY, 0.0f64), |(l, h), s| (l.min(s.width), h.max(s.width)));
    let of = |what: &str| number(&inspector, &format!("document.querySelector('.gap-plot[data-value=width]').dataset.{what}"));
    assert_eq!((of("least"), of("most")), (least, most));
    // The slider walks the stations by keys, and says what is read there.
    page.ask("document.querySelector('#gap-station').focus()");
    page.key("ArrowRight");
    page.wait("document.querySelector('#gap-facts')", SOON);
    let width = number(&inspector, "document.querySelector('#gap-facts').dataset.width");
    assert_eq!(width, gap.stations[1].width);
    assert!(page.text("#pass-gaps-body").contains("regulations"));
}
