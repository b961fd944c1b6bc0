//! Panels whose sections are known in closed form: what their ramp, crown and flat spots read.

use super::broken_once::all_findings;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::joins::arrangements::model_of;
use crate::math::{Point3, real};
use crate::nurbs::{KnotVector, Surface};

/// Half the length and the width of the panels, mm.
const HALF: f64 = 400.0;
const WIDTH: f64 = 300.0;

/// A profile of control points (x, z) with weights, pulled straight along y; off the planes that a model may be symmetric about.
fn pulled(profile: &[(f64, f64, f64)]) -> Surface {
    let at = |&(x, z, _): &(f64, f64, f64)| [0.0, WIDTH].map(|y| Point3::new(900.0 + x, 700.0 + y, 500.0 + z));
    let weights = profile.iter().flat_map(|p| [p.2; 2]).collect();
    let (u, v) = (KnotVector::bezier(profile.len() - 1).unwrap(), KnotVector::bezier(1).unwrap());
    Surface::new(u, v, profile.iter().flat_map(at).collect(), Some(weights)).unwrap()
}

/// z = a x² + b x⁴ over −HALF … HALF. With x = HALF (2t − 1) the powers expand in t, and a coefficient of tᵏ adds C(i,k)/C(4,k) to
/// ordinate i (The NURBS Book, ch. 6.6, power to Bézier basis).
fn quartic(a: f64, b: f64) -> Surface {
    let (h2, h4) = (a * HALF * HALF, b * HALF * HALF * HALF * HALF);
    let power = [h2 + h4, -4.0 * h2 - 8.0 * h4, 4.0 * h2 + 24.0 * h4, -32.0 * h4, 16.0 * h4];
    let choose = |n: usize, k: usize| (0..k).map(|j| (n - j) as f64 / (j + 1) as f64).product::<f64>();
    let height = |i: usize| (0..=i).map(|k| power[k] * choose(i, k) / choose(4, k)).sum::<f64>();
    let profile: Vec<(f64, f64, f64)> = (0..=4).map(|i| (HALF * (0.5 * i as f64 - 1.0), height(i), 1.0)).collect();
    pulled(&profile)
}

/// The upper quarter (x, z) = (a cos t, b sin t), 45° ≤ t ≤ 135°, of an ellipse (The NURBS Book, ex. 7.1, by an affine map).
fn ellipse(a: f64, b: f64) -> Surface {
    let s = 0.5_f64.sqrt();
    pulled(&[(a * s, b * s, 1.0), (0.0, b / s, s), (-a * s, b * s, 1.0)])
}

/// Form findings with these limits for polish on top of the usual ones.
fn form(surface: Surface, limits: &[(MeasureId, f64)]) -> Vec<Finding> {
    let mut yardstick = Yardstick::default();
    for (measure, limit) in limits {
        let row = yardstick.rows.iter_mut().find(|r| r.measure == *measure).unwrap();
        row.zones[0].polish = Some(*limit);
    }
    all_findings(&model_of(vec![surface]), Zone::Visible, &yardstick)
        .into_iter()
        .filter(|f| matches!(f.measure, MeasureId::FormRamp | MeasureId::FormCrown | MeasureId::FormDip))
        .collect()
}

/// κ = |z″| / (1 + z′²)^(3/2) falls to 2|a| in the middle and is largest on both sides alike.
#[test]
fn a_flat_spot_is_what_is_left_of_its_flanks() {
    let curvature = |a: f64, b: f64, x: f64| {
        let slope = 2.0 * a * x + 4.0 * b * x * x * x;
        let length = real::hypot(1.0, slope);
        (2.0 * a + 12.0 * b * x * x).abs() / (length * length * length)
    };
    for (a, b, severity) in [
        (-1e-4, -3e-10, Some(Severity::Fix)),
        (-2e-5, -1e-10, Some(Severity::Fix)),
        (-6e-5, -1e-9, Some(Severity::Fix)),
        (-2.5e-4, -3e-10, None),
        (-4e-4, -1e-11, None),
        (-4e-4, 1e-10, None),
    ] {
        let flank = (0..=4000).map(|i| curvature(a, b, HALF * f64::from(i) / 4000.0)).fold(0.0, f64::max);
        let want = 2.0 * a.abs() / flank;
        let found: Vec<Finding> = form(quartic(a, b), &[]).into_iter().filter(|f| f.measure == MeasureId::FormDip).collect();
        assert_eq!(found.iter().map(|f| f.severity).collect::<Vec<_>>(), severity.into_iter().collect::<Vec<_>>(), "{want}: {found:#?}");
        assert_eq!(severity.is_some(), want < 1.0 / 3.0);
        if let Some(one) = found.first() {
            assert!((one.value - want).abs() < 2e-3 * want, "{} against {want}", one.value);
            assert!((one.place.point.x - 900.0).abs() < 6.0 && one.extent > 0.5 * HALF && !one.drawn[0].is_empty(), "{one:#?}");
        }
    }
}

/// κ = ab / (a² sin² t + b² cos² t)^(3/2): b/a² in the middle, ab / ((a² + b²)/2)^(3/2) at the ends.
#[test]
fn a_ramp_is_the_ends_over_the_middle() {
    for (a, b) in [(400.0, 200.0), (300.0, 300.0), (260.0, 420.0)] {
        let mean: f64 = 0.5 * (a * a + b * b);
        let want = a * b / (mean * mean.sqrt()) / (b / (a * a));
        let (above, below) = (MeasureId::FormRamp, [1.01 * want, 0.99 * want]);
        let found = form(ellipse(a, b), &[(above, below[0])]);
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::FormRamp, Severity::Polish));
        assert!((one.value - want).abs() < 1e-4 * want, "{} against {want}", one.value);
        assert!(form(ellipse(a, b), &[(above, below[1])]).is_empty() && form(ellipse(a, b), &[]).is_empty());
    }
}

/// The arc stands b (1 − sin 45°) over its chord.
#[test]
fn a_crown_is_the_height_over_the_chord() {
    for (a, b) in [(400.0, 200.0), (300.0, 300.0), (500.0, 40.0)] {
        let want = b * (1.0 - 0.5_f64.sqrt());
        let found = form(ellipse(a, b), &[(MeasureId::FormCrown, 1.01 * want)]);
        let crowns: Vec<&Finding> = found.iter().filter(|f| f.measure == MeasureId::FormCrown).collect();
        let [one] = crowns.as_slice() else { panic!("{found:#?}") };
        assert!((one.value - want).abs() < 1e-6 * want, "{} against {want}", one.value);
        assert!((one.place.point.x - 900.0).abs() < 6.0 && one.remedy.contains("thirds"), "{one:#?}");
        assert!(form(ellipse(a, b), &[(MeasureId::FormCrown, 0.99 * want)]).iter().all(|f| f.measure != MeasureId::FormCrown));
    }
}
