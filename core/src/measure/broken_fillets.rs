//! Fillets that pass, and ones that fail by a known amount. Sections are closed forms: of a circle of radius r between planes that meet at
//! φ both setbacks are r / tan(φ/2) (measures §6).

use super::broken_once::all_findings;
use crate::fillet::profiles::{Carry, Plane2, sheet};
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::joins::arrangements::{model_of, tilted};
use crate::math::{Frame, real};
use crate::model::Model;
use crate::nurbs;

const FILLETS: [MeasureId; 4] = [MeasureId::FilletRadius, MeasureId::FilletBalance, MeasureId::FilletOpening, MeasureId::FilletLeadIn];

/// Two planes that meet at an angle, degrees, and what lies between them from setback to setback.
fn piece(frame: &Frame, opening: f64, setbacks: [f64; 2], fillet: impl Fn([f64; 2], [f64; 2]) -> Plane2) -> Vec<nurbs::Surface> {
    let (sin, cos) = real::sin_cos(opening.to_radians());
    let [a, b] = setbacks;
    let (p, q) = ([-a, 0.0], [-b * cos, b * sin]);
    let sides = [Plane2::line([-60.0, 0.0], p), Plane2::line(q, [-70.0 * cos, 70.0 * sin])];
    [&sides[0], &fillet(p, q), &sides[1]].map(|c| sheet(frame, c, Carry::Along(50.0))).to_vec()
}

pub(super) fn round(frame: &Frame, opening: f64, r: f64) -> Vec<nurbs::Surface> {
    let half = 0.5 * opening.to_radians();
    let a = r / real::tan(half);
    piece(frame, opening, [a, a], |p, q| Plane2::conic(p, [0.0; 2], q, real::sin(half)))
}

/// Findings on fillets by the usual limits, or with one of `lead` asked for.
fn found(model: &Model, lead: Option<f64>) -> Vec<Finding> {
    let mut yardstick = Yardstick::default();
    let row = yardstick.rows.iter_mut().find(|r| r.measure == MeasureId::FilletLeadIn).unwrap();
    row.zones[0].fix = lead;
    all_findings(model, Zone::Visible, &yardstick).into_iter().filter(|f| FILLETS.contains(&f.measure)).collect()
}

/// Nothing on the first model; on the second one finding, of this value.
fn pair(good: Vec<nurbs::Surface>, bad: Vec<nurbs::Surface>, lead: Option<f64>, want: (MeasureId, Severity, f64, f64)) -> Finding {
    let passed = found(&model_of(good), lead);
    assert!(passed.is_empty(), "{passed:#?}");
    let all = found(&model_of(bad), lead);
    let [one] = all.as_slice() else { panic!("{all:#?}") };
    let (measure, severity, value, within) = want;
    assert_eq!((one.measure, one.severity), (measure, severity));
    assert!((one.value - value).abs() <= within, "{} against {value}", one.value);
    one.clone()
}

#[test]
fn a_tight_fillet_is_told_by_its_radius() {
    let f = tilted();
    let want = (MeasureId::FilletRadius, Severity::Fix, 2.0, 2e-3);
    let one = pair(round(&f, 100.0, 3.1), round(&f, 100.0, 2.0), None, want);
    // Made to the limit and rounded by the file, it passes; a hundredth below it does not.
    assert!(found(&model_of(round(&f, 100.0, 2.9985)), None).is_empty());
    assert_eq!(found(&model_of(round(&f, 100.0, 2.97)), None).len(), 1);
    assert!((one.extent - 50.0).abs() < 0.5, "{} mm of it", one.extent);
}

#[test]
fn an_unbalanced_fillet_is_told_by_its_smaller_setback_over_the_larger() {
    let conic = |p, q| Plane2::conic(p, [0.0; 2], q, core::f64::consts::FRAC_1_SQRT_2);
    let f = tilted();
    let (good, bad) = (piece(&f, 90.0, [9.5, 10.0], conic), piece(&f, 90.0, [7.5, 10.0], conic));
    pair(good, bad, None, (MeasureId::FilletBalance, Severity::Fix, 0.75, 2e-3 * 0.75));
}

#[test]
fn a_sharp_theoretical_edge_is_told_by_its_angle() {
    let f = tilted();
    pair(round(&f, 76.0, 8.0), round(&f, 55.0, 8.0), None, (MeasureId::FilletOpening, Severity::Fix, 55.0, 0.05));
}

/// Between planes at a right angle with a setback of 10 mm: control points at 1, 0.72 and 0.36 of it on either face take up the
/// curvature slowly, a circle at once.
#[test]
fn an_abrupt_fillet_is_told_by_its_lead_in() {
    let f = tilted();
    let led = piece(&f, 90.0, [10.0, 10.0], |p, q| {
        let on = |end: [f64; 2], share: f64| [end[0] * share, end[1] * share, 1.0];
        Plane2(vec![on(p, 1.0), on(p, 0.72), on(p, 0.36), on(q, 0.36), on(q, 0.72), on(q, 1.0)])
    });
    pair(led.clone(), round(&f, 90.0, 10.0), Some(0.2), (MeasureId::FilletLeadIn, Severity::Fix, 0.0, 0.0));
    // The same one fails a limit just above what its own curve says: the length up to 90 % of the peak curvature over the setback.
    let points = [[-10.0, 0.0], [-7.2, 0.0], [-3.6, 0.0], [0.0, 3.6], [0.0, 7.2], [0.0, 10.0]];
    let curve = Plane2(points.map(|[x, y]| [x, y, 1.0]).to_vec());
    let peak = (0..=20_000).map(|i| curve.curvature(f64::from(i) / 2e4).abs()).fold(0.0, f64::max);
    let (mut length, mut last) = (0.0, [-10.0, 0.0]);
    for i in 1..=20_000 {
        let t = f64::from(i) / 2e4;
        let here = curve.derivs(t)[0];
        length += real::hypot(here[0] - last[0], here[1] - last[1]);
        last = here;
        if curve.curvature(t).abs() >= 0.9 * peak {
            break;
        }
    }
    let share = length / 10.0;
    assert!(found(&model_of(led.clone()), Some(0.97 * share)).is_empty());
    let all = found(&model_of(led), Some(1.03 * share));
    assert!(all.len() == 1 && (all[0].value - share).abs() < 0.01 * share, "{all:#?}");
}

/// Edges rounded by one radius are one choice, told once with all its faces; by another radius they are another.
#[test]
fn fillets_tight_by_the_same_radius_are_one_finding() {
    let f = tilted();
    let beside = Frame { origin: f.point(400.0, 0.0, 0.0), ..f };
    let two = |other: f64| found(&model_of([round(&f, 100.0, 2.0), round(&beside, 100.0, other)].concat()), None);
    let same = two(2.0);
    assert!(same.len() == 1 && same[0].faces.len() == 2, "{same:#?}");
    assert!((same[0].extent - 100.0).abs() < 1.0 && same[0].drawn.len() == 6);
    assert!(same[0].remedy.contains("One more fillet is as tight"), "{}", same[0].remedy);
    assert_eq!(two(2.1).len(), 2);
}
