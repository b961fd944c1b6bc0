//! Fillets between faces whose sections are known; patches carried on; sweeps in place of patches.

use super::tests::{EXACT, Numbers, join_of, made, patch_of};
use super::{Edit, Extend, Profile, Refillet, Resweep, Sections, Setback, TrialError};
use crate::geometry::{Surface, SurfaceSearch};
use crate::joins::arrangements::{master, model_of, tilted, turned_over};
use crate::math::{Frame, Point3, real};
use crate::model::FaceId;
use crate::nurbs::{self, Direction, KnotVector};

const LENGTH: f64 = 120.0;

/// A ruled patch of a section line (x, z) by its control points, along y of a frame, the section along u.
fn along_y(f: &Frame, section: &[(f64, f64)]) -> nurbs::Surface {
    let net = section.iter().flat_map(|&(x, z)| [0.0, LENGTH].map(|y| f.point(x, y, z))).collect();
    nurbs::Surface::new(KnotVector::bezier(section.len() - 1).unwrap(), KnotVector::bezier(1).unwrap(), net, None).unwrap()
}

/// Two planes that meet along y at an interior angle, from setbacks `a` and `b` on; and a lopsided patch between them.
fn corner(f: &Frame, angle: f64, [a, b]: [f64; 2]) -> [nurbs::Surface; 3] {
    let (sin, cos) = real::sin_cos(angle);
    let first = along_y(f, &[(90.0, 0.0), (a, 0.0)]);
    let second = along_y(f, &[(b * cos, b * sin), (90.0 * cos, 90.0 * sin)]);
    let between = along_y(f, &[(a, 0.0), (0.3 * a, 0.0), (0.1 * b * cos, 0.1 * b * sin), (b * cos, b * sin)]);
    [first, between, second]
}

fn refillet(profile: Profile, radius: Option<f64>, along: Direction) -> Edit {
    let setback = radius.map_or(Setback::Mean, Setback::Radius);
    let beside = [FaceId::new(0), FaceId::new(2)];
    Edit::Refillet(Refillet { face: FaceId::new(1), along, beside, profile, setback, tolerance: 1e-7, search: 0.01 })
}

#[test]
fn between_planes_the_round_is_a_circle_with_equal_setbacks() {
    let f = tilted();
    for degrees in [45.0f64, 90.0, 120.0, 155.0] {
        let angle = degrees.to_radians();
        // The mean of the present setbacks, whatever the edges do that the faces beside have now.
        let model = model_of(corner(&f, angle, [12.0, 7.0]).to_vec());
        let applied = made(&model, [refillet(Profile::Round, None, Direction::V)]);
        assert!(applied.failures.is_empty(), "{:?}", applied.failures);
        let (now, r) = (patch_of(&applied, 1), 9.5 * real::tan(0.5 * angle));
        let centre = |y: f64| f.point(9.5, y, r);
        for i in 0..=20 {
            for j in 0..=5 {
                let (u, v) = (f64::from(i) / 20.0, f64::from(j) / 5.0);
                let p = now.derivs(u, v, 0).s;
                assert!((p.distance(centre(v * LENGTH)) - r).abs() < 1e-9, "{}", p.distance(centre(v * LENGTH)) - r);
            }
        }
        let notes = &applied.changes[0].moved.notes;
        assert!(
            notes[0].starts_with("setbacks 9.5000 to 9.5000") && notes[2].contains("-2.5000") && notes[3].contains("2.5000"),
            "{notes:?}"
        );
        // Where the faces end at the new edges, the joins say the rest.
        for profile in [Profile::Round, Profile::Curvature] {
            let [a, between, b] = corner(&f, angle, [9.5, 9.5]);
            for (between, along) in [(between.clone(), Direction::V), (turned_over(&between), Direction::U)] {
                let model = model_of(vec![a.clone(), between, b.clone()]);
                let applied = made(&model, [refillet(profile, Some(r), along)]);
                let joins = [join_of(&applied.model, 0, 1), join_of(&applied.model, 1, 2)];
                let orders = if profile == Profile::Round { 2 } else { 3 };
                for m in 0..orders {
                    assert!(joins.iter().all(|j| j[m] <= EXACT[m]), "{profile:?} at {degrees}: {joins:?}");
                }
                if profile == Profile::Round {
                    assert!(joins.iter().all(|j| (j[2] - 1.0 / r).abs() < 1e-9), "{joins:?}");
                }
            }
        }
    }
}

#[test]
fn beside_a_curved_face_setbacks_are_equal_and_curvatures_met() {
    let f = tilted();
    let k: f64 = 0.006;
    let s: f64 = 15.0;
    // On x = k z² at the distance s from the edge: z² + k² z⁴ = s².
    let z0 = ((-1.0 + (1.0 + 4.0 * k * k * s * s).sqrt()) / (2.0 * k * k)).sqrt();
    let parabola = |from: f64, to: f64| along_y(&f, &[(k * from * from, from), (k * from * to, 0.5 * (from + to)), (k * to * to, to)]);
    let floor = along_y(&f, &[(90.0, 0.0), (s, 0.0)]);
    let between = along_y(&f, &[(s, 0.0), (4.0, 1.0), (1.0, 5.0), (k * z0 * z0, z0)]);
    let model = model_of(vec![floor, between, parabola(z0, 70.0)]);
    // The edge is square, so the circle's radius is the setback.
    let applied = made(&model, [refillet(Profile::Curvature, Some(s), Direction::V)]);
    assert!(applied.failures.is_empty(), "{:?}", applied.failures);
    let joins = [join_of(&applied.model, 0, 1), join_of(&applied.model, 1, 2)];
    for m in 0..3 {
        assert!(joins.iter().all(|j| j[m] <= EXACT[m]), "{joins:?}");
    }
    // Bending against the fillet as well, and along the fillet by more than its own degree can hold.
    let line = KnotVector::bezier(4).unwrap();
    let mut points = Vec::new();
    for i in 0..3 {
        for j in 0..5 {
            let (z, y) = (5.0 + 35.0 * f64::from(i), LENGTH * f64::from(j) / 4.0);
            points.push(f.point(-0.002 * z * z + 3.0 * real::sin(0.02 * y), y, z));
        }
    }
    let wall = nurbs::Surface::new(KnotVector::bezier(2).unwrap(), line.clone(), points, None).unwrap();
    let edge = |y: f64| wall.derivs(0.0, y, 0).s;
    let floor = along_y(&f, &[(90.0, 0.0), (12.0, 0.0)]);
    let net = [0.0, 0.5, 1.0].iter().flat_map(|&x| line.greville().into_iter().map(move |y| (x, y)));
    let points = net.map(|(x, y)| f.point(12.0, LENGTH * y, 0.0).lerp(edge(y), x)).collect();
    let between = nurbs::Surface::new(KnotVector::bezier(2).unwrap(), line, points, None).unwrap();
    let model = model_of(vec![floor, between, wall.clone()]);
    for profile in [Profile::Round, Profile::Curvature] {
        let wish = Refillet {
            search: 1.0,
            tolerance: 1e-6,
            ..match refillet(profile, Some(14.0), Direction::V) {
                Edit::Refillet(r) => r,
                _ => unreachable!(),
            }
        };
        let applied = made(&model, [Edit::Refillet(wish)]);
        assert!(applied.failures.is_empty(), "{:?}", applied.failures);
        let seam = applied.changes[0].moved.seam.unwrap();
        assert!(seam.gap < 2e-6 && seam.angle.unwrap() < 1e-4 && seam.curvature.is_none_or(|c| c < 1e-6), "{seam:?}");
        assert_eq!(seam.curvature.is_some(), profile == Profile::Curvature);
    }
    // What does not meet is said.
    let [a, between, _] = corner(&f, 1.0, [9.0, 9.0]);
    let away = a.map(|p| p + f.z * 5.0);
    let failed = made(&model_of(vec![a, between, away]), [refillet(Profile::Round, None, Direction::V)]);
    assert!(matches!(failed.failures[0].error, TrialError::Apart(_)), "{:?}", failed.failures);
}

#[test]
fn an_extended_patch_is_the_same_surface_and_longer() {
    let mut numbers = Numbers(13);
    for (n, side) in super::net::SIDES.into_iter().enumerate() {
        for rational in [false, true] {
            let patch = master(2 + n, 3, 1 + n % 3, &numbers.list(41), rational);
            let model = model_of(vec![patch.clone()]);
            let applied = made(&model, [Edit::Extend(Extend { face: FaceId::new(0), side, length: 12.5 })]);
            assert!(applied.failures.is_empty(), "{:?}", applied.failures);
            let now = patch_of(&applied, 0);
            for i in 0..=10 {
                for j in 0..=10 {
                    let (u, v) = (f64::from(i) / 10.0, f64::from(j) / 10.0);
                    assert!(now.derivs(u, v, 0).s.distance(patch.derivs(u, v, 0).s) < 1e-9);
                }
            }
            // Mean of the lengths of lines from the old side to the new one.
            let over = now.knots_along(super::net::across(side)).domain();
            let (from, to) = if side.high { (1.0, over.high) } else { (0.0, over.low) };
            let line = |t: f64| {
                let at = |x: f64| if side.of_u { now.derivs(x, t, 0).s } else { now.derivs(t, x, 0).s };
                (0..50)
                    .map(|i| at(from + (to - from) * f64::from(i) / 50.0).distance(at(from + (to - from) * f64::from(i + 1) / 50.0)))
                    .sum::<f64>()
            };
            let mean = (0..40).map(|i| line((f64::from(i) + 0.5) / 40.0)).sum::<f64>() / 40.0;
            assert!((mean - 12.5).abs() < 0.02, "{mean}");
            let d = applied.changes[0].deviation();
            assert!(d.from_old < 1e-9 && d.from_new > 8.0, "{d:?}");
        }
    }
    let side = super::net::SIDES[1];
    let model = model_of(vec![master(3, 3, 1, &numbers.list(41), false)]);
    let far = made(&model, [Edit::Extend(Extend { face: FaceId::new(0), side, length: 1e5 })]);
    assert!(matches!(far.failures[0].error, TrialError::Other(_)));
}

#[test]
fn a_sweep_takes_the_place_of_a_patch_between_its_own_sides() {
    let f = tilted();
    // A prism is its own sweep.
    let prism = along_y(&f, &[(0.0, 0.0), (30.0, 12.0), (60.0, -5.0), (90.0, 0.0)]);
    for (patch, rails) in [(prism.clone(), Direction::V), (turned_over(&prism), Direction::U)] {
        for sections in [Sections::First, Sections::Last, Sections::Both] {
            let model = model_of(vec![patch.clone()]);
            let edit = Edit::Resweep(Resweep { face: FaceId::new(0), rails, sections, tolerance: 1e-6 });
            let applied = made(&model, [edit]);
            assert!(applied.failures.is_empty(), "{:?}", applied.failures);
            let d = applied.changes[0].deviation();
            assert!(d.from_new < 2e-6 && d.from_old < 2e-6, "{d:?}");
        }
    }
    // Any patch: its sides stay, its normal keeps its side, the inside becomes plain.
    let mut numbers = Numbers(17);
    for rails in [Direction::U, Direction::V] {
        let patch = master(4, 4, 1, &numbers.list(41), false);
        let model = model_of(vec![patch.clone()]);
        let edit = Edit::Resweep(Resweep { face: FaceId::new(0), rails, sections: Sections::Both, tolerance: 1e-4 });
        let applied = made(&model, [edit]);
        assert!(applied.failures.is_empty(), "{:?}", applied.failures);
        let now = Surface::Nurbs(patch_of(&applied, 0));
        let search = SurfaceSearch::new(&now);
        let off = |p: Point3| search.closest(&now, p).distance;
        for i in 0..=20 {
            let t = f64::from(i) / 20.0;
            for (u, v) in [(0.0, t), (1.0, t), (t, 0.0), (t, 1.0)] {
                assert!(off(patch.derivs(u, v, 0).s) < 1e-3, "{}", off(patch.derivs(u, v, 0).s));
            }
        }
        let d = patch.derivs(0.5, 0.5, 1);
        let foot = search.closest(&now, d.s);
        assert!(now.normal(foot.uv.u, foot.uv.v).unwrap().dot(d.su.cross(d.sv)) > 0.0 && foot.distance > 1e-3);
    }
}
