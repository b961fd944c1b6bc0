//! What the STEP writer writes is the model, in every unit, for every model at hand.

use rakelight_core::exchange::{self, Import, Limits, write};
use rakelight_core::math::Interval;
use rakelight_core::model::{Face, LengthUnit, Model};
use rakelight_core::progress::Silent;
use rakelight_tests::data;

/// Points compared on each face.
const POINTS: usize = 1000;

/// Agreement asked of evaluations, relative to the size of the model.
const RELATIVE: f64 = 1e-12;

fn read(bytes: &[u8], name: &str) -> Import {
    exchange::read(bytes, name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A fixed sequence of numbers in 0..1, so that a failure can be repeated.
fn numbers(mut state: u64) -> impl FnMut() -> f64 {
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Where in (u, v) a face is sampled: its domain's box, as its own parameters count it.
fn ranges(model: &Model, index: usize) -> Option<(Interval, Interval)> {
    let domain = model.domain(rakelight_core::model::FaceId::new(index)).ok()?;
    Some(domain.bounds())
}

/// Largest difference of positions at random parameters, mm. A frame that is left-handed after a reflection is written
/// with u turned, so either sign of u is the same point.
fn difference(a: &Face, b: &Face, (u, v): (Interval, Interval), next: &mut impl FnMut() -> f64) -> f64 {
    let turned = (0..3).any(|i| {
        let (s, t) = (u.at(0.1 + 0.3 * f64::from(i)), v.at(0.2 + 0.25 * f64::from(i)));
        a.surface.point(s, t).distance(b.surface.point(s, t)) > a.surface.point(s, t).distance(b.surface.point(-s, t))
    });
    (0..POINTS)
        .map(|_| {
            let (s, t) = (u.at(next()), v.at(next()));
            a.surface.point(s, t).distance(b.surface.point(if turned { -s } else { s }, t))
        })
        .fold(0.0, f64::max)
}

fn size(model: &Model, boxes: &[Option<(Interval, Interval)>]) -> f64 {
    let corners = model.faces.iter().zip(boxes).filter_map(|(f, b)| b.map(|b| (f, b)));
    corners
        .flat_map(|(f, (u, v))| [(u.low, v.low), (u.high, v.high)].map(|(s, t)| f.surface.point(s, t).to_vec().length()))
        .fold(1.0, f64::max)
}

/// Writes, reads, compares; answers the largest difference over the size.
fn there_and_back(model: &Model, name: &str, unit: LengthUnit) -> f64 {
    let write::Written { text, remarks } = write::step(model, &write::StepOptions { unit: unit.clone(), ..Default::default() });
    let back = read(text.as_bytes(), name);
    let what = format!("{name} in {}", unit.name);
    // Lost boundaries are told too; nothing may be coarser than the model, or missing.
    let lost = model.faces.iter().filter(|f| f.boundary_lost.is_some()).count();
    assert!(remarks.len() == lost && remarks.iter().all(|r| r.size.is_none()), "{what}: {remarks:?}");
    assert_eq!(back.model.unit, unit, "{what}");
    assert!(back.report.unread.is_empty(), "{what}: {:?}", back.report.unread);
    assert_eq!(back.model.curves.len(), model.curves.len(), "{what}: free curves");
    // Shells are written by part and sets of untrimmed patches after them; a stable order makes both lists comparable.
    let order = |m: &Model| {
        let mut all: Vec<usize> = (0..m.faces.len()).collect();
        all.sort_by_key(|&i| (m.faces[i].part, m.faces[i].loops.is_empty()));
        all
    };
    let (here, there) = (order(model), order(&back.model));
    assert_eq!(here.len(), there.len(), "{what}: faces");
    let boxes: Vec<_> = (0..model.faces.len()).map(|i| ranges(model, i)).collect();
    let size = size(model, &boxes);
    let (mut next, mut worst) = (numbers(7391), 0.0f64);
    for (&i, &j) in here.iter().zip(&there) {
        let (a, b) = (&model.faces[i], &back.model.faces[j]);
        // A face without a name takes that of what holds it, as any reader would call it.
        let name = if a.name.is_empty() { &b.name } else { &a.name };
        assert_eq!((name, a.colour, &a.layers), (&b.name, b.colour, &b.layers), "{what}: face #{}", a.source.entity);
        let Some(range) = boxes[i] else { continue };
        let relative = difference(a, b, range, &mut next) / size;
        assert!(relative <= RELATIVE, "{what}: face #{} differs by {relative:.1e} of the size", a.source.entity);
        worst = worst.max(relative);
        let area = |m: &Model, k: usize| m.domain(rakelight_core::model::FaceId::new(k)).ok().map(|d| d.area(&m.faces[k].surface));
        if unit.in_mm == 1.0
            && let (Some(x), Some(y)) = (area(model, i), area(&back.model, j))
        {
            // Trims start from seeds that may differ in the last bits; the integral settles at 1e-7.
            assert!((x - y).abs() <= 1e-6 * x.max(1e-6), "{what}: face #{}: area {x}, back {y}", a.source.entity);
        }
    }
    worst
}

#[test]
fn every_model_reads_back_equal_to_twelve_digits() {
    let models = [data::step_models("the round trip"), data::iges_models("the round trip")].concat();
    for model in models {
        let import = read(&model.bytes(), model.name);
        let worst = there_and_back(&import.model, model.name, LengthUnit::default());
        println!("{}: {} faces, largest difference {worst:.1e} of the size", model.name, import.model.faces.len());
    }
}

#[test]
fn other_units_change_numbers_and_not_the_shape() {
    for name in ["nacelle_6patch.stp", "as1_assembly_214.stp", "sphere_quarter_pieces.stp"] {
        let Some(model) = data::step_model(name, "units written") else { continue };
        let import = read(&model.bytes(), model.name);
        for (name, in_mm) in [("inch", 25.4), ("m", 1000.0), ("cm", 10.0), ("ft", 304.8), ("µm", 1e-3)] {
            let worst = there_and_back(&import.model, model.name, LengthUnit { name: name.into(), in_mm });
            println!("{} in {name}: largest difference {worst:.1e} of the size", model.name);
        }
    }
}
