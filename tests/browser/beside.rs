//! A second model beside the first: one camera, one rig, and the first one's review untouched.

use std::fs;
use std::path::PathBuf;
use std::thread::sleep;
use std::time::Duration;

use rakelight_core::demo::bramble::{Revision, model};
use rakelight_core::exchange::write::{StepOptions, step};
use rakelight_core::math::{Similarity, Vec3};
use rakelight_tests::browser::Rect;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::picture::Picture;

const PATIENCE: Duration = Duration::from_secs(120);
const DEMO: &str = "bramble-a.step";

fn settle(inspector: &Inspector) {
    sleep(Duration::from_millis(300));
    inspector.wait_for_exact();
    inspector.page.wait(
        "document.querySelector('#beside-canvas').hidden || document.querySelector('#beside-canvas').dataset.frame === 'exact'",
        PATIENCE,
    );
}

/// The part of the canvas below the buttons and above the names, from one share of its width to another.
fn part(inspector: &Inspector, from: f64, to: f64) -> Picture {
    let all = inspector.page.place("#surface");
    inspector.page.picture(Rect {
        x: all.x + from * all.width,
        y: all.y + 90.0,
        width: (to - from) * all.width,
        height: all.height - 140.0,
    })
}

/// The demo model moved up by a tenth of its length, beside the demo model.
fn compared() -> Inspector {
    let moved = model(Revision::A).transformed(&Similarity { shift: Vec3::new(0.0, 0.0, 120.0), ..Similarity::IDENTITY });
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("moved.step");
    fs::write(&path, step(&moved, &StepOptions::default()).text).expect("a file for the browser");
    let inspector = Inspector::open(None);
    inspector.page.resize(1000, 600);
    inspector.wait_for_model(DEMO);
    settle(&inspector);
    inspector.page.choose("#beside-input", &path);
    inspector.page.wait("document.querySelector('#beside-second')?.textContent === 'moved.step'", PATIENCE);
    settle(&inspector);
    inspector
}

fn wipe(inspector: &Inspector, to: f64) {
    let page = &inspector.page;
    let all = page.place("#surface");
    let (x, y) = page.place("#beside-divider").middle();
    page.drag((x, y), (all.x + to * all.width, y), "left");
}

#[test]
fn the_divider_shows_one_model_on_each_side() {
    let inspector = compared();
    let page = &inspector.page;
    wipe(&inspector, 1.0);
    let first = [part(&inspector, 0.1, 0.45), part(&inspector, 0.55, 0.9)];
    wipe(&inspector, 0.0);
    let second = [part(&inspector, 0.1, 0.45), part(&inspector, 0.55, 0.9)];
    for (a, b) in first.iter().zip(&second) {
        assert!(a.difference(b, 8) > 0.05, "the two models look alike");
    }
    wipe(&inspector, 0.5);
    let halves = [part(&inspector, 0.1, 0.45), part(&inspector, 0.55, 0.9)];
    assert!(first[0].difference(&halves[0], 8) < 0.002 && second[1].difference(&halves[1], 8) < 0.002);
    // By keys: five presses with Shift are half the width.
    page.ask("document.querySelector('#beside-divider').focus()");
    (0..5).for_each(|_| page.key_with("ArrowRight", 8));
    assert_eq!(page.ask("document.querySelector('#beside-divider').ariaValueNow"), "100");
    assert!(first[1].difference(&part(&inspector, 0.55, 0.9), 8) < 0.002);
    assert_eq!(page.text("#beside-first"), DEMO);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn one_camera_and_one_rig_move_both_and_the_first_model_stays() {
    let inspector = compared();
    let page = &inspector.page;
    let rows = || page.ask("document.querySelectorAll('#finding-list [data-finding]').length");
    page.click_on("#pass-highlights");
    let found = rows();
    page.click_on("#stripe-highlight");
    page.click_on("#beside-halves");
    settle(&inspector);
    let look = || [part(&inspector, 0.02, 0.48), part(&inspector, 0.52, 0.98)];
    let both_moved = |before: &[Picture; 2], what: &str| {
        let now = look();
        for (side, (a, b)) in before.iter().zip(&now).enumerate() {
            assert!(a.difference(b, 8) > 0.03, "{what} left side {side} as it was");
        }
        now
    };
    let start = look();
    // A drag on either side turns both.
    let (x, y) = page.place("#canvas").middle();
    page.drag((x, y), (x + 60.0, y + 20.0), "left");
    settle(&inspector);
    let turned = both_moved(&start, "a drag on the first");
    let (x, y) = page.place("#beside-canvas").middle();
    page.drag((x, y), (x - 90.0, y + 10.0), "left");
    settle(&inspector);
    let turned = both_moved(&turned, "a drag on the second");
    page.click_on("#preset-tube");
    settle(&inspector);
    both_moved(&turned, "another rig");

    page.click_on("#beside-close");
    settle(&inspector);
    assert!(page.ask("document.querySelector('#beside-canvas').hidden") == true);
    assert_eq!((inspector.model().as_str(), rows()), (DEMO, found));
    assert_eq!(page.place("#canvas"), page.place("#surface"));
    // The demo's own next revision opens as well.
    page.click_on("#pass-overview");
    page.click_on("#beside-demo");
    page.wait("document.querySelector('#beside-second')?.textContent === 'bramble-b.step'", PATIENCE);
    settle(&inspector);
    assert_eq!(inspector.model(), DEMO);
    assert_eq!(page.problems(), Vec::<String>::new());
}
