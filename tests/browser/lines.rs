//! Feature lines in the Form pass and corners in the Joins pass.

use std::time::Duration;

use rakelight_core::joins::{corners, feature_lines};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;

const SOON: Duration = Duration::from_secs(30);

/// The blue of layers (Okabe & Ito).
fn is_blue([r, g, b]: [u8; 3]) -> bool {
    r < 20 && g.abs_diff(114) < 14 && b.abs_diff(178) < 14
}

#[test]
fn lines_and_corners_are_the_cores_and_are_drawn() {
    let (prepared, graph) = demo::read_again();
    let mut lines = feature_lines(&prepared.sheets(), &graph);
    let length = |l: &rakelight_core::joins::FeatureLine| l.stops.last().map_or(0.0, |s| s.along);
    lines.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let flipping = lines.iter().position(|l| !l.flips().is_empty()).expect("the demo's ridge flips");

    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-form");
    page.click_on("#form-none");
    page.wait("document.querySelector('#feature-1')", SOON);
    inspector.wait_for_exact();
    let before = inspector.count_pixels(is_blue);
    page.ask(&format!("document.querySelector('#feature-{}').click()", flipping + 1));
    page.wait("document.querySelector('#feature-facts')", SOON);
    let told = page.ask("((d) => [Number(d.least), Number(d.largest), Number(d.flips)])(document.querySelector('#feature-facts').dataset)");
    let angles: Vec<f64> = lines[flipping].stops.iter().map(|s| s.angle).collect();
    let (least, largest) = (angles.iter().copied().fold(f64::INFINITY, f64::min), angles.iter().copied().fold(f64::NEG_INFINITY, f64::max));
    let told: Vec<f64> = told.as_array().expect("a list").iter().filter_map(serde_json::Value::as_f64).collect();
    assert_eq!(told, [least, largest, lines[flipping].flips().len() as f64]);
    page.wait("document.querySelector('.line-plot polyline')", SOON);
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(is_blue) > before + 300, "the line is drawn");
    page.click_on("#pass-joins");
    page.ask("document.querySelector('#trace-close')?.click()");
    inspector.wait_for_exact();
    let bare = inspector.count_pixels(is_blue);
    page.click_on("#corners-on");
    let count = corners(&prepared.sheets(), &graph).len();
    page.wait(&format!("document.querySelector('#corner-block').innerText.includes('{count} places')"), SOON);
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(is_blue) > bare + 100, "corners are dotted");
    assert_eq!(page.problems(), Vec::<String>::new());
}
