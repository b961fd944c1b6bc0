//! Feature lines in the Form pass and corners in the Joins pass.

use std::time::Duration;

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::{Limits, read};
use rakelight_core::joins::{JoinGraph, Options, corners, feature_lines};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::inspector::Inspector;

const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

/// Pixels of the canvas in the blue of layers (Okabe & Ito).
fn blue(inspector: &Inspector) -> usize {
    let picture = inspector.page.picture(inspector.canvas());
    let like = |p: &&[u8; 4]| p[0] < 20 && p[1].abs_diff(114) < 14 && p[2].abs_diff(178) < 14;
    picture.rgba.as_chunks::<4>().0.iter().filter(like).count()
}

#[test]
fn lines_and_corners_are_the_cores_and_are_drawn() {
    let import = read(step(Revision::A).as_bytes(), DEMO, &Limits::default(), &mut Silent).expect("the demo reads");
    let prepared = Prepared::new(import);
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
    let mut lines = feature_lines(&prepared.sheets(), &graph);
    let length = |l: &rakelight_core::joins::FeatureLine| l.stops.last().map_or(0.0, |s| s.along);
    lines.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let flipping = lines.iter().position(|l| !l.flips().is_empty()).expect("the demo's ridge flips");

    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(DEMO);
    page.click_on("#pass-form");
    page.click_on("#form-none");
    page.wait("document.querySelector('#feature-1')", SOON);
    inspector.wait_for_exact();
    let before = blue(&inspector);
    page.ask(&format!("document.querySelector('#feature-{}').click()", flipping + 1));
    page.wait("document.querySelector('#feature-facts')", SOON);
    let told = page.ask("((d) => [Number(d.least), Number(d.largest), Number(d.flips)])(document.querySelector('#feature-facts').dataset)");
    let angles: Vec<f64> = lines[flipping].stops.iter().map(|s| s.angle).collect();
    let (least, largest) = (angles.iter().copied().fold(f64::INFINITY, f64::min), angles.iter().copied().fold(f64::NEG_INFINITY, f64::max));
    let told: Vec<f64> = told.as_array().expect("a list").iter().filter_map(serde_json::Value::as_f64).collect();
    assert_eq!(told, [least, largest, lines[flipping].flips().len() as f64]);
    page.wait("document.querySelector('.line-plot polyline')", SOON);
    inspector.wait_for_exact();
    assert!(blue(&inspector) > before + 300, "the line is drawn");
    page.click_on("#pass-joins");
    page.ask("document.querySelector('#trace-close')?.click()");
    inspector.wait_for_exact();
    let bare = blue(&inspector);
    page.click_on("#corners-on");
    let count = corners(&prepared.sheets(), &graph).len();
    page.wait(&format!("document.querySelector('#corner-block').innerText.includes('{count} places')"), SOON);
    inspector.wait_for_exact();
    assert!(blue(&inspector) > bare + 100, "corners are dotted");
    assert_eq!(page.problems(), Vec::<String>::new());
}
