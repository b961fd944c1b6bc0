//! A panel built as its shape asks for gives nothing; build it worse in one way, and get that one finding, of the size it was made worse by.

use super::broken_once::all_findings;
use super::broken_stripes::findings;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::joins::arrangements::model_of;
use crate::math::{Interval, Point3, Vec3};
use crate::model::Model;
use crate::nurbs::{Direction, KnotVector, Surface};

/// Crowned both ways, of degree 3 by 2 over 600 by 400 mm.
fn panel() -> Surface {
    shaped(|i, j| Point3::new(200.0 * i as f64, 200.0 * j as f64, [0.0, 60.0, 55.0, 0.0][i] + [0.0, 40.0, 0.0][j]))
}

fn shaped(at: impl Fn(usize, usize) -> Point3) -> Surface {
    // Away from the planes that a model may be half of.
    let away = Vec3::new(1000.0, 700.0, 500.0);
    let points = (0..4).flat_map(|i| (0..3).map(move |j| (i, j))).map(|(i, j)| at(i, j) + away).collect();
    Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(2).unwrap(), points, None).unwrap()
}

/// Findings on how a model is built.
fn built(model: &Model) -> Vec<Finding> {
    let all = all_findings(model, Zone::Visible, &Yardstick::default());
    let kind = |f: &Finding| ["rows.", "layout."].iter().any(|k| f.measure.text().starts_with(k));
    all.into_iter().filter(|f| f.severity != Severity::Good && kind(f)).collect()
}

fn one(patches: Vec<Surface>) -> (MeasureId, Severity, f64) {
    let found = built(&model_of(patches));
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    (one.measure, one.severity, one.value)
}

fn raised(s: &Surface, times: usize, along: Direction) -> Surface {
    (0..times).fold(s.clone(), |s, _| s.elevated(along).unwrap())
}

#[test]
fn a_panel_of_the_degree_it_needs_gives_nothing() {
    assert!(built(&model_of(vec![panel()])).is_empty());
    // Two degrees and two spans more are let pass.
    let more = raised(&panel(), 2, Direction::U).with_knots(Direction::U, &[0.4, 0.6]).unwrap();
    assert!(built(&model_of(vec![more])).iter().all(|f| f.measure.text().starts_with("rows.")));
}

#[test]
fn needless_degree_is_counted() {
    for (times, severity) in [(3, Severity::Polish), (4, Severity::Polish), (6, Severity::Fix)] {
        for along in [Direction::U, Direction::V] {
            assert_eq!(one(vec![raised(&panel(), times, along)]), (MeasureId::LayoutDegree, severity, times as f64));
        }
    }
}

#[test]
fn needless_spans_are_counted() {
    for (knots, severity) in [(5, Severity::Polish), (8, Severity::Fix)] {
        let inner: Vec<f64> = (1..=knots).map(|i| f64::from(i) / f64::from(knots + 1)).collect();
        let found = one(vec![panel().with_knots(Direction::U, &inner).unwrap()]);
        assert_eq!(found, (MeasureId::LayoutSpans, severity, f64::from(knots)));
    }
}

/// Either half of a panel cut in two needs the other; a kink where they meet makes them two.
#[test]
fn a_panel_cut_in_two_is_one_too_many() {
    let (a, b) = panel().split(Direction::U, 0.4).unwrap();
    assert_eq!(one(vec![a.clone(), b.clone()]), (MeasureId::LayoutSplit, Severity::Polish, 1.0));
    let (a, b) = (raised(&a, 1, Direction::U), raised(&b, 1, Direction::V));
    assert_eq!(one(vec![a, b]), (MeasureId::LayoutSplit, Severity::Polish, 1.0), "of unlike degrees");
    let (a, b) = panel().split(Direction::U, 0.4).unwrap();
    let bent = b.map(|p| Point3::new(p.x, p.y, p.z - 0.004 * (p.x - 1240.0).max(0.0)));
    assert!(built(&model_of(vec![a, bent])).is_empty());
}

/// Legs of the middle row as 4 : 6 : 9, an even progression, beside thirds: 9/19 differs most from one third.
#[test]
fn a_row_that_shares_out_otherwise_is_told_by_how_much() {
    let found = one(vec![shaped(|i, j| {
        let x = if j == 1 { [0.0, 4.0, 10.0, 19.0][i] * 600.0 / 19.0 } else { 200.0 * i as f64 };
        Point3::new(x, 200.0 * j as f64, 0.0)
    })]);
    assert_eq!((found.0, found.1), (MeasureId::RowsAgreement, Severity::Polish));
    assert!((found.2 - (9.0 / 19.0 - 1.0 / 3.0)).abs() < 1e-12, "{}", found.2);
}

/// Seven control points up and down turn five times, each time the other way: four changes. The best cubic through heights that are even
/// about the middle has none.
#[test]
fn a_row_that_turns_to_and_fro_is_counted() {
    let wavy = |height: f64| {
        let z = [0.0, 1.0, -1.0, 1.0, -1.0, 1.0, 0.0];
        let points = (0..7).flat_map(|i| [0.0, 300.0].map(|y| Point3::new(100.0 * i as f64, y, height * z[i]))).collect();
        Surface::new(KnotVector::bezier(6).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap()
    };
    assert_eq!(one(vec![wavy(8.0)]), (MeasureId::RowsTurning, Severity::Fix, 4.0));
}

/// A face that keeps a quarter of its patch, which runs evenly along u and is crowned across.
#[test]
fn a_patch_much_trimmed_away_gives_its_share() {
    let patch = shaped(|i, j| Point3::new(200.0 * i as f64, 200.0 * j as f64, [0.0, 50.0, 0.0][j]));
    let kept = |keep: f64| -> Vec<Finding> {
        let found = findings(vec![(crate::geometry::Surface::Nurbs(patch.clone()), Interval::new(0.0, keep), Interval::new(0.0, 1.0))]);
        found.into_iter().filter(|f| f.measure == MeasureId::LayoutTrim).collect()
    };
    assert!(kept(1.0).is_empty() && kept(0.34).is_empty());
    let found = kept(0.25);
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert!((one.value - 0.25).abs() < 1e-6 && one.severity == Severity::Polish, "{one:?}");
}
