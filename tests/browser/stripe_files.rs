//! Stripes saved from the page as a drawing and as points.

use std::f64::consts::TAU;
use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use rakelight_tests::inspector::Inspector;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);
const DEMO: &str = "bramble-a.step";
/// Rounding of a coordinate in a drawing, mm.
const ROUNDING: f64 = 5e-4;

/// The paths of a drawing: value and points in mm, y upwards.
fn paths(drawing: &str) -> Vec<(f64, Vec<[f64; 2]>)> {
    let lines = drawing.lines().filter_map(|line| line.strip_prefix("<path data-value=\""));
    lines
        .map(|line| {
            let (value, rest) = line.split_once("\" d=\"M").expect("a path");
            let (points, _) = rest.split_once('"').expect("its end");
            let point = |text: &str| {
                let (x, y) = text.split_once(' ').expect("two numbers");
                [x.parse::<f64>().expect("a number"), -y.parse::<f64>().expect("a number")]
            };
            (value.parse().expect("a number"), points.split('L').map(point).collect())
        })
        .collect()
}

fn length(points: &[[f64; 2]]) -> f64 {
    points.windows(2).map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1])).sum()
}

/// The highlights from above, with lamps that stand at the zenith.
fn from_above(inspector: &Inspector, family: &str) {
    let page = &inspector.page;
    page.click_on("#pass-highlights");
    page.click_on(&format!("#stripe-{family}"));
    page.ask("(() => { const field = document.querySelector('#lamp-elevation'); field.value = '90'; field.dispatchEvent(new Event('change')); })()");
    page.click_on("#view-top");
    std::thread::sleep(Duration::from_millis(300));
    inspector.wait_for_exact();
}

/// Isophotes of a ball under light from the zenith are level circles of radius R·sin of their angle, one in each half (Poeschl, CAGD
/// 1(2), 1984; elementary).
#[test]
fn a_drawing_of_a_ball_has_the_circles_of_the_formula_in_mm() {
    let radius = 150.0;
    let corpus = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("data/corpus/part21/sphere");
    let text = fs::read_to_string(corpus).expect("the ball").replace("3.);", "150.);").replace("(0.,0.,3.)", "(0.,0.,150.)");
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("ball.step");
    fs::write(&path, text).expect("a file for the browser");
    let inspector = Inspector::open(Some(&path));
    inspector.wait_for_model("ball.step");
    from_above(&inspector, "isophote");
    let drawing = inspector.saved_by("#stripes-svg");
    let head = drawing.lines().next().expect("a head");
    let side =
        |name: &str| head.split_once(&format!("{name}=\"")).and_then(|(_, rest)| rest.split_once("mm\"")).expect("in mm").0.to_owned();
    let (width, height) = (side("width"), side("height"));
    assert!(head.contains(&format!("{width} {height}\">")), "one user unit is not one mm: {head}");

    let paths = paths(&drawing);
    let mut values: Vec<f64> = paths.iter().map(|p| p.0).collect();
    values.sort_by(f64::total_cmp);
    values.dedup();
    assert!(values.len() > 10, "{values:?}");
    for value in values {
        let circle = radius * value.sin();
        let (mut total, mut count) = (0.0, 0);
        for (_, points) in paths.iter().filter(|p| p.0 == value) {
            total += length(points);
            for [x, y] in points {
                assert!((x.hypot(*y) - circle).abs() < 2.0 * ROUNDING, "{value}: {x}, {y} is not {circle} from the axis");
                count += 1;
            }
        }
        // Chords fall short of an arc by 8/3 of sag over radius² at most; each of their ends is rounded.
        let (sag, whole) = (0.01, 2.0 * TAU * circle);
        let slack = whole * 8.0 / 3.0 * sag / circle + 2.0 * ROUNDING * f64::from(count);
        assert!((total - whole).abs() < slack.min(0.02 * whole), "{value}: {total} mm of circles, {whole} expected");
    }
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}

#[test]
fn drawing_and_points_tell_of_the_same_stripes_and_cancel_saves_nothing() {
    let inspector = Inspector::open(None);
    inspector.wait_for_model(DEMO);
    from_above(&inspector, "highlight");
    let page = &inspector.page;
    page.click_on("#preset-tube");
    // Cancel: what is saved afterwards comes first.
    page.ask("globalThis.names = []; HTMLAnchorElement.prototype.click = function () { names.push(this.download); }");
    page.ask("document.querySelector('#stripes-svg').click()");
    page.wait("!document.querySelector('#stripes-progress').hidden", SOON);
    page.ask("document.querySelector('#stripes-cancel').click()");
    page.wait("document.querySelector('#stripes-progress').hidden", SOON);
    let points: Value = serde_json::from_str(&inspector.saved_by("#stripes-json")).expect("JSON");
    assert_eq!(page.ask("names.join()"), "bramble-a.stripes.json");
    let drawing = paths(&inspector.saved_by("#stripes-svg"));
    assert_eq!(page.ask("names.join()"), "bramble-a.stripes.json,bramble-a.stripes.svg");

    let lines = points["lines"].as_array().expect("lines");
    assert!(lines.len() > 3);
    assert_eq!((points["unit"].as_str(), lines.len()), (Some("mm"), drawing.len()));
    for (line, (value, path)) in lines.iter().zip(&drawing) {
        assert_eq!(line["value"].as_f64(), Some(*value));
        let all = line["pieces"].as_array().expect("pieces").iter().flat_map(|p| p["points"].as_array().expect("points"));
        let flat: Vec<[f64; 2]> = all.map(|p| [0, 1].map(|i| p[i].as_f64().expect("a number"))).collect();
        assert_eq!(flat.len(), path.len());
        let slack = 4.0 * ROUNDING * flat.len() as f64;
        assert!((length(&flat) - length(path)).abs() < slack, "{} mm drawn, {} mm told", length(path), length(&flat));
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}
