//! Joins of real models, one by one: what each of them is, and the value it is known by. The values are this core's own,
//! written down once the places had been looked at; what holds them to others is in `joins.rs`.

use rakelight_core::exchange::{Limits, read};
use rakelight_core::joins::{Class, Join, JoinGraph, Options};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::data;

/// The joins of a model; None, reported as skipped, where it is not at hand.
fn joins(name: &'static str) -> Option<Vec<Join>> {
    let model = data::model(name, "joins by name")?;
    let prepared = Prepared::new(read(&model.bytes(), name, &Limits::default(), &mut Silent).expect("a model"));
    Some(JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled").joins)
}

/// The one join between two faces, with its largest angle.
fn between(joins: &[Join], faces: [usize; 2]) -> (&Join, f64) {
    let of: Vec<&Join> = joins.iter().filter(|j| j.faces.iter().map(|f| f.index()).eq(faces)).collect();
    let [one] = of.as_slice() else { panic!("{} joins between {faces:?}", of.len()) };
    (one, one.summaries.angle.expect("an angle").max.value)
}

/// Lines that are sharp and fade out at an end: the trims end some thousandths of a millimetre short of where the angle comes
/// to zero, and still no break is told.
#[test]
fn lines_that_fade_out_are_creases() {
    let mouse: &[([usize; 2], f64)] = &[([111, 112], 116.07), ([115, 116], 116.01), ([120, 121], 90.92), ([124, 125], 90.18)];
    let fan: &[([usize; 2], f64)] = &[([36, 195], 58.82), ([38, 176], 58.82)];
    for (name, lines) in [("mouse_cover.step", mouse), ("ventilator.stp", fan)] {
        let Some(all) = joins(name) else { continue };
        for &(faces, angle) in lines {
            let (join, most) = between(&all, faces);
            assert_eq!(join.class, Class::Crease, "{name} {faces:?}");
            assert!((most - angle).abs() < 0.005, "{name} {faces:?}: {most}");
        }
    }
}

/// A trim of this model ends in a hook of 0.1 µm, where its tangent turns back: no face folds over there.
#[test]
fn a_hook_at_the_end_of_a_trim_folds_nothing() {
    let Some(all) = joins("mouse_cover.step") else { return };
    let (join, most) = between(&all, [112, 113]);
    assert_eq!(join.class, Class::G0);
    assert!((most - 1.016).abs() < 5e-4, "{most}");
    let gap = join.summaries.gap.expect("a gap").max.value;
    assert!((gap - 0.000_122).abs() < 5e-7, "{gap}");
}

/// A ledge between two walls that touch at one end is a crescent of no width there: the walls meet as far as each is the
/// other's nearest, and beyond it the ledge's two borders are. Without that, the widening ledge reads as their gap.
#[test]
fn walls_that_part_round_a_ledge_are_no_join_across_it() {
    let Some(all) = joins("mouse_cover.step") else { return };
    let of: Vec<&Join> = all.iter().filter(|j| j.faces.iter().map(|f| f.index()).eq([34, 36])).collect();
    assert_eq!(of.len(), 2, "along the ledge's tip, and down the walls' common end");
    for join in of {
        assert!(join.summaries.gap.is_some_and(|g| g.max.value < 0.001), "{:?}", join.summaries.gap);
        assert!((join.length - 1.1).abs() < 0.05, "{}", join.length);
    }
}
