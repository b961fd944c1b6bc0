//! The sweep between rails: taken from a patch and picked edge by edge, held against, coloured, refused, by mouse and keyboard.

use std::time::Duration;

use rakelight_core::measure::{Memo, Subject};
use rakelight_core::progress::Silent;
use rakelight_core::reference::{FAR, JoinSweep, Reference, sweep_of_joins};
use rakelight_core::review::ReferenceRecord;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);

fn pass() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-reference");
    inspector
}

fn number(inspector: &Inspector, name: &str) -> f64 {
    let told = inspector.page.ask(&format!("Number(document.querySelector('#reference-facts').dataset.{name})"));
    told.as_f64().unwrap_or_else(|| panic!("no number: {name} is {told}"))
}

/// Joins taken for a rail or section.
fn taken(inspector: &Inspector, which: &str) -> Vec<usize> {
    let all = inspector
        .page
        .ask(&format!("[...document.querySelectorAll('[id^=\"sweep-{which}-\"]:not([id$=drop])')].map((e) => Number(e.id.split('-')[2]))"));
    all.as_array().expect("a list").iter().map(|x| x.as_u64().expect("a number") as usize).collect()
}

/// What the core says of a sweep between joins of the demo.
fn of_the_core(wish: &JoinSweep) -> ReferenceRecord {
    let (prepared, graph) = demo::read_again();
    let sweep = sweep_of_joins(&prepared.sheets(), &graph, wish).expect("a sweep");
    let reference = Reference::of_surface("", sweep.surface, FAR, &mut Silent).expect("a reference");
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: Some(&reference) };
    ReferenceRecord::new(&subject).expect("a record")
}

/// A patch whose four sides are taken.
fn swept() -> Inspector {
    let inspector = pass();
    let page = &inspector.page;
    page.click_on("#pass-rows");
    page.wait("document.querySelector(\"#finding-list [data-finding^='rows.evenness|']\")", SOON);
    page.click_on("#finding-list [data-finding^='rows.evenness|']");
    page.click_on("#pass-reference");
    page.wait("document.querySelector('#sweep-patch')?.disabled === false", SOON);
    // What is still on its way to the panel would move the button from under the pointer.
    inspector.wait_for_exact();
    page.click_on("#sweep-patch");
    page.wait("document.querySelector('#sweep-make').disabled === false", SOON);
    inspector
}

#[test]
fn the_sides_of_a_patch_make_its_plain_sweep_and_the_figures_are_the_cores() {
    let inspector = swept();
    let page = &inspector.page;
    let wish = JoinSweep {
        rails: [taken(&inspector, "first"), taken(&inspector, "second")],
        first: taken(&inspector, "start"),
        last: taken(&inspector, "end"),
        tolerance: 1e-3,
    };
    inspector.wait_for_exact();
    let reddish = |[r, g, b]: [u8; 3]| r > g.saturating_add(60) && r > b.saturating_add(60);
    let before = inspector.count_pixels(reddish);
    page.click_on("#sweep-make");
    page.wait("document.querySelector('#reference-facts')?.dataset.tilt", SOON);
    let record = of_the_core(&wish);
    let distances = record.distances.expect("distances");
    let tilt = distances.tilt.expect("normals");
    for (name, want) in
        [("rms", distances.rms.0), ("least", distances.least.value.0), ("most", distances.most.value.0), ("tilt", tilt.most.value.0)]
    {
        let got = number(&inspector, name);
        assert!((got - want).abs() <= 1e-9, "{name}: {got} on the page, {want} in the core");
    }
    assert!(distances.rms.0 > 1e-3, "the cheek is no plain sweep");
    // Its lines are drawn, and an ideal flow is no finding and lacks nothing.
    inspector.wait_for_exact();
    let with = inspector.count_pixels(reddish);
    assert!(with > before + 300, "{before} red pixels before, {with} with its lines");
    assert_eq!(page.ask("document.querySelector(\"#finding-list [data-finding^='reference.']\")"), Value::Null);
    assert_eq!(page.ask("document.querySelector('#missing-1')"), Value::Null);
    // Coloured by how far highlights differ, with an end of its own.
    page.click_on("#reference-map-tilt");
    page.wait("document.querySelector('#legend figcaption')?.textContent.startsWith('Highlight difference')", SOON);
    page.wait("document.querySelector('#legend .legend-ends li')?.textContent === '0'", SOON);
    inspector.wait_for_exact();
    let tilted = page.picture(inspector.canvas());
    page.click_on("#reference-map-reference");
    page.wait("document.querySelector('#legend figcaption')?.textContent.startsWith('Distance')", SOON);
    inspector.wait_for_exact();
    assert!(page.picture(inspector.canvas()).difference(&tilted, 16) > 0.01);
    page.click_on("#reference-close");
    page.wait("!document.querySelector('#reference-facts')?.offsetParent", SOON);
}

#[test]
fn rails_are_picked_edge_by_edge_with_the_keyboard_and_what_is_no_sweep_says_why() {
    let inspector = swept();
    let page = &inspector.page;
    let [first, second, start, end] = ["first", "second", "start", "end"].map(|which| taken(&inspector, which));
    // Emptied and taken again, by keys alone.
    let press = |id: &str, key: &str| {
        page.wait(&format!("document.querySelector('{id}') && !document.querySelector('{id}').disabled"), SOON);
        page.ask(&format!("document.querySelector('{id}').focus()"));
        page.key(key);
    };
    let take = |from: &str, joins: &[usize], to: &str| {
        for join in joins {
            press(&format!("#sweep-{from}-{join}"), "Enter");
            press(&format!("#sweep-{to}"), "Enter");
            page.wait(&format!("document.querySelector('#sweep-{to}-{join}')"), SOON);
        }
    };
    let one = first[0];
    press(&format!("#sweep-first-{one}"), "Enter");
    for join in &first {
        press(&format!("#sweep-first-{join}-drop"), "Enter");
    }
    page.wait("document.querySelector('#sweep-make').disabled", SOON);
    press("#sweep-first", "Enter");
    page.wait(&format!("document.querySelector('#sweep-first-{one}')"), SOON);
    assert_eq!(first.len(), 1, "the demo's cheek has a rail of one edge");
    // Without an end section it stays the same section.
    for join in &end {
        press(&format!("#sweep-end-{join}-drop"), "Enter");
    }
    press("#sweep-make", "Enter");
    page.wait("document.querySelector('#reference-facts')?.dataset.tilt", SOON);
    let wish = JoinSweep { rails: [first.clone(), second.clone()], first: start.clone(), last: Vec::new(), tolerance: 1e-3 };
    let want = of_the_core(&wish).distances.expect("distances").rms.0;
    assert!((number(&inspector, "rms") - want).abs() <= 1e-9);
    // The section taken for a rail: the last sweep stays, and it is said why.
    take("start", &start, "first");
    take("second", &second, "start");
    take("first", &first, "second");
    press("#sweep-make", "Enter");
    page.wait("document.querySelector('#slips').textContent.includes('no sweep')", SOON);
    assert!((number(&inspector, "rms") - want).abs() <= 1e-9, "the last one stays");
    assert_eq!(inspector.state(), "ready");
}
