//! Fits give back what they were taken from, and keep what they are told.

use super::*;
use crate::math::{Point2, Point3, quadrature, real};
use crate::nurbs::{Curve, KnotVector, Surface};
use proptest::prelude::*;

/// Clamped or not, uneven, inner knots of any multiplicity up to the degree; spans of 1 to 20 in length.
fn any_knots() -> impl Strategy<Value = KnotVector> {
    (1usize..=7, proptest::collection::vec((0.05f64..1.0, 1usize..=3), 0..4), any::<bool>(), -4.0f64..4.0).prop_map(
        |(p, inner, clamped, start)| {
            let mut t = start;
            let mut knots: Vec<f64> = (0..=p).map(|i| if clamped { t } else { t - 0.3 * (p - i) as f64 }).collect();
            for (step, m) in inner {
                t += step;
                knots.extend(core::iter::repeat_n(t, m.min(p)));
            }
            t += 0.4;
            knots.extend((0..=p).map(|i| if clamped { t } else { t + 0.4 * i as f64 }));
            KnotVector::new(p, knots).unwrap()
        },
    )
}

fn numbers() -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(-1.0f64..1.0, 97)
}

/// Uneven parameters, a few more than the degree in every span, ends among them.
fn parameters(knots: &KnotVector, n: &[f64]) -> Vec<f64> {
    let per = knots.degree() + 2;
    let mut all = Vec::new();
    for w in knots.breaks().windows(2) {
        for i in 0..per {
            let share = (i as f64 + 0.5 + 0.4 * n[(7 * i + all.len()) % n.len()]) / per as f64;
            all.push(w[0] + (w[1] - w[0]) * share);
        }
    }
    all.push(knots.domain().low);
    all.push(knots.domain().high);
    all
}

fn any_surface() -> impl Strategy<Value = Surface> {
    (any_knots(), any_knots(), numbers(), -2e3f64..2e3).prop_map(|(ku, kv, n, far)| {
        let columns = kv.point_count();
        let point = |k: usize| {
            let (i, j) = (k / columns, k % columns);
            let at = |s: usize| n[(k * 3 + s) % n.len()];
            Point3::new(far + 80.0 * i as f64 + 20.0 * at(0), 60.0 * j as f64 + 20.0 * at(1) - far, 30.0 * at(2))
        };
        let points = (0..ku.point_count() * columns).map(point).collect();
        Surface::new(ku, kv, points, None).unwrap()
    })
}

fn samples_of(s: &Surface, n: &[f64]) -> (Vec<SurfaceSample>, SurfaceGrid) {
    let (us, vs) = (parameters(s.knots_u(), n), parameters(s.knots_v(), &n[5..]));
    let weight = |i: usize| 10.0 * (1.05 + n[i % n.len()]);
    let (wu, wv): (Vec<f64>, Vec<f64>) = ((0..us.len()).map(weight).collect(), (3..vs.len() + 3).map(weight).collect());
    let mut all = Vec::new();
    for (u, a) in us.iter().zip(&wu) {
        for (v, b) in vs.iter().zip(&wv) {
            all.push(SurfaceSample { uv: Point2::new(*u, *v), point: s.derivs(*u, *v, 0).s, weight: a * b });
        }
    }
    let points = all.iter().map(|s| s.point).collect();
    (all, SurfaceGrid { u: us, v: vs, points, weights_u: Some(wu), weights_v: Some(wv) })
}

fn size(s: &Surface) -> f64 {
    s.points().iter().map(|p| p.distance(s.points()[0])).fold(1.0, f64::max)
}

/// Largest distance at equal shares of the domains, between the data too; and, where both ends are clamped, of the control
/// points. Unclamped, those at the ends hardly move the surface, so that they carry its rounding many times over.
fn farthest(a: &Surface, b: &Surface) -> f64 {
    let mut worst = 0.0f64;
    if a.knots_u().is_clamped() && a.knots_v().is_clamped() {
        worst = a.points().iter().zip(b.points()).map(|(p, q)| p.distance(*q)).fold(worst, f64::max);
    }
    let at = |s: &Surface, i: u32, j: u32| {
        let (u, v) = s.domain();
        s.derivs(u.at(f64::from(i) / 17.0), v.at(f64::from(j) / 17.0), 0).s
    };
    for i in 0..18 {
        for j in 0..18 {
            worst = worst.max(at(a, i, j).distance(at(b, i, j)));
        }
    }
    worst
}

fn farthest_of_curves(a: &Curve<2>, b: &Curve<2>) -> f64 {
    let apart = |p: &[f64; 2], q: &[f64; 2]| (p[0] - q[0]).abs().max((p[1] - q[1]).abs());
    let mut worst = 0.0f64;
    if a.knots().is_clamped() {
        worst = a.points().iter().zip(b.points()).map(|(p, q)| apart(p, q)).fold(worst, f64::max);
    }
    (0..=200).map(|i| a.domain().at(f64::from(i) / 200.0)).map(|t| apart(&a.derivs(t, 0)[0], &b.derivs(t, 0)[0])).fold(worst, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_curve_of_the_same_space_comes_back(knots in any_knots(), n in numbers(), far in -3e3f64..3e3) {
        let points: Vec<[f64; 2]> = (0..knots.point_count()).map(|i| [40.0 * i as f64 + far, 30.0 * n[i] - far]).collect();
        let curve = Curve::new(knots.clone(), points, None).unwrap();
        let sample = |(i, t): (usize, f64)| CurveSample { t, point: curve.derivs(t, 0)[0], weight: 1.0 + 0.99 * n[i % 90] };
        let mut samples: Vec<_> = parameters(&knots, &n).into_iter().enumerate().map(sample).collect();
        let got = fit_curve(&knots, &samples, None, &[]).unwrap();
        let off = farthest_of_curves(&got, &curve);
        prop_assert!(off < 1e-9 * 100.0, "{off}");
        // Neither the order of the samples nor the scale of weights matters beyond rounding.
        samples.reverse();
        samples.iter_mut().for_each(|s| s.weight *= 37.0);
        let again = fit_curve(&knots, &samples, None, &[]).unwrap();
        let off = farthest_of_curves(&got, &again);
        prop_assert!(off < 1e-9 * 100.0, "{off}");
        prop_assert!(curve_deviation(&got, &samples).unwrap().max < 1e-10 * 100.0);
    }

    #[test]
    fn a_grid_comes_back(s in any_surface(), n in numbers()) {
        let (_, grid) = samples_of(&s, &n);
        let got = fit_grid(s.knots_u(), s.knots_v(), &grid, None, &[]).unwrap();
        let off = farthest(&got, &s);
        prop_assert!(off < 1e-9 * size(&s), "{off}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn scattered_points_come_back_and_agree_with_the_grid(s in any_surface(), n in numbers()) {
        let (mut samples, grid) = samples_of(&s, &n);
        let got = fit_surface(s.knots_u(), s.knots_v(), &samples, None, &[]).unwrap();
        prop_assert!(farthest(&got, &s) < 1e-9 * size(&s), "{}", farthest(&got, &s));
        // Off the space the two paths still solve one problem, with fairness and without.
        let mut grid = grid;
        for (i, (sample, point)) in samples.iter_mut().zip(&mut grid.points).enumerate() {
            sample.point += crate::math::Vec3::new(n[i % 97], n[(i + 31) % 97], n[(i + 57) % 97]);
            *point = sample.point;
        }
        for fairness in [None, Some(Fairness { factor: 1e-4, aspect: 1.7 })] {
            let a = fit_surface(s.knots_u(), s.knots_v(), &samples, fairness, &[]).unwrap();
            let b = fit_grid(s.knots_u(), s.knots_v(), &grid, fairness, &[]).unwrap();
            prop_assert!(farthest(&a, &b) < 1e-9 * size(&s), "{fairness:?}: {}", farthest(&a, &b));
        }
    }

    #[test]
    fn locked_edges_stay_and_the_rest_is_stationary(s in any_surface(), n in numbers(), fair: bool) {
        let (mut samples, _) = samples_of(&s, &n);
        for (i, sample) in samples.iter_mut().enumerate() {
            sample.point += crate::math::Vec3::new(3.0 * n[i % 97], n[(i + 31) % 97], n[(i + 57) % 97]);
        }
        let (ku, kv) = (s.knots_u(), s.knots_v());
        let columns = kv.point_count();
        // One edge locked point by point, and stated once more; a point and a derivative of the opposite edge prescribed.
        let mut kept: Vec<Constraint<3>> = (0..columns).map(|j| Constraint::locked(j, s.points()[j].to_array())).collect();
        kept.extend(kept.first().cloned());
        let (u, v) = (ku.domain().high, kv.domain().at(0.37));
        let d = s.derivs(u, v, 1);
        kept.push(Constraint::on_surface((ku, kv), (u, v), (0, 0), d.s.to_array()));
        if ku.degree() > 1 || ku.span_count() > 1 {
            kept.push(Constraint::on_surface((ku, kv), (u, v), (1, 0), d.su.to_array()));
        }
        let fairness = fair.then_some(Fairness { factor: 1e-5, aspect: 0.6 });
        let got = fit_surface(ku, kv, &samples, fairness, &kept).unwrap();
        for c in &kept {
            for x in 0..3 {
                let sum: f64 = c.terms.iter().map(|&(i, f)| f * got.points()[i].to_array()[x]).sum();
                let scale: f64 = c.terms.iter().map(|&(i, f)| (f * got.points()[i].to_array()[x]).abs()).sum::<f64>() + 100.0;
                prop_assert!((sum - c.value[x]).abs() < 1e-12 * scale, "{sum} for {}", c.value[x]);
            }
        }
        // A control point far from every constraint: moving it either way costs.
        let cost = |t: &Surface| {
            let sum: f64 = samples.iter().map(|s| s.weight).sum();
            let miss: f64 = samples.iter().map(|s| s.weight * (t.derivs(s.uv.u, s.uv.v, 0).s - s.point).length_squared()).sum();
            miss / sum + fairness.map_or(0.0, |f| f.factor * energy(t, f.aspect))
        };
        if ku.point_count() > 2 {
            let touched = |i: usize| kept.iter().any(|c| c.terms.iter().any(|&(k, f)| k == i && f != 0.0));
            let free = (0..got.points().len()).find(|&i| !touched(i));
            if let Some(free) = free {
                let base = cost(&got);
                for step in [-1.0, 1.0] {
                    let mut points = got.points().to_vec();
                    points[free].z += step;
                    let moved = Surface::new(ku.clone(), kv.clone(), points, None).unwrap();
                    prop_assert!(cost(&moved) > base * (1.0 - 1e-12));
                }
            }
        }
    }

    #[test]
    fn fairness_does_not_depend_on_units_or_on_the_scale_of_parameters(s in any_surface(), n in numbers(), metres: bool) {
        let (mut samples, _) = samples_of(&s, &n);
        for (i, sample) in samples.iter_mut().enumerate() {
            sample.point += crate::math::Vec3::Z * (5.0 * n[i % 97]);
        }
        let fairness = Some(Fairness { factor: 3e-4, aspect: 1.3 });
        let got = fit_surface(s.knots_u(), s.knots_v(), &samples, fairness, &[]).unwrap();
        let by = if metres { 1e-3 } else { 25.4 };
        let stretch = |k: &KnotVector| KnotVector::new(k.degree(), k.knots().iter().map(|t| 3.0 + 40.0 * t).collect()).unwrap();
        let scaled: Vec<SurfaceSample> = samples
            .iter()
            .map(|s| SurfaceSample {
                uv: Point2::new(3.0 + 40.0 * s.uv.u, 3.0 + 40.0 * s.uv.v),
                point: Point3::from_vec(s.point.to_vec() * by),
                weight: s.weight,
            })
            .collect();
        let again = fit_surface(&stretch(s.knots_u()), &stretch(s.knots_v()), &scaled, fairness, &[]).unwrap();
        let off = farthest(&got.map(|p| Point3::from_vec(p.to_vec() * by)), &again);
        prop_assert!(off < 1e-9 * by * size(&s), "{off}");
    }
}

/// The energy by its definition, through an independent rule, span by span.
fn energy(s: &Surface, aspect: f64) -> f64 {
    let (du, dv) = s.domain();
    let (lu, lv) = (du.length(), dv.length());
    let mut sum = 0.0;
    for a in s.knots_u().breaks().windows(2) {
        for b in s.knots_v().breaks().windows(2) {
            let over = |w: &[f64]| crate::math::Interval::new(w[0], w[1]);
            sum += quadrature::gauss_8(over(a), |u| {
                quadrature::gauss_8(over(b), |v| {
                    let d = s.derivs(u, v, 2);
                    let (x, m, y) = (d.suu * lu * lu / aspect, d.suv * lu * lv, d.svv * lv * lv * aspect);
                    x.length_squared() + 2.0 * m.length_squared() + y.length_squared()
                })
            });
        }
    }
    sum / (lu * lv)
}

#[test]
fn the_rows_of_the_energy_sum_to_the_energy() {
    for (pu, pv, spans) in [(1, 1, 1), (2, 3, 2), (3, 1, 3), (5, 4, 1), (7, 6, 2)] {
        let (ku, kv) = (KnotVector::uniform(pu, spans).unwrap(), KnotVector::uniform(pv, spans + 1).unwrap());
        let n = ku.point_count() * kv.point_count();
        let points: Vec<Point3> =
            (0..n).map(|i| Point3::new(20.0 * i as f64, 9.0 * real::sin(i as f64), 30.0 * real::cos(2.3 * i as f64))).collect();
        let s = Surface::new(ku.clone(), kv.clone(), points, None).unwrap();
        let f = Fairness { factor: 2.5, aspect: 1.9 };
        let rows = f.surface_rows(&ku, &kv).unwrap();
        let square = |row: &super::fairness::EnergyRow| {
            let sum = row.entries.iter().zip(&s.points()[row.first..]).fold(crate::math::Vec3::ZERO, |v, (e, p)| v + p.to_vec() * *e);
            sum.length_squared()
        };
        let got: f64 = rows.iter().map(square).sum();
        let want = 2.5 * energy(&s, 1.9);
        assert!((got - want).abs() < 1e-10 * want.max(1.0), "degrees {pu}, {pv}: {got} against {want}");
    }
}

#[test]
fn a_straight_line_bends_for_nothing_and_gaps_are_bridged() {
    // Data over the first and last fifth only: without fairness no curve, with it the straight line.
    let knots = KnotVector::uniform(3, 8).unwrap();
    let sample = |t: f64| CurveSample { t, point: [7.0 + 300.0 * t, 4.0 - 20.0 * t], weight: 1.0 };
    let samples: Vec<_> = (0..20).map(|i| f64::from(i) / 100.0).flat_map(|t| [sample(t), sample(1.0 - t)]).collect();
    assert!(matches!(fit_curve(&knots, &samples, None, &[]), Err(FitError::Sparse(_))));
    let curve = fit_curve(&knots, &samples, Some(Fairness { factor: 1e-9, aspect: 1.0 }), &[]).unwrap();
    for i in 0..=50 {
        let t = f64::from(i) / 50.0;
        let [x, y] = curve.derivs(t, 0)[0];
        assert!((x - 7.0 - 300.0 * t).abs() < 1e-6 && (y - 4.0 + 20.0 * t).abs() < 1e-6, "{x}, {y} at {t}");
    }
}

#[test]
fn says_what_is_wrong() {
    let knots = KnotVector::uniform(3, 2).unwrap();
    let sample = |t: f64| CurveSample { t, point: [t, 2.0 * t], weight: 1.0 };
    let sound: Vec<_> = (0..9).map(|i| sample(f64::from(i) / 8.0)).collect();
    let with = |change: &dyn Fn(&mut Vec<CurveSample<2>>)| {
        let mut samples = sound.clone();
        change(&mut samples);
        fit_curve(&knots, &samples, None, &[]).map(|_| ())
    };
    assert_eq!(with(&|_| ()), Ok(()));
    assert_eq!(with(&|s| s[3].t = f64::NAN), Err(FitError::NotFinite));
    assert_eq!(with(&|s| s[3].t = 1.5), Err(FitError::Outside(1.5)));
    assert_eq!(with(&|s| s[3].point[1] = f64::INFINITY), Err(FitError::NotFinite));
    assert_eq!(with(&|s| s[3].weight = -1.0), Err(FitError::Weight(-1.0)));
    assert_eq!(with(&|s| s.truncate(4)), Err(FitError::TooFew { unknowns: 5, given: 4 }));
    // Many points, all at few parameters, or all in one span.
    assert_eq!(with(&|s| s.iter_mut().for_each(|s| s.t = 0.25)), Err(FitError::TooFew { unknowns: 5, given: 1 }));
    assert_eq!(with(&|s| s.iter_mut().for_each(|s| s.t *= 0.4)), Err(FitError::Sparse(4)));
    let fit = |kept: &[Constraint<2>]| fit_curve(&knots, &sound, None, kept).map(|_| ());
    assert_eq!(fit(&[Constraint::locked(5, [0.0; 2])]), Err(FitError::NoSuchPoint(0)));
    let apart = [Constraint::locked(1, [0.0; 2]), Constraint::locked(1, [0.0, 1.0])];
    assert!(matches!(fit(&apart), Err(FitError::Contradiction(_))));
    assert_eq!(fit(&[Constraint::locked(1, [f64::NAN; 2])]), Err(FitError::NotFinite));
    let bad = Some(Fairness { factor: -1.0, aspect: 1.0 });
    assert_eq!(fit_curve(&knots, &sound, bad, &[]).map(|_| ()), Err(FitError::Fairness(-1.0)));
    // On one parameter line a surface is open across it, however many points there are.
    let line: Vec<SurfaceSample> = (0..200)
        .map(|i| SurfaceSample { uv: Point2::new(f64::from(i) / 199.0, 0.5), point: Point3::new(f64::from(i), 0.0, 0.0), weight: 1.0 })
        .collect();
    assert!(matches!(fit_surface(&knots, &knots, &line, None, &[]), Err(FitError::Singular(_))));
}
