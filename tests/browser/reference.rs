//! The Reference pass: the demo against its next revision and against a mesh, its figures those of the core, colours, parts and cuts.

use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::exchange::{self, Limits};
use rakelight_core::progress::Silent;
use rakelight_core::reference::{FAR, Reference};
use rakelight_core::review::{Beside, Options, ReferenceRecord, run_beside};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(120);

fn pass() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-reference");
    inspector
}

fn number(inspector: &Inspector, expression: &str) -> f64 {
    let told = inspector.page.ask(expression);
    told.as_f64().unwrap_or_else(|| panic!("no number: {expression} gives {told}"))
}

fn fact(inspector: &Inspector, name: &str) -> f64 {
    number(inspector, &format!("Number(document.querySelector('#reference-facts').dataset.{name})"))
}

/// What the core says of the demo's two revisions.
fn of_the_core() -> ReferenceRecord {
    let other = bramble::step(Revision::B).into_bytes();
    let import = exchange::read(&other, "bramble-b.step", &Limits::default(), &mut Silent).expect("a model");
    let reference = Reference::new("bramble-b.step", import.model, FAR, &mut Silent).expect("a reference");
    let own = bramble::step(Revision::A).into_bytes();
    let check =
        run_beside(&own, demo::NAME, Beside { reference: Some(&reference), earlier: None }, &Options::default(), &mut Silent, &mut || 0.0)
            .expect("a check");
    check.reference.expect("a record")
}

#[test]
fn the_demo_against_its_next_revision_shows_what_the_core_finds() {
    let inspector = pass();
    let page = &inspector.page;
    inspector.wait_for_exact();
    let bluish = |[r, _, b]: [u8; 3]| b > r.saturating_add(40);
    let before = inspector.count_pixels(bluish);
    page.click_on("#reference-demo");
    page.wait("document.querySelector('#reference-facts')?.dataset.rms", SOON);
    let record = of_the_core();
    let distances = record.distances.expect("distances");
    for (name, want) in
        [("rms", distances.rms.0), ("mean", distances.mean.0), ("least", distances.least.value.0), ("most", distances.most.value.0)]
    {
        let got = fact(&inspector, name);
        assert!((got - want).abs() <= 1e-9, "{name}: {got} on the page, {want} in the core");
    }
    assert_eq!(
        page.ask("document.querySelectorAll('#reference-bars .bar-within, #reference-bars .bar-beyond').length"),
        Value::from(distances.bars.len())
    );
    // Its findings stand in the ledger, and the pass counts them.
    page.wait("document.querySelector(\"#finding-list [data-finding^='reference.']\")", SOON);
    // The model is coloured by it, with a legend.
    page.wait("document.querySelector('#legend .legend-ends')", SOON);
    inspector.wait_for_exact();
    let with = inspector.count_pixels(bluish);
    assert!(with != before, "{before} bluish pixels before, {with} after");
    // Let go: all of it goes.
    page.click_on("#reference-close");
    page.wait("!document.querySelector('#reference-facts')?.offsetParent", SOON);
    page.wait("!document.querySelector(\"#finding-list [data-finding^='reference.']\")", SOON);
}

#[test]
fn a_mesh_chosen_as_reference_shows_its_missing_part_and_the_cuts_of_both() {
    let inspector = pass();
    let page = &inspector.page;
    // A plate across the model and out of it: its outer part is missing, whatever lies near it is compared.
    let plate = "solid\nfacet normal 0 0 1\nouter loop\nvertex -2e3 -2e3 200\nvertex 4e3 -2e3 200\nvertex -2e3 4e3 200\nendloop\nendfacet\nendsolid\n";
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("plate.stl");
    std::fs::write(&path, plate).expect("a file");
    page.choose("#reference-input", &path);
    page.wait("document.querySelector('#missing-1')", SOON);
    let area = number(&inspector, "Number(document.querySelector('#missing-1').dataset.area)");
    assert!(area > 1e7 && area <= 1.8e7, "{area} mm² of 1.8e7");
    page.click_on("#reference-cuts");
    page.wait("document.querySelector('#reference-cut-x')", SOON);
    page.click_on("#reference-cut-x");
    inspector.wait_for_exact();
    // A distance from which on parts are missing, by keyboard.
    page.ask("document.querySelector('#reference-near').focus()");
    page.ask(
        "(() => { const box = document.querySelector('#reference-near'); box.value = '50'; box.dispatchEvent(new Event('change')); })()",
    );
    page.wait(&format!("Math.abs(Number(document.querySelector('#missing-1')?.dataset.area) - {area}) > 1"), SOON);
}

#[test]
fn what_is_no_reference_is_told_and_the_model_stays() {
    let inspector = pass();
    let page = &inspector.page;
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("no reference.stl");
    std::fs::write(&path, "solid\nendsolid\n").expect("a file");
    page.choose("#reference-input", &path);
    page.wait("document.querySelector('#slips').textContent.includes('no reference.stl')", SOON);
    assert_eq!(inspector.state(), "ready");
    assert_eq!(inspector.model(), demo::NAME);
    page.wait("document.querySelector('#reference-close').hidden", SOON);
}
