//! Whole models made by hand: what is a join, with what, how long and how smooth.

use super::pair::{Rule, Strands};
use super::strand::Strand;
use super::{Class, Join, JoinGraph, Options, Order, Sheets};
use crate::geometry::Surface;
use crate::math::{Frame, Point3, Vec3, real};
use crate::model::{Face, Model};
use crate::nurbs::{self, Direction, KnotVector};
use crate::progress::Silent;
use proptest::prelude::*;

/// A model of untrimmed patches, all of one part, and its joins.
fn joins_of(patches: Vec<nurbs::Surface>) -> Vec<Join> {
    graph_of(&model_of(patches)).joins
}

/// The same patch with u and v exchanged: Su × Sv turns round.
pub(crate) fn turned_over(s: &nurbs::Surface) -> nurbs::Surface {
    let (nu, nv) = s.size();
    let across = |k: usize| (k % nu) * nv + k / nu;
    let points = (0..nu * nv).map(|k| s.points()[across(k)]).collect();
    let weights = s.weights().map(|w| (0..nu * nv).map(|k| w[across(k)]).collect());
    nurbs::Surface::new(s.knots_v().clone(), s.knots_u().clone(), points, weights).unwrap()
}

pub(crate) fn model_of(patches: Vec<nurbs::Surface>) -> Model {
    let faces = patches.into_iter().map(|s| Face::whole(Surface::Nurbs(s))).collect();
    Model { faces, parts: vec!["one".into()], ..Model::default() }
}

pub(crate) fn graph_of(model: &Model) -> JoinGraph {
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let areas: Vec<f64> = model.faces().map(|(id, f)| domains[id.index()].as_ref().unwrap().area(&f.surface)).collect();
    JoinGraph::find(&Sheets { model, domains: &domains }, &areas, &Options::default(), &mut Silent).unwrap()
}

/// A frame out of the axes.
pub(crate) fn tilted() -> Frame {
    Frame::from_axis(Point3::new(110.0, -70.0, 50.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
}

/// A flat patch with corners (x0, y0) and (x1, y1) in the plane of a frame.
pub(crate) fn flat(f: &Frame, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> nurbs::Surface {
    let line = || KnotVector::bezier(1).unwrap();
    let net = vec![f.point(x0, y0, 0.0), f.point(x0, y1, 0.0), f.point(x1, y0, 0.0), f.point(x1, y1, 0.0)];
    nurbs::Surface::new(line(), line(), net, None).unwrap()
}

fn of_class(joins: &[Join], class: Class) -> Vec<&Join> {
    joins.iter().filter(|j| j.class == class).collect()
}

fn ids(j: &Join) -> Vec<usize> {
    j.faces.iter().map(|f| f.index()).collect()
}

#[test]
fn one_long_border_against_three_short_ones() {
    let f = tilted();
    let stops = [0.0, 11.0, 37.5, 90.0];
    let mut patches = vec![flat(&f, (0.0, 0.0), (90.0, 40.0))];
    patches.extend(stops.windows(2).map(|w| flat(&f, (w[0], -30.0), (w[1], 0.0))));
    let all = joins_of(patches);
    for (i, w) in stops.windows(2).enumerate() {
        let join = all.iter().find(|j| ids(j) == [0, i + 1]).expect("a join");
        assert!((join.length - (w[1] - w[0])).abs() < 1e-3, "{} against {}", join.length, w[1] - w[0]);
        assert_eq!(join.class, Class::G3);
        assert!(join.stations.len() >= 17);
    }
    // Between the short ones two joins, and around everything the outlines.
    assert_eq!(of_class(&all, Class::G3).len(), 5);
    let outline: f64 = of_class(&all, Class::Outline).iter().map(|j| j.length).sum();
    assert!((outline - (90.0 + 2.0 * 40.0 + 90.0 + 2.0 * 30.0)).abs() < 1e-6, "{outline}");
}

#[test]
fn gaps_are_joins_then_open_then_outlines() {
    let f = tilted();
    for (gap, class) in
        [(0.0, Class::G3), (0.03, Class::G0), (0.45, Class::G0), (0.55, Class::Open), (2.4, Class::Open), (2.6, Class::Outline)]
    {
        let all = joins_of(vec![flat(&f, (0.0, 0.0), (200.0, 40.0)), flat(&f, (0.0, -30.0), (200.0, -gap))]);
        let between: Vec<&Join> = all.iter().filter(|j| j.faces.len() == 2).collect();
        if class == Class::Outline {
            assert!(between.is_empty());
            continue;
        }
        assert_eq!(between.len(), 1, "gap {gap}");
        assert_eq!((between[0].class, between[0].stations.len() >= 17), (class, true), "gap {gap}");
        let found = between[0].summaries.gap.unwrap();
        assert!((found.max.value - gap).abs() < 1e-9 && (found.mean - gap).abs() < 1e-9, "{found:?} for {gap}");
        assert!((between[0].length - 200.0).abs() < 1e-6);
    }
}

/// Two faces whose borders part from a common end, with a wedge between them that stands 0.3 mm above: they meet up to where
/// the wedge is nearer, whichever order the faces come in.
#[test]
fn faces_that_part_meet_only_as_far_as_they_are_nearest() {
    let f = tilted();
    let slope = 0.03;
    let line = || KnotVector::bezier(1).unwrap();
    let patch = |net: [(f64, f64); 4], z: f64| {
        nurbs::Surface::new(line(), line(), net.iter().map(|&(x, y)| f.point(x, y, z)).collect(), None).unwrap()
    };
    let below = patch([(0.0, -40.0), (0.0, 0.0), (100.0, -40.0), (100.0, 0.0)], 0.0);
    let above = patch([(0.0, 0.0), (0.0, 40.0), (100.0, 100.0 * slope), (100.0, 40.0)], 0.0);
    let wedge = patch([(0.0, 0.0), (0.0, 0.0), (100.0, 0.0), (100.0, 100.0 * slope)], 0.3);
    for order in [[0, 1, 2], [1, 0, 2], [1, 2, 0], [0, 2, 1]] {
        let faces = [&wedge, &below, &above];
        let all = joins_of(order.iter().map(|&i: &usize| faces[i].clone()).collect());
        let at = |i: usize| order.iter().position(|&o| o == i).unwrap();
        let pair = [at(1).min(at(2)), at(1).max(at(2))];
        let of: Vec<&Join> = all.iter().filter(|j| ids(j) == pair && j.class != Class::Open).collect();
        let [parting] = of[..] else { panic!("{order:?}") };
        let gap = parting.summaries.gap.unwrap().max.value;
        assert!((gap - 0.3).abs() < 0.01, "{gap} in order {order:?}");
    }
}

#[test]
fn small_models_keep_their_faces_apart() {
    // The same gap is far beyond what a model of this size would call a join.
    let f = tilted();
    let all = joins_of(vec![flat(&f, (0.0, 0.0), (0.3, 0.1)), flat(&f, (0.0, -0.1), (0.3, -0.02))]);
    assert!(all.iter().all(|j| j.class == Class::Outline), "{:?}", all.iter().map(|j| j.class).collect::<Vec<_>>());
}

#[test]
fn three_sheets_on_one_border_are_non_manifold() {
    let f = tilted();
    let sheet = |turn: f64| {
        let y = f.y * real::cos(turn) + f.z * real::sin(turn);
        flat(&Frame { y, z: f.x.cross(y), ..f }, (0.0, 0.0), (80.0, 30.0))
    };
    let all = joins_of(vec![sheet(0.0), sheet(2.0), sheet(4.0)]);
    let pairs: Vec<Vec<usize>> = of_class(&all, Class::NonManifold).iter().map(|j| ids(j)).collect();
    assert_eq!(pairs, [[0, 1], [0, 2], [1, 2]]);
    assert!(all.iter().all(|j| matches!(j.class, Class::NonManifold | Class::Outline)));
    // Two of them alone are a crease of the angle between them.
    let two = joins_of(vec![sheet(0.0), sheet(2.0)]);
    let crease = of_class(&two, Class::Crease);
    assert!((crease[0].summaries.angle.unwrap().mid.unwrap() - (180.0 - f64::to_degrees(2.0))).abs() < 1e-9);
    assert_eq!(crease[0].required, Order::G0);
}

#[test]
fn a_doubled_sheet_is_no_open_join_and_a_folded_one_reads_half_a_turn() {
    let f = tilted();
    let above = Frame { origin: f.point(0.0, 0.0, 1.0), ..f };
    let all = joins_of(vec![flat(&f, (0.0, 0.0), (80.0, 30.0)), flat(&above, (0.0, 0.0), (80.0, 30.0))]);
    assert!(all.iter().all(|j| j.class == Class::Outline));
    let folded = joins_of(vec![flat(&f, (0.0, 0.0), (80.0, 30.0)), flat(&f, (0.0, 0.0), (80.0, 20.0))]);
    let long = folded.iter().find(|j| j.faces.len() == 2 && (j.length - 80.0).abs() < 1e-6).unwrap();
    assert_eq!(long.class, Class::Crease);
    assert!((long.summaries.angle.unwrap().max.value - 180.0).abs() < 1e-5);
}

#[test]
fn a_closed_patch_joins_itself() {
    let f = tilted();
    // A tube round z: a closed cubic in u whose ends meet in position, not in tangent.
    let ring = [(30.0, 0.0), (60.0, 70.0), (-60.0, 70.0), (30.0, 0.0)];
    let net = ring.iter().flat_map(|&(x, y)| [f.point(x, y, 0.0), f.point(x, y, 50.0)]).collect();
    let tube = nurbs::Surface::new(KnotVector::bezier(3).unwrap(), KnotVector::bezier(1).unwrap(), net, None).unwrap();
    let all = joins_of(vec![tube]);
    let own = all.iter().find(|j| ids(j) == [0, 0]).unwrap();
    assert!((own.length - 50.0).abs() < 1e-9);
    // End tangents (30, 70) and (90, −70): the sheet turns by the angle between them.
    let turn = real::angle_between(Vec3::new(30.0, 70.0, 0.0), Vec3::new(90.0, -70.0, 0.0)).to_degrees();
    assert!((own.summaries.angle.unwrap().mid.unwrap() - turn).abs() < 1e-9);
}

/// Knots mapped by an increasing line: the same shape at another speed.
fn at_speed(s: &nurbs::Surface, factor: f64) -> nurbs::Surface {
    let mapped = |k: &KnotVector| KnotVector::new(k.degree(), k.knots().iter().map(|t| 7.0 + factor * t).collect()).unwrap();
    nurbs::Surface::new(mapped(s.knots_u()), mapped(s.knots_v()), s.points().to_vec(), s.weights().map(<[f64]>::to_vec)).unwrap()
}

/// A gently curved patch without symmetry, rational or not.
pub(crate) fn master(p: usize, q: usize, spans: usize, bumps: &[f64], rational: bool) -> nurbs::Surface {
    let (u, v) = (KnotVector::uniform(p, spans).unwrap(), KnotVector::bezier(q).unwrap());
    let (gu, gv) = (u.greville(), v.greville());
    let f = tilted();
    let bump = |n: usize| bumps[n % bumps.len()];
    let net: Vec<Point3> = (0..gu.len() * gv.len())
        .map(|n| {
            let (x, y) = (300.0 * gu[n / gv.len()], 200.0 * gv[n % gv.len()]);
            f.point(x + 8.0 * bump(n), y + 8.0 * bump(n + 5), 40.0 * x / 300.0 * (1.0 - x / 300.0) + 10.0 * bump(n + 11))
        })
        .collect();
    let weights = rational.then(|| (0..net.len()).map(|n| 1.0 + 0.2 * bump(n + 3)).collect());
    nurbs::Surface::new(u, v, net, weights).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// A patch cut by knot insertion is smooth to every order over the cut, also with one half raised in degree or run
    /// at another speed.
    #[test]
    fn a_cut_patch_shows_nothing(
        p in 3usize..=6, q in 2usize..=5, spans in 1usize..=2, cut in 0.2f64..0.45, rational in any::<bool>(),
        bumps in proptest::collection::vec(-1.0f64..1.0, 41),
    ) {
        let (left, right) = master(p, q, spans, &bumps, rational).split(Direction::U, cut).unwrap();
        let raised = right.elevated(Direction::U).unwrap().elevated(Direction::V).unwrap();
        let fast = at_speed(&right, 13.0);
        for other in [right, raised, fast] {
            let all = joins_of(vec![left.clone(), other]);
            let join = all.iter().find(|j| ids(j) == [0, 1]).unwrap();
            let s = &join.summaries;
            prop_assert_eq!(join.class, Class::G3);
            prop_assert!(s.gap.unwrap().max.value < 1e-9);
            prop_assert!(s.angle.unwrap().max.value < 1e-6, "{:?}", s.angle);
            prop_assert!(s.curvature.unwrap().max.value < 1e-9, "{:?}", s.curvature);
            prop_assert!(s.slope.unwrap().max.value < 1e-9, "{:?}", s.slope);
        }
    }

    /// The length and the middle of a join agree with its border's own, summed finely.
    #[test]
    fn length_and_middle_are_by_arc_length(q in 2usize..=5, bumps in proptest::collection::vec(-1.0f64..1.0, 41)) {
        let (left, right) = master(4, q, 1, &bumps, false).split(Direction::U, 0.4).unwrap();
        let border = |v: f64| left.derivs(0.4, v, 0).s;
        let points: Vec<Point3> = (0..=4000).map(|i| border(f64::from(i) / 4000.0)).collect();
        let fine: f64 = points.windows(2).map(|w| w[0].distance(w[1])).sum();
        let mut along = 0.0;
        let middle = points.windows(2).find(|w| { along += w[0].distance(w[1]); along >= 0.5 * fine }).unwrap()[0];
        let all = joins_of(vec![left.clone(), right]);
        let join = all.iter().find(|j| ids(j) == [0, 1]).unwrap();
        prop_assert!((join.length - fine).abs() < 1e-5 * fine, "{} against {fine}", join.length);
        prop_assert!(join.mid.distance(middle) < 1e-3 * fine);
        let spacing = 2f64.max(join.length / 256.0);
        prop_assert!(join.stations.windows(2).all(|w| w[0].p.distance(w[1].p) <= 1.01 * spacing));
    }

    /// The obviously right twin of the search: every strand against every other.
    #[test]
    fn partners_are_those_found_by_looking_at_all(
        kept in proptest::collection::vec(any::<bool>(), 20), jitter in proptest::collection::vec(-0.3f64..0.3, 40),
    ) {
        let f = tilted();
        let cells = (0..20usize).filter(|&n| kept[n]).map(|n| {
            let (x, y) = ((n % 5) as f64 * 20.0, (n / 5) as f64 * 15.0);
            flat(&f, (x + jitter[n], y), (x + 20.0, y + 15.0 + jitter[n + 20]))
        });
        let model = model_of(cells.collect());
        let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        let sheets = Sheets { model: &model, domains: &domains };
        let strands = Strands::new(sheets.sides().into_iter().filter_map(|s| Strand::new(&sheets, s)).collect(), None);
        let rule = Rule { radius: 0.25, angle: 0.17, facing: false, touching: 0.0 };
        for a in 0..strands.all.len() {
            for share in strands.all[a].probes() {
                let got: Vec<usize> = strands.partners(a, share, &rule, &|_| false).iter().map(|p| p.strand).collect();
                let here = strands.all[a].spot(share);
                let met = (0..strands.all.len()).filter(|&b| b != a).filter_map(|b| {
                    let seed = strands.all[b].foot_anywhere(here.point).share;
                    strands.meets(a, &here, b, seed, &rule)
                });
                let met: Vec<_> = met.collect();
                let nearest = met.iter().map(|p| p.distance).fold(f64::INFINITY, f64::min);
                let mut want: Vec<usize> = met.iter().filter(|p| p.distance <= nearest + 1e-5 * rule.radius).map(|p| p.strand).collect();
                let mut got = got;
                want.sort_unstable();
                got.sort_unstable();
                prop_assert_eq!(got, want);
            }
        }
    }
}

/// A fillet strip between two flat primaries is a transition, so tangency is all that is asked of its joins.
#[test]
fn a_circular_fillet_is_no_fault() {
    let f = tilted();
    let r = 6.0;
    let w = real::cos(real::PI / 4.0);
    let arc = [(0.0, r, 1.0), (0.0, 0.0, w), (r, 0.0, 1.0)];
    let net = arc.iter().flat_map(|&(y, z, _)| [f.point(0.0, y, z), f.point(120.0, y, z)]).collect();
    let weights = arc.iter().flat_map(|&(_, _, w)| [w, w]).collect();
    let fillet = nurbs::Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap(), net, Some(weights)).unwrap();
    let floor = flat(&f, (0.0, r), (120.0, 80.0));
    let wall = flat(&Frame { y: f.z, z: -f.y, ..f }, (0.0, r), (120.0, 90.0));
    let all = joins_of(vec![floor, fillet, wall]);
    let joins: Vec<&Join> = all.iter().filter(|j| j.faces.len() == 2).collect();
    assert_eq!(joins.len(), 2);
    for j in joins {
        assert_eq!((j.class, j.required), (Class::G1, Order::G1));
        let s = &j.summaries;
        assert!((s.curvature.unwrap().max.value - 1.0 / r).abs() < 1e-12 && s.angle.unwrap().max.value < 1e-6);
        assert!((s.curvature_share.unwrap().value - 1.0).abs() < 1e-9);
    }
}

/// A crease written into a patch by a knot of full multiplicity is found; the same knot in a smooth patch is not.
#[test]
fn creases_inside_a_patch_are_found_and_smooth_full_knots_are_not() {
    let f = tilted();
    let knots = KnotVector::new(2, vec![0.0, 0.0, 0.0, 0.5, 0.5, 1.0, 1.0, 1.0]).unwrap();
    for (degrees, found) in [(0.0, false), (0.01, false), (0.3, true), (20.0, true)] {
        let slope = real::tan(f64::to_radians(degrees));
        let net = [0.0, 20.0, 40.0, 70.0, 100.0]
            .iter()
            .flat_map(|&x: &f64| {
                let z = (x - 40.0).max(0.0) * slope;
                [f.point(x, 0.0, z), f.point(x, 60.0, z)]
            })
            .collect();
        let patch = nurbs::Surface::new(knots.clone(), KnotVector::bezier(1).unwrap(), net, None).unwrap();
        let all = joins_of(vec![patch]);
        let inside: Vec<&Join> = all.iter().filter(|j| j.interior).collect();
        assert_eq!(inside.len(), usize::from(found), "{degrees} degrees");
        if let [j] = inside.as_slice() {
            assert!((j.summaries.angle.unwrap().mid.unwrap() - degrees).abs() < 1e-9);
            assert!((j.length - 60.0).abs() < 1e-6);
        }
    }
}
