//! The trace of a join: its axis, its limits and its table in one unit, and its words whole.

use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

/// Opens the demo model and the trace of its worst curvature jump.
fn traced() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.page.click_on("#pass-joins");
    inspector.page.click_on("#finding-list [data-finding^='join.curvature|']");
    inspector.page.wait("document.querySelector('#trace-plot .curve')", SOON);
    inspector
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
}

#[test]
fn shares_are_per_cent_on_the_axis_and_in_the_table() {
    let inspector = traced();
    let page = &inspector.page;
    page.resize(1440, 900);
    std::thread::sleep(Duration::from_millis(300));
    let value = page.text("#finding-list [aria-current=true] b");
    let value: f64 = value.strip_suffix(" %").and_then(|x| x.parse().ok()).unwrap_or_else(|| panic!("no share: {value}"));
    assert!(value > 15.0, "the demo's seeded curvature jump");
    // The axis: [figure, height on the plot] of each line of its grid that has a figure.
    let axis = page.ask(
        "[...document.querySelectorAll('#trace-plot text.axis[text-anchor=end]')]
            .filter((text) => /^[0-9.]+$/.test(text.textContent))
            .flatMap((text) => [Number(text.textContent), Number(text.getAttribute('y')) - 4])",
    );
    let axis: Vec<[f64; 2]> = numbers(&axis).as_chunks().0.to_vec();
    let (low, high) = (axis[0], axis[axis.len() - 1]);
    assert!(axis.len() >= 3 && low[0] == 0.0, "{axis:?}");
    let read = |y: f64| (y - low[1]) / (high[1] - low[1]) * high[0];
    let ring = page.ask("Number(document.querySelector('#trace-plot .most').getAttribute('cy'))").as_f64().expect("a height");
    assert!((read(ring) - value).abs() < 0.02 * value, "the ring reads {} on an axis in %, the ledger says {value}", read(ring));
    // The limits stand where the axis has their figures.
    let limits = page.ask(
        "[...document.querySelectorAll('#trace-plot .limit')].map((line, i) => [
            Number(document.querySelectorAll('#trace-plot .limit-name')[i].textContent.match(/[0-9.]+/)[0]), Number(line.getAttribute('y1'))]).flat()",
    );
    for [limit, y] in numbers(&limits).as_chunks().0 {
        assert!((read(*y) - limit).abs() < 0.02 * limit, "{limit} stands at {}", read(*y));
    }
    page.click_on("#trace-table-toggle");
    page.wait("document.querySelector('.trace-table tbody td')", SOON);
    assert!(page.text(".trace-table thead").contains("Curvature jump, %"));
    let most = page.ask(
        "Math.max(...[...document.querySelectorAll('.trace-table tbody td:nth-of-type(3)')].map((cell) => Number(cell.textContent) || 0))",
    );
    let most = most.as_f64().expect("a number");
    assert!((most - value).abs() < 0.02 * value, "the table's largest is {most}, the ledger says {value}");
}

#[test]
fn a_missing_share_stays_missing() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    let said = page.ask("import('./format.js').then(({ figure, quantity }) => [null, undefined, NaN].flatMap((x) => [figure(x, 'share'), quantity(x, 'share')]))");
    assert_eq!(said, serde_json::json!(["–", "– %", "–", "– %", "–", "– %"]));
}

#[test]
fn its_words_are_whole_in_small_windows_and_clear_of_the_curve() {
    let inspector = traced();
    let page = &inspector.page;
    for (width, height) in [(1440, 900), (1024, 640), (390, 844)] {
        page.resize(width, height);
        std::thread::sleep(Duration::from_millis(300));
        let cut = page.ask(
            "[...document.querySelectorAll('.trace-say, #head .tools button, #view-bar button')]
                .filter((node) => { const box = node.getBoundingClientRect(); return node.scrollWidth > node.clientWidth + 1 || box.left < 0 || box.right > innerWidth; })
                .map((node) => node.textContent)",
        );
        assert_eq!(cut, serde_json::json!([]), "{width} × {height}");
        // No station of the curve lies inside the box of the largest value's words.
        let crossed = page.ask(
            "(() => {
                const words = document.querySelector('#trace-plot .most-name').getBBox();
                const curve = document.querySelector('#trace-plot .curve');
                const total = curve.getTotalLength();
                for (let at = 0; at <= total; at += 0.5) {
                    const p = curve.getPointAtLength(at);
                    if (p.x > words.x && p.x < words.x + words.width && p.y > words.y && p.y < words.y + words.height) return true;
                }
                return words.y < 0;
            })()",
        );
        assert_eq!(crossed, Value::Bool(false), "{width} × {height}");
    }
}

#[test]
fn nothing_out_of_sight_lengthens_the_page() {
    let inspector = traced();
    let page = &inspector.page;
    page.resize(1024, 640);
    std::thread::sleep(Duration::from_millis(200));
    assert_eq!(page.ask("document.documentElement.scrollHeight"), serde_json::json!(640));
    assert!(page.text("#ledger-order").contains("severity"));
}
