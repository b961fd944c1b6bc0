//! A picture against the model: it lies where two picked places or typed numbers put it, and stays there while the view moves.

use std::fs;
use std::io::BufWriter;
use std::path::PathBuf;
use std::time::Duration;

use rakelight_core::exchange::write::{StepOptions, step};
use rakelight_core::geometry::Surface;
use rakelight_core::math::Point3;
use rakelight_core::model::{Face, Model};
use rakelight_core::nurbs::{KnotVector, Surface as Nurbs};
use rakelight_tests::browser::Rect;
use rakelight_tests::inspector::Inspector;
use rakelight_tests::picture::Picture;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(60);
const PLATE: &str = "plate.step";

/// Size of the picture, and its marks: middle in pixels and colour. At 2 mm a pixel the first two lie on opposite corners of the
/// plate, the third in its middle, the last above it.
const SIZE: (usize, usize) = (600, 400);
const FOOT: ((f64, f64), [u8; 3]) = ((100.0, 300.0), [255, 0, 255]);
const HEAD: ((f64, f64), [u8; 3]) = ((500.0, 100.0), [0, 255, 255]);
const MIDDLE: ((f64, f64), [u8; 3]) = ((300.0, 200.0), [0, 255, 0]);
const ABOVE: ((f64, f64), [u8; 3]) = ((300.0, 50.0), [255, 255, 0]);

/// How far a mark may lie from where it belongs, pixels.
const NEAR: f64 = 2.0;

fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name)
}

/// A plate of 800 × 400 mm across y, one corner at the origin of x and z.
fn plate() -> PathBuf {
    let line = || KnotVector::new(1, vec![0.0, 0.0, 1.0, 1.0]).expect("knots");
    let points = [(0.0, 0.0), (0.0, 400.0), (800.0, 0.0), (800.0, 400.0)].map(|(x, z)| Point3::new(x, 70.0, z)).to_vec();
    let face = Face::whole(Surface::Nurbs(Nurbs::new(line(), line(), points, None).expect("a plate")));
    let model = Model { faces: vec![face], parts: vec!["one".into()], ..Model::default() };
    let path = path(PLATE);
    fs::write(&path, step(&model, &StepOptions::default()).text).expect("a file for the browser");
    path
}

/// A white picture with the marks, 13 pixels across.
fn chart(name: &str) -> PathBuf {
    let mut pixels = vec![255; 3 * SIZE.0 * SIZE.1];
    for ((x, y), colour) in [FOOT, HEAD, MIDDLE, ABOVE] {
        let (x, y) = (x as usize, y as usize);
        for row in y - 6..y + 6 {
            for column in x - 6..x + 6 {
                pixels[3 * (row * SIZE.0 + column)..][..3].copy_from_slice(&colour);
            }
        }
    }
    let path = path(name);
    let file = BufWriter::new(fs::File::create(&path).expect("a file"));
    let mut encoder = png::Encoder::new(file, SIZE.0 as u32, SIZE.1 as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().and_then(|mut writer| writer.write_image_data(&pixels)).expect("a picture");
    path
}

/// The plate from its left side with the chart over it, opaque.
fn opened(chart_name: &str) -> Inspector {
    let inspector = Inspector::open(Some(&plate()));
    let page = &inspector.page;
    page.calm();
    page.resize(1440, 900);
    inspector.wait_for_model(PLATE);
    page.click_on("#pass-reference");
    page.click_on("#ledger-toggle");
    page.choose("#underlay-input", &chart(chart_name));
    shown(&inspector, "behind");
    page.click_on("#underlay-front");
    page.ask("document.querySelector('#underlay-opacity').focus()");
    page.key("End");
    shown(&inspector, "front");
    inspector
}

fn shown(inspector: &Inspector, how: &str) {
    inspector.page.wait(&format!("document.querySelector('#surface').dataset.underlay === '{how}'"), SOON);
    // Both are drawn at the size they have now.
    let fits = "['#canvas', '#underlay-sheet'].map((id) => document.querySelector(id))
        .every((one) => Math.abs(one.height - one.clientHeight) <= 1 && Math.abs(one.width - one.clientWidth) <= 1)";
    inspector.page.wait(fits, SOON);
    inspector.wait_for_exact();
}

fn stage(inspector: &Inspector) -> Picture {
    inspector.wait_for_exact();
    inspector.page.picture(inspector.canvas())
}

/// Number and middle of the pixels of a colour on the stage, from its corner.
fn seen(picture: &Picture, colour: [u8; 3]) -> (usize, (f64, f64)) {
    let mut found = (0, (0.0, 0.0));
    for y in 0..picture.height {
        for x in 0..picture.width {
            let pixel = picture.pixel(x, y);
            if (0..3).all(|k| pixel[k].abs_diff(colour[k]) < 40) {
                found.0 += 1;
                found.1.0 += x as f64 + 0.5;
                found.1.1 += y as f64 + 0.5;
            }
        }
    }
    let n = found.0.max(1) as f64;
    (found.0, (found.1.0 / n, found.1.1 / n))
}

fn mark(inspector: &Inspector, (_, colour): ((f64, f64), [u8; 3])) -> (f64, f64) {
    let (count, at) = seen(&stage(inspector), colour);
    assert!(count > 20, "{count} pixels of {colour:?}");
    at
}

fn click_stage(inspector: &Inspector, (x, y): (f64, f64)) {
    let all = inspector.canvas();
    inspector.page.click(all.x + x, all.y + y);
}

/// Lower left and upper right corner of the plate as drawn, without the picture; it comes back after.
fn corners(inspector: &Inspector) -> [(f64, f64); 2] {
    let page = &inspector.page;
    page.click_on("#underlay-free");
    page.wait("!document.querySelector('#surface').dataset.underlay", SOON);
    let bare = stage(inspector);
    // The plate's outline is a thin dark line along its edge: where it is darkest on the way in, between buttons and corners.
    let tone = |x: usize, y: usize| bare.pixel(x, y)[..3].iter().map(|c| i32::from(*c)).sum::<i32>();
    let darkest = |way: &mut dyn Iterator<Item = (usize, usize)>| {
        let way: Vec<_> = way.collect();
        let paper = tone(way[0].0, way[0].1);
        let first = way.iter().position(|(x, y)| (tone(*x, *y) - paper).abs() > 30).expect("an edge");
        *way[first..first + 6].iter().min_by_key(|(x, y)| tone(*x, *y)).expect("a pixel")
    };
    let (w, h) = (bare.width, bare.height);
    let inner = |(x, y): (usize, usize)| (x as f64 + 0.5, y as f64 + 0.5);
    let row = (h / 2..h).find(|y| tone(2, *y) == tone(w - 3, *y)).expect("a row");
    let (left, right) = (inner(darkest(&mut (2..w).map(|x| (x, row)))).0, inner(darkest(&mut (2..w - 2).rev().map(|x| (x, row)))).0);
    let column = (left + right) as usize / 2;
    let (top, foot) = (inner(darkest(&mut (80..h).map(|y| (column, y)))).1, inner(darkest(&mut (80..h - 60).rev().map(|y| (column, y)))).1);
    page.click_on("#underlay-back");
    shown(inspector, "front");
    [(left, foot), (right, top)]
}

fn near(what: &str, (x, y): (f64, f64), (a, b): (f64, f64)) {
    assert!((x - a).abs() <= NEAR && (y - b).abs() <= NEAR, "{what} at ({x:.1}, {y:.1}), not at ({a:.1}, {b:.1})");
}

/// The marks lie on the plate's corners as drawn, and what is picked under the mark of its middle is its middle.
fn agree(inspector: &Inspector, when: &str) {
    let [foot, head] = corners(inspector);
    near(&format!("{when}: the foot"), mark(inspector, FOOT), foot);
    near(&format!("{when}: the head"), mark(inspector, HEAD), head);
    let (x, y) = mark(inspector, MIDDLE);
    let all = inspector.canvas();
    inspector.page.hover(all.x + x, all.y + y);
    inspector.page.wait("document.querySelector('#status-pick .pick-point')", SOON);
    let told = inspector.page.text("#status-pick .pick-point");
    let point: Vec<f64> =
        told.trim_start_matches("x, y, z").replace('−', "-").split(',').map(|x| x.trim().parse().expect("a number")).collect();
    let pixel = 800.0 / (head.0 - foot.0);
    assert!((point[0] - 400.0).abs() <= NEAR * pixel && (point[2] - 200.0).abs() <= NEAR * pixel, "{when}: {told} under the middle");
}

fn number(inspector: &Inspector, id: &str) -> f64 {
    inspector.page.ask(&format!("Number(document.querySelector('{id}').value)")).as_f64().expect("a number")
}

fn pick_on_picture(inspector: &Inspector) {
    inspector.page.click_on("#underlay-pick");
    for place in [FOOT, HEAD] {
        let at = mark(inspector, place);
        click_stage(inspector, at);
    }
    inspector.page.wait("!document.querySelector('#underlay-ends').hidden", SOON);
}

#[test]
fn two_places_and_their_distance_scale_it_and_it_moves_with_the_model() {
    let inspector = opened("chart-distance.png");
    let page = &inspector.page;
    // It starts over the whole model.
    assert!(number(&inspector, "#underlay-width") >= 800.0);
    pick_on_picture(&inspector);
    let before = mark(&inspector, FOOT);
    // Typed: 2 mm for each of the pixels between them.
    inspector.enter("#underlay-distance", &(2.0 * f64::hypot(400.0, 200.0)).to_string());
    let width = number(&inspector, "#underlay-width");
    assert!((width - 1200.0).abs() < 6.0, "{width} mm wide");
    near("the first place", mark(&inspector, FOOT), before);
    inspector.enter("#underlay-x", "400");
    inspector.enter("#underlay-y", "200");
    agree(&inspector, "as placed");
    // The view is locked: a drag moves it, and the picture with it.
    let (x, y) = inspector.canvas().middle();
    page.wheel(x + 40.0, y + 25.0, 150.0);
    agree(&inspector, "farther");
    page.drag((x, y), (x + 70.0, y - 30.0), "left");
    agree(&inspector, "moved");
    page.wheel(x - 60.0, y, -60.0);
    agree(&inspector, "nearer");
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn two_places_on_the_model_scale_turn_and_move_it_in_one_step() {
    let inspector = opened("chart-match.png");
    let page = &inspector.page;
    inspector.enter("#underlay-turn", "30");
    inspector.enter("#underlay-width", "700");
    let ends = corners(&inspector);
    pick_on_picture(&inspector);
    page.click_on("#underlay-ends");
    ends.into_iter().for_each(|at| click_stage(&inspector, at));
    agree(&inspector, "matched");
    let (turn, width) = (number(&inspector, "#underlay-turn"), number(&inspector, "#underlay-width"));
    assert!(turn.abs() < 0.4 && (width - 1200.0).abs() < 6.0, "{turn}°, {width} mm");
    // Left and right exchanged about its middle; the same two places then match again, turned over.
    page.click_on("#underlay-flip");
    let [foot, head] = corners(&inspector);
    near("flipped", mark(&inspector, FOOT), (head.0, foot.1));
    page.click_on("#undo");
    agree(&inspector, "unflipped");
    page.click_on("#undo");
    page.wait("document.querySelector('#underlay-turn').value === '30'", SOON);
    // Twice the same place says nothing, and is told.
    page.click_on("#underlay-ends");
    (0..2).for_each(|_| click_stage(&inspector, (400.0, 300.0)));
    page.wait("document.querySelector('#slips').textContent.includes('are one')", SOON);
    assert_eq!(number(&inspector, "#underlay-turn"), 30.0);
}

#[test]
fn it_is_seen_through_lies_before_or_behind_and_is_wiped() {
    let inspector = opened("chart-look.png");
    let page = &inspector.page;
    for (id, value) in [("#underlay-width", "1200"), ("#underlay-x", "400"), ("#underlay-y", "200")] {
        inspector.enter(id, value);
    }
    let middle = mark(&inspector, MIDDLE);
    let above = mark(&inspector, ABOVE);
    let pixel = |(x, y): (f64, f64)| stage(&inspector).pixel(x as usize, y as usize);
    // Half seen through: between the mark's own colour and the paint below it.
    page.ask("(() => { const s = document.querySelector('#underlay-opacity'); s.value = '0.5'; s.dispatchEvent(new Event('input', { bubbles: true })); })()");
    let [r, g, b, _] = pixel(middle);
    assert!((60..160).contains(&r) && g > 190 && (60..160).contains(&b), "{r} {g} {b}");
    page.key("End");
    // Behind the plate its marks are hidden, beside it they are not.
    page.click_on("#underlay-behind");
    shown(&inspector, "behind");
    let [r, g, b, _] = pixel(middle);
    assert!(g < 230 && r > 150 && b > 120, "the plate: {r} {g} {b}");
    assert_eq!(&pixel(above)[..3], &ABOVE.1);
    page.click_on("#underlay-front");
    shown(&inspector, "front");
    // Wiped from the right, by keys and by the pointer.
    page.click_on("#underlay-wipe");
    page.wait("!document.querySelector('#underlay-divider').hidden", SOON);
    page.ask("document.querySelector('#underlay-divider').focus()");
    let count = |colour| seen(&stage(&inspector), colour).0;
    page.key("End");
    assert!(count(HEAD.1) > 20);
    (0..2).for_each(|_| page.key_with("ArrowLeft", 8));
    assert_eq!(page.ask("document.querySelector('#underlay-divider').ariaValueNow"), "80");
    let all = inspector.canvas();
    let (x, y) = page.place("#underlay-divider").middle();
    page.drag((x, y), (all.x + mark(&inspector, FOOT).0 + 40.0, y), "left");
    assert!(count(FOOT.1) > 20 && count(HEAD.1) == 0 && count(MIDDLE.1) == 0);
    page.click_on("#underlay-wipe");
    assert!(count(HEAD.1) > 20);
    // Taken away it is gone, and one step back it is there again.
    page.click_on("#underlay-close");
    page.wait("!document.querySelector('#surface').dataset.underlay", SOON);
    page.click_on("#undo");
    shown(&inspector, "front");
    assert!(count(HEAD.1) > 20);
}

#[test]
fn another_view_hides_it_and_a_button_brings_it_back() {
    let inspector = opened("chart-lock.png");
    let page = &inspector.page;
    assert_eq!(page.ask("document.querySelector('#view-projection').ariaPressed"), "true");
    page.ask("document.querySelector('#canvas').focus()");
    let before = mark(&inspector, MIDDLE);
    page.key("ArrowRight");
    let after = mark(&inspector, MIDDLE);
    assert!(after.0 > before.0 + 10.0 && (after.1 - before.1).abs() < 1.0, "{before:?} to {after:?}");
    page.click_on("#view-corner");
    page.wait("!document.querySelector('#surface').dataset.underlay", SOON);
    assert_eq!(page.text("#underlay-state"), "Not shown in this view.");
    page.click_on("#underlay-back");
    shown(&inspector, "front");
    // Perspective has no true lengths.
    page.click_on("#view-projection");
    page.wait("!document.querySelector('#surface').dataset.underlay", SOON);
    page.click_on("#underlay-show");
    shown(&inspector, "front");
    // The plate is a line from above; the picture lies there as well, about its middle.
    page.click_on("#underlay-side-top");
    shown(&inspector, "front");
    assert!(page.text("#underlay-lock").contains("Top"));
    assert_eq!((number(&inspector, "#underlay-x"), number(&inspector, "#underlay-y")), (400.0, 70.0));
    // And in a view of one's own, once turned there.
    page.click_on("#underlay-free");
    page.click_on("#view-corner");
    inspector.wait_for_exact();
    page.click_on("#underlay-side-own");
    shown(&inspector, "front");
    assert!(mark(&inspector, MIDDLE).0 > 0.0);
    // The model is picked through it.
    let (x, y) = mark(&inspector, MIDDLE);
    click_stage(&inspector, (x, y));
    page.wait("document.querySelector('#status-pick .pick-face')", SOON);
}

#[test]
fn what_is_no_picture_is_told_and_the_one_there_stays() {
    let inspector = opened("chart-kept.png");
    let page = &inspector.page;
    let note = page.text("#underlay-note");
    assert!(note.contains("chart-kept.png") && note.contains("600 × 400"), "{note}");
    let whole = fs::read(path("chart-kept.png")).expect("the chart");
    let mut vast = whole.clone();
    vast[16..24].copy_from_slice(&[0, 1, 0, 0, 0, 1, 0, 0]);
    for (name, bytes, told) in [
        ("words.png", b"no picture at all".to_vec(), "no PNG, JPEG or WebP"),
        (
            "drawing.png",
            b"<?xml version='1.0'?>\n<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>".to_vec(),
            "an SVG",
        ),
        ("cut.png", whole[..whole.len() / 3].to_vec(), "damaged"),
        ("vast.png", vast, "150 million"),
        ("empty.png", vec![], "no PNG, JPEG or WebP"),
        ("long.png", [&whole[..], &vec![0; 41 << 20]].concat(), "40 MB"),
    ] {
        let file = path(name);
        fs::write(&file, bytes).expect("a file");
        page.choose("#underlay-input", &file);
        page.wait(&format!("(t => t.includes('{name}') && t.includes('{told}'))(document.querySelector('#slips').textContent)"), SOON);
        assert_eq!(page.text("#underlay-note"), note, "{name}");
    }
    mark(&inspector, HEAD);
    // A picture dropped onto the block takes its place; the model stays, and so does one that is dropped as the picture.
    let other = chart("chart-dropped.png");
    page.ask("document.querySelector('#underlay-open').scrollIntoView({block: 'center'})");
    let (x, y) = page.place("#underlay-note").middle();
    page.drop_file(x, y, &plate());
    page.wait("document.querySelector('#slips').textContent.includes('plate.step: this is no PNG')", SOON);
    page.drop_file(x, y, &other);
    page.wait("document.querySelector('#underlay-note').textContent.includes('chart-dropped.png')", SOON);
    assert!(page.ask("document.querySelector('.dropping')").is_null());
    assert_eq!((inspector.state().as_str(), inspector.model().as_str()), ("ready", PLATE));
    // One step back the other one's place is known, its pixels are not: that is said.
    page.click_on("#undo");
    page.wait("document.querySelector('#underlay-note').textContent.includes('chart-kept.png is placed here')", SOON);
    page.choose("#underlay-input", &path("chart-kept.png"));
    shown(&inspector, "front");
    assert_eq!(page.problems(), Vec::<String>::new());
}

/// The size of each kind stands elsewhere in the file: lossy, lossless, and with what lets light through.
#[test]
fn photos_of_each_kind_are_read() {
    let inspector = opened("chart-kinds.png");
    let page = &inspector.page;
    for (n, (kind, quality, clear)) in
        [("jpeg", 0.7, false), ("webp", 0.5, false), ("webp", 1.0, false), ("webp", 0.5, true)].into_iter().enumerate()
    {
        let (name, width) = (format!("photo-{n}.{kind}"), 310 + n);
        page.ask(&format!(
            "new Promise((done) => {{
                const own = Object.assign(document.createElement('canvas'), {{ width: {width}, height: 201 }});
                const pen = own.getContext('2d');
                pen.fillStyle = 'teal';
                pen.fillRect(0, 0, {clear} ? 100 : {width}, 201);
                own.toBlob((blob) => {{
                    const bag = new DataTransfer();
                    bag.items.add(new File([blob], '{name}'));
                    const input = document.querySelector('#underlay-input');
                    input.files = bag.files;
                    input.dispatchEvent(new Event('change'));
                    done();
                }}, 'image/{kind}', {quality});
            }})"
        ));
        page.wait(&format!("document.querySelector('#underlay-note').textContent === '{name}, {width} × 201 pixels'"), SOON);
    }
    assert_eq!(page.problems(), Vec::<String>::new());
}

#[test]
fn keys_alone_place_it() {
    let inspector = opened("chart-keys.png");
    let page = &inspector.page;
    let focus = |id: &str| page.ask(&format!("document.querySelector('{id}').focus(), document.querySelector('{id}').select?.()"));
    for (id, value) in [("#underlay-width", "1200"), ("#underlay-x", "400"), ("#underlay-y", "200"), ("#underlay-turn", "0")] {
        focus(id);
        value.chars().for_each(|c| page.key(&c.to_string()));
        page.key("Enter");
    }
    agree(&inspector, "typed");
    // Out of range and empty: told, or not taken.
    focus("#underlay-width");
    "0".chars().for_each(|c| page.key(&c.to_string()));
    page.key("Enter");
    page.wait("document.querySelector('#slips').textContent.includes('out of range')", SOON);
    assert_eq!(number(&inspector, "#underlay-width"), 1200.0);
    let [foot, head] = corners(&inspector);
    // Two places at the middle of the view, which the arrow keys move between.
    focus("#underlay-pick");
    page.key("Enter");
    page.wait("document.activeElement.id === 'canvas' && document.querySelector('#underlay-aim')", SOON);
    page.key("Enter");
    (0..5).for_each(|_| page.key("ArrowLeft"));
    page.key("Enter");
    page.wait("!document.querySelector('#underlay-distance').closest('.field').hidden", SOON);
    let want = 5.0 * 24.0 * 800.0 / (head.0 - foot.0);
    let told = number(&inspector, "#underlay-distance");
    assert!((told - want).abs() < 0.02 * want, "{told} mm, {want} wanted");
    // Escape stops picking, and the places stay.
    focus("#underlay-ends");
    page.key("Enter");
    page.wait("document.querySelector('#underlay-aim')", SOON);
    page.key("Escape");
    page.wait("!document.querySelector('#underlay-aim')", SOON);
    assert_eq!(number(&inspector, "#underlay-distance"), told);
}

#[test]
fn a_phone_has_room_for_it() {
    let inspector = opened("chart-phone.png");
    let page = &inspector.page;
    page.resize(390, 844);
    // The pass folds in a narrow window.
    page.wait("document.querySelector('#pass-reference-body').hidden", SOON);
    page.click_on("#pass-reference");
    shown(&inspector, "front");
    let wide = page.ask("[document.documentElement.scrollWidth, document.querySelector('#passes').scrollWidth]");
    assert_eq!(wide, json!([390, 390]));
    let small = page.ask(
        "[...document.querySelectorAll('#underlay-block :is(button, input:not(.spoken)), #underlay-bar button')]
            .filter((one) => one.offsetParent).map((one) => [one.id, (one.closest('label') ?? one).getBoundingClientRect()])
            .filter(([, r]) => r.width < 24 || r.height < 24 || r.right > 390).map(([id]) => id)",
    );
    assert_eq!(small, json!([]));
    mark(&inspector, MIDDLE);
}

/// Many placements, each against plain complex numbers: w = x + iy + (width / pixels)·e^(i·turn)·(± u + iv).
#[test]
fn placements_are_similarities_of_the_plane() {
    let server = rakelight_tests::site::serve("", None);
    let page = rakelight_tests::browser::page();
    page.go(&server.page());
    let told = page.ask(
        "import('./underlay-place.js').then(({ toPlane, toPicture, apart, withDistance, matched, covering, looksAlong, upright }) => {
            const size = { width: 640, height: 480 };
            let seed = 7;
            const dice = (low, high) => { seed = (seed * 16807) % 2147483647; return low + (high - low) * seed / 2147483647; };
            let worst = { there: 0, back: 0, match: 0, first: 0, apart: 0 };
            const off = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
            const note = (name, x) => { worst[name] = Math.max(worst[name], Number.isNaN(x) ? Infinity : x); };
            for (let n = 0; n < 500; n += 1) {
                const p = { x: dice(-900, 900), y: dice(-900, 900), width: dice(1, 3000), turn: dice(-180, 180), flip: n % 2 === 0 };
                const marks = [0, 1].map(() => [dice(0, 640), dice(0, 480)]);
                const places = marks.map((mark) => toPlane(p, size, mark));
                const [u, v] = [(p.flip ? -1 : 1) * (marks[0][0] - 320), 240 - marks[0][1]];
                const [k, t] = [p.width / 640, p.turn * Math.PI / 180];
                note('there', off(places[0], [p.x + k * (u * Math.cos(t) - v * Math.sin(t)), p.y + k * (u * Math.sin(t) + v * Math.cos(t))]));
                note('back', off(toPicture(p, size, places[0]), marks[0]));
                const ends = [0, 1].map(() => [dice(-500, 500), dice(-500, 500)]);
                const m = { ...p, ...matched(p, size, marks, ends) };
                ends.forEach((end, i) => note('match', off(toPlane(m, size, marks[i]), end)));
                const mm = dice(1, 2000);
                const d = { ...p, ...withDistance(p, size, marks, mm) };
                note('first', off(toPlane(d, size, marks[0]), places[0]));
                note('apart', Math.abs(apart(d, size, marks) - mm));
            }
            const p = { x: 0, y: 0, width: 100, turn: 0, flip: false };
            const one = [[10, 10], [10, 10]];
            return [worst, matched(p, size, one, [[0, 0], [9, 9]]), matched(p, size, [[0, 0], [9, 9]], one), withDistance(p, size, one, 5),
                withDistance(p, size, [[0, 0], [9, 9]], 0), covering([[0, 0, 0], [800, 50, 400]], { yaw: -Math.PI / 2, pitch: 0 }, size),
                looksAlong({ yaw: Math.PI, pitch: 0, projection: 'orthographic' }, { yaw: -Math.PI, pitch: 0 }), [540, -180, 180, -190].map(upright)];
        })",
    );
    for (name, worst) in told[0].as_object().expect("figures") {
        assert!(worst.as_f64().is_some_and(|x| x < 1e-6), "{name}: {worst}");
    }
    assert!((1..5).all(|i| told[i] == Value::Null), "{told}");
    assert_eq!((&told[5]["x"], &told[5]["y"]), (&json!(400), &json!(200)));
    assert!((told[5]["width"].as_f64().expect("a width") - 800.0).abs() < 1e-9, "{}", told[5]);
    assert_eq!((&told[6], &told[7]), (&json!(true), &json!([180, 180, 180, 170])));
}

#[test]
fn beside_another_model_it_stays_with_the_first() {
    let inspector = opened("chart-beside.png");
    let page = &inspector.page;
    page.click_on("#pass-overview");
    let twin = path("twin.step");
    fs::copy(plate(), &twin).expect("a file");
    page.choose("#beside-input", &twin);
    page.wait("document.querySelector('#beside-second')?.textContent === 'twin.step'", SOON);
    page.click_on("#beside-halves");
    shown(&inspector, "front");
    let before = mark(&inspector, MIDDLE);
    let (x, y) = page.place("#beside-canvas").middle();
    // A drag on the other one moves both and turns neither: the view is the picture's.
    page.drag((x, y), (x + 50.0, y + 10.0), "left");
    let after = mark(&inspector, MIDDLE);
    near("the middle", after, (before.0 + 50.0, before.1 + 10.0));
    let all = page.place("#surface");
    let white = |p: Picture| p.rgba.as_chunks::<4>().0.iter().filter(|p| **p == [255; 4]).count();
    let half = |from: f64| page.picture(Rect { x: all.x + from * all.width, y: all.y + 200.0, width: 0.4 * all.width, height: 200.0 });
    assert!(white(half(0.05)) > 10_000 && white(half(0.55)) == 0);
}

/// The canvas has a fourth channel for the picture behind: without one, whatever is shown, no pixel lets anything through.
#[test]
fn without_a_picture_the_model_is_opaque() {
    let inspector = Inspector::open(None);
    let page = &inspector.page;
    page.calm();
    inspector.wait_for_model("bramble-a.step");
    let clear = || {
        inspector.wait_for_exact();
        page.ask(
            "(() => { const own = document.querySelector('#canvas'); const copy = Object.assign(document.createElement('canvas'), { width: own.width, height: own.height });
                const pen = copy.getContext('2d'); pen.drawImage(own, 0, 0);
                return pen.getImageData(0, 0, own.width, own.height).data.filter((x, i) => i % 4 === 3 && x !== 255).length; })()",
        )
    };
    for pass in ["overview", "joins", "highlights", "form"] {
        page.click_on(&format!("#pass-{pass}"));
        assert_eq!(clear(), json!(0), "{pass}");
    }
    page.click_on("#pass-centre");
    page.wait("document.querySelector('#centre-image')", SOON);
    page.click_on("#centre-image");
    assert_eq!(clear(), json!(0), "the mirror image");
    page.click_on("#pass-reference");
    page.choose("#underlay-input", &chart("chart-clear.png"));
    shown(&inspector, "behind");
    assert!(clear().as_u64().is_some_and(|n| n > 10_000));
}
