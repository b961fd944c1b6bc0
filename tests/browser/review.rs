//! A review by hand: findings in their order, the camera at their place, by mouse, touch and keyboard.

use std::time::Duration;

use rakelight_pack::request::percent_encode;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::{browser, data, site};

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
    let foreign = site::serve("", None);
    let address = format!("{}demo/{DEMO}", foreign.folder());
    let page = browser::page();
    page.go(&format!("{}?model={}", server.folder(), percent_encode(&address)));
    page.wait("document.querySelector('#consent').open", SOON);
    assert!(page.text("#consent").contains(&format!("127.0.0.1:{}", foreign.port())), "{}", page.text("#consent"));
    // Time enough for a page that would not wait.
    std::thread::sleep(Duration::from_secs(1));
    let asked = || page.requests().iter().filter(|request| request.starts_with(&foreign.folder())).count();
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
    // The other server lets no foreign page read its files, and the page says that this may be why.
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
