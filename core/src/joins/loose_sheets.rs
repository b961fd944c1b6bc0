//! Loose sheets made by hand: what lies on what, which side is which, what mirrors what.

use super::arrangements::{flat, graph_of, master, model_of, tilted, turned_over};
use super::{Class, JoinGraph, Options, Sheets};
use crate::layout::{Cover, MirrorExtent, MirrorPlane};
use crate::math::{Frame, Point3, Vec3, real};
use crate::model::FaceId;
use crate::nurbs::{Direction, KnotVector, Surface};
use crate::progress::Silent;
use proptest::prelude::*;

fn shifted(s: &Surface, by: Vec3) -> Surface {
    s.map(|p| p + by)
}

fn bumps() -> Vec<f64> {
    (0..41).map(|n| 0.7 * real::sin(2.3 * f64::from(n))).collect()
}

/// Four quarters of one curved patch, degree and weights as asked.
fn quarters(p: usize, q: usize, rational: bool) -> Vec<Surface> {
    let (left, right) = master(p, q, 1, &bumps(), rational).split(Direction::U, 0.4).unwrap();
    [left, right].iter().flat_map(|h| <[Surface; 2]>::from(h.split(Direction::V, 0.55).unwrap())).collect()
}

fn faces(list: &[FaceId]) -> Vec<usize> {
    list.iter().map(|f| f.index()).collect()
}

#[test]
fn copies_are_found_and_leave_the_joins_alone() {
    let normal = |s: &Surface| {
        let d = s.derivs(s.domain().0.at(0.5), s.domain().1.at(0.5), 1);
        d.su.cross(d.sv).normalize()
    };
    for (p, q, rational) in [(3, 2, false), (4, 5, true), (1, 1, false), (6, 3, true)] {
        let sound = quarters(p, q, rational);
        let alone = graph_of(&model_of(sound.clone()));
        assert!(alone.overlaps.is_empty(), "{:?}", alone.overlaps);
        for (lift, over, opposed) in [(0.0, false, false), (0.0, true, true), (0.02, false, false), (-0.04, true, true)] {
            let copy = shifted(&sound[1], normal(&sound[1]) * lift);
            let mut all = sound.clone();
            all.push(if over { turned_over(&copy) } else { copy });
            let graph = graph_of(&model_of(all));
            let [o] = graph.overlaps.as_slice() else { panic!("{:?}", graph.overlaps) };
            assert_eq!((faces(&o.faces), o.cover, o.inner.index(), o.opposed), (vec![1, 4], Cover::Twin, 4, opposed));
            assert!((o.distance - lift.abs()).abs() < 0.1 * lift.abs() + 1e-9, "{} for {lift}", o.distance);
            assert_eq!(graph.twin_of.iter().map(|t| t.map(FaceId::index)).collect::<Vec<_>>(), [None, None, None, None, Some(1)]);
            // The joins are those of the model without the copy.
            assert_eq!(graph.joins, alone.joins);
        }
        // Everything twice, and one face three times.
        let twice: Vec<Surface> = sound.iter().chain(&sound).chain(&sound[..1]).cloned().collect();
        let graph = graph_of(&model_of(twice));
        assert_eq!(graph.joins, alone.joins);
        assert_eq!(graph.overlaps.len(), 6);
        assert!((4..9).all(|i| graph.is_copy(FaceId::new(i))));
    }
}

#[test]
fn a_face_on_a_larger_one_and_laps_are_measured() {
    let f = tilted();
    let lifted = |z: f64| Frame { origin: f.point(0.0, 0.0, z), ..f };
    // Wholly on the larger one, on its front or back.
    for (z, over) in [(0.0, false), (0.03, true)] {
        let small = flat(&lifted(z), (30.0, 10.0), (55.0, 35.0));
        let small = if over { turned_over(&small) } else { small };
        let graph = graph_of(&model_of(vec![small, flat(&f, (0.0, 0.0), (150.0, 90.0))]));
        let [o] = graph.overlaps.as_slice() else { panic!("{:?}", graph.overlaps) };
        assert_eq!((o.cover, o.inner.index(), o.opposed), (Cover::Within, 0, over));
        assert!((o.area - 25.0 * 25.0).abs() < 1e-6 && (o.distance - z).abs() < 1e-9);
        // It has borders of its own: nothing is laid aside.
        assert!(!graph.is_copy(FaceId::new(0)));
    }
    // Lapping by a strip.
    for (lap, z) in [(3.0, 0.0), (17.0, 0.0), (17.0, 0.045), (60.0, 0.01)] {
        let graph = graph_of(&model_of(vec![flat(&f, (0.0, 0.0), (100.0, 80.0)), flat(&lifted(z), (100.0 - lap, 5.0), (180.0, 95.0))]));
        let [o] = graph.overlaps.as_slice() else { panic!("{lap}: {:?}", graph.overlaps) };
        assert_eq!((o.cover, o.opposed), (Cover::Part, false));
        assert!((o.area - lap * 75.0).abs() < 0.08 * lap * 75.0, "{} for a lap of {lap}", o.area);
        assert!((o.distance - z).abs() < 1e-9);
    }
}

#[test]
fn sheets_that_only_meet_or_part_do_not_lie_on_each_other() {
    let f = tilted();
    let none = |patches: Vec<Surface>, what: &str| {
        let graph = graph_of(&model_of(patches));
        assert!(graph.overlaps.is_empty(), "{what}: {:?}", graph.overlaps);
    };
    let base = flat(&f, (0.0, 0.0), (120.0, 60.0));
    for degrees in [0.3, 1.0, 4.0, 30.0, 90.0] {
        // Folded back over the base from one side at a small angle: a wedge.
        let turn = f64::to_radians(degrees);
        let y = f.y * real::cos(turn) + f.z * real::sin(turn);
        none(vec![base.clone(), flat(&Frame { y, z: f.x.cross(y), ..f }, (0.0, 0.0), (120.0, 55.0))], "a wedge");
        // Crossing in the middle.
        let across = Frame { origin: f.point(0.0, 30.0, 0.0), y, z: f.x.cross(y), ..f };
        none(vec![base.clone(), flat(&across, (0.0, -25.0), (120.0, 25.0))], "crossing");
    }
    // A parabolic sheet that leaves the base tangentially along one side, over it.
    for radius in [10.0, 80.0] {
        let bend = KnotVector::bezier(2).unwrap();
        let rise = 40.0 * 40.0 / (2.0 * radius);
        let net = [(0.0, 0.0), (20.0, 0.0), (40.0, rise)];
        let net = net.iter().flat_map(|&(y, z)| [f.point(0.0, y, z), f.point(120.0, y, z)]).collect();
        none(vec![base.clone(), Surface::new(bend, KnotVector::bezier(1).unwrap(), net, None).unwrap()], "tangent parting");
    }
    // Side by side, and one over the other farther than the tolerance.
    none(vec![base.clone(), flat(&f, (0.0, 60.0), (120.0, 90.0))], "neighbours");
    let above = Frame { origin: f.point(0.0, 0.0, 0.08), ..f };
    none(vec![base, flat(&above, (0.0, 0.0), (120.0, 60.0))], "a thin sheet");
}

/// Two joins with the same measures, curvatures with their signs included.
fn same_measures(a: &JoinGraph, b: &JoinGraph) {
    assert_eq!(a.joins.len(), b.joins.len());
    for x in a.joins.iter().filter(|j| j.faces.len() == 2) {
        let y = b.joins.iter().find(|y| y.faces == x.faces && y.mid.distance(x.mid) < 1e-6).expect("the same join");
        for s in &x.stations {
            let near = y.stations.iter().min_by(|p, q| p.p.distance(s.p).total_cmp(&q.p.distance(s.p))).unwrap();
            if near.p.distance(s.p) > 1e-6 {
                continue;
            }
            let (k, l) = (s.measures.curvature.unwrap(), near.measures.curvature.unwrap());
            assert!((k.a - l.a).abs() < 1e-9 && (k.b - l.b).abs() < 1e-9, "{k:?} against {l:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Whatever faces are turned over, the minority by area is found, and curvatures keep their signs.
    #[test]
    fn turned_faces_are_the_minority_and_signs_do_not_move(
        over in proptest::collection::vec(any::<bool>(), 4), stated in proptest::collection::vec(any::<bool>(), 4),
        p in 2usize..=5, q in 2usize..=5, rational in any::<bool>(),
    ) {
        let sound = quarters(p, q, rational);
        let reference = graph_of(&model_of(sound.clone()));
        let patches = sound.iter().zip(&over).map(|(s, o)| if *o { turned_over(s) } else { s.clone() }).collect();
        let mut model = model_of(patches);
        for (face, s) in model.faces.iter_mut().zip(&stated) {
            face.same_sense = *s;
        }
        let graph = graph_of(&model);
        let [skin] = graph.orientation.skins.as_slice() else { panic!("{:?}", graph.orientation.skins) };
        prop_assert!(!skin.closed && !skin.inside_out && skin.one_sided.is_empty());
        // The file's normal against the reference's Su × Sv.
        let against: Vec<bool> = over.iter().zip(&stated).map(|(o, s)| o == s).collect();
        let areas: Vec<f64> = model.faces().map(|(id, f)| model.domain(id).unwrap().area(&f.surface)).collect();
        let weight: f64 = areas.iter().zip(&against).map(|(a, t)| if *t { -a } else { *a }).sum();
        let turned: Vec<usize> = (0..4).filter(|&i| against[i] == (weight > 0.0)).collect();
        prop_assert_eq!(faces(&skin.turned), turned);
        let side = weight.signum();
        for (i, o) in over.iter().enumerate() {
            let sign = if *o { -side } else { side };
            prop_assert_eq!(graph.orientation.sign(FaceId::new(i)), sign);
        }
        if side > 0.0 {
            same_measures(&reference, &graph);
        }
    }

    /// A closed box has its outside, whatever its faces say.
    #[test]
    fn a_closed_skin_knows_its_outside(over in proptest::collection::vec(any::<bool>(), 6), size in 5.0f64..200.0) {
        let graph = graph_of(&model_of(box_of(tilted(), [size, 37.0, 80.0], &over)));
        let [skin] = graph.orientation.skins.as_slice() else { panic!("{:?}", graph.orientation.skins) };
        prop_assert!(skin.closed && skin.one_sided.is_empty());
        let turned: Vec<usize> = (0..6).filter(|&i| over[i]).collect();
        prop_assert_eq!(faces(&skin.turned), turned);
        prop_assert_eq!(skin.inside_out, over.iter().all(|o| *o));
    }
}

/// The six sides of a box, normals outwards but for those turned over.
fn box_of(f: Frame, [a, b, c]: [f64; 3], over: &[bool]) -> Vec<Surface> {
    let frame = |origin: Point3, x: Vec3, y: Vec3| Frame { origin, x, y, z: x.cross(y) };
    let sides = [
        (flat(&frame(f.origin, f.y, f.x), (0.0, 0.0), (b, a))),
        (flat(&frame(f.point(0.0, 0.0, c), f.x, f.y), (0.0, 0.0), (a, b))),
        (flat(&frame(f.origin, f.x, f.z), (0.0, 0.0), (a, c))),
        (flat(&frame(f.point(0.0, b, 0.0), f.z, f.x), (0.0, 0.0), (c, a))),
        (flat(&frame(f.origin, f.z, f.y), (0.0, 0.0), (c, b))),
        (flat(&frame(f.point(a, 0.0, 0.0), f.y, f.z), (0.0, 0.0), (b, c))),
    ];
    sides.iter().zip(over).map(|(s, o)| if *o { turned_over(s) } else { s.clone() }).collect()
}

#[test]
fn a_void_points_into_itself_and_thin_shells_are_told() {
    let f = tilted();
    let inner = Frame { origin: f.point(10.0, 10.0, 10.0), ..f };
    let mut all = box_of(f, [90.0, 70.0, 60.0], &[false; 6]);
    all.extend(box_of(inner, [50.0, 40.0, 30.0], &[true; 6]));
    let graph = graph_of(&model_of(all));
    assert_eq!(graph.orientation.skins.len(), 2);
    assert!(graph.orientation.skins.iter().all(|s| s.closed && s.turned.is_empty()), "{:?}", graph.orientation.skins);
    // A plate of a hundredth of its size.
    for over in [false, true] {
        let graph = graph_of(&model_of(box_of(f, [300.0, 3.0, 200.0], &[over; 6])));
        assert_eq!(graph.orientation.skins.iter().map(|s| s.inside_out).collect::<Vec<_>>(), [over]);
    }
}

#[test]
fn a_strip_with_half_a_turn_has_one_side() {
    let f = tilted();
    let count = 12;
    for half_turns in 0..=3 {
        let rail = |i: usize, side: f64| {
            let round = real::TAU * i as f64 / count as f64;
            let twist = 0.5 * f64::from(half_turns) * round;
            let out = f.x * real::cos(round) + f.y * real::sin(round);
            f.origin + out * 60.0 + (out * real::cos(twist) + f.z * real::sin(twist)) * (10.0 * side)
        };
        let patches = (0..count).map(|i| {
            let line = || KnotVector::bezier(1).unwrap();
            // The last one closes onto the first, with its sides exchanged after an odd number of half turns.
            let net = vec![rail(i, -1.0), rail(i, 1.0), rail(i + 1, -1.0), rail(i + 1, 1.0)];
            Surface::new(line(), line(), net, None).unwrap()
        });
        let graph = graph_of(&model_of(patches.collect()));
        let [skin] = graph.orientation.skins.as_slice() else { panic!("{half_turns}: {:?}", graph.orientation.skins) };
        assert_eq!(skin.one_sided.len(), (half_turns % 2) as usize, "{half_turns} half turns");
        assert!(skin.turned.is_empty());
        assert!(graph.joins.iter().filter(|j| j.faces.len() == 2).all(|j| j.class != Class::NonManifold));
    }
}

#[test]
fn halves_and_wholes_about_each_plane() {
    let axes = [(MirrorPlane::Y, Vec3::Y), (MirrorPlane::X, Vec3::X), (MirrorPlane::Z, Vec3::Z)];
    for (plane, n) in axes {
        let (a, b) = n.any_orthonormal_pair();
        // A roof over the plane, not symmetric about any other: two patches a side, the first from the plane outwards.
        let patch = |low: f64, high: f64, side: f64| {
            let at =
                |s: f64, t: f64| Point3::from_vec(n * (side * s) + a * (20.0 + 3.0 * t + 0.002 * s * s) + b * (170.0 + t - 0.01 * s * s));
            let net = [low, 0.5 * (low + high), high].iter().flat_map(|&s| [at(s, 0.0), at(s, 40.0), at(s, 90.0)]).collect();
            Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(2).unwrap(), net, None).unwrap()
        };
        let half = vec![patch(0.0, 40.0, 1.0), patch(40.0, 70.0, 1.0)];
        let told = |patches: Vec<Surface>| graph_of(&model_of(patches)).mirror.unwrap();
        let m = told(half.clone());
        assert_eq!((m.plane, m.extent, m.pairs.len(), m.own.len()), (plane, MirrorExtent::Half, 0, 0));
        let mut whole = half.clone();
        whole.extend([patch(40.0, 70.0, -1.0), turned_over(&patch(0.0, 40.0, -1.0))]);
        let m = told(whole.clone());
        assert_eq!((m.plane, m.extent, m.share), (plane, MirrorExtent::Full, 1.0));
        assert_eq!(m.pairs.iter().map(|p| faces(p)).collect::<Vec<_>>(), [[0, 3], [1, 2]]);
        // One patch over the plane is its own image.
        let m = told(vec![patch(-40.0, 40.0, 1.0), patch(40.0, 70.0, 1.0), patch(40.0, 70.0, -1.0)]);
        assert_eq!((m.plane, m.extent, faces(&m.own)), (plane, MirrorExtent::Full, vec![0]));
        // Moved off every plane, neither.
        let off = whole.iter().map(|s| shifted(s, Vec3::splat(300.0))).collect();
        let m = told(off);
        assert_eq!((m.extent, m.pairs.len()), (MirrorExtent::None, 0));
        // A plane that is picked is taken, wherever it lies.
        let away = n * 300.0 + a * 55.0;
        let picked = MirrorPlane::new(-n, -300.0).unwrap();
        let about = |patches: &[Surface]| {
            let moved = patches.iter().map(|s| shifted(s, away)).collect();
            let (model, options) = (model_of(moved), Options { plane: Some(picked), ..Options::default() });
            let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
            let areas: Vec<f64> = domains.iter().zip(&model.faces).map(|(d, f)| d.as_ref().map_or(0.0, |d| d.area(&f.surface))).collect();
            JoinGraph::find(&Sheets { model: &model, domains: &domains }, &areas, &options, &mut Silent).unwrap()
        };
        let graph = about(&half);
        let m = graph.mirror.as_ref().unwrap();
        assert_eq!((m.plane.text(), m.extent), ("picked", MirrorExtent::Half));
        let across: Vec<_> = graph.joins.iter().filter(|j| j.centre).collect();
        assert!(across.len() == 1 && across[0].mirrored && across[0].summaries.gap.unwrap().max.value < 1e-9, "{}", across.len());
        let ridge = across[0].summaries.angle.unwrap().mean;
        let graph = about(&whole);
        let m = graph.mirror.as_ref().unwrap();
        assert_eq!((m.plane, m.extent, m.share), (picked, MirrorExtent::Full, 1.0));
        let across: Vec<_> = graph.joins.iter().filter(|j| j.centre).collect();
        assert!(across.len() == 1 && !across[0].mirrored, "{}", across.len());
        // The half's ridge over its mirror image is the whole's between its sides.
        assert!(ridge > 5.0 && (across[0].summaries.angle.unwrap().mean - ridge).abs() < 1e-9, "{ridge}");
    }
}
