//! The Control rows pass: the net of a picked patch, stepping and sighting by keyboard, the trace's figures, plan and profile, the table.

use std::time::Duration;

use rakelight_core::geometry::Surface;
use rakelight_core::measure::{RowReading, row_readings};
use rakelight_core::model::FaceId;
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);

/// The page in this pass, on the demo.
fn pass() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.calm();
    inspector.page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    inspector.page.click_on("#pass-rows");
    inspector.page.wait("document.querySelector('#patch-table [data-face]')", SOON);
    inspector
}

/// At the finding of the demo's uneven row.
fn uneven() -> Inspector {
    let inspector = pass();
    inspector.page.click_on("#finding-list [data-finding^='rows.evenness|']");
    inspector.page.wait("document.querySelector('#row-plot [data-leg]')", SOON);
    inspector
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
}

fn number(inspector: &Inspector, expression: &str) -> f64 {
    inspector.page.ask(expression).as_f64().unwrap_or_else(|| panic!("no number: {expression}"))
}

/// "u 3" of the row in the trace.
fn shown(inspector: &Inspector) -> String {
    let text = inspector.page.ask("(({along, index}) => `${along} ${index}`)(document.querySelector('#row-plot').dataset)");
    text.as_str().unwrap_or_default().to_owned()
}

/// Bends of the demo's most uneven row, leg by leg, with its direction and index.
fn seeded() -> (Vec<f64>, bool, usize) {
    let (prepared, _) = demo::read_again();
    let rows = prepared.import.model.faces().filter_map(|(_, f)| match &f.surface {
        Surface::Nurbs(patch) if f.name.contains("cheek") => Some([true, false].map(|way| row_readings(patch, way)).concat()),
        _ => None,
    });
    let worst: RowReading = rows.flatten().max_by(|a, b| a.evenness.unwrap_or(0.0).total_cmp(&b.evenness.unwrap_or(0.0))).expect("rows");
    (worst.bends.iter().flatten().copied().collect(), worst.along_u, worst.index)
}

#[test]
fn a_patch_picked_on_the_model_shows_its_net_and_rows_are_picked_on_it() {
    let inspector = pass();
    let page = &inspector.page;
    inspector.wait_for_exact();
    let dark = || inspector.count_pixels(|p| p.iter().all(|c| *c < 90));
    let before = dark();
    let (x, y) = inspector.canvas().middle();
    page.click(x, y);
    page.wait("document.querySelector('#row-list [data-row]')", SOON);
    inspector.wait_for_exact();
    let with = dark();
    assert!(with > before + 800, "{before} dark pixels without a net, {with} with one");
    assert_eq!(page.ask("document.querySelectorAll('#tags .tag').length"), Value::from(2), "its ends are numbered");
    // A click on the net chooses the row there: of a row on the screen, at its first leg's middle, told by the page's own numbers.
    page.click_on("#row-list [data-row]");
    page.wait("document.querySelector('#row-plot').dataset.index === '0'", SOON);
    inspector.wait_for_exact();
    let tags = page
        .ask("[...document.querySelectorAll('#tags .tag')].flatMap((t) => t.style.transform.match(/-?[0-9.]+/g).slice(0, 2).map(Number))");
    let canvas = inspector.canvas();
    let ends = numbers(&tags);
    page.click_on("#row-along-u");
    page.click_on("#row-after");
    page.wait(
        "document.querySelector('#row-plot').dataset.index !== '0' || document.querySelector('#row-plot').dataset.along === 'v'",
        SOON,
    );
    page.click(canvas.x + ends[0], canvas.y + ends[1]);
    page.wait("document.querySelector('#row-plot').dataset.index === '0'", SOON);
    // All nets.
    let one = dark();
    page.click_on("#rows-all");
    std::thread::sleep(Duration::from_secs(2));
    inspector.wait_for_exact();
    let all = dark();
    assert!(all > one + 2_000, "{one} dark pixels with one net, {all} with all");
    page.click_on("#rows-all");
    page.click_on("#pass-overview");
    inspector.wait_for_exact();
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_trace_shows_the_seeded_row_and_keys_step_on() {
    let inspector = uneven();
    let page = &inspector.page;
    let (bends, along_u, index) = seeded();
    let most = bends.iter().map(|x| x.abs()).fold(0.0, f64::max);
    assert!((most - 1.2).abs() < 1e-6, "the demo's answer key says 1.2: {most}");
    let got = numbers(&page.ask("[...document.querySelectorAll('#row-plot [data-leg]')].map((k) => Number(k.dataset.value))"));
    assert_eq!(got, bends, "the core's own numbers");
    let name = format!("{} {index}", if along_u { "u" } else { "v" });
    assert_eq!(shown(&inspector), name);
    assert!(page.text(".row-say").contains("E 1.2"), "{}", page.text(".row-say"));
    // The knob of the largest stands beyond the limits' lines.
    let out = page.ask(
        "(() => { const y = (q) => [...document.querySelectorAll(q)].map((n) => Number(n.getAttribute('cy') ?? n.getAttribute('y1')));
            const knob = y('#row-plot .most')[0]; const lines = y('#row-plot .limit');
            return lines.length === 4 && lines.every((l) => knob < Math.min(...lines) || knob > Math.max(...lines)); })()",
    );
    assert_eq!(out, Value::Bool(true));
    page.ask("document.querySelector('#canvas').focus()");
    page.key(",");
    page.wait(&format!("document.querySelector('#row-plot').dataset.index === '{}'", index - 1), SOON);
    page.key(".");
    page.wait(&format!("document.querySelector('#row-plot').dataset.index === '{index}'"), SOON);
    page.key("x");
    page.wait(&format!("document.querySelector('#row-plot').dataset.along === '{}'", if along_u { "v" } else { "u" }), SOON);
    page.key("x");
    // Leg by leg in the plot.
    page.ask("document.querySelector('#row-plot').focus()");
    page.key("ArrowRight");
    page.wait("document.querySelector('#row-plot').getAttribute('aria-valuetext').startsWith('Leg 2')", SOON);
    // Another patch.
    let face = page.text(".net-face");
    page.key("n");
    page.wait(&format!("document.querySelector('.net-face') && document.querySelector('.net-face').innerText !== {face:?}"), SOON);
    page.key("b");
    page.wait(&format!("document.querySelector('.net-face')?.innerText === {face:?}"), SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn sighting_lays_the_ends_together_and_comes_back() {
    let inspector = uneven();
    let page = &inspector.page;
    inspector.wait_for_exact();
    let home = page.picture(inspector.canvas());
    let ends = || {
        let tags = page.ask(
            "[...document.querySelectorAll('#tags .tag')].flatMap((t) => t.style.transform.match(/-?[0-9.]+/g).slice(0, 2).map(Number))",
        );
        let [x, y, u, v] = <[f64; 4]>::try_from(numbers(&tags)).expect("two ends");
        (x - u).hypot(y - v)
    };
    page.click_on("#rows-view-profile");
    inspector.wait_for_exact();
    let apart = ends();
    let canvas = inspector.canvas();
    let side = canvas.width.min(canvas.height);
    page.ask("document.querySelector('#canvas').focus()");
    page.key("s");
    page.wait("document.querySelector('#row-sight').getAttribute('aria-pressed') === 'true'", SOON);
    inspector.wait_for_exact();
    let together = ends();
    assert!(together < 0.13 * side && together < apart / 3.0, "ends {together} pixels apart of {side}, {apart} before");
    assert_eq!(page.ask("document.querySelector('#view-projection').getAttribute('aria-pressed')"), "true");
    let before = shown(&inspector);
    page.key(",");
    page.wait("`${document.querySelector('#row-plot').dataset.along}` !== '' && document.querySelector('#row-sight').getAttribute('aria-pressed') === 'true'", SOON);
    inspector.wait_for_exact();
    let stepped = ends();
    assert!(stepped < 0.13 * side, "ends {stepped} pixels apart of {side} after a step");
    assert!(page.text(".net-title") != before);
    page.key(".");
    page.key("s");
    page.wait("document.querySelector('#row-sight').getAttribute('aria-pressed') === 'false'", SOON);
    assert_eq!(page.ask("document.querySelector('#view-projection').getAttribute('aria-pressed')"), "false");
    page.click_on("#rows-view-trace");
    inspector.wait_for_exact();
    let difference = home.difference(&page.picture(inspector.canvas()), 12);
    assert!(difference < 0.01, "{difference} of the picture is not as it was");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn plan_and_profile_are_the_cores_and_magnified_by_the_slider() {
    let inspector = uneven();
    let page = &inspector.page;
    page.click_on("#rows-view-profile");
    page.wait("document.querySelector('#row-profile [data-side]')", SOON);
    let (prepared, _) = demo::read_again();
    let (_, along_u, index) = seeded();
    let face = number(&inspector, "Number(document.querySelector('#patch-table [aria-current]').dataset.face)") as usize;
    let Surface::Nurbs(patch) = &prepared.import.model.face(FaceId::new(face)).expect("a face").surface else { panic!("no spline") };
    let row = &row_readings(patch, along_u)[index];
    let laid = row.profile.as_ref().expect("a row with a length");
    for (name, want) in [("plan", &laid.plan), ("side", &laid.side)] {
        let got = numbers(
            &page.ask(&format!("[...document.querySelectorAll('#row-profile [data-{name}]')].map((k) => Number(k.dataset.{name}))")),
        );
        assert_eq!(&got, want, "{name}");
    }
    // Pixels across per pixel along are what the label says.
    let ratio = || {
        number(
            &inspector,
            "(() => { const k = [...document.querySelectorAll('#row-profile [data-side]')];
                const a = k.reduce((p, q) => (Number(q.dataset.side) > Number(p.dataset.side) ? q : p)), b = k.reduce((p, q) => (Number(q.dataset.side) < Number(p.dataset.side) ? q : p));
                const [y, z] = [a, b].map((n) => Number(n.getAttribute('cy'))), [l, r] = [k[0], k.at(-1)].map((n) => Number(n.getAttribute('cx')));
                return (z - y) / (a.dataset.side - b.dataset.side) / ((r - l) / (k.at(-1).dataset.along - k[0].dataset.along)); })()",
        )
    };
    for power in [0.0, 0.7, 1.6] {
        page.ask(&format!(
            "(() => {{ const s = document.querySelector('#row-magnify'); s.value = '{power}'; s.dispatchEvent(new Event('input')); }})()"
        ));
        let want = number(&inspector, "Number(document.querySelector('#row-profile').dataset.magnified)");
        assert!((want - 10f64.powf(power)).abs() < 0.05 * want, "{want} at {power}");
        assert!((ratio() - want).abs() < 0.01 * want, "{} in the drawing, {want} said", ratio());
        assert!(page.text(".row-bar output").ends_with('×'));
    }
    assert!(page.text("#row-profile").contains("mm"), "the scale has its length");
    page.click_on("#row-fit");
    assert_eq!(page.ask("document.querySelector('#row-fit').getAttribute('aria-pressed')"), "true");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_table_sorts_by_each_column_and_chooses_patches() {
    let inspector = pass();
    let page = &inspector.page;
    let (prepared, graph) = demo::read_again();
    let splines = prepared.import.model.faces().filter(|(id, f)| !graph.is_copy(*id) && matches!(f.surface, Surface::Nurbs(_))).count();
    assert_eq!(page.ask("document.querySelectorAll('#patch-table [data-face]').length"), Value::from(splines));
    let column = |name: &str| {
        let cells = page.ask(&format!(
            "[...document.querySelectorAll('#patch-table [data-column={name}]')].map((c) => Number(c.innerText.replace(/[^0-9.]/g, '') || NaN)).filter(Number.isFinite)"
        ));
        numbers(&cells)
    };
    for name in ["evenness", "turning"] {
        page.click_on(&format!("#sort-{name}"));
        page.wait(&format!("document.querySelector('#sort-{name}').closest('th').getAttribute('aria-sort') === 'descending'"), SOON);
        let down = column(name);
        assert!(down.len() > 5 && down.windows(2).all(|w| w[0] >= w[1]), "{name}: {down:?}");
        page.click_on(&format!("#sort-{name}"));
        page.wait(&format!("document.querySelector('#sort-{name}').closest('th').getAttribute('aria-sort') === 'ascending'"), SOON);
        assert!(column(name).windows(2).all(|w| w[0] <= w[1]), "{name}");
    }
    // What patches need is fitted for, and comes when it is known.
    page.wait("document.querySelector('#sort-off')", SOON);
    assert_eq!(page.ask("document.querySelectorAll('#patch-table [aria-sort=none]').length"), Value::from(11));
    page.click_on("#patch-table tbody tr:nth-child(3) button");
    page.wait("document.querySelector('#row-list [data-row]')", SOON);
    let chosen = page.ask("document.querySelector('#patch-table tr:nth-child(3)').getAttribute('aria-current')");
    assert_eq!(chosen, "true");
    // Small windows keep every button of the drawer in sight.
    for (width, height) in [(1440, 900), (1024, 640), (390, 844)] {
        page.resize(width, height);
        std::thread::sleep(Duration::from_millis(300));
        let cut = page.ask(
            "[...document.querySelectorAll('#rows-drawer .trace-head button')]
                .filter((b) => { const r = b.getBoundingClientRect(); return r.left < 0 || r.right > innerWidth || b.scrollWidth > b.clientWidth + 1; }).map((b) => b.id)",
        );
        assert_eq!(cut, serde_json::json!([]), "{width} × {height}");
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}
