//! Patches made to run on from others, measured by the joins; and patches found back behind needless degrees and knots.

use super::tests::{EXACT, Numbers, join_of, made, patch_of};
use super::{Conform, Edit, Refit, Size, TrialError, both_ways};
use crate::geometry::Surface;
use crate::joins::Order;
use crate::joins::arrangements::{master, model_of, turned_over};
use crate::layout::BoxSide;
use crate::model::FaceId;
use crate::nurbs::{self, Direction, KnotVector};

const FACES: [usize; 2] = [0, 1];

/// A patch of its own degrees, knots and rows, roughly along the leader's greatest u from share `from` to `to`.
fn follower(leader: &nurbs::Surface, (from, to): (f64, f64), numbers: &mut Numbers) -> (nurbs::Surface, BoxSide) {
    let degree = |n: &mut Numbers| 2 + n.below(5);
    let knots = |n: &mut Numbers| {
        let p = degree(n);
        let inner: Vec<(f64, usize)> = (0..n.below(3)).map(|i| (0.3 + 0.35 * i as f64 + 0.1 * n.next(), 1)).collect();
        KnotVector::clamped(p, crate::math::Interval::new(0.0, 1.0), &inner).unwrap()
    };
    let (ku, kv) = (knots(numbers), knots(numbers));
    let high = leader.domain().0.high;
    let mut points = Vec::new();
    for s in ku.greville() {
        for x in kv.greville() {
            let d = leader.derivs(high, from + (to - from) * x, 2);
            let out = d.su.normalize() * (160.0 * s) - d.su.cross(d.sv).normalize() * (25.0 * s * s);
            points.push(d.s + out + numbers.vector(if s == 0.0 { 0.15 } else { 6.0 }));
        }
    }
    let rational = numbers.below(3) == 0;
    let weights = rational.then(|| points.iter().map(|_| 1.0 + 0.25 * numbers.next()).collect());
    let patch = nurbs::Surface::new(ku, kv, points, weights).unwrap();
    // The side that follows is any of the four, running either way.
    let patch = if numbers.below(2) == 0 { reversed(&patch) } else { patch };
    let high = patch.derivs(1.0, 0.5, 0).s.distance(leader.derivs(leader.domain().0.high, 0.5 * (from + to), 0).s) < 40.0;
    if numbers.below(2) == 0 { (turned_over(&patch), BoxSide { of_u: false, high }) } else { (patch, BoxSide { of_u: true, high }) }
}

/// The same patch run from its other end, in both parameters.
fn reversed(s: &nurbs::Surface) -> nurbs::Surface {
    let back = |k: &KnotVector| KnotVector::new(k.degree(), k.knots().iter().rev().map(|t| 1.0 - t).collect()).unwrap();
    let points = s.points().iter().rev().copied().collect();
    let weights = s.weights().map(|w| w.iter().rev().copied().collect());
    nurbs::Surface::new(back(s.knots_u()), back(s.knots_v()), points, weights).unwrap()
}

#[test]
fn a_hundred_pairs_of_any_degrees_run_on_exactly() {
    let mut numbers = Numbers(7391);
    let mut worst = [0.0f64; 4];
    for n in 0..100 {
        let (p, q, spans) = (3 + numbers.below(4), 2 + numbers.below(4), 1 + numbers.below(3));
        let leader = master(p, q, spans, &numbers.list(41), numbers.below(3) == 0);
        // Knots along the side of every third leader, the whole side of every second.
        let leader = if n % 3 == 0 { turned_over(&master(q.max(3), p, 1 + numbers.below(2), &numbers.list(41), false)) } else { leader };
        let stretch = if n % 2 == 0 { (0.0, 1.0) } else { (0.15 + 0.08 * numbers.next(), 0.8 + 0.1 * numbers.next()) };
        let (patch, side) = follower(&leader, stretch, &mut numbers);
        // The leader's side is any of its four as well.
        let leader = if numbers.below(2) == 0 { reversed(&leader) } else { leader };
        let leader = if numbers.below(2) == 0 { turned_over(&leader) } else { leader };
        let order = [Order::G0, Order::G1, Order::G2, Order::G2, Order::G3, Order::G3][n % 6];
        let model = model_of(vec![leader, patch.clone()]);
        let [to, face] = FACES.map(FaceId::new);
        let keep = [Order::G0, Order::G1, Order::G2][numbers.below(3)];
        let edit = Conform { face, side, to, order, keep, search: 12.0, tolerance: 1e-6 };
        let applied = made(&model, [Edit::Conform(edit)]);
        assert!(applied.failures.is_empty(), "{n}: {:?}", applied.failures);
        let k = super::lock::number(order);
        let after = join_of(&applied.model, 0, 1);
        for m in 0..=k {
            worst[m] = worst[m].max(after[m]);
            assert!(after[m] <= EXACT[m], "{n}, {order:?}: {after:?}");
        }
        let moved = &applied.changes[0].moved;
        assert_eq!(moved.rows, k + 1);
        let seam = moved.seam.unwrap();
        assert!(seam.gap <= EXACT[0] && seam.angle.is_none_or(|a| a <= EXACT[1]) && seam.curvature.is_none_or(|c| c <= EXACT[2]));
        // The opposite side keeps what it was asked to, to the last digits of raising degrees.
        let far = |s: &nurbs::Surface| {
            let at = if side.high { 0.0 } else { 1.0 };
            let places = [0.0, 0.3, 1.0].map(|t| if side.of_u { s.derivs(at, t, 2) } else { s.derivs(t, at, 2) });
            let across = places.map(|d| if side.of_u { [d.s.to_vec(), d.su, d.suu] } else { [d.s.to_vec(), d.sv, d.svv] });
            across.map(|d| [d[0], d[1] * 1e-3, d[2] * 1e-6])
        };
        for (a, b) in far(&patch).iter().zip(far(&patch_of(&applied, 1))) {
            assert!((0..=super::lock::number(keep)).all(|m| (a[m] - b[m]).length() < 1e-9), "{n}: {a:?} {b:?}");
        }
    }
    println!(
        "largest of 100 pairs: gap {:e} mm, angle {:e} deg, curvature {:e} 1/mm, slope {:e} 1/mm2",
        worst[0], worst[1], worst[2], worst[3]
    );
}

#[test]
fn inside_a_leader_what_is_left_is_told_and_small() {
    let mut numbers = Numbers(21);
    for order in [Order::G1, Order::G2, Order::G3] {
        let leader = master(4, 4, 1, &numbers.list(41), false);
        // The follower's side lies along a slanting line in the leader.
        let at = |x: f64| leader.derivs(0.3 + 0.2 * x, 0.1 + 0.8 * x, 1);
        let (ku, kv) = (KnotVector::bezier(5).unwrap(), KnotVector::bezier(5).unwrap());
        let mut points = Vec::new();
        for s in ku.greville() {
            for x in kv.greville() {
                let d = at(x);
                points.push(d.s + d.su.normalize() * (90.0 * s) + d.su.cross(d.sv).normalize() * (20.0 * s) + numbers.vector(0.1));
            }
        }
        let patch = nurbs::Surface::new(ku, kv, points, None).unwrap();
        let model = model_of(vec![leader.clone(), patch]);
        let [to, face] = FACES.map(FaceId::new);
        let side = BoxSide { of_u: true, high: false };
        let edit = Conform { face, side, to, order, keep: Order::G0, search: 2.0, tolerance: 1e-5 };
        let applied = made(&model, [Edit::Conform(edit)]);
        assert!(applied.failures.is_empty(), "{:?}", applied.failures);
        let seam = applied.changes[0].moved.seam.unwrap();
        assert!(seam.gap <= 1e-5 && seam.angle.unwrap() < 1e-2 && seam.curvature.is_none_or(|c| c < 1e-5), "{seam:?}");
        assert_eq!(seam.curvature.is_some(), order >= Order::G2);
        // By points of the leader itself: the side's distance is the gap that was told.
        let surface = Surface::Nurbs(leader.clone());
        let search = crate::geometry::SurfaceSearch::new(&surface);
        let now = patch_of(&applied, 1);
        let off = (0..=200).map(|i| search.closest(&surface, now.derivs(0.0, f64::from(i) / 200.0, 0).s).distance).fold(0.0, f64::max);
        assert!(off <= 1.2 * seam.gap + 1e-9, "{off} against {}", seam.gap);
    }
    // Too far away is said, and so is a face of its own.
    let leader = master(4, 4, 1, &numbers.list(41), false);
    let away = leader.map(|p| p + crate::math::Vec3::new(0.0, 0.0, 500.0));
    let model = model_of(vec![leader, away]);
    let edit = |to: usize| Conform {
        face: FaceId::new(1),
        side: BoxSide { of_u: true, high: false },
        to: FaceId::new(to),
        order: Order::G1,
        keep: Order::G0,
        search: 1.0,
        tolerance: 1e-5,
    };
    let applied = made(&model, [Edit::Conform(edit(0)), Edit::Conform(edit(1))]);
    assert!(matches!(applied.failures[0].error, TrialError::Apart(d) if d > 1.0));
    assert!(matches!(applied.failures[1].error, TrialError::Other(_)));
}

fn refit(size: Size) -> Refit {
    Refit { face: FaceId::new(0), size, keep: [None; 4] }
}

#[test]
fn sides_are_kept_as_near_as_the_basis_can_and_fairness_flattens() {
    let mut numbers = Numbers(123);
    let parts = <[nurbs::Surface; 2]>::from(master(4, 4, 1, &numbers.list(41), false).split(Direction::U, 0.4).unwrap());
    // The first part raised: a lower degree can keep its side exactly; and a fit of too low a degree as near as it says.
    let raised = parts[0].elevated(Direction::U).unwrap().elevated(Direction::V).unwrap();
    let model = model_of(vec![raised, parts[1].clone()]);
    let keep = [None, Some(Order::G3), None, None];
    let wish = |degree, keep| Refit { keep, ..refit(Size::Chosen { degree, spans: (2, 1), fairness: 0.0 }) };
    let exact = made(&model, [Edit::Refit(wish((4, 4), keep))]);
    let after = join_of(&exact.model, 0, 1);
    assert!((0..4).all(|m| after[m] <= EXACT[m]), "{after:?}");
    let near = made(&model, [Edit::Refit(wish((4, 3), [None, Some(Order::G1), None, None]))]);
    let (seam, after) = (near.changes[0].moved.seam.unwrap(), join_of(&near.model, 0, 1));
    assert!(seam.gap > 1e-3 && (seam.gap - after[0]).abs() < 0.2 * after[0], "{seam:?} {after:?}");
    assert!((seam.angle.unwrap() - after[1]).abs() < 0.2 * after[1] + 1e-3 && seam.curvature.is_none());
    // More bending that counts, less of it; and farther off.
    let bumpy = master(6, 6, 1, &numbers.list(41), false);
    let fits = [0.0, 1e-4, 1e-1].map(|fairness| {
        let size = Size::Chosen { degree: (6, 6), spans: (1, 1), fairness };
        made(&model_of(vec![bumpy.clone()]), [Edit::Refit(refit(size))]).changes[0].moved.residual
    });
    assert!(fits[0] < 1e-9 && fits[0] < fits[1] && fits[1] < fits[2], "{fits:?}");
}

#[test]
fn needless_degrees_and_knots_are_found_by_themselves() {
    let mut numbers = Numbers(77);
    for n in [0, 3, 5, 7, 10] {
        let (p, q, spans) = (2 + n % 4, 2 + n / 4, 1 + n % 3);
        let plain = master(p, q, spans, &numbers.list(41), n % 4 == 3);
        let mut heavy = plain.clone();
        for along in [Direction::U, Direction::V, Direction::U] {
            heavy = heavy.elevated(along).unwrap();
        }
        let knots = |numbers: &mut Numbers| -> Vec<f64> { (0..3).map(|i| 0.2 + 0.3 * f64::from(i) + 0.1 * numbers.next()).collect() };
        heavy = heavy.with_knots(Direction::U, &knots(&mut numbers)).unwrap().with_knots(Direction::V, &knots(&mut numbers)).unwrap();
        let model = model_of(vec![heavy.clone()]);
        let size = |s: &nurbs::Surface| (s.knots_u().degree(), s.knots_v().degree(), s.knots_u().span_count(), s.knots_v().span_count());
        let found = made(&model, [Edit::Refit(refit(Size::Smallest { tolerance: 1e-9 }))]);
        assert!(found.failures.is_empty());
        let now = patch_of(&found, 0);
        assert_eq!(size(&now), (p, q, spans, 1));
        let d = found.changes[0].deviation();
        assert!(d.from_new <= 1e-9 && d.from_old <= 1e-9 && found.changes[0].moved.residual <= 1e-9, "{d:?}");
        // Asked for by its true size it is the same.
        let size = Size::Chosen { degree: (p, q), spans: (spans, 1), fairness: 0.0 };
        let chosen = made(&model, [Edit::Refit(refit(size))]);
        let d = both_ways(&[Surface::Nurbs(plain)], &[Surface::Nurbs(patch_of(&chosen, 0))]);
        assert!(d.from_new <= 1e-9 && d.from_old <= 1e-9, "{d:?}");
        // Asked for smaller, it says how far that is off, and no place is farther.
        let size = Size::Chosen { degree: (p.max(3) - 1, 2), spans: (1, 1), fairness: 0.0 };
        let small = made(&model, [Edit::Refit(refit(size))]);
        let (moved, d) = (&small.changes[0].moved, small.changes[0].deviation());
        assert!(d.from_new <= 1.05 * moved.residual + 1e-9 && d.from_old <= 1.05 * moved.residual + 1e-9, "{d:?} {moved:?}");
    }
}
