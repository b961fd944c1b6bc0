//! Limits moved by hand: joins and findings follow, nothing is measured again, and undo puts everything back.

use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

/// What the page says of joins and findings.
#[derive(Debug, Clone, PartialEq)]
struct Said {
    /// Joins by what they reach.
    classes: String,
    /// Names of the findings in the ledger, in order.
    ledger: Vec<String>,
    /// Limits in the plot: heights and names.
    lines: String,
}

fn said(inspector: &Inspector) -> Said {
    let page = &inspector.page;
    let text = |expression: &str| page.ask(expression).as_str().unwrap_or_default().to_owned();
    let rows =
        page.ask("[...document.querySelectorAll('#finding-list [data-finding]')].map((row) => row.dataset.finding + row.dataset.severity)");
    Said {
        classes: page.text("#join-classes"),
        ledger: rows.as_array().expect("rows").iter().map(|row| row.as_str().unwrap_or_default().to_owned()).collect(),
        lines: text(
            "[...document.querySelectorAll('#trace-plot .limit, #trace-plot .limit-name')].map((one) => one.getAttribute('y1') ?? one.textContent).join(' ')",
        ),
    }
}

/// Waits until what is said is no longer `before`, and stays as it is.
fn wait_for_change(inspector: &Inspector, before: &Said, what: &str) -> Said {
    let started = std::time::Instant::now();
    let mut last = said(inspector);
    loop {
        std::thread::sleep(Duration::from_millis(400));
        let now = said(inspector);
        if now == last && now.classes != before.classes && now.ledger != before.ledger {
            return now;
        }
        assert!(started.elapsed() < SOON, "{what} changed nothing: {now:?}");
        last = now;
    }
}

/// Opens the demo with the trace of its largest curvature jump.
fn traced() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(DEMO);
    inspector.page.click_on("#pass-joins");
    inspector.page.click_on("#finding-list [data-finding^='join.curvature|']");
    inspector.page.wait("document.querySelector('#trace-plot .curve')", SOON);
    inspector
}

#[test]
fn a_limit_dragged_in_the_trace_classes_joins_again_without_measuring() {
    let inspector = traced();
    let page = &inspector.page;
    // Joins are sent once when they are found; a worker that sent them again, or its word that it looked again, shows here.
    let surveys = || page.ask("document.querySelector('#join-limits').dataset.surveys");
    assert_eq!(surveys(), Value::from("1"));
    let first = said(&inspector);
    let count = |s: &Said| s.ledger.iter().filter(|row| row.starts_with("join.curvature|")).count();
    assert!(count(&first) >= 1 && first.classes.contains("G2"), "{first:?}");

    // Down to the bottom of the plot: nearly every jump that counts passes the limit then.
    let height = |line: &str| page.place(&format!("{line} .grip-line")).middle().1;
    let grip = page.place("#limit-line-polish .grip-knob").middle();
    let plot = page.place("#trace-plot");
    page.drag(grip, (grip.0, plot.y + plot.height - 31.0), "left");
    let strict = wait_for_change(&inspector, &first, "a drag down");
    assert!(count(&strict) > count(&first), "{} findings of curvature, {} before", count(&strict), count(&first));
    assert!(height("#limit-line-polish") > grip.1 + 5.0);
    // It stops at its neighbour on the way up.
    let grip = page.place("#limit-line-polish .grip-knob").middle();
    page.drag(grip, (grip.0, plot.y + 2.0), "left");
    page.wait("document.querySelector('#limit-polish').value === document.querySelector('#limit-fix').value", SOON);
    assert_eq!(surveys(), Value::from("1"));

    // Each drag is one step, and undo brings back what was there to the letter.
    page.click_on("#undo");
    page.click_on("#undo");
    let back = wait_for_change(&inspector, &strict, "undo");
    assert_eq!(back, first);
    assert_eq!(surveys(), Value::from("1"));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn numbers_sliders_and_keys_move_the_same_limit() {
    let inspector = traced();
    let page = &inspector.page;
    let first = said(&inspector);
    let enter = |id: &str, value: &str| {
        page.ask(&format!(
            "(() => {{ const box = document.querySelector('{id}'); box.value = '{value}'; box.dispatchEvent(new Event('input')); box.dispatchEvent(new Event('change')); }})()"
        ));
    };
    let shown = |id: &str| page.ask(&format!("Number(document.querySelector('{id}').value)")).as_f64().expect("a number");
    // By number: no jump passes 200 % of the larger curvature, which is the most that two of opposite sign make. Worst first, so
    // that none is in the way.
    for (id, value) in [("#limit-serious", "203"), ("#limit-fix", "202"), ("#limit-polish", "201")] {
        enter(id, value);
    }
    let wide = wait_for_change(&inspector, &first, "numbers");
    assert!(wide.ledger.iter().all(|row| !row.starts_with("join.curvature|") || row.ends_with("good")), "{:?}", wide.ledger);
    // The check says what the ledger says.
    let check: Value = serde_json::from_str(&inspector.check_json()).expect("JSON");
    let jumps = check["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter(|f| f["measure"] == "join.curvature" && f["severity"] != "good")
        .count();
    assert_eq!(jumps, 0);
    page.click_on("#limits-usual");
    assert_eq!(wait_for_change(&inspector, &wide, "the usual limits"), first);
    // By slider: all the way down, and the number goes along.
    enter("#limit-polish-slider", "0");
    wait_for_change(&inspector, &first, "the slider");
    assert!(shown("#limit-polish") == 0.1, "{}", shown("#limit-polish"));
    // By keys on the line in the trace.
    page.ask("document.querySelector('#limit-line-polish').focus()");
    let before = shown("#limit-polish");
    for _ in 0..3 {
        page.key("PageUp");
    }
    assert!(shown("#limit-polish") > 5.0 * before, "{} from {before}", shown("#limit-polish"));
    // A number that is none is not taken; other orders and zones keep their own.
    let kept = shown("#limit-polish");
    enter("#limit-polish", "");
    assert_eq!(shown("#limit-polish"), kept);
    page.click_on("#measure-g0");
    page.wait("document.querySelector('#limits-usual').hidden && document.querySelector('#limit-polish').value === '0.002'", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}
