//! The page itself: a large file, a second opening, the first picture.

use super::files;
use super::table::Row;
use rakelight_tests::browser::{self, Page};
use rakelight_tests::site;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a file may take to open.
const PATIENCE: Duration = Duration::from_secs(900);

/// Notes when the page's workers are told to open a file, hand over faces and are done, and tasks that hold the page up; each run of them
/// from the last `open` on.
const WATCH: &str = "
    globalThis.watched = {};
    const Plain = Worker;
    globalThis.Worker = class extends Plain {
        constructor(...given) {
            super(...given);
            this.addEventListener('message', ({ data }) => {
                if (data.type === 'faces') watched.faces ??= performance.now();
                if (data.type === 'done') watched.done = performance.now();
            });
        }
        postMessage(message, ...rest) {
            if (message?.type === 'open') watched = { open: performance.now(), name: message.name, tasks: [] };
            return super.postMessage(message, ...rest);
        }
    };
    new PerformanceObserver((list) => {
        watched.tasks?.push(...list.getEntries().map(({ startTime, duration }) => [startTime, duration]));
    }).observe({ type: 'longtask' });
";

fn open_page(file: Option<&Path>) -> (Page, rakelight_pack::server::Server) {
    let server = site::serve("", file);
    let page = browser::page();
    page.before(WATCH);
    page.resize(1440, 900);
    page.go(&server.page());
    (page, server)
}

fn wait_for(page: &Page, name: &str) {
    page.wait(&format!("watched.name === '{name}' && watched.done && document.documentElement.dataset.state === 'ready'"), PATIENCE);
}

fn number(page: &Page, expression: &str) -> f64 {
    page.ask(expression).as_f64().unwrap_or(f64::NAN)
}

/// A file of about 100 MB, in the page as it is.
pub fn large() -> Vec<Row> {
    const FIRST: f64 = 3000.0;
    const MEMORY: f64 = 8.0;
    const TASK: f64 = 50.0;
    let path = hundred();
    let megabytes = std::fs::metadata(&path).map_or(f64::NAN, |file| file.len() as f64 / 1e6);
    let name = files::name(&path);
    let (page, _server) = open_page(None);
    page.wait("watched.done && document.documentElement.dataset.state === 'ready'", PATIENCE);
    page.choose("#file-input", &path);
    page.wait(&format!("watched.name === '{name}' && watched.faces"), PATIENCE);
    let first = number(&page, "watched.faces - watched.open");
    wait_for(&page, &name);
    let all = number(&page, "watched.done - watched.open");
    page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", PATIENCE);
    page.kept();
    let resident = browser::page_resident() as f64 / 1e3;
    let tasks = page.ask("watched.tasks");
    let length = |task: &serde_json::Value| task[1].as_f64();
    let lengths: Vec<f64> = tasks.as_array().into_iter().flatten().filter_map(length).collect();
    let longest = lengths.iter().copied().fold(0.0, f64::max);
    let file = format!("{megabytes:.0} MB STEP in Chromium");
    vec![
        Row::ms(format!("{file}: first faces after the bytes are handed to the worker / 3 s"), first, FIRST, 1.0)
            .note(format!("{name}; all of it, findings too, {:.1} s", all / 1e3)),
        Row::ms(format!("{file}: resident memory of the page's process / 8 times the file"), resident, MEMORY * megabytes, 1.0)
            .unit("MB")
            .note("once open and collected; software rendering has its buffers elsewhere"),
        Row::ms(format!("{file}: longest task of the page / 50 ms"), longest, TASK, 1.0)
            .note(format!("{} tasks above 50 ms; waits for the software device among them", lengths.len())),
    ]
}

/// A sheet of about 100 MB.
fn hundred() -> PathBuf {
    files::own(HUNDRED)
}

/// Patches each way of it.
const HUNDRED: usize = 120;

/// The same file again in the page loaded anew.
pub fn again() -> Vec<Row> {
    const BAR: f64 = 0.1;
    let Some(path) = files::grid(40, false) else { return Vec::new() };
    let name = files::name(&path);
    let (page, server) = open_page(Some(&path));
    let open = |page: &Page| {
        wait_for(page, &name);
        number(page, "watched.done - watched.open")
    };
    let first = open(&page);
    page.go(&server.page());
    let second = open(&page);
    vec![
        Row::ms("second opening of 1,600 faces, the page loaded anew / first", second, first, BAR)
            .note("from the bytes in the page to the last finding"),
    ]
}

/// From the address to the first picture of the demo.
pub fn first_stripes() -> Vec<Row> {
    const BAR: f64 = 1500.0;
    const RUNS: usize = 5;
    let once = || {
        let (page, _server) = open_page(None);
        page.wait("performance.getEntriesByName('first-stripes').length", PATIENCE);
        let mark = number(&page, "performance.getEntriesByName('first-stripes')[0].startTime");
        page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", PATIENCE);
        (mark, number(&page, "performance.now()"))
    };
    let runs: Vec<(f64, f64)> = (0..RUNS).map(|_| once()).collect();
    let least = |of: fn(&(f64, f64)) -> f64| runs.iter().map(of).fold(f64::INFINITY, f64::min);
    vec![
        Row::ms("first stripes on the demo, from navigation / 1.5 s", least(|r| r.0), BAR, 1.0)
            .note(format!("the whole picture exact after {:.1} s", least(|r| r.1) / 1e3)),
    ]
}
