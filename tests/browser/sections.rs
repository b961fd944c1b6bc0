//! Plane sections on the page: the cuts are the core's own, they are drawn where they lie, and a drag moves them.

use std::time::Duration;

use rakelight_core::math::Vec3;
use rakelight_core::progress::Silent;
use rakelight_core::section::{Plane, Precision, SectionFace, section};
use rakelight_core::tessellate::{Tolerance, tessellate};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;

const SOON: Duration = Duration::from_secs(30);

/// Length of all lines in which a plane cuts the demo, mm, and their number.
fn cut(normal: Vec3, offset: f64) -> (f64, usize) {
    let (prepared, graph) = demo::read_again();
    let sheets = prepared.sheets();
    let model = &prepared.import.model;
    let meshes = tessellate(model, &prepared.domains, &Tolerance::for_model(model), &mut Silent);
    let faces = SectionFace::all(&sheets, &meshes, &graph);
    let lines = section(&Plane { normal, offset }, &faces, &graph, &Precision::default());
    (lines.iter().map(|l| l.points.last().map_or(0.0, |p| p.along)).sum(), lines.len())
}

fn slide(inspector: &Inspector, id: &str, to: f64) {
    inspector
        .page
        .ask(&format!("(() => {{ const s = document.querySelector('{id}'); s.value = '{to}'; s.dispatchEvent(new Event('input')); }})()"));
}

#[test]
fn the_cuts_are_the_cores_and_a_drag_moves_them() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-form");
    page.click_on("#form-none");
    page.click_on("#view-left");
    inspector.wait_for_exact();
    let dark = || inspector.count_pixels(|p| p.iter().all(|c| *c < 70));
    let before = dark();
    let told = |what: &str| page.ask(&format!("Number(document.querySelector('#section-found dl')?.dataset.{what})")).as_f64();
    page.click_on("#sections-on");
    page.wait("document.querySelector('#section-found [data-lines]')", SOON);
    inspector.wait_for_exact();
    let stacked = dark();
    assert!(stacked > before + 500, "{before} dark pixels, {stacked} with a stack of sections");
    let many = told("lines").expect("a number");
    // One plane, across the whole model.
    page.click_on("#section-y");
    page.click_on("#sections-single");
    slide(&inspector, "#section-at", 100.0);
    let at = page.ask("Number(document.querySelector('#section-at').value)").as_f64().expect("a number");
    let (length, lines) = cut(Vec3::Y, at);
    page.wait(&format!("document.querySelector('#section-found dl')?.dataset.lines === '{lines}'"), SOON);
    page.wait(&format!("document.querySelector('#section-found dl').dataset.length === String({length:?})"), SOON);
    assert!((lines as f64) < many);
    inspector.wait_for_exact();
    let one = dark();
    assert!(one < stacked, "{one} dark pixels of one section, {stacked} of a stack");
    // Combs, and the plane moved out of the model's middle.
    page.click_on("#sections-combs");
    page.wait("Number(document.querySelector('#section-found dl')?.dataset.most) > 0", SOON);
    slide(&inspector, "#section-at", 250.0);
    let at = page.ask("Number(document.querySelector('#section-at').value)").as_f64().expect("a number");
    let (length, _) = cut(Vec3::Y, at);
    page.wait(&format!("document.querySelector('#section-found dl').dataset.length === String({length:?})"), SOON);
    page.click_on("#sections-on");
    page.wait("!document.querySelector('#section-found dl')", SOON);
    inspector.wait_for_exact();
    assert_eq!(dark(), before, "nothing is left of them");
    assert_eq!(page.problems(), Vec::<String>::new());
}
