//! The Layout pass: patches by role on the model, the plan map, chains of edges, and what there is to look at.

use std::time::Duration;

use rakelight_core::measure::{Memo, Subject};
use rakelight_core::review::{LayoutRecord, plan_map};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);

/// The colours of the roles (Okabe & Ito) as they come through shading: by which channel leads.
fn blue([r, g, b]: [u8; 3]) -> bool {
    b > r.saturating_add(50) && b > g.saturating_add(20)
}

fn yellow([r, g, b]: [u8; 3]) -> bool {
    r > b.saturating_add(70) && g > b.saturating_add(60) && r.abs_diff(g) < 45
}

fn purple([r, g, b]: [u8; 3]) -> bool {
    r > g.saturating_add(35) && b > g.saturating_add(12)
}

fn vermilion([r, g, b]: [u8; 3]) -> bool {
    r > 170 && r > g.saturating_add(80) && g > b.saturating_add(20)
}

fn opened() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-layout");
    inspector.page.wait("document.querySelector('#plan')", SOON);
    inspector.wait_for_exact();
    inspector
}

fn chosen(inspector: &Inspector) -> Value {
    inspector.page.ask("document.querySelector('#patch-facts')?.dataset.face ?? null")
}

#[test]
fn patches_are_coloured_and_counted_by_role() {
    let inspector = opened();
    let page = &inspector.page;
    let (prepared, graph) = demo::read_again();
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: None };
    let record = LayoutRecord::new(&subject);
    for (role, faces) in [("primary", &record.roles.primary), ("transition", &record.roles.transition), ("detail", &record.roles.detail)] {
        let told = page.text(&format!("#role-{role} b"));
        assert_eq!(told, faces.len().to_string(), "{role}");
    }
    let legend = page.text("#legend-roles");
    assert!(["Primary", "Transition", "Detail"].iter().all(|role| legend.contains(role)), "{legend}");
    let seen = [inspector.count_pixels(blue), inspector.count_pixels(yellow), inspector.count_pixels(purple)];
    assert!(seen[0] > 20_000 && seen[1] > 800 && seen[2] > 300, "blue, yellow and purple pixels: {seen:?}");
    // Elsewhere nothing of it is left, and it comes back.
    page.click_on("#pass-joins");
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(blue) < seen[0] / 4);
    page.click_on("#pass-layout");
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(blue).abs_diff(seen[0]) < seen[0] / 20);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_plan_map_chooses_faces_by_click_and_keyboard() {
    let inspector = opened();
    let page = &inspector.page;
    let (prepared, graph) = demo::read_again();
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: None };
    let map = plan_map(&subject);
    assert_eq!(page.ask("document.querySelectorAll('#plan .plan-node').length"), json!(map.nodes.len()));
    assert_eq!(page.ask("document.querySelectorAll('#plan .plan-link').length"), json!(map.links.len()));
    let shapes = page.ask(
        "['circle:not(.plan-ring)', 'rect[transform]', 'rect:not([transform])'].map((s) => document.querySelectorAll(`#plan .plan-node > ${s}`).length)",
    );
    assert_eq!(shapes, json!([15, 18, 21]), "circles, diamonds and squares");
    let largest = map.nodes.iter().max_by(|a, b| a.radius.total_cmp(&b.radius)).expect("a node");
    page.click_on(&format!("#plan-node-{}", largest.face));
    page.wait("document.querySelector('#patch-facts')", SOON);
    assert_eq!(chosen(&inspector), json!(largest.face.to_string()));
    assert_eq!(page.ask(&format!("document.querySelector('#plan-node-{}').getAttribute('aria-selected')", largest.face)), json!("true"));
    let facts = page.text("#patch-facts");
    assert!(
        ["Role", "Primary", "Degree", "Control points", "Shortest edge", "Twist", "Left by its trims"].iter().all(|f| facts.contains(f)),
        "{facts}"
    );
    // By keyboard to what lies beside it; Escape in the canvas is not meant, the map has the keys.
    page.ask("document.querySelector('#plan').focus()");
    page.key("ArrowRight");
    let beside = chosen(&inspector);
    assert_ne!(beside, json!(largest.face.to_string()));
    let x = |face: &Value| map.nodes.iter().find(|n| json!(n.face.to_string()) == *face).expect("a node").x;
    assert!(x(&beside) > largest.x);
    assert_eq!(page.ask("document.activeElement.id"), json!("plan"));
    assert_eq!(
        page.ask("document.querySelector('#plan').getAttribute('aria-activedescendant')"),
        json!(format!("plan-node-{}", beside.as_str().expect("a face")))
    );
    // Enter flies there.
    inspector.wait_for_exact();
    let before = page.picture(inspector.canvas());
    page.key("Enter");
    inspector.wait_for_exact();
    assert!(page.picture(inspector.canvas()).difference(&before, 8) > 0.05);
    // A role that is let go of is dim and out of the list.
    page.click_on("#role-detail");
    page.wait("document.querySelectorAll('#plan .plan-node.dim').length === 21", SOON);
    page.click_on("#layout-faces summary");
    let listed = page.ask("document.querySelectorAll('#layout-faces li button').length");
    assert_eq!(listed, json!(15 + 18));
    // The larger map is a dialog of its own.
    page.click_on("#plan-open");
    page.wait("document.querySelector('dialog[open] #plan-large')", SOON);
    page.click_on("#plan-close");
    page.wait("!document.querySelector('dialog[open]')", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_chain_is_drawn_and_let_go_of() {
    let inspector = opened();
    let page = &inspector.page;
    let before = inspector.count_pixels(vermilion);
    let longest = page.ask("Number(document.querySelector('#chain-0').dataset.length)").as_f64().expect("a length");
    assert!(longest > 1000.0, "{longest}");
    page.click_on("#chain-0");
    page.wait("document.querySelector('#chain-0').getAttribute('aria-pressed') === 'true'", SOON);
    inspector.wait_for_exact();
    let drawn = inspector.count_pixels(vermilion);
    assert!(drawn > before + 800, "{before} vermilion pixels before, {drawn} with the chain");
    page.click_on("#chain-0");
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(vermilion) < before + 200);
    // All of them, by keyboard.
    let bare = page.picture(inspector.canvas());
    page.ask("document.querySelector('#chains-all').focus()");
    page.key(" ");
    inspector.wait_for_exact();
    assert!(page.picture(inspector.canvas()).difference(&bare, 24) > 0.005);
    // A place to look at is flown to, with its chain.
    page.click_on("#look-corners summary");
    page.click_on("#look-corners-0");
    inspector.wait_for_exact();
    assert_eq!(page.ask("document.querySelectorAll('#chain-list [aria-pressed=\"true\"]').length"), json!(1));
    // The needless split of the demo's hood: its join is chosen, and the pair told with the patch that would do.
    page.click_on("#look-merges summary");
    let found = page.ask(
        "[...document.querySelectorAll('#look-merges [id^=look-merges-]')].find((b) => b.innerText.includes('hood rear, first part')).id",
    );
    let row = format!("#{}", found.as_str().expect("an id"));
    let pair = page.text(&row);
    assert!(pair.contains("hood rear, second part") && pair.contains("degree"), "{pair}");
    page.click_on(&row);
    page.wait("document.querySelector('#trace-plot .curve')", SOON);
    // Only what the pass judges is in the ledger.
    let measures = page.ask("[...document.querySelectorAll('#finding-list [data-finding]')].map((f) => f.dataset.finding.split('|')[0])");
    let all = measures.as_array().expect("a list");
    assert!(!all.is_empty() && all.iter().all(|m| m.as_str().is_some_and(|m| m.starts_with("layout."))), "{all:?}");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn it_fits_a_narrow_window_in_the_dark() {
    let inspector = opened();
    let page = &inspector.page;
    page.click_on("#theme");
    for (w, h) in [(1024, 640), (390, 844)] {
        page.resize(w, h);
        inspector.wait_for_exact();
        if page.ask("document.querySelector('#pass-layout-body').hidden") == json!(true) {
            page.click_on("#pass-layout");
        }
        let over = page.ask("[...document.querySelectorAll('#pass-layout-body *')].filter((e) => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline' && !e.closest('svg, dialog')).map((e) => e.id || e.className)");
        assert_eq!(over, json!([]), "{w} × {h}");
        assert_eq!(page.ask("document.documentElement.scrollWidth <= innerWidth"), json!(true), "{w} × {h}");
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}
