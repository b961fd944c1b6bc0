//! The page about elements in other pages: its three examples live, and its lesson shows what it tells: what a stripe does at a join of each
//! order, read from the pixels.

use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use rakelight_tests::browser::{self, Page, Rect};
use rakelight_tests::picture::Picture;
use rakelight_tests::site;
use serde_json::Value;

use crate::axe::{AXE, RUN};

const PATIENCE: Duration = Duration::from_secs(60);

/// Straight down on the pairs, without perspective: the join is upright in the middle of the picture.
const DOWN: &str = "-90,90,300,0,0,-10,parallel";

/// Counts models that came and steps that were gone to, and keeps where views look from.
const WATCH: &str = "self.came = {}; self.steps = [];
    addEventListener('rakelight-ready', ({ target }) => { came[target.id] = (came[target.id] ?? 0) + 1; });
    addEventListener('rakelight-step', ({ detail }) => { steps.push(`${detail.step} of ${detail.steps}`); });
    self.down = '{DOWN}';
    self.chosen = [];
    self.seen = {};
    addEventListener('rakelight-view', ({ target, detail }) => { seen[target.id] = detail.view; });
    addEventListener('rakelight-choice', ({ detail }) => chosen.push(detail));
    self.inside = (id, part) => document.getElementById(id).shadowRoot.querySelector(part);";

/// Waits until so many models came to a view and the picture is done.
fn settle(page: &Page, id: &str, models: usize) {
    page.wait(&format!("came.{id} >= {models} && inside('{id}', 'canvas').dataset.frame === 'exact'"), PATIENCE);
}

fn within(page: &Page, id: &str, part: &str) -> Rect {
    let value =
        page.ask(&format!("(({{ x, y, width, height }}) => [x, y, width, height])(inside('{id}', '{part}').getBoundingClientRect())"));
    let side = |index: usize| value[index].as_f64().expect("a number");
    Rect { x: side(0), y: side(1), width: side(2), height: side(3) }
}

/// A view's canvas, whose pixels are those of the page.
fn picture(page: &Page, id: &str) -> Picture {
    let answer = page.ask(&format!("inside('{id}', 'canvas').toDataURL()"));
    let png = answer.as_str().and_then(|text| text.strip_prefix("data:image/png;base64,")).expect("a PNG");
    Picture::from_png(&BASE64_STANDARD.decode(png).expect("base64"))
}

/// Rows at which a column changes between lit and dark, rising; true where it gets lighter. The sixth at either end is left out.
fn edges(picture: &Picture, x: usize) -> Vec<(f64, bool)> {
    let light: Vec<f64> = (picture.height / 6..picture.height * 5 / 6)
        .map(|y| picture.pixel(x, y)[..3].iter().map(|&c| f64::from(c)).sum::<f64>() / 3.0)
        .collect();
    let (low, high) = light.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), &x| (low.min(x), high.max(x)));
    if high - low < 40.0 {
        return Vec::new();
    }
    let level = 0.5 * (low + high);
    light
        .windows(2)
        .enumerate()
        .filter(|(_, w)| (w[0] < level) != (w[1] < level))
        .map(|(i, w)| (i as f64 + (level - w[0]) / (w[1] - w[0]), w[0] < w[1]))
        .collect()
}

/// What stripes do at the upright middle of a picture: how far they step there, over their own spacing, and by how much their slope changes;
/// both as means over all stripes, from two columns at each side run on to the middle.
fn at_the_join(picture: &Picture) -> (f64, f64) {
    const NEAR: usize = 5;
    const FAR: usize = 15;
    let middle = picture.width / 2;
    let columns = [middle - FAR, middle - NEAR, middle + NEAR, middle + FAR].map(|x| edges(picture, x));
    let next = |row: f64, lighter: bool, column: &[(f64, bool)], reach: f64| {
        let same = column.iter().filter(|e| e.1 == lighter && (e.0 - row).abs() < reach).map(|e| e.0);
        same.min_by(|a, b| (a - row).abs().total_cmp(&(b - row).abs()))
    };
    let same: Vec<f64> = columns[1].iter().filter(|e| e.1).map(|e| e.0).collect();
    let spacing = (same[same.len() - 1] - same[0]) / (same.len() - 1) as f64;
    let reach = 0.45 * spacing;
    let span = (FAR - NEAR) as f64;
    let mut found = Vec::new();
    for &(near, lighter) in &columns[1] {
        let Some(far) = next(near, lighter, &columns[0], reach) else { continue };
        let slope = (near - far) / span;
        let met = near + slope * NEAR as f64;
        // Beyond, the slope is not known before the stripe is: the nearest one is taken.
        let Some(beyond) = next(met, lighter, &columns[2], reach) else { continue };
        let Some(further) = next(beyond, lighter, &columns[3], reach) else { continue };
        let slope_beyond = (further - beyond) / span;
        found.push(((beyond - slope_beyond * NEAR as f64 - met) / spacing, slope_beyond - slope));
    }
    assert!(found.len() >= 4, "{} stripes over the join, {columns:?}", found.len());
    let mean = |of: fn(&(f64, f64)) -> f64| found.iter().map(of).sum::<f64>() / found.len() as f64;
    (mean(|f| f.0).abs(), mean(|f| f.1))
}

fn step(page: &Page, number: usize) {
    page.wait(&format!("orders.step === {number} && document.querySelector('rakelight-step[current] h3').checkVisibility()"), PATIENCE);
    let said = page.ask("inside('orders', '.count').textContent");
    assert_eq!(said, format!("Step {number} of 6"));
}

#[test]
fn the_page_shows_three_examples_and_its_lesson_shows_what_it_tells() {
    let server = site::serve("course", None);
    let page = browser::page();
    page.calm();
    page.resize(1440, 900);
    page.before(&WATCH.replace("{DOWN}", DOWN));
    page.go(&format!("{}embedding.html", server.folder()));

    // The policy told is the page's own, and snippets lead to this site.
    let told = page.ask(&format!("document.querySelector('#policy').textContent.replaceAll({:?}, \"'self'\")", server.folder()));
    let own = page.ask("document.querySelector('meta[http-equiv]').content");
    for directive in told.as_str().expect("a policy").split(';').map(str::trim) {
        assert!(!directive.is_empty() && own.as_str().is_some_and(|own| own.contains(directive)), "{directive} in {own}");
    }

    // One model, and two side by side.
    settle(&page, "one", 1);
    let shown = picture(&page, "one");
    assert!(edges(&shown, shown.width / 2).len() >= 4, "no stripes on the demo");
    page.ask("document.querySelector('#poor-good').scrollIntoView({ block: 'center' })");
    ["poor", "good"].iter().for_each(|id| settle(&page, id, 1));
    let before = ["poor", "good"].map(|id| picture(&page, id));
    for (shown, id) in before.iter().zip(["poor", "good"]) {
        assert!(edges(shown, shown.width / 2).len() >= 4, "no stripes on {id}");
    }
    assert!(before[0].difference(&before[1], 24) > 0.03, "poor and good look the same");
    let (x, y) = within(&page, "poor", "canvas").middle();
    page.drag((x, y), (x + 40.0, y - 15.0), "left");
    page.wait("seen.poor && seen.poor === seen.good", PATIENCE);
    for (id, before) in ["poor", "good"].iter().zip(&before) {
        assert!(before.difference(&picture(&page, id), 24) > 0.03, "{id} did not follow");
    }

    // The lesson: by click, then by key.
    page.ask("orders.scrollIntoView({ block: 'center' })");
    ["left", "right"].iter().for_each(|id| settle(&page, id, 1));
    step(&page, 1);
    let dark = |id: &str| {
        let shown = picture(&page, id);
        shown.rgba.chunks_exact(4).filter(|c| c[..3].iter().all(|&x| x < 80)).count() as f64 / (shown.width * shown.height) as f64
    };
    assert!(dark("left") < 0.03, "plain paint has stripes");
    let (x, y) = within(&page, "orders", ".next").middle();
    page.click(x, y);
    step(&page, 2);
    let mut measured = Vec::new();
    for (order, models) in [("g0", 1), ("g1", 2), ("g2", 3)] {
        if models > 1 {
            page.key("ArrowRight");
            step(&page, models + 1);
        }
        settle(&page, "left", models);
        page.ask("self.seen = {}");
        assert_eq!(page.ask("document.querySelector('#left').setView(down)"), true);
        page.wait("seen.left === down && seen.right === down", PATIENCE);
        assert!(page.ask("document.querySelector('#left').src").as_str().is_some_and(|src| src.contains(order)));
        measured.push(at_the_join(&picture(&page, "left")));
    }
    measured.push(at_the_join(&picture(&page, "right")));
    assert!(dark("left") > 0.1, "stripes are not dark");
    println!("step over the spacing, and change of slope, at joins of G0 to G3: {measured:?}");
    let [g0, g1, g2, g3] = measured[..] else { panic!("four orders") };
    // The kink of 1.8° lies across the join. Of it the direction to the lamps, 35° from the join's own perpendicular, sees cos 35°, and one
    // stripe is 7.5° wide: a fifth of it, in the middle; the dome makes less of it at its rims.
    assert!(g0.0 > 0.12 && g0.0 < 0.25, "G0 does not step as it should: {g0:?}");
    for (order, (off, _)) in [("G1", g1), ("G2", g2), ("G3", g3)] {
        assert!(off < 0.03, "a stripe steps at {order}: {off}");
    }
    // All four domes bend their stripes alike; what the join adds is the difference to the pair that flows.
    let corner = |(_, turn): (f64, f64)| (turn - g3.1).abs();
    assert!(corner(g1) > 0.25, "no corner at G1: {g1:?}");
    assert!(corner(g2) < 0.06, "a corner at G2: {g2:?}");

    // The last step chooses in the ledger what the text tells; and back.
    page.key("ArrowRight");
    step(&page, 5);
    page.key("ArrowRight");
    step(&page, 6);
    page.wait("chosen.length > 0", PATIENCE);
    assert_eq!(page.ask("`${chosen[0].measure} ${chosen[0].value.toFixed(3)}`"), "join.tangent 1.800");
    assert_eq!(page.ask("inside('orders', '.next').ariaDisabled"), "true");
    settle(&page, "left", 4);
    page.ask("self.seen = {}");
    page.ask("document.querySelector('#left').setView(down)");
    page.wait("seen.left === down", PATIENCE);
    let shown = picture(&page, "left");
    let orange = |x: usize| (0..shown.height).filter(|&y| matches!(shown.pixel(x, y), [200..=255, 120..=189, 0..=59, _])).count();
    let marked: Vec<usize> = (0..shown.width).filter(|&x| orange(x) > 0).collect();
    assert!(!marked.is_empty() && marked.iter().all(|&x| x.abs_diff(shown.width / 2) < 20), "marks off the join: {marked:?}");
    page.key("ArrowRight");
    page.key("ArrowLeft");
    step(&page, 5);
    assert_eq!(page.ask("steps.join(', ')"), "2 of 6, 3 of 6, 4 of 6, 5 of 6, 6 of 6, 5 of 6");
    assert!(
        page.ask("inside('orders', '[role=status]').textContent").as_str().is_some_and(|said| said.starts_with("Step 5 of 6. Curvature"))
    );
    // Arrow keys over a model turn it.
    page.ask("inside('left', 'canvas').focus()");
    page.key("ArrowRight");
    assert_eq!(page.ask("orders.step"), 5);

    page.ask(AXE);
    let told = page.ask(RUN);
    assert_eq!(told[0], Value::Array(Vec::new()), "axe-core");

    page.resize(390, 844);
    page.wait("innerWidth === 390", PATIENCE);
    assert_eq!(page.ask("document.documentElement.scrollWidth"), 390);
    let [above, below] = ["left", "right"].map(|id| within(&page, id, "canvas"));
    assert!(above.y + above.height <= below.y && above.width > 300.0, "{above:?} {below:?}");
    assert_eq!(page.problems(), Vec::<String>::new());
}
