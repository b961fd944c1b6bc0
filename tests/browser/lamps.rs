//! The lamp rig in the hand: handles on the model, rigs set up already, lamps that go round.

use std::thread::sleep;
use std::time::Duration;

use rakelight_core::geometry::{Plane, Surface};
use rakelight_core::math::{Frame, Point3, Vec3};
use rakelight_tests::inspector::Inspector;

use super::stripes::coarse;
use super::studio::Studio;

const SIZE: (usize, usize) = (384, 288);
const SOON: Duration = Duration::from_secs(30);
const DEMO: &str = "bramble-a.step";

/// The demo model under highlight lines, small so that it settles soon.
fn lit() -> Inspector {
    let inspector = Inspector::open(None);
    inspector.page.resize(1000, 600);
    inspector.wait_for_model(DEMO);
    inspector.page.click_on("#pass-highlights");
    inspector.page.click_on("#stripe-highlight");
    settle(&inspector);
    inspector
}

fn settle(inspector: &Inspector) {
    sleep(Duration::from_millis(200));
    inspector.wait_for_exact();
}

fn field(inspector: &Inspector, name: &str) -> f64 {
    inspector.page.ask(&format!("Number(document.querySelector('#lamp-{name}').value)")).as_f64().expect("a number")
}

fn grip(inspector: &Inspector, name: &str) -> (f64, f64) {
    inspector.page.place(&format!("#rig-{name} .rig-reach")).middle()
}

#[test]
fn a_dragged_handle_follows_the_pointer_and_moves_the_stripes() {
    let inspector = lit();
    let page = &inspector.page;
    let canvas = inspector.canvas();
    let rig = || ["azimuth", "elevation", "turn", "spacing", "reach"].map(|name| field(&inspector, name));
    for (handle, way, fields) in [
        ("direction", (-45.0, 30.0), &[0, 1][..]),
        ("turn", (25.0, 12.0), &[2]),
        ("spacing", (14.0, 9.0), &[3]),
        ("distance", (9.0, -20.0), &[4]),
    ] {
        let (before, seen) = (rig(), page.picture(canvas));
        let from = grip(&inspector, handle);
        page.drag(from, (from.0 + way.0, from.1 + way.1), "left");
        settle(&inspector);
        let after = rig();
        let changed: Vec<usize> = (0..5).filter(|i| before[*i] != after[*i]).collect();
        assert_eq!(changed, fields, "{handle}: {before:?} became {after:?}");
        if handle == "direction" {
            let to = grip(&inspector, handle);
            assert!((to.0 - from.0 - way.0).hypot(to.1 - from.1 - way.1) < 1.5, "{from:?} went to {to:?}");
        }
        let share = seen.difference(&page.picture(canvas), 8);
        assert!(share > 0.02, "{handle}: {share}");
        // One drag is one step.
        page.click_on("#undo");
        settle(&inspector);
        assert_eq!(rig(), before, "{handle}");
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn handles_answer_to_keys_and_fingers_and_fit_the_family() {
    let inspector = lit();
    let page = &inspector.page;
    let shown = |name: &str| page.ask(&format!("getComputedStyle(document.querySelector('#rig-{name}')).display !== 'none'")) == true;
    assert_eq!(["direction", "turn", "spacing", "distance", "step"].map(shown), [true, true, true, true, false]);
    page.ask("document.querySelector('#rig-turn').focus()");
    page.key("ArrowRight");
    page.key_with("ArrowRight", 8);
    assert_eq!(field(&inspector, "turn"), 12.0);
    assert_eq!(page.ask("document.querySelector('#rig-turn').getAttribute('aria-valuetext')"), "12°");
    page.ask("document.querySelector('#rig-direction').focus()");
    page.key("ArrowUp");
    page.key("ArrowLeft");
    assert_eq!((field(&inspector, "azimuth"), field(&inspector, "elevation")), (33.0, 62.0));
    page.click_on("#undo");
    assert_eq!((field(&inspector, "azimuth"), field(&inspector, "elevation")), (35.0, 62.0));

    page.click_on("#stripe-reflection");
    settle(&inspector);
    let (before, from) = (field(&inspector, "spacing"), grip(&inspector, "spacing"));
    page.touch(&[[from, (from.0 + 20.0, from.1 + 14.0)]]);
    assert_ne!(field(&inspector, "spacing"), before);

    page.click_on("#stripe-isophote");
    settle(&inspector);
    assert_eq!(["direction", "turn", "spacing", "distance", "step"].map(shown), [true, false, false, false, true]);
    let (before, from) = (field(&inspector, "step"), grip(&inspector, "step"));
    page.drag(from, (from.0 + 20.0, from.1 + 14.0), "left");
    assert_ne!(field(&inspector, "step"), before);

    page.click_on("#rig-shown");
    assert!(page.ask("getComputedStyle(document.querySelector('#rig')).display === 'none'") == true);
    page.click_on("#rig-shown");
    page.click_on("#stripe-plain");
    assert!(page.ask("getComputedStyle(document.querySelector('#rig')).display === 'none'") == true);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn presets_set_up_rigs_that_look_different() {
    let inspector = lit();
    let page = &inspector.page;
    let canvas = inspector.canvas();
    let rig = || ["azimuth", "elevation", "count", "width", "reach", "spacing"].map(|name| field(&inspector, name));
    let room = rig();
    for family in ["highlight", "isophote"] {
        page.click_on(&format!("#stripe-{family}"));
        let mut seen = Vec::new();
        for preset in ["tube", "overhead", "sun", "room"] {
            page.click_on(&format!("#preset-{preset}"));
            settle(&inspector);
            assert_eq!(page.ask("document.querySelector('[id^=preset-][aria-pressed=true]').id"), format!("preset-{preset}"));
            seen.push(page.picture(canvas));
        }
        for (i, a) in seen.iter().enumerate() {
            for b in &seen[i + 1..] {
                assert!(a.difference(b, 8) > 0.03, "{family}: two rigs look alike");
            }
        }
    }
    assert_eq!(rig(), room);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn the_rig_to_begin_with_lights_all_of_a_flat_part() {
    // Half the sides of the plate, mm.
    let half = [210.0, 150.0];
    let size = 2.0 * f64::hypot(half[0], half[1]);
    // Mirrored sight lines of the upright plates end on the floor, as they do in a real room.
    for (normal, family) in [
        (Vec3::Z, "highlight"),
        (Vec3::X, "highlight"),
        (Vec3::Y, "highlight"),
        (Vec3::new(1.0, 0.0, 1.0), "highlight"),
        (Vec3::Z, "reflection"),
        (Vec3::new(0.2, -0.1, 1.0), "reflection"),
    ] {
        let frame = Frame::from_axis(Point3::new(100.0, -40.0, 30.0), Some(normal), Some(Vec3::new(0.3, 1.0, 0.0)));
        let plane = Surface::Plane(Plane { frame });
        let packet = coarse(&plane, [-half[0], half[0], -half[1], half[1]], 4);
        let studio = Studio::open(&packet, SIZE);
        let rig = studio.page.ask(&format!("import('./lamp-rig.js').then((m) => m.settings(m.PRESETS.room, '{family}', {size}))"));
        let shot = studio.shoot("viewer.set_projection('perspective'); viewer.fit()", &rig);
        let projector = shot.camera.projector();
        // Each sixth of the plate along its sides has to show both stripe and paint.
        const CELLS: i32 = 6;
        for (i, j) in (0..CELLS).flat_map(|i| (0..CELLS).map(move |j| (i, j))) {
            let mut tones = Vec::new();
            for (s, t) in (0..40).flat_map(|s| (0..40).map(move |t| (s, t))) {
                let at =
                    |k: i32, part: i32, half: f64| half * (2.0 * (f64::from(k) + (f64::from(part) + 0.5) / 40.0) / f64::from(CELLS) - 1.0);
                let seen = projector.project(plane.point(at(i, s, half[0]), at(j, t, half[1])).to_vec()).expect("in front");
                tones.push(shot.green[seen.y as usize * SIZE.0 + seen.x as usize]);
            }
            let (low, high) = (tones.iter().min().expect("some"), tones.iter().max().expect("some"));
            assert!(high - low > 60, "{family} lines on a plate along {normal}: no stripes in cell {i}, {j}");
        }
    }
}

#[test]
fn lamps_go_round_until_they_are_stopped() {
    let inspector = lit();
    let page = &inspector.page;
    let canvas = inspector.canvas();
    let (start, seen) = (field(&inspector, "azimuth"), page.picture(canvas));
    page.click_on("#lamp-play");
    page.ask("globalThis.kinds = new Set(); globalThis.look = setInterval(() => kinds.add(document.querySelector('#status-frame').dataset.kind), 5)");
    page.wait(&format!("Math.abs(Number(document.querySelector('#lamp-azimuth').value) - {start}) > 20"), SOON);
    // The camera stands still: each picture shows the surfaces as they were evaluated.
    assert_eq!(page.ask("clearInterval(look); [...kinds].join()"), "exact");
    // A drag of the view stops them.
    let (x, y) = (canvas.x + 30.0, canvas.y + canvas.height - 30.0);
    page.drag((x, y), (x + 40.0, y), "left");
    assert_eq!(page.ask("document.querySelector('#lamp-play').getAttribute('aria-pressed')"), "false");
    let stopped = field(&inspector, "azimuth");
    sleep(Duration::from_millis(300));
    assert_eq!(field(&inspector, "azimuth"), stopped);
    settle(&inspector);
    assert!(seen.difference(&page.picture(canvas), 8) > 0.03);
    // The whole run is one step.
    page.click_on("#undo");
    assert_eq!(field(&inspector, "azimuth"), start);
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn who_wants_no_motion_turns_the_lamps_by_steps() {
    let inspector = lit();
    let page = &inspector.page;
    page.calm();
    page.click_on("#lamp-play");
    sleep(Duration::from_millis(300));
    assert_eq!(field(&inspector, "azimuth"), 50.0);
    page.click_on("#lamp-play");
    assert_eq!(field(&inspector, "azimuth"), 65.0);
    page.click_on("#undo");
    assert_eq!(field(&inspector, "azimuth"), 50.0);
}
