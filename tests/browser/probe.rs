//! The point probe, combs and both sides of a join: what the page shows is what the core says, to the last bit.

use std::time::Duration;

use rakelight_core::math::{Point2, Vec3};
use rakelight_core::model::FaceId;
use rakelight_core::review::{Comb, Probe, Way, join_combs, nearest, probe};
use rakelight_tests::demo;
use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(30);

/// Numbers of an expression of the page, which gives a list of them, bit by bit: no digits are printed or read on the way.
fn bits(inspector: &Inspector, expression: &str) -> Vec<f64> {
    let words = inspector.page.ask(&format!("[...new BigUint64Array(Float64Array.from({expression}).buffer)].map(String)"));
    let word = |w: &Value| f64::from_bits(w.as_str().and_then(|w| w.parse().ok()).expect("64 bits"));
    words.as_array().expect("a list").iter().map(word).collect()
}

/// Of record `n` of the probe's list.
fn record(inspector: &Inspector, n: usize, fields: &str) -> Vec<f64> {
    bits(
        inspector,
        &format!(
            "(({{{}}}) => [{fields}].flat())(JSON.parse(document.querySelectorAll('#probe-list [data-record]')[{n}].dataset.record))",
            NAMES
        ),
    )
}

const NAMES: &str = "face, u, v, point, form, distance, parts, signed, inside";

fn told(p: &Probe, pull: Vec3) -> Vec<f64> {
    let f = p.form.expect("a tangent plane");
    let vectors = [p.point.to_array(), f.normal.to_array(), f.along.to_array(), f.across.to_array()].concat();
    [vectors, vec![f.max, f.min, f.radius(), f.draft(pull).expect("a pull")]].concat()
}

#[test]
fn the_probe_shows_the_cores_own_bits() {
    let (prepared, graph) = demo::read_again();
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-form");
    page.wait("document.querySelector('#canvas').dataset.frame === 'exact'", Duration::from_secs(120));
    page.click_on("#probe-place");
    let canvas = inspector.canvas();
    let (x, y) = canvas.middle();
    let read = |n: usize, pull: Vec3| {
        let place = record(&inspector, n, "face, u, v");
        let face = FaceId::new(place[0] as usize);
        let got = record(&inspector, n, "point, form.normal, form.along, form.across, form.max, form.min, form.radius, form.draft");
        let want = probe(&prepared, &graph, face, Point2::new(place[1], place[2])).expect("a place");
        let same = |a: &[f64], b: &[f64]| a.iter().map(|x| x.to_bits()).eq(b.iter().map(|x| x.to_bits()));
        assert!(same(&got, &told(&want, pull)), "{got:?} is not {:?}", told(&want, pull));
        want
    };
    let places = |n: usize| page.wait(&format!("document.querySelectorAll('#probe-list h4').length === {n}"), SOON);
    page.click(x, y);
    places(1);
    read(0, Vec3::Z);
    page.click(x + 0.12 * canvas.width, y - 0.02 * canvas.height);
    places(3);
    let [a, b] = [read(0, Vec3::Z), read(1, Vec3::Z)];
    assert_eq!(
        record(&inspector, 2, "distance, parts"),
        [vec![a.point.distance(b.point)], (b.point - a.point).to_array().to_vec()].concat()
    );
    // Along another pull, by number.
    for (id, value) in [("#pull-x", "1"), ("#pull-y", "-2")] {
        inspector.enter(id, value);
    }
    std::thread::sleep(Duration::from_millis(600));
    let pull = Vec3::new(1.0, -2.0, 1.0);
    let [_, last] = [read(0, pull), read(1, pull)];
    // To the patch of a face that is picked, and back to places.
    page.click_on("#probe-patch");
    page.click(x - 0.1 * canvas.width, y + 0.05 * canvas.height);
    page.wait("document.querySelector('#probe-nearest')", SOON);
    let got = record(&inspector, 3, "face, distance, signed, point");
    let want = nearest(&prepared, &graph, FaceId::new(got[0] as usize), last.point).expect("a patch");
    let all = [vec![want.distance, want.signed.expect("a side")], want.point.to_array().to_vec()].concat();
    assert_eq!(got[1..], all, "to the bit");
    // Escape puts the probe away, and a click chooses again.
    page.ask("document.querySelector('#canvas').focus()");
    page.key("Escape");
    page.wait("document.querySelector('#probe-place').ariaPressed === 'false'", SOON);
    page.click_on("#probe-clear");
    places(0);
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// Largest curvature of some combs, with its sign.
fn most(combs: &[Comb]) -> f64 {
    let all = combs.iter().flat_map(|c| &c.teeth).map(|t| t.curvature);
    all.max_by(|a, b| a.abs().total_cmp(&b.abs())).expect("a tooth")
}

/// The number behind some words, as the page writes it: 0.0037 or −9.6 × 10⁻⁴.
fn told_number(said: &str, after: &str) -> Option<f64> {
    let text = said.split_once(after)?.1.trim_start();
    let mantissa: f64 = text.split([',', ' ']).next()?.replace('−', "-").parse().ok()?;
    let Some((_, power)) = text.split(',').next()?.split_once("× 10") else { return Some(mantissa) };
    let digit = |c: char| "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|d| d == c);
    let size = power.chars().filter_map(digit).fold(0, |n, d| 10 * n + d as i32);
    Some(mantissa * 10f64.powi(if power.starts_with('⁻') { -size } else { size }))
}

#[test]
fn combs_and_the_trace_show_both_sides_of_a_join() {
    let (prepared, graph) = demo::read_again();
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.resize(1440, 900);
    inspector.wait_for_model(demo::NAME);
    page.click_on("#pass-joins");
    page.click_on("#finding-list [data-finding^='join.curvature|']");
    page.wait("document.querySelector('#trace-plot .curve')", SOON);
    inspector.wait_for_exact();
    let coloured = |ink: [u8; 3]| inspector.count_pixels(|p| (0..3).all(|i| p[i].abs_diff(ink[i]) < 14));
    let (blue, vermilion) = ([0, 114, 178], [213, 94, 0]);
    // What else has these colours, such as the limits of the joins.
    let before = [coloured(blue), coloured(vermilion)];
    page.click_on("#comb-across");
    page.wait("document.querySelectorAll('.comb-sides [data-side]').length === 2", SOON);
    let join = page.ask("Number(document.querySelector('#trace h2').textContent.match(/[0-9]+/)[0])").as_u64().expect("a join");
    let want = join_combs(&prepared, &graph, usize::try_from(join).expect("an index"), Way::Across, 4.0);
    let got = bits(&inspector, "[...document.querySelectorAll('.comb-sides [data-side]')].map((row) => Number(row.dataset.most))");
    assert_eq!(got, [most(&want[0]), most(&want[1])], "to the bit");
    inspector.wait_for_exact();
    let drawn = [coloured(blue).saturating_sub(before[0]), coloured(vermilion).saturating_sub(before[1])];
    assert!(drawn.iter().all(|n| *n > 200), "{drawn:?} pixels of the combs");
    // Higher teeth cover more.
    page.ask("(() => { const s = document.querySelector('#join-comb-height'); s.value = '0.5'; s.dispatchEvent(new Event('input')); })()");
    std::thread::sleep(Duration::from_millis(300));
    inspector.wait_for_exact();
    let higher = coloured(vermilion) - before[1];
    assert!(higher > drawn[1] * 3 / 2, "{higher} pixels against {}", drawn[1]);

    // Both sides in the trace: their difference is the jump of curvature that the join has.
    page.click_on("#trace-sides");
    page.wait("document.querySelectorAll('#trace-plot .curve').length === 3", SOON);
    page.ask("document.querySelector('#trace-plot').focus()");
    page.key("m");
    page.wait("document.querySelector('.trace-station').textContent.includes('A − B')", SOON);
    let said = page.text(".trace-station");
    let number = |after: &str| told_number(&said, after).unwrap_or_else(|| panic!("{said}"));
    let (a, b, difference) = (number(": A"), number(", B"), number("A − B"));
    assert!((a - b - difference).abs() < 2e-5, "{said}");
    let jump = graph.joins[usize::try_from(join).expect("an index")].summaries.curvature.expect("a jump").max.value;
    assert!((difference.abs() - jump).abs() < 0.02 * jump, "{difference} against the largest jump {jump}");
    // Gaps have no sides.
    page.click_on("#trace-measure-g0");
    page.wait("!document.querySelector('#trace-sides') && document.querySelectorAll('#trace-plot .curve').length === 1", SOON);
    page.click_on("#comb-across");
    page.wait("!document.querySelector('.comb-sides [data-side]')", SOON);
    assert_eq!(page.problems(), Vec::<String>::new());
}
