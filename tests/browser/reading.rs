//! How a file was read, on screen: the import report and its flights, hatched faces, other units, meshes.

use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use rakelight_core::demo::bramble::{self, Revision};
use rakelight_core::exchange::write::{StepOptions, step};
use rakelight_tests::data;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::picture::Picture;
use serde_json::Value;

const SOON: Duration = Duration::from_secs(60);

/// Face that loses its boundary: its loop is given to it from the far end of the model. Nothing lies over its middle.
const LOST: &str = "hood front right";

#[test]
fn a_face_without_boundary_is_hatched_listed_and_flown_to() {
    let mut model = bramble::model(Revision::Sound);
    let far = model.faces.iter().position(|f| f.name == "lamp floor left").expect("a far face");
    let lost = model.faces.iter().position(|f| f.name == LOST).expect("the face");
    model.faces[lost].loops = model.faces[far].loops.clone();
    let inspector = opened("lost.step", step(&model, &StepOptions::default()).text.as_bytes());
    let page = &inspector.page;
    let check: Value = serde_json::from_str(&inspector.check_json()).expect("JSON");
    let untrimmed = check["import"]["untrimmed"].as_array().expect("a list");
    assert_eq!(untrimmed.len(), 1, "{untrimmed:?}");
    assert_eq!(untrimmed[0]["face"], lost);
    assert!(check["faces"].as_array().is_some_and(|faces| faces.len() == model.faces.len()));
    // What is mended is told by distances within the model, whose corners are 1.3 m apart.
    let repairs = check["import"]["repairs"].as_array().expect("a list");
    assert!(!repairs.is_empty() && repairs.iter().all(|r| r["size"].as_f64().is_some_and(|mm| mm < 1300.0)), "{repairs:?}");

    // Plain paint: what is dark now is the hatching alone.
    page.click_on("#pass-highlights");
    page.click_on("#stripe-plain");
    page.click_on("#pass-overview");
    assert!(page.text("#report-summary").contains("1 without boundary"));
    page.click_on("#report-summary");
    assert!(page.text("#untrimmed-0").contains(LOST));
    let before = page.ask("document.querySelector('#status-pick').innerText");
    page.click_on("#untrimmed-0");
    std::thread::sleep(Duration::from_millis(900));
    inspector.wait_for_exact();
    let canvas = inspector.canvas();
    let hatched = page.picture(canvas);
    let (strokes, share) = hatching(&hatched);
    assert!(strokes > 20, "{strokes} strokes down the middle of the canvas");
    assert!((0.05..0.5).contains(&share), "{share} of it dark");
    // The flight has brought the face to the middle.
    let (x, y) = canvas.middle();
    page.hover(x, y);
    page.wait(&format!("document.querySelector('#status-pick').innerText.includes({LOST:?})"), SOON);
    assert_ne!(page.ask("document.querySelector('#status-pick').innerText"), before);

    // The same face with its boundary has no hatching.
    drop(inspector);
    let sound = opened("sound.step", bramble::step(Revision::Sound).as_bytes());
    sound.page.click_on("#pass-highlights");
    sound.page.click_on("#stripe-plain");
    sound.wait_for_exact();
    assert!(hatching(&sound.page.picture(sound.canvas())).0 < 10);
    assert_eq!(sound.page.text("#report-summary"), "Read whole");
    assert_eq!(sound.page.problems(), Vec::<String>::new());
}

#[test]
fn an_absurd_unit_is_doubted_and_the_file_read_in_another() {
    // The demo is 0.9 m long: so written, in metres, its numbers are taken for millimetres.
    let text = bramble::step(Revision::A);
    let metres = text.replace("SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT(.KILO.,.METRE.)");
    assert_ne!(text, metres);
    let inspector = opened("kilometres.step", metres.as_bytes());
    let page = &inspector.page;
    assert!(page.text("#size-doubt").contains("looks wrong"));
    let size = |check: &str| {
        let check: Value = serde_json::from_str(check).expect("JSON");
        let corner = |i: usize| check["bbox"][i][0].as_f64().expect("a number");
        corner(1) - corner(0)
    };
    let wide = size(&inspector.check_json());
    page.click_on("#read-in-mm");
    page.wait("document.querySelector('#read-in-stated') && document.documentElement.dataset.state === 'ready'", SOON);
    let told = inspector.check_json();
    assert!((wide / size(&told) - 1e6).abs() < 1e-3, "{wide} against {}", size(&told));
    let check: Value = serde_json::from_str(&told).expect("JSON");
    assert_eq!((check["import"]["unit"]["in_mm"].as_f64(), check["import"]["unit"]["read_in_mm"].as_f64()), (Some(1e6), Some(1.0)));
    assert!(check["import"]["size_doubt"].is_null());
    page.click_on("#read-in-stated");
    page.wait("document.querySelector('#read-in-mm') && document.documentElement.dataset.state === 'ready'", SOON);
    assert_eq!(size(&inspector.check_json()), wide);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_mesh_is_shown_for_reference_only() {
    let corner = |x: f64, y: f64| [x, y, 20.0 * (x / 60.0).sin()];
    let mut text = String::from("solid sheet\n");
    for i in 0..40 {
        let (a, b) = (f64::from(i) * 5.0, f64::from(i + 1) * 5.0);
        for corners in [[corner(a, 0.0), corner(b, 0.0), corner(b, 150.0)], [corner(a, 0.0), corner(b, 150.0), corner(a, 150.0)]] {
            text += "facet normal 0 0 0\nouter loop\n";
            for [x, y, z] in corners {
                text += &format!("vertex {x} {y} {z}\n");
            }
            text += "endloop\nendfacet\n";
        }
    }
    text += "endsolid sheet\n";
    let inspector = opened("sheet.stl", text.as_bytes());
    let page = &inspector.page;
    inspector.wait_for_exact();
    assert!(page.text("#report-mesh").contains("reference only"));
    let check: Value = serde_json::from_str(&inspector.check_json()).expect("JSON");
    assert_eq!(check["import"]["meshes"][0]["triangles"], 80);
    assert_eq!(check["bbox"][1][1], 150.0);
    let (x, y) = inspector.canvas().middle();
    page.hover(x, y);
    page.wait("document.querySelector('#status-pick').innerText.includes('reference')", SOON);
    page.click(x, y);
    assert_eq!(page.ask("document.querySelector('#card').hidden"), Value::Bool(true));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn what_a_file_hides_is_counted_and_read_on_demand() {
    let text = bramble::step(Revision::Sound);
    let (all, hidden) = (bramble::model(Revision::Sound).faces.len(), 3);
    // ISO 10303-46 (invisibility): what the styled items style is not to be shown. Faces alone, away from the middle.
    let styled: Vec<&str> = text
        .lines()
        .filter(|line| line.contains("'lamp wall"))
        .map(|face| face.split_once('=').expect("an instance").0)
        .filter_map(|face| text.lines().find(|line| line.contains("=STYLED_ITEM(") && line.ends_with(&format!(",{face});"))))
        .map(|line| line.split_once('=').expect("an instance").0)
        .take(hidden)
        .collect();
    assert_eq!(styled.len(), hidden);
    let end = text.rfind("ENDSEC;").expect("the end of the data");
    let hiding = format!("{}#99999=INVISIBILITY(({}));\n{}", &text[..end], styled.join(","), &text[end..]);
    let inspector = opened("hiding.step", hiding.as_bytes());
    let page = &inspector.page;
    let told = || {
        let check: Value = serde_json::from_str(&inspector.check_json()).expect("JSON");
        (check["faces"].as_array().map(Vec::len), check["import"]["hidden_faces"].as_u64())
    };
    assert_eq!(told(), (Some(all - hidden), Some(hidden as u64)));
    assert!(page.text("#import-report").contains("hides 3 faces"));
    page.click_on("#read-hidden");
    page.wait("document.querySelector('#leave-hidden') && document.documentElement.dataset.state === 'ready'", SOON);
    assert_eq!(told().0, Some(all));
    page.click_on("#leave-hidden");
    page.wait("document.querySelector('#read-hidden') && document.documentElement.dataset.state === 'ready'", SOON);
    assert_eq!(told(), (Some(all - hidden), Some(hidden as u64)));
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn a_dropped_iges_file_opens() {
    let Some(file) = data::iges_model("hull_wigley.iges", "opening IGES by drop") else { return };
    let inspector = Inspector::open(None);
    inspector.wait_for_model("bramble-a.step");
    inspector.drop_file(&file.path);
    inspector.page.wait(
        &format!("document.documentElement.dataset.model === {:?} && document.documentElement.dataset.state === 'ready'", file.name),
        SOON,
    );
    inspector.wait_for_exact();
    assert!(inspector.page.text("#pass-overview-body").contains("IGES"));
    assert_eq!(inspector.page.problems(), Vec::<String>::new());
}

/// Opens a file of these bytes by choosing it.
fn opened(name: &str, bytes: &[u8]) -> Inspector {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, bytes).expect("a file for the browser");
    let inspector = Inspector::open(Some(&path));
    inspector.wait_for_model(name);
    inspector.wait_for_exact();
    inspector
}

/// Dark strokes met on the way down the middle of a picture, and the share of it that is dark.
fn hatching(picture: &Picture) -> (usize, f64) {
    let dark = |y: usize| picture.pixel(picture.width / 2, y).iter().take(3).map(|c| usize::from(*c)).sum::<usize>() < 330;
    let (from, to) = (picture.height / 4, 3 * picture.height / 4);
    let strokes = (from + 1..to).filter(|&y| dark(y) && !dark(y - 1)).count();
    let count = (from..to).filter(|&y| dark(y)).count();
    (strokes, count as f64 / (to - from) as f64)
}
