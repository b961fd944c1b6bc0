//! What must not change the joins: how the model lies, which way it is mirrored, its unit, which side a face calls its
//! own, how high its degrees are, where its knots lie, and into how many faces it is cut.

use super::arrangements::{graph_of, master, model_of, tilted, turned_over};
use super::{Class, Join, JoinGraph, Sheets};
use crate::exchange::{self, Limits, write};
use crate::math::{Point3, Similarity, real};
use crate::model::{LengthUnit, Model};
use crate::nurbs::{Direction, Surface};
use crate::progress::Silent;
use proptest::prelude::*;

/// Largest difference of a station's values, relative to the largest on its join.
const STATION: f64 = 1e-8;
/// Largest relative difference of a maximum, which is searched for to that.
const MAXIMUM: f64 = 1e-6;
/// Values below these are rounding of positions of some 300 mm and of their derivatives: mm, deg, 1/mm, 1/mm².
const NOISE: [f64; 4] = [1e-10, 1e-8, 1e-10, 1e-11];

/// Four patches in a square, cut from one: the first as it was, the others each with a row of its own moved, so that
/// the joins break in position, tangent and curvature.
fn broken(bumps: &[f64], rational: bool) -> Vec<Surface> {
    let (left, right) = master(4, 4, 1, bumps, rational).split(Direction::U, 0.45).unwrap();
    let (a, b) = left.split(Direction::V, 0.55).unwrap();
    let (c, d) = right.split(Direction::V, 0.55).unwrap();
    let up = tilted().z;
    let moved = |s: &Surface, row: usize, by: f64| {
        let across = s.size().1;
        let points = s.points().iter().enumerate().map(|(n, &p)| if n / across == row { p + up * by } else { p }).collect();
        Surface::new(s.knots_u().clone(), s.knots_v().clone(), points, s.weights().map(<[f64]>::to_vec)).unwrap()
    };
    vec![a, moved(&b, 1, 0.4), moved(&c, 1, 0.3), moved(&moved(&d, 2, 0.7), 0, 0.04)]
}

fn values(graph: &JoinGraph, model: &Model, join: usize, p: Point3) -> ([Option<f64>; 4], f64) {
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let (m, distance) = graph.measure_at(&Sheets { model, domains: &domains }, join, p).unwrap();
    ([Some(m.gap), m.angle, m.curvature_jump(), m.slope_jump()], distance)
}

fn maxima(j: &Join) -> [f64; 4] {
    let s = &j.summaries;
    [s.gap, s.angle, s.curvature, s.slope].map(|m| m.unwrap().max.value)
}

fn met(graph: &JoinGraph) -> Vec<(usize, &Join)> {
    graph.joins.iter().enumerate().filter(|(_, j)| j.faces.len() == 2 && !j.interior).collect()
}

/// The faces that two joins lie between are the same; in the second, face `cut` and the next are cut from one.
fn between_the_same(before: &Join, after: &Join, cut: usize) -> bool {
    let uncut = |f: usize| if f > cut { f - 1 } else { f };
    before.faces.iter().map(|f| f.index()).eq(after.faces.iter().map(|f| uncut(f.index())))
}

/// Every station of every join of `before` has the same values in `after`, where a point p lies at `to(p)`, between the
/// same faces or those cut from them.
fn stations_agree(
    before: &JoinGraph,
    (after, image, cut): (&JoinGraph, &Model, usize),
    to: &dyn Fn(Point3) -> Point3,
) -> Result<(), TestCaseError> {
    for (_, join) in met(before) {
        let largest = maxima(join);
        for station in join.stations.iter().step_by(7) {
            let m = &station.measures;
            let want = [Some(m.gap), m.angle, m.curvature_jump(), m.slope_jump()];
            let near =
                met(after).into_iter().filter(|(_, j)| between_the_same(join, j, cut)).map(|(i, _)| values(after, image, i, to(station.p)));
            let (got, distance) = near.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
            // Where a gap leaves a corner open, the end of a join is searched for.
            prop_assert!(distance < 1e-6, "a join of {} is {distance} away from where it was at {}", join.length, station.along);
            for k in 0..4 {
                let (got, want) = (got[k].unwrap(), want[k].unwrap());
                prop_assert!(
                    (got - want).abs() <= STATION * largest[k] + NOISE[k],
                    "measure {k}: {got} against {want} of {:?} at {} of {}, largest {}, {distance}",
                    join.faces,
                    station.along,
                    join.length,
                    largest[k]
                );
            }
        }
    }
    Ok(())
}

/// The same joins: as many, between the same faces, of the same class and length, and the same maxima.
fn joins_agree(before: &JoinGraph, after: &JoinGraph) -> Result<(), TestCaseError> {
    let (a, b) = (met(before), met(after));
    prop_assert_eq!(a.len(), b.len());
    for ((_, x), (_, y)) in a.iter().zip(&b) {
        prop_assert_eq!(&x.faces, &y.faces);
        prop_assert_eq!((x.class, x.required), (y.class, y.required));
        prop_assert!((x.length - y.length).abs() <= 1e-8 * x.length, "{} against {}", x.length, y.length);
        for (k, (p, q)) in maxima(x).into_iter().zip(maxima(y)).enumerate() {
            prop_assert!((p - q).abs() <= MAXIMUM * p + NOISE[k], "maximum {k}: {p} against {q}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn lying_mirrored_or_in_another_unit(
        bumps in proptest::collection::vec(-1.0f64..1.0, 41), rational in any::<bool>(),
        turn in 0.1f64..3.0, shift in -900.0f64..900.0, inch in any::<bool>(),
    ) {
        let model = model_of(broken(&bumps, rational));
        let before = graph_of(&model);
        let (sin, cos) = real::sin_cos(turn);
        let f = tilted();
        let turned = crate::math::Frame {
            origin: Point3::new(shift, 0.3 * shift, -40.0), x: f.x * cos + f.y * sin, y: f.y * cos - f.x * sin, z: f.z,
        };
        let mirrored = crate::math::Frame { z: -f.z, ..f };
        for by in [Similarity::between(&f, &turned), Similarity::between(&f, &mirrored)] {
            let image = model.transformed(&by);
            let after = graph_of(&image);
            joins_agree(&before, &after)?;
            stations_agree(&before, (&after, &image, 4), &|p| by.point(p))?;
        }
        let unit = if inch { LengthUnit { name: "inch".into(), in_mm: 25.4 } } else { LengthUnit { name: "metre".into(), in_mm: 1000.0 } };
        let file = write::step(&model, &write::StepOptions { unit, ..Default::default() });
        let image = exchange::read(file.text.as_bytes(), "a.stp", &Limits::default(), &mut Silent).unwrap().model;
        let after = graph_of(&image);
        joins_agree(&before, &after)?;
        stations_agree(&before, (&after, &image, 4), &|p| p)?;
    }

    #[test]
    fn faces_turned_over_raised_or_refined(
        bumps in proptest::collection::vec(-1.0f64..1.0, 41), rational in any::<bool>(), which in 0usize..4, at in 0.1f64..0.9,
    ) {
        let patches = broken(&bumps, rational);
        let model = model_of(patches.clone());
        let before = graph_of(&model);
        let one = &patches[which];
        let (u, v) = one.domain();
        let others = [
            turned_over(one),
            one.elevated(Direction::U).unwrap().elevated(Direction::V).unwrap(),
            one.with_knots(Direction::U, &[u.at(at)]).unwrap().with_knots(Direction::V, &[v.at(1.0 - at)]).unwrap(),
        ];
        for other in others {
            let mut patches = patches.clone();
            patches[which] = other;
            let image = model_of(patches);
            let after = graph_of(&image);
            joins_agree(&before, &after)?;
            stations_agree(&before, (&after, &image, 4), &|p| p)?;
        }
        // A face that says its outside is the other one.
        let mut image = model.clone();
        image.faces[which].same_sense = false;
        let after = graph_of(&image);
        joins_agree(&before, &after)?;
        stations_agree(&before, (&after, &image, 4), &|p| p)?;
    }

    /// The cut is one more join, smooth to the third order; where it ends on another join, that becomes two.
    #[test]
    fn a_face_cut_in_two(
        bumps in proptest::collection::vec(-1.0f64..1.0, 41), rational in any::<bool>(), which in 0usize..4, at in 0.3f64..0.7,
    ) {
        let mut patches = broken(&bumps, rational);
        let before = graph_of(&model_of(patches.clone()));
        let u = patches[which].domain().0;
        let (first, second) = patches[which].split(Direction::U, u.at(at)).unwrap();
        patches[which] = first;
        patches.insert(which + 1, second);
        let image = model_of(patches);
        let after = graph_of(&image);
        prop_assert_eq!(met(&after).len(), met(&before).len() + 2);
        let cut: Vec<_> = met(&after).into_iter().filter(|(_, j)| j.faces.iter().map(|f| f.index()).eq([which, which + 1])).collect();
        prop_assert_eq!(cut.len(), 1);
        prop_assert_eq!(cut[0].1.class, Class::G3);
        stations_agree(&before, (&after, &image, which), &|p| p)?;
    }
}
