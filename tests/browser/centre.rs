//! The Centre line pass: the plane found and picked, joins across it, the mirror image, left against right.

use std::time::Duration;

use rakelight_core::progress::Silent;
use rakelight_core::review::mirror_maps;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use rakelight_web::scene_map::SceneMap;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);

fn lies(inspector: &Inspector) -> String {
    inspector.page.ask("document.querySelector('#centre-lies dl')?.dataset.plane ?? ''").as_str().unwrap_or_default().to_owned()
}

#[test]
fn joins_across_the_plane_are_listed_with_all_orders() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-centre");
    page.wait("document.querySelector('#centre-joins button')", SOON);
    assert_eq!(lies(&inspector), "y");
    let (_, graph) = demo::read_again();
    let on: Vec<usize> = graph.joins.iter().enumerate().filter(|(_, j)| j.centre).map(|(i, _)| i).collect();
    assert!(on.len() >= 3, "hood front, middle and rear meet their other side: {on:?}");
    let ids = page.ask("[...document.querySelectorAll('#centre-joins button')].map((b) => Number(b.id.split('-').at(-1)))");
    assert_eq!(ids, serde_json::json!(on));
    assert!(on.iter().all(|&i| graph.joins[i].stations.iter().all(|s| s.p.y.abs() < 0.5)));
    let orders =
        page.ask("[...document.querySelector('#centre-joins button').querySelectorAll('[data-order]')].map((v) => v.dataset.order)");
    assert_eq!(orders, serde_json::json!(["g0", "g1", "g2", "g3"]));
    // Of the ledger only what the pass judges.
    let measures = page.ask("[...document.querySelectorAll('#finding-list [data-finding]')].map((f) => f.dataset.finding.split('|')[0])");
    let all = measures.as_array().expect("a list");
    assert!(!all.is_empty() && all.iter().all(|m| m == "rows.square" || m.as_str().is_some_and(|m| m.starts_with("centre."))), "{all:?}");
    page.click_on("#centre-joins button");
    page.wait("document.querySelector('#trace-plot .curve')", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn another_plane_looks_for_the_joins_anew_and_shows_the_image_in_it() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-centre");
    page.wait("document.querySelector('#centre-lies dl')", SOON);
    let again = |what: &str| {
        page.wait("document.documentElement.dataset.state === 'busy'", SOON);
        inspector.wait_for_model(demo::NAME);
        page.wait(&format!("document.querySelector('#centre-lies dl')?.dataset.plane === '{what}'"), SOON);
    };
    page.click_on("#plane-x");
    again("x");
    inspector.wait_for_exact();
    let with = page.picture(inspector.canvas());
    page.click_on("#centre-image");
    inspector.wait_for_exact();
    let without = page.picture(inspector.canvas());
    let apart = |(a, b): &(&u8, &u8)| a.abs_diff(**b) > 8;
    let changed =
        with.rgba.as_chunks::<4>().0.iter().zip(without.rgba.as_chunks::<4>().0).filter(|(a, b)| a.iter().zip(*b).any(|p| apart(&p)));
    let changed = changed.count();
    assert!(changed > 20_000, "{changed} pixels show the mirror image and the plane");
    page.click_on("#undo");
    again("y");
    // Through three places of the model.
    page.click_on("#plane-picks");
    let canvas = inspector.canvas();
    let (x, y) = canvas.middle();
    for (dx, dy) in [(0.0, 0.0), (-0.1, -0.05), (0.05, -0.12)] {
        page.click(x + dx * canvas.width, y + dy * canvas.height);
    }
    again("picked");
    let normal = page.text("#centre-lies");
    assert!(normal.contains("Normal"), "{normal}");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn left_against_right_is_coloured_and_read_under_the_pointer() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-centre");
    page.wait("document.querySelector('#centre-map')", SOON);
    inspector.wait_for_exact();
    let vivid = |[r, g, b]: [u8; 3]| r.max(g).max(b) > r.min(g).min(b).saturating_add(90);
    let before = inspector.count_pixels(vivid);
    page.click_on("#centre-map");
    page.wait("document.querySelector('#legend').innerText.includes('proud')", SOON);
    inspector.wait_for_exact();
    let coloured = inspector.count_pixels(vivid);
    assert!(coloured > before + 3_000, "{before} vivid pixels before, {coloured} with the colours");
    // A place where left and right differ: the page reads what the core sampled.
    let (prepared, graph) = demo::read_again();
    let maps = mirror_maps(&prepared, &graph, 1500.0, &mut Silent);
    let at = |face: &str, u: f64, v: f64| {
        let (id, _) = prepared.import.model.faces().find(|(_, f)| f.name == face)?;
        let map = maps.iter().find(|m| m.face == id)?;
        let values = map.values.iter().map(|x| Some(*x as f32).filter(|x| x.is_finite())).collect();
        let over = [map.over.0.low, map.over.0.high, map.over.1.low, map.over.1.high];
        SceneMap { face: 0, over, columns: map.size.0, rows: map.size.1, values }.at(u, v)
    };
    let canvas = inspector.canvas();
    let mut seen = 0;
    for (i, j) in (1..12).flat_map(|i| (1..12).map(move |j| (i, j))) {
        page.hover(canvas.x + canvas.width * f64::from(i) / 12.0, canvas.y + canvas.height * f64::from(j) / 12.0);
        std::thread::sleep(Duration::from_millis(60));
        let said = page.ask(
            "['.pick-sampled', '.pick-face', '.pick-uv'].map((part) => document.querySelector(part)?.textContent.replaceAll('−', '-') ?? '')",
        );
        let [value, face, uv] = [0, 1, 2].map(|k| said[k].as_str().unwrap_or_default().to_owned());
        let numbers = |text: &str| text.split([' ', ',']).filter_map(|t| t.parse::<f64>().ok()).collect::<Vec<f64>>();
        let (&[value], &[u, v]) = (numbers(&value).as_slice(), numbers(&uv).as_slice()) else { continue };
        // Powers of ten are written otherwise, and say nothing here.
        if said[0].as_str().is_some_and(|t| t.contains('×')) {
            continue;
        }
        // The fit of the picture's size to the model's is another one here, so that the grids differ.
        let want = at(&face, u, v).unwrap_or_else(|| panic!("{face} has no value at {u}, {v}"));
        assert!((value - want).abs() < 0.03 * want.abs() + 2e-3, "{face} at {u}, {v}: {value} on the page, {want} in the core");
        seen += 1;
    }
    assert!(seen >= 8, "{seen} places read");
    page.click_on("#pass-form");
    page.click_on("#form-fair");
    page.wait("document.querySelector('#legend').innerText.includes('fair patch') && document.querySelector('#legend').innerText.includes('proud')", SOON);
    inspector.wait_for_exact();
    assert!(inspector.count_pixels(vivid) > 3_000, "the demo's ripple stands out");
    assert_eq!(page.ask("document.documentElement.dataset.state"), Value::from("ready"));
    assert_eq!(page.problems(), Vec::<String>::new());
}
