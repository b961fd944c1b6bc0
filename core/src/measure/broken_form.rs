//! Panels with a known hollow, and a known place without crown.

use super::broken_once::all_findings;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::joins::arrangements::model_of;
use crate::math::Point3;
use crate::nurbs::{KnotVector, Surface};

/// Half the length and the width of the panels, mm; away from the planes that a model may be symmetric about.
const HALF: f64 = 200.0;
const WIDTH: f64 = 300.0;

/// z = a x² + b x⁴ over −HALF … HALF, pulled straight along y: a Bézier patch of degree 4 by 1. With x = HALF (2t − 1) the powers
/// expand in t, and a coefficient of tᵏ adds C(i,k)/C(4,k) to ordinate i (The NURBS Book, ch. 6.6, power to Bézier basis).
fn panel(a: f64, b: f64) -> Surface {
    let (h2, h4) = (a * HALF * HALF, b * HALF * HALF * HALF * HALF);
    let power = [h2 + h4, -4.0 * h2 - 8.0 * h4, 4.0 * h2 + 24.0 * h4, -32.0 * h4, 16.0 * h4];
    let choose = |n: usize, k: usize| (0..k).map(|j| (n - j) as f64 / (j + 1) as f64).product::<f64>();
    let height = |i: usize| (0..=i).map(|k| power[k] * choose(i, k) / choose(4, k)).sum::<f64>();
    let at = |i: usize, y: f64| Point3::new(900.0 + HALF * (0.5 * i as f64 - 1.0), 700.0 + y, 500.0 + height(i));
    let points = (0..=4).flat_map(|i| [at(i, 0.0), at(i, WIDTH)]).collect();
    Surface::new(KnotVector::bezier(4).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap()
}

fn form(surface: Surface) -> Vec<Finding> {
    all_findings(&model_of(vec![surface]), Zone::Visible, &Yardstick::default())
        .into_iter()
        .filter(|f| matches!(f.measure, MeasureId::FormHollow | MeasureId::FormLowCrown))
        .collect()
}

/// Length of the profile between −x and x, by Simpson's rule: 2 ∫ √(1 + z′²).
fn length(a: f64, b: f64, x: f64) -> f64 {
    let speed = |s: f64| (1.0 + (2.0 * a * s + 4.0 * b * s * s * s) * (2.0 * a * s + 4.0 * b * s * s * s)).sqrt();
    let n = 1000;
    let h = x / f64::from(n);
    let inner: f64 = (1..n).map(|i| speed(h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    2.0 * h / 3.0 * (speed(0.0) + inner + speed(x))
}

/// z″ = 2a + 12b x² has the other sign for |x| < √(−a/6b).
#[test]
fn a_hollow_has_its_area() {
    assert!(form(panel(-4e-4, -2e-9)).is_empty(), "{:#?}", form(panel(-4e-4, -2e-9)));
    // So strongly bent that next to nothing about the change of sign counts as flat.
    let b = -6e-8;
    for x in [25.0, 35.0, 45.0_f64] {
        let a = -6.0 * b * x * x;
        let found = form(panel(a, b));
        let [one] = found.as_slice() else { panic!("{x}: {found:#?}") };
        let want = WIDTH * length(a, b, x);
        assert_eq!(one.measure, MeasureId::FormHollow);
        assert!((one.value - want).abs() < 0.02 * want, "{} against {want}", one.value);
        let severity = if want > 1e4 { Severity::Serious } else { Severity::Fix };
        assert_eq!(one.severity, severity);
        assert!((one.place.point.x - 900.0).abs() < x + 5.0);
    }
}

/// The curvature of z = b x⁴ is 12b x² to first order, below 1/10 m for |x| < √(1e-4 / 12b).
#[test]
fn a_place_without_crown_has_its_area() {
    for x in [60.0, 180.0_f64] {
        let b = -1e-4 / (12.0 * x * x);
        let found = form(panel(0.0, b));
        let want = WIDTH * length(0.0, b, x);
        let [one] = found.as_slice() else { panic!("{x}: {found:#?}") };
        assert_eq!(one.measure, MeasureId::FormLowCrown);
        assert!((one.value - want).abs() < 0.02 * want, "{} against {want}", one.value);
        assert_eq!(one.severity, if want > 1e5 { Severity::Fix } else { Severity::Polish });
    }
}

/// A plate that is plane as a spline is meant to be flat.
#[test]
fn a_plate_is_no_place_without_crown() {
    assert!(form(panel(0.0, 0.0)).is_empty());
}
