//! A step of a drag, in the browser: from the page's message to the worker's answer, with the packets of the packed site's own worker.

use super::drag::STEPS;
use super::grid;
use super::sample::{RUNS, best, median};
use super::table::Row;
use rakelight_tests::{browser, site};
use serde_json::{Value, json};

/// ms that a step may take.
const BAR: f64 = 33.0;

/// Runs in a page of the site without the inspector, whose pictures would be drawn meanwhile.
const PAGE: &str = include_str!("drag_page.js");

/// The row of a drag in the browser.
pub fn rows() -> Vec<Row> {
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&format!("{}notices.txt", server.folder()));
    let steps: Vec<String> = (0..STEPS).map(|step| grid::trials(grid::MIDDLE, (3, 3), step)).collect();
    let told = page.ask(&format!("({PAGE})({}, {}, {}, {RUNS})", json!(grid::step()), json!(steps), grid::MIDDLE));
    let run = |times: &Value| median(times.as_array().into_iter().flatten().filter_map(Value::as_f64).collect());
    let took = best(told["all"].as_array().into_iter().flatten().map(run));
    vec![Row::ms("a step of a drag, browser, message to answer / what it may take", took, BAR, 1.0)]
}
