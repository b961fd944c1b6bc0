//! Patches made of others, or anew; and what is written of them.

use super::tests::{EXACT, Numbers, join_of, made, patch_of, trimmed};
use super::{Conform, Drag, EdgeRefit, Edit, Lock, Merge, TrialError, Trials, both_ways};
use crate::exchange::write::StepOptions;
use crate::exchange::{Limits, read};
use crate::geometry::Surface;
use crate::joins::Order;
use crate::joins::arrangements::{master, model_of, turned_over};
use crate::layout::BoxSide;
use crate::math::Vec3;
use crate::model::{FaceId, Model};
use crate::nurbs::{self, Direction};
use crate::progress::Silent;

#[test]
fn halves_of_one_patch_become_it_again() {
    let mut numbers = Numbers(41);
    for n in [0, 1, 4, 5, 7] {
        let whole = master(3 + n % 3, 2 + n % 4, 1, &numbers.list(41), n % 5 == 4);
        let along = if n % 2 == 0 { Direction::U } else { Direction::V };
        let [a, b] = <[nurbs::Surface; 2]>::from(whole.split(along, 0.45).unwrap());
        let [a, b] = if n % 3 == 1 { [a, turned_over(&b)] } else { [b, a] };
        let third = a.map(|p| p + Vec3::Z * 900.0);
        let model = model_of(vec![a.clone(), b.clone(), third]);
        let merge = Edit::Merge(Merge { faces: [FaceId::new(0), FaceId::new(1)], tolerance: 1e-6, search: 0.1 });
        let later = Edit::Merge(Merge { faces: [FaceId::new(1), FaceId::new(2)], tolerance: 1e-6, search: 0.1 });
        let applied = made(&model, [merge, later]);
        assert_eq!(applied.failures.iter().map(|f| f.error.clone()).collect::<Vec<_>>(), [TrialError::Gone(FaceId::new(1))]);
        assert_eq!((applied.model.faces.len(), applied.origin.as_slice()), (2, [0, 2].map(FaceId::new).as_slice()));
        assert_eq!((applied.face(FaceId::new(1)), applied.face(FaceId::new(2))), (None, Some(FaceId::new(1))));
        let now = patch_of(&applied, 0);
        assert_eq!(now.knots_u().span_count() * now.knots_v().span_count(), 1);
        let d = both_ways(&[Surface::Nurbs(whole.clone())], &[Surface::Nurbs(now.clone())]);
        assert!(d.from_new < 1e-6 && d.from_old < 1e-6, "{d:?}");
        let c = &applied.changes[0];
        assert_eq!((c.before.len(), c.after.len()), (2, 1));
        let own = c.deviation();
        assert!(own.from_new < 1e-6 && own.from_old < 1e-6 && c.moved.residual <= 1e-6, "{own:?}");
        // The normal is still on the side of the first.
        let (u, v) = now.domain();
        let (x, y) = (now.derivs(u.at(0.5), v.at(0.5), 1), Surface::Nurbs(a.clone()));
        let foot = crate::geometry::SurfaceSearch::new(&y).closest(&y, x.s);
        assert!(x.su.cross(x.sv).dot(y.normal(foot.uv.u, foot.uv.v).unwrap()) > 0.0);
    }
    let far = master(3, 3, 1, &numbers.list(41), false);
    let model = model_of(vec![far.clone(), far.map(|p| p + Vec3::Z * 300.0)]);
    let applied = made(&model, [Edit::Merge(Merge { faces: [FaceId::new(0), FaceId::new(1)], tolerance: 1e-3, search: 0.1 })]);
    assert!(matches!(applied.failures[0].error, TrialError::Apart(_)), "{:?}", applied.failures);
}

#[test]
fn a_patch_is_made_anew_on_a_border_of_lower_degree() {
    let mut numbers = Numbers(55);
    for (n, side) in super::net::SIDES.into_iter().enumerate() {
        for (degree, spans) in [[(2, 1), (3, 2)], [(3, 1), (6, 2)]][n % 2] {
            let patch = master(5, 6, 2, &numbers.list(41), side.high && degree == 3);
            let model = model_of(vec![patch.clone()]);
            let applied = made(&model, [Edit::EdgeRefit(EdgeRefit { face: FaceId::new(0), side, degree, spans })]);
            assert!(applied.failures.is_empty(), "{:?}", applied.failures);
            let now = patch_of(&applied, 0);
            let line = now.knots_along(super::net::along(side));
            assert_eq!((line.degree(), line.span_count()), (degree, spans));
            assert_eq!(now.knots_along(super::net::across(side)), patch.knots_along(super::net::across(side)));
            let (moved, d) = (&applied.changes[0].moved, applied.changes[0].deviation());
            assert!(d.from_new <= 1.05 * moved.residual + 1e-9 && d.from_old <= 1.05 * moved.residual + 1e-9, "{d:?} {moved:?}");
            let corners = |s: &nurbs::Surface| [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)].map(|(u, v)| s.derivs(u, v, 0).s);
            assert!(corners(&patch).iter().zip(corners(&now)).all(|(a, b)| a.distance(b) < 1e-9));
        }
    }
    // A border that needs no more is kept, and so is the patch.
    let plain = master(3, 3, 1, &numbers.list(41), false);
    let raised = plain.elevated(Direction::V).unwrap().elevated(Direction::V).unwrap();
    let side = BoxSide { of_u: true, high: false };
    let applied = made(&model_of(vec![raised]), [Edit::EdgeRefit(EdgeRefit { face: FaceId::new(0), side, degree: 3, spans: 1 })]);
    let d = applied.changes[0].deviation();
    assert!(d.from_new < 1e-9 && d.from_old < 1e-9 && patch_of(&applied, 0).size() == plain.size(), "{d:?}");
}

#[test]
fn what_is_written_reads_back_bit_for_bit() {
    let mut numbers = Numbers(66);
    let [a, b] = <[nurbs::Surface; 2]>::from(master(4, 4, 2, &numbers.list(41), true).split(Direction::U, 0.3).unwrap());
    let off = numbers.vector(0.01);
    let mut model = model_of(vec![a, b.map(|p| p + off)]);
    let round = trimmed(&master(5, 5, 1, &numbers.list(41), false).map(|p| p + Vec3::Z * 400.0));
    let mut face = round.faces[0].clone();
    (model.edges, model.vertices) = (round.edges, round.vertices);
    face.name = "lid".into();
    model.faces.push(face);
    model.name = "trial".into();
    let drag = |face: usize| {
        Edit::Drag(Drag { face: FaceId::new(face), point: (2, 2), by: Vec3::Z * 7.0, reach: (1, 1), locks: [Lock::Free; 4], twin: None })
    };
    let side = BoxSide { of_u: true, high: false };
    let [to, follower] = [0, 1].map(FaceId::new);
    let conform = Conform { face: follower, side, to, order: Order::G2, keep: Order::G0, search: 0.5, tolerance: 1e-6 };
    let mut trials = Trials::default();
    trials.add("run on", Edit::Conform(conform));
    trials.add("lift", drag(2));
    let applied = trials.apply(&model);
    assert!(applied.failures.is_empty(), "{:?}", applied.failures);
    let back = |text: &str| -> Model { read(text.as_bytes(), "x.stp", &Limits::default(), &mut Silent).unwrap().model };
    let written = applied.step(&StepOptions::default());
    assert_eq!(written, applied.step(&StepOptions::default()));
    let got = back(&written.text);
    assert_eq!(got.faces.len(), 3);
    let same = |a: &Model, b: &Model, i: usize, k: usize| assert_eq!(a.faces[i].surface, b.faces[k].surface);
    let order: Vec<usize> = (0..3).map(|i| got.faces.iter().position(|f| f.surface == applied.model.faces[i].surface).unwrap()).collect();
    (0..3).for_each(|i| same(&applied.model, &got, i, order[i]));
    let joined = join_of(&got, order[0].min(order[1]), order[0].max(order[1]));
    assert!((0..3).all(|m| joined[m] <= EXACT[m]), "{joined:?}");
    let area = |m: &Model, i: usize| m.domain(FaceId::new(i)).unwrap().area(&m.faces[i].surface);
    assert!((area(&got, order[2]) - area(&applied.model, 2)).abs() < 1e-6 * area(&got, order[2]));
    // Only what has changed.
    let got = back(&applied.step_of_changed(&StepOptions::default()).text);
    assert_eq!(got.faces.len(), 2);
    assert!([1, 2].iter().all(|&i: &usize| got.faces.iter().any(|f| f.surface == applied.model.faces[i].surface)));
}
