//! Crown by thirds, ridges that keep their sign.

use super::tests::{EXACT, Numbers, join_of, made, patch_of};
use super::{Crown, Edit, Lock, RidgeSign, TrialError};
use crate::joins::arrangements::{graph_of, master, model_of};
use crate::joins::{Order, Sheets, feature_lines};
use crate::layout::BoxSide;
use crate::math::{Point3, Vec3};
use crate::model::FaceId;
use crate::nurbs::{self, Direction, KnotVector};

#[test]
fn crown_comes_by_thirds_and_locked_sides_do_not_move() {
    let mut numbers = Numbers(31);
    for n in 0..24 {
        let (p, q, rational) = (3 + n % 4, 2 + n % 3, n % 4 == 1);
        let parts = <[nurbs::Surface; 2]>::from(master(p, q, 1 + n % 2, &numbers.list(41), rational).split(Direction::U, 0.35).unwrap());
        let along = if n % 2 == 0 { Direction::U } else { Direction::V };
        let order = [Order::G0, Order::G1, Order::G2, Order::G3][n % 4];
        let mut locks = [Lock::Free; 4];
        locks[0] = Lock::Held(order);
        let by = [numbers.next() * 4.0, numbers.next() * 4.0, numbers.next() * 4.0];
        let up = (n % 5 == 0).then_some(Vec3::new(0.1, 0.2, 1.0));
        let model = model_of(parts.to_vec());
        let applied = made(&model, [Edit::Crown(Crown { face: FaceId::new(1), along, by, up, locks })]);
        assert!(applied.failures.is_empty(), "{n}: {:?}", applied.failures);
        assert!(applied.changes[0].moved.residual < 1e-9, "{:?}", applied.changes[0].moved);
        let (before, after) = (&parts[1], patch_of(&applied, 1));
        let (u, v) = before.domain();
        let middle = before.derivs(u.at(0.5), v.at(0.5), 1);
        let up = up.unwrap_or(middle.su.cross(middle.sv)).normalize();
        for (share, wanted) in [1.0 / 6.0, 0.5, 5.0 / 6.0].into_iter().zip(by) {
            let (a, b) = if along == Direction::U { (u.at(share), v.at(0.5)) } else { (u.at(0.5), v.at(share)) };
            let moved = after.derivs(a, b, 0).s - before.derivs(a, b, 0).s;
            assert!((moved - up * wanted).length() < 1e-8, "{moved} for {wanted}");
        }
        let joined = join_of(&applied.model, 0, 1);
        for m in 0..=super::lock::number(order) {
            assert!(joined[m] <= EXACT[m], "{order:?}: {joined:?}");
        }
    }
}

#[test]
fn no_crown_changes_nothing_and_numbers_that_are_none_are_refused() {
    let patch = master(4, 3, 1, &Numbers(8).list(41), false);
    let model = model_of(vec![patch.clone()]);
    let crown = |by| Edit::Crown(Crown { face: FaceId::new(0), along: Direction::U, by, up: None, locks: [Lock::Free; 4] });
    assert_eq!(patch_of(&made(&model, [crown([0.0; 3])]), 0), patch);
    assert_eq!(made(&model, [crown([f64::NAN, 0.0, 0.0])]).failures[0].error, TrialError::Number);
}

/// A flat strip and one that falls away from it by slopes over the length, as a ridge of 200 mm along x.
fn strips(slopes: &[f64]) -> Vec<nurbs::Surface> {
    let knots = KnotVector::bezier(slopes.len() - 1).unwrap();
    let across = |degree: usize| KnotVector::bezier(degree).unwrap();
    let xs: Vec<f64> = knots.greville().iter().map(|g| 200.0 * g).collect();
    let row = |y: f64, fall: f64| xs.iter().zip(slopes).map(move |(&x, s)| Point3::new(x, y, -y.abs() * s * fall)).collect::<Vec<_>>();
    let flat = [row(-40.0, 0.0), row(0.0, 0.0)].concat();
    let falling = [row(0.0, 1.0), row(13.0, 1.0), row(26.0, 1.0), row(40.0, 1.0)].concat();
    vec![nurbs::Surface::new(across(1), knots.clone(), flat, None).unwrap(), nurbs::Surface::new(across(3), knots, falling, None).unwrap()]
}

#[test]
fn a_ridge_that_flips_keeps_its_sign() {
    for slopes in [vec![0.2, 0.1, 0.05, -0.06], vec![-0.05, 0.2, 0.3, 0.2, -0.04], vec![-0.3, -0.1, -0.1, 0.05, 0.08, -0.2]] {
        let mut model = model_of(strips(&slopes));
        model.faces.iter_mut().for_each(|f| f.same_sense = false);
        let lines = |model: &crate::model::Model| {
            let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
            feature_lines(&Sheets { model, domains: &domains }, &graph_of(model))
        };
        let side = BoxSide { of_u: true, high: false };
        let edit = RidgeSign { face: FaceId::new(1), side, beside: FaceId::new(0), least: 2.5, search: 0.1 };
        let applied = made(&model, [Edit::RidgeSign(edit)]);
        assert!(applied.failures.is_empty(), "{slopes:?}: {:?}", applied.failures);
        let found = lines(&applied.model);
        let [one] = found.as_slice() else { panic!("{} lines", found.len()) };
        assert!(one.flips().is_empty());
        let sign = one.stops[0].angle.signum();
        assert!(one.stops.iter().all(|s| sign * s.angle >= 2.5 - 1e-3), "{slopes:?}");
        assert!(join_of(&applied.model, 0, 1)[0] < EXACT[0]);
        assert_eq!(applied.changes[0].moved.rows, 1);
        // One that keeps it already is left alone.
        let again = made(&applied.model, [Edit::RidgeSign(edit)]);
        assert_eq!(patch_of(&again, 1), patch_of(&applied, 1));
    }
}
