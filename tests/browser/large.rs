//! A file of 50 MB: the page stays answering and small while it comes. Only in the full run: it takes minutes in software
//! rendering.

use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use rakelight_core::demo::yard;
use rakelight_tests::browser;
use rakelight_tests::inspector::Inspector;

/// Cowls that make a file of at least [`BYTES`].
const COWLS: usize = 90;
const BYTES: usize = 50_000_000;

/// Longest task of the page's own, ms, calls that hand data to the graphics device set aside.
const TASK: f64 = 50.0;

/// Memory of the page with its workers, kB: their share of what is resident, code of the browser that processes share
/// counted once.
const MEMORY: u64 = 1_000_000;

#[test]
fn fifty_megabytes_open_within_memory_and_without_a_long_task() {
    if std::env::var_os("RAKELIGHT_FULL").is_none() {
        return;
    }
    let text = yard::step(COWLS);
    assert!(text.len() >= BYTES, "{} bytes", text.len());
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("yard.step");
    fs::write(&path, text).expect("a file for the browser");
    let inspector = Inspector::open(None);
    inspector.wait_for_model("bramble-a.step");
    inspector.wait_for_exact();
    let page = &inspector.page;
    // Long tasks by the browser's own count, and of each how long calls to the graphics device took.
    page.ask(
        "(() => {
            globalThis.tasks = [];
            let inside = [];
            for (const name of Object.getOwnPropertyNames(WebGL2RenderingContext.prototype)) {
                const own = Object.getOwnPropertyDescriptor(WebGL2RenderingContext.prototype, name).value;
                if (typeof own !== 'function' || !/^(buffer|tex|get|check|fence|flush|draw)/.test(name)) continue;
                WebGL2RenderingContext.prototype[name] = function (...given) {
                    const from = performance.now();
                    const answer = own.apply(this, given);
                    const took = performance.now() - from;
                    if (took > 1) inside.push([from, took]);
                    return answer;
                };
            }
            new PerformanceObserver((list) => {
                for (const { startTime, duration } of list.getEntries()) {
                    const end = startTime + duration;
                    const device = inside.filter(([from]) => from >= startTime && from < end).reduce((sum, [, took]) => sum + took, 0);
                    tasks.push(duration - device);
                }
                inside = inside.slice(-1000);
            }).observe({ type: 'longtask' });
        })()",
    );
    inspector.choose(&path);
    let open = "document.documentElement.dataset.model === 'yard.step' && document.documentElement.dataset.state === 'ready'";
    let mut most = 0;
    for _ in 0..1200 {
        most = most.max(browser::page_memory());
        if page.ask(open).as_bool() == Some(true) {
            break;
        }
        std::thread::sleep(Duration::from_millis(250));
    }
    inspector.wait_for_model("yard.step");
    inspector.wait_for_exact();
    most = most.max(browser::page_memory());
    let tasks = page.ask("tasks");
    let longest = tasks.as_array().expect("a list").iter().filter_map(serde_json::Value::as_f64).fold(0.0, f64::max);
    println!("50 MB: longest task {longest:.0} ms, memory {} MB", most / 1000);
    assert!(most > 100_000 && most < MEMORY, "{most} kB");
    assert!(longest <= TASK, "{longest} ms: {tasks}");
    assert_eq!(page.problems(), Vec::<String>::new());
}
