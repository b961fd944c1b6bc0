//! Two halves of one patch come back to it; two patches that one cannot replace leave what they must.

use super::{BoxSide, Half, Merged, merge};
use crate::geometry::{self, closest_on_surface};
use crate::math::{Point2, Point3, real};
use crate::nurbs::{Direction, KnotVector, Surface};
use proptest::prelude::*;

const AT_END: BoxSide = BoxSide { of_u: true, high: true };
const AT_START: BoxSide = BoxSide { of_u: true, high: false };

fn bumpy(ku: &KnotVector, kv: &KnotVector, seed: f64, weigh: bool) -> Surface {
    let (gu, gv) = (ku.greville(), kv.greville());
    let point = |i: usize, j: usize| {
        let z = 30.0 * real::sin(seed + 2.3 * i as f64) + 20.0 * real::cos(seed + 1.9 * j as f64 + 0.7 * i as f64);
        Point3::new(400.0 * gu[i], 300.0 * gv[j], z)
    };
    let each = || (0..gu.len()).flat_map(|i| (0..gv.len()).map(move |j| (i, j)));
    let weights = weigh.then(|| each().map(|(i, j)| 1.0 + 0.3 * real::sin(seed + (3 * i + 5 * j) as f64)).collect());
    Surface::new(ku.clone(), kv.clone(), each().map(|(i, j)| point(i, j)).collect(), weights).unwrap()
}

/// The same places over parameters that run against u, against v, or in each other's place.
fn turned(s: &Surface, against_u: bool, against_v: bool, swapped: bool) -> Surface {
    let back = |k: &KnotVector| {
        let (a, b) = (k.domain().low, k.domain().high);
        KnotVector::new(k.degree(), k.knots().iter().rev().map(|t| a + b - t).collect()).unwrap()
    };
    let (nu, nv) = s.size();
    let from = |i: usize, j: usize| (if against_u { nu - 1 - i } else { i }) * nv + if against_v { nv - 1 - j } else { j };
    let order: Vec<usize> = if swapped {
        (0..nv).flat_map(|j| (0..nu).map(move |i| from(i, j))).collect()
    } else {
        (0..nu).flat_map(|i| (0..nv).map(move |j| from(i, j))).collect()
    };
    let ku = if against_u { back(s.knots_u()) } else { s.knots_u().clone() };
    let kv = if against_v { back(s.knots_v()) } else { s.knots_v().clone() };
    let (ku, kv) = if swapped { (kv, ku) } else { (ku, kv) };
    let pick = |k: &usize| s.points()[*k];
    let weights = s.weights().map(|w| order.iter().map(|&k| w[k]).collect());
    Surface::new(ku, kv, order.iter().map(pick).collect(), weights).unwrap()
}

/// The same surface with knots over 0 to 1 in both directions, as files have them.
fn own_range(s: &Surface) -> Surface {
    let unit = |k: &KnotVector| {
        let d = k.domain();
        KnotVector::new(k.degree(), k.knots().iter().map(|t| (t - d.low) / d.length()).collect()).unwrap()
    };
    Surface::new(unit(s.knots_u()), unit(s.knots_v()), s.points().to_vec(), s.weights().map(<[f64]>::to_vec)).unwrap()
}

/// Largest distance of places of a surface from a patch, by search for the nearest point.
fn searched(of: &Surface, from: &Surface) -> f64 {
    let from = geometry::Surface::Nurbs(from.clone());
    let (u, v) = of.domain();
    let place = |i: u32, j: u32| of.derivs(u.at(f64::from(i) / 40.0), v.at(f64::from(j) / 20.0), 0).s;
    let all = (0..=40).flat_map(|i| (0..=20).map(move |j| (i, j)));
    all.map(|(i, j)| closest_on_surface(&from, place(i, j), Point2::new(0.5, 0.5)).distance).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Cut anywhere, each half over a range and in directions of its own, rational or not, of one span or more.
    #[test]
    fn two_halves_of_one_patch_come_back_to_it(
        p in 2usize..=6, q in 2usize..=5, spans in 1usize..=3, cut in 0.2f64..0.8, seed in 0.0f64..6.0, weigh: bool,
        (au, av, swap) in any::<(bool, bool, bool)>(),
    ) {
        let whole = bumpy(&KnotVector::uniform(p, spans).unwrap(), &KnotVector::bezier(q).unwrap(), seed, weigh);
        let (a, b) = whole.split(Direction::U, cut).unwrap();
        let other = turned(&own_range(&b), au, av, swap);
        // Of the second half's own sides, the one that was at the cut.
        let side = BoxSide { of_u: !swap, high: au };
        let merged = merge(&Half { patch: own_range(&a), side: AT_END }, &Half { patch: other, side }, !av, 0.01).unwrap();
        prop_assert!(merged.off < 1e-9, "{}", merged.off);
        // The original's own degree and no more spans than it had, or one where it was cut at a knot.
        prop_assert_eq!(merged.patch.knots_u().degree(), p);
        prop_assert_eq!(merged.patch.knots_u().span_count(), spans);
        prop_assert!(searched(&whole, &merged.patch) < 1e-8);
    }
}

/// Parabola beside a flat: z = 0 for x < 0 and h x² for x > 0 meet G1. Of h x² H(x) = h (x² + x|x|)/2 a parabola takes the even part and
/// of the odd part g = x|x|/2 its projection 3x/8 (∫x·g / ∫x² over −1 to 1); what is left is largest at the ends, h/8.
#[test]
fn a_parabola_and_a_flat_leave_an_eighth() {
    for h in [0.04, 0.4] {
        let strip = |from: f64, heights: [f64; 3]| {
            let points = (0..3).flat_map(|i| [0.0, 80.0].map(|y| Point3::new(from + 100.0 * i as f64, y, heights[i]))).collect();
            Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), points, None).unwrap()
        };
        let (flat, bent) = (strip(-200.0, [0.0; 3]), strip(0.0, [0.0, 0.0, h]));
        let Merged { patch, off } =
            merge(&Half { patch: flat.clone(), side: AT_END }, &Half { patch: bent.clone(), side: AT_START }, true, 1e-6).unwrap();
        assert!((off - h / 8.0).abs() < 2e-3 * h / 8.0, "{off} against {}", h / 8.0);
        let far = searched(&flat, &patch).max(searched(&bent, &patch));
        assert!((off - far).abs() < 1e-3 * off, "{off} against {far} by search");
    }
}

/// Two patches that meet G1 with other curvatures, of degree 5: the deviation told is that of the nearest points, found by search.
#[test]
fn two_patches_of_a_tangent_join_cannot_be_one() {
    let arc = |radius: f64, from: f64, to: f64, centre: f64| {
        let at = |x: f64| {
            let turn = (from + (to - from) * x) / radius;
            (radius * real::sin(turn), centre - radius * real::cos(turn))
        };
        let k = KnotVector::bezier(5).unwrap();
        let samples: Vec<_> = (0..=40)
            .map(|i| {
                let t = f64::from(i) / 40.0;
                let (x, z) = at(t);
                crate::nurbs::fit::CurveSample { t, point: [x, 0.0, z], weight: 1.0 }
            })
            .collect();
        let row = crate::nurbs::fit::fit_curve(&k, &samples, None, &[]).unwrap();
        let points = row.points().iter().flat_map(|p| [0.0, 120.0].map(|y| Point3::new(p[0], y, p[2]))).collect();
        Surface::new(k, KnotVector::bezier(1).unwrap(), points, None).unwrap()
    };
    let (a, b) = (arc(900.0, -250.0, 0.0, 900.0), arc(300.0, 0.0, 180.0, 300.0));
    let merged = merge(&Half { patch: a.clone(), side: AT_END }, &Half { patch: b.clone(), side: AT_START }, true, 0.01).unwrap();
    let far = searched(&a, &merged.patch).max(searched(&b, &merged.patch));
    println!("off by {} mm, by search {far}", merged.off);
    assert!(merged.off > 0.05, "{}", merged.off);
    assert!((merged.off - far).abs() < 0.02 * far, "{} against {far}", merged.off);
}
