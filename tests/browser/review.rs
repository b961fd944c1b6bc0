//! A review by hand: findings in their order, the camera at their place, by mouse, touch and keyboard.

use std::time::Duration;

use rakelight_pack::request::percent_encode;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::open_host::OpenHost;
use rakelight_tests::{browser, data, site};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

#[test]
fn a_finding_leads_to_its_place_and_its_trace() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.wait_for_exact();
    let page = &inspector.page;
    let ranks = page.ask(
        "[...document.querySelectorAll('#finding-list [data-finding]')].map((row) => ['serious', 'fix', 'polish', 'good'].indexOf(row.dataset.severity))",
    );
    let ranks: Vec<i64> = ranks.as_array().expect("rows").iter().filter_map(serde_json::Value::as_i64).collect();
    assert!(ranks.len() >= 6 && ranks.is_sorted() && ranks[0] == 0, "{ranks:?}");

    let before = page.picture(inspector.canvas());
    page.click_on("#finding-list [data-finding^='join.']");
    page.wait("!document.querySelector('#trace').hidden && document.querySelector('#trace-plot')", SOON);
    page.wait("document.querySelector('#finding-list [aria-current=true]')", SOON);
    inspector.wait_for_exact();
    let canvas = inspector.canvas();
    let after = page.picture(canvas);
    // The drawer of the trace makes the canvas lower: compare what both pictures have.
    let (width, height) = (before.width.min(after.width), before.height.min(after.height));
    assert!(before.crop(0, 0, width, height).difference(&after.crop(0, 0, width, height), 8) > 0.02);
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// Rows of the ledger: name, severity as it stands.
fn rows(inspector: &Inspector) -> Vec<(String, String)> {
    let told = inspector
        .page
        .ask("[...document.querySelectorAll('#ledger-list [data-entry]')].map((row) => [row.dataset.entry, row.dataset.severity])");
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    told.as_array().expect("rows").iter().map(|row| (text(&row[0]), text(&row[1]))).collect()
}

/// How many of how many the ledger says it shows.
fn counted(inspector: &Inspector) -> (usize, usize) {
    let said = inspector.page.text("#ledger-count");
    let numbers: Vec<usize> = said.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    assert_eq!(numbers.len(), 2, "{said}");
    (numbers[0], numbers[1])
}

fn set_select(inspector: &Inspector, selector: &str, value: &str) {
    inspector.page.ask(&format!(
        "(() => {{ const box = document.querySelector('{selector}'); box.value = '{value}'; box.dispatchEvent(new Event('change', {{ bubbles: true }})); }})()"
    ));
}

fn find(inspector: &Inspector, words: &str) {
    inspector.page.ask(&format!(
        "(() => {{ const box = document.querySelector('#ledger-find'); box.focus(); box.value = {words:?}; box.dispatchEvent(new Event('input')); }})()"
    ));
}

#[test]
fn the_ledger_is_filtered_by_pass_severity_state_and_words() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(DEMO);
    let all = rows(&inspector);
    assert_eq!(counted(&inspector), (all.len(), all.len()));
    page.click_on("#ledger-more");
    assert_eq!(page.ask("document.querySelector('#ledger-all').hidden"), Value::Bool(true));

    // The pass that is open, another one, all of them.
    page.click_on("#pass-joins");
    let joins = rows(&inspector);
    assert!(!joins.is_empty() && joins.len() < all.len() && joins.iter().all(|(key, _)| key.starts_with("join.")), "{joins:?}");
    assert_eq!(counted(&inspector), (joins.len(), all.len()));
    set_select(&inspector, "#ledger-pass", "rows");
    let of_rows = rows(&inspector);
    assert!(!of_rows.is_empty() && of_rows.iter().all(|(key, _)| !key.starts_with("join.")), "{of_rows:?}");
    page.click_on("#ledger-all");
    assert_eq!(rows(&inspector), all);
    assert_eq!(page.ask("document.querySelector('#ledger-pass').value"), "all");
    set_select(&inspector, "#ledger-pass", "here");
    assert_eq!(rows(&inspector), joins);
    page.click_on("#pass-overview");
    assert_eq!(rows(&inspector), all);

    // Severities, each with its count.
    let serious = all.iter().filter(|(_, severity)| severity == "serious").count();
    assert_eq!(page.text("#show-serious b"), serious.to_string());
    page.click_on("#show-serious");
    assert_eq!(counted(&inspector).0, all.len() - serious);
    assert!(rows(&inspector).iter().all(|(_, severity)| severity != "serious"));
    page.click_on("#ledger-all");

    // States: one finding is agreed, one is waived.
    page.click_on("#finding-0");
    page.click_on("#mark-agreed");
    page.click_on("#finding-1");
    page.click_on("#mark-waived");
    page.click_on("#card-close");
    assert_eq!(page.text("#show-agreed b"), "1");
    page.click_on("#show-agreed");
    page.click_on("#show-open");
    assert_eq!(rows(&inspector), all[1..2]);
    assert!(page.text("#ledger-list .row").contains("Waived"));
    page.click_on("#ledger-all");

    // Words: of faces, of titles, of what was noted; all of them.
    let face = page.ask("document.querySelector('#ledger-list .row-where').textContent.split(' to ')[0]");
    let face = face.as_str().expect("a face");
    find(&inspector, &face.to_uppercase());
    let found = page.ask(&format!(
        "[...document.querySelectorAll('#ledger-list .row')].map((row) => row.innerText.toLowerCase().includes({:?}))",
        face.to_lowercase()
    ));
    let found = found.as_array().expect("rows");
    assert!(!found.is_empty() && found.len() < all.len(), "{} rows with {face}", found.len());
    page.click_on("#finding-0");
    page.ask("(() => { const box = document.querySelector('#mark-note'); box.focus(); box.value = 'see the quince drawing'; box.dispatchEvent(new Event('input')); })()");
    find(&inspector, "drawing QUINCE");
    assert_eq!(rows(&inspector).len(), 1);
    find(&inspector, "quince plum");
    assert_eq!(rows(&inspector).len(), 0);
    assert!(page.text("#ledger-list").contains("filters"));
    page.key("Escape");
    assert_eq!(rows(&inspector).len(), all.len());
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn another_severity_needs_a_reason_and_goes_back_to_the_measured_one() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(DEMO);
    let all = rows(&inspector);
    let (key, severity) = all[0].clone();
    assert_eq!(severity, "serious");
    let stands = || rows(&inspector).into_iter().find(|row| row.0 == key).expect("the row").1;
    let open = || page.text("#pass-overview .pass-count").trim().parse::<usize>().expect("a count");
    let before = open();
    page.click_on("#finding-0");
    page.click_on("#mark-ask");
    set_select(&inspector, "#mark-severity", "good");
    page.click_on("#mark-overrule");
    assert!(page.text("#mark-needed").contains("reason"));
    assert_eq!(
        page.ask("[document.activeElement.id, document.activeElement.getAttribute('aria-invalid')]"),
        json!(["mark-reason", "true"])
    );
    assert_eq!(stands(), "serious");
    for letter in "meant".chars() {
        page.key(&letter.to_string());
    }
    page.key("Enter");
    assert_eq!(stands(), "good");
    assert_eq!(open(), before - 1);
    let said = page.text("#card");
    assert!(said.contains("good, measured as serious") && said.contains("meant"), "{said}");
    assert!(page.text(&format!("[data-entry={key:?}]")).contains("was serious"));
    assert!(page.text("#good-list").contains("was serious"), "it stands among what is done well");
    page.click_on("#undo");
    assert_eq!(stands(), "serious");
    page.click_on("#redo");
    assert_eq!(stands(), "good");
    page.click_on("#mark-change");
    assert_eq!(page.ask("document.querySelector('#mark-reason').value"), "meant");
    set_select(&inspector, "#mark-severity", "polish");
    page.click_on("#mark-overrule");
    assert_eq!(stands(), "polish");
    page.click_on("#mark-measured");
    assert_eq!(rows(&inspector), all);
    assert_eq!(open(), before);
    // Cancelled, nothing is said.
    page.click_on("#mark-ask");
    page.click_on("#mark-cancel");
    assert_eq!(rows(&inspector), all);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn what_shows_a_finding_is_drawn_over_the_model() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.wait_for_exact();
    let page = &inspector.page;
    let orange = || {
        let picture = page.picture(inspector.canvas());
        let like = |p: &&[u8; 4]| p[0].abs_diff(230) < 12 && p[1].abs_diff(159) < 12 && p[2] < 12;
        picture.rgba.as_chunks::<4>().0.iter().filter(like).count()
    };
    let before = orange();
    page.click_on("#finding-list [data-finding^='rows.evenness']");
    page.wait("document.querySelector('#finding-list [aria-current=true]')", SOON);
    inspector.wait_for_exact();
    let row = orange();
    // The mark alone is a disc of 9 pixels; a row of control points is drawn 3 pixels wide.
    assert!(before < 20 && row > 300, "{before} pixels of orange before, {row} after");
    page.click_on("#card-close");
    inspector.wait_for_exact();
    assert!(orange() < 20, "{} pixels of orange are left", orange());
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn mouse_wheel_touch_and_keys_move_the_view() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.wait_for_exact();
    let page = &inspector.page;
    // Small, so that software rendering settles soon after each of the many moves.
    page.resize(800, 560);
    std::thread::sleep(Duration::from_millis(500));
    inspector.wait_for_exact();
    let canvas = inspector.canvas();
    let (x, y) = canvas.middle();
    let mut last = page.picture(canvas);
    let mut moved = |what: &str| {
        page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", Duration::from_secs(120));
        let now = page.picture(canvas);
        assert!(last.difference(&now, 8) > 0.01, "{what} moved nothing");
        last = now;
    };
    let settle = || std::thread::sleep(Duration::from_millis(200));
    page.drag((x, y), (x + 120.0, y + 40.0), "left");
    settle();
    moved("a drag");
    page.wheel(x, y, -300.0);
    settle();
    moved("the wheel");
    page.touch(&[[(x, y), (x - 90.0, y)]]);
    settle();
    moved("one finger");
    page.touch(&[[(x - 40.0, y), (x - 100.0, y - 30.0)], [(x + 40.0, y), (x + 100.0, y + 30.0)]]);
    settle();
    moved("two fingers");
    page.ask("document.querySelector('#canvas').focus()");
    page.key("ArrowLeft");
    settle();
    moved("an arrow key");
    page.key("1");
    settle();
    moved("a standard view");
    page.key("p");
    settle();
    page.key("f");
    settle();
    moved("projection and fit");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn cancel_keeps_the_open_model() {
    let Some(large) = data::step_model("nist_mbe_pmi_2.stp", "cancelling an import") else { return };
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.choose(&large.path);
    inspector.page.wait("document.querySelector('#cancel')", SOON);
    inspector.page.ask("document.querySelector('#cancel').click()");
    inspector.wait_for_model(DEMO);
    assert!(inspector.check_json().contains(DEMO));
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}

#[test]
fn a_model_address_is_asked_for_first() {
    let server = site::serve("", None);
    let foreign = OpenHost::start_closed(&site::packed().folder);
    let address = foreign.at(&format!("/demo/{DEMO}"));
    let page = browser::page();
    page.go(&format!("{}?model={}", server.folder(), percent_encode(&address)));
    page.wait("document.querySelector('#consent').open", SOON);
    let host = foreign.at("");
    assert!(page.text("#consent").contains(host.trim_start_matches("http://")), "{}", page.text("#consent"));
    // Time enough for a page that would not wait.
    std::thread::sleep(Duration::from_secs(1));
    let asked = || page.requests().iter().filter(|request| request.starts_with(&host)).count();
    assert_eq!(asked(), 0);
    page.click_on("#consent-no");
    page.wait("!document.querySelector('#consent').open", SOON);
    assert_eq!(asked(), 0);

    page.click_on("#address-button");
    page.wait("document.querySelector('#consent').open", SOON);
    page.ask(&format!("(() => {{ const field = document.querySelector('#address'); field.value = {address:?}; field.dispatchEvent(new Event('input')); }})()"));
    page.click_on("#consent-yes");
    page.wait("document.querySelector('#failure')", SOON);
    assert_eq!(asked(), 1);
    // The other host lets no foreign page read its files, and the page says that this may be why.
    assert!(page.text("#failure").contains("Access-Control-Allow-Origin"), "{}", page.text("#failure"));
}

#[test]
fn a_lost_picture_comes_back() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    inspector.wait_for_exact();
    let page = &inspector.page;
    let canvas = inspector.canvas();
    let before = page.picture(canvas);
    page.ask(
        "globalThis.loss = document.querySelector('#canvas').getContext('webgl2').getExtension('WEBGL_lose_context'); loss.loseContext()",
    );
    page.wait("document.documentElement.dataset.graphics === 'lost'", SOON);
    assert!(inspector.check_json().contains(DEMO), "the review is there without a picture");
    page.ask("loss.restoreContext()");
    page.ask("document.querySelector('#redraw')?.click()");
    page.wait("document.documentElement.dataset.graphics === 'ok'", SOON);
    inspector.wait_for_exact();
    let after = page.picture(canvas);
    assert!(before.difference(&after, 8) < 0.01, "{}", before.difference(&after, 8));
}
