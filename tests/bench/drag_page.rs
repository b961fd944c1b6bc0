//! A step of a drag, in the browser: from the page's message to the worker's answer, with the packets of the packed site's own worker.

use super::drag::STEPS;
use super::grid;
use super::sample::{RUNS, best, median};
use super::table::Row;
use rakelight_tests::{browser, site};
use serde_json::{Value, json};

/// ms that a step may take.
const BAR: f64 = 33.0;

/// Runs in a page of the site without the inspector, whose pictures would be drawn meanwhile: `times(grid, steps, face, runs)` gives for
/// each run the ms of its steps.
const PAGE: &str = "
async (file, steps, face, runs) => {
  const worker = new Worker('worker.js');
  const heard = [];
  let told = () => {};
  worker.onerror = (event) => heard.push({ type: 'failed', error: event.message });
  worker.onmessage = ({ data }) => { heard.push(data); told(); };
  const answer = async (type) => {
    for (;;) {
      const data = heard.shift();
      if (data?.type === type) return data;
      if (data?.type === 'failed') throw new Error(JSON.stringify(data.error));
      if (!data) await new Promise((next) => { told = next; });
    }
  };
  worker.postMessage({ type: 'start', module: await WebAssembly.compileStreaming(fetch('rakelight_bg.wasm')) });
  await answer('ready');
  const bytes = new TextEncoder().encode(file).buffer;
  const reading = { unit: null, hidden: false, search: null, plane: null };
  worker.postMessage({ type: 'open', job: 1, name: 'grid.stp', bytes, yardstick: 'visible', limits: {}, making: {}, zones: {}, reading }, [bytes]);
  const { joins } = await answer('joins');
  await answer('done');
  const join = joins.find(({ faces }) => faces.length === 2 && faces.includes(face)).id;
  const all = [];
  let size = 0;
  for (let run = 0; run < runs; run++) {
    const times = [];
    for (const trials of steps) {
      const from = performance.now();
      worker.postMessage({ type: 'try', job: 2, wish: { trials, face, point: [3, 3], join, whole: false, about: null } });
      const { packets, tried } = await answer('tried');
      times.push(performance.now() - from);
      if (packets.length !== 1 || tried.failed !== null || tried.joins.length !== 4 || tried.trace?.join !== join || tried.lines.length !== 2) throw new Error(JSON.stringify(tried));
      size = packets[0].byteLength;
    }
    all.push(times);
  }
  worker.terminate();
  return { all, size };
}";

/// The row of a drag in the browser.
pub fn rows() -> Vec<Row> {
    let server = site::serve("", None);
    let page = browser::page();
    page.go(&format!("{}notices.txt", server.folder()));
    let steps: Vec<String> = (0..STEPS).map(grid::trials).collect();
    let told = page.ask(&format!("({PAGE})({}, {}, {}, {RUNS})", json!(grid::step()), json!(steps), grid::MIDDLE));
    let run = |times: &Value| median(times.as_array().into_iter().flatten().filter_map(Value::as_f64).collect());
    let took = best(told["all"].as_array().into_iter().flatten().map(run));
    vec![Row { what: "a step of a drag, browser: message to answer".into(), took, bar: Some(BAR) }]
}
