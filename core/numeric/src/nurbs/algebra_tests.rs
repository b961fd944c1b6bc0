//! Every operation keeps the shape: random degrees, knots of any multiplicity, clamped or not, rational or not.

use super::any_knots::any_knots;
use super::*;
use crate::math::Point3;
use proptest::prelude::*;

fn any_curve() -> impl Strategy<Value = Curve<3>> {
    (any_knots(), proptest::collection::vec((-50.0f64..50.0, -9.0f64..9.0, 3.0f64..90.0, 0.2f64..4.0), 48), any::<bool>()).prop_map(
        |(k, numbers, rational)| {
            let n = k.point_count();
            let at = |i: usize| numbers[i % numbers.len()];
            let points = (0..n).map(|i| [at(i).0, at(i).1, at(i).2]).collect();
            Curve::new(k, points, rational.then(|| (0..n).map(|i| at(i).3).collect())).unwrap()
        },
    )
}

fn any_surface() -> impl Strategy<Value = Surface> {
    (any_knots(), any_knots(), proptest::collection::vec((-50.0f64..50.0, -9.0f64..9.0, 3.0f64..90.0, 0.2f64..4.0), 61), any::<bool>())
        .prop_map(|(ku, kv, numbers, rational)| {
            let n = ku.point_count() * kv.point_count();
            let at = |i: usize| numbers[i % numbers.len()];
            let points = (0..n).map(|i| Point3::new(at(i).0, at(i).1, at(i).2)).collect();
            Surface::new(ku, kv, points, rational.then(|| (0..n).map(|i| at(i).3).collect())).unwrap()
        })
}

/// Same position and first three derivatives at a share of the second curve's domain, relative to the size of each.
fn same_curve(a: &Curve<3>, b: &Curve<3>, share: f64) -> Result<(), TestCaseError> {
    let t = b.domain().at(share);
    let (x, y) = (a.derivs(t, 3), b.derivs(t, 3));
    for k in 0..4 {
        let size = x[k].iter().fold(100.0f64, |m, v| m.max(v.abs()));
        for d in 0..3 {
            prop_assert!((x[k][d] - y[k][d]).abs() < 1e-9 * size, "derivative {}: {:?} against {:?}", k, x[k], y[k]);
        }
    }
    Ok(())
}

fn same_surface(a: &Surface, b: &Surface, s: f64, t: f64) -> Result<(), TestCaseError> {
    let (du, dv) = b.domain();
    let (x, y) = (a.derivs(du.at(s), dv.at(t), 3), b.derivs(du.at(s), dv.at(t), 3));
    prop_assert!(x.s.distance(y.s) < 1e-10 * 100.0);
    for (p, q) in [(x.su, y.su), (x.sv, y.sv), (x.suv, y.suv), (x.suu, y.suu), (x.svvv, y.svvv)] {
        prop_assert!((p - q).length() < 1e-8 * p.length().max(100.0), "{p} against {q}");
    }
    Ok(())
}

/// A share that falls on no knot of any curve tested: derivatives from the right differ there by design.
const SHARES: core::ops::Range<f64> = 0.001..0.999;

proptest! {
    #[test]
    fn knot_insertion_keeps_a_curve(c in any_curve(), at in proptest::collection::vec(0.01f64..0.99, 1..4), share in SHARES) {
        let added: Vec<f64> = at.iter().map(|&s| c.domain().at(s)).collect();
        let d = c.with_knots(&added).unwrap();
        prop_assert_eq!(d.points().len(), c.points().len() + added.len());
        same_curve(&c, &d, share)?;
    }

    #[test]
    fn elevation_keeps_a_curve_twice(c in any_curve(), share in SHARES) {
        let d = c.elevated().unwrap();
        prop_assert_eq!(d.knots().degree(), c.knots().degree() + 1);
        prop_assert_eq!(d.domain(), c.domain());
        same_curve(&c, &d, share)?;
        same_curve(&c, &d.elevated().unwrap(), share)?;
    }

    #[test]
    fn parts_and_segments_keep_a_curve(c in any_curve(), at in 0.05f64..0.95, share in SHARES) {
        let t = c.domain().at(at);
        let (a, b) = c.split(t).unwrap();
        same_curve(&c, &a, share)?;
        same_curve(&c, &b, share)?;
        // Both parts end at the point they share, as control points.
        let p = c.derivs(t, 0)[0];
        let (x, y) = (a.points().last().unwrap(), &b.points()[0]);
        for d in 0..3 {
            prop_assert!((x[d] - p[d]).abs() < 1e-9 && (y[d] - p[d]).abs() < 1e-9);
        }
        let segments = c.bezier_segments().unwrap();
        prop_assert_eq!(segments.len(), c.knots().span_count());
        for s in &segments {
            prop_assert_eq!(s.points().len(), c.knots().degree() + 1);
            same_curve(&c, s, share)?;
        }
        let k = c.clamped().unwrap();
        prop_assert!(k.knots().is_clamped());
        same_curve(&c, &k, share)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn every_operation_keeps_a_surface(a in any_surface(), at in 0.05f64..0.95, s in SHARES, t in SHARES) {
        for along in [Direction::U, Direction::V] {
            let x = a.knots_along(along).domain().at(at);
            same_surface(&a, &a.with_knots(along, &[x]).unwrap(), s, t)?;
            same_surface(&a, &a.elevated(along).unwrap(), s, t)?;
            let (low, high) = a.split(along, x).unwrap();
            same_surface(&a, &low, s, t)?;
            same_surface(&a, &high, s, t)?;
        }
        same_surface(&a, &a.clamped().unwrap(), s, t)?;
        let patches = a.bezier_patches().unwrap();
        prop_assert_eq!(patches.len(), a.knots_u().span_count() * a.knots_v().span_count());
        for p in &patches {
            prop_assert_eq!(p.surface.domain(), (p.u, p.v));
            same_surface(&a, &p.surface, s, t)?;
        }
    }
}

#[test]
fn refuses_what_cannot_be() {
    let c = Curve::new(KnotVector::uniform(2, 2).unwrap(), vec![[0.0, 0.0], [1.0, 2.0], [3.0, 1.0], [5.0, 0.0]], None).unwrap();
    assert_eq!(c.with_knots(&[0.5, 0.5]).unwrap_err(), NurbsError::Multiplicity(0.5));
    assert_eq!(c.with_knots(&[1.0]).unwrap_err(), NurbsError::Outside(1.0));
    assert!(c.with_knots(&[f64::NAN]).is_err());
    assert_eq!(c.between(0.7, 0.7).unwrap_err(), NurbsError::Empty);
    assert_eq!(c.between(-0.1, 0.7).unwrap_err(), NurbsError::Outside(-0.1));
}

/// NB Ex5.1 pattern by hand: inserting the middle of a quadratic Bézier segment gives its de Casteljau points.
#[test]
fn halving_a_parabola_gives_de_casteljau_points() {
    let c = Curve::new(KnotVector::bezier(2).unwrap(), vec![[0.0, 0.0], [2.0, 8.0], [6.0, 4.0]], None).unwrap();
    let (a, b) = c.split(0.5).unwrap();
    assert_eq!(a.points(), &[[0.0, 0.0], [1.0, 4.0], [2.5, 5.0]]);
    assert_eq!(b.points(), &[[2.5, 5.0], [4.0, 6.0], [6.0, 4.0]]);
    assert_eq!(c.elevated().unwrap().points()[1], [4.0 / 3.0, 16.0 / 3.0]);
}
