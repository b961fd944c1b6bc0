//! Trials on models made by hand, measured by the joins.

use super::{Applied, Drag, Edit, Lock, TrialError, Trials, Twin};
use crate::geometry::{Conic2, Curve, Pcurve, Surface};
use crate::joins::arrangements::{graph_of, master, model_of};
use crate::joins::{Join, JoinGraph, Options, Order, Sheets};
use crate::layout::MirrorPlane;
use crate::math::{Point2, Point3, Vec2, Vec3, real};
use crate::model::{Edge, EdgeId, EdgeUse, Face, FaceId, Loop, Model, Source, TrimCurve, Vertex, VertexId};
use crate::nurbs::fit::{CurveSample, fit_curve};
use crate::nurbs::{self, Direction, KnotVector};
use crate::progress::Silent;

const ORDERS: [Order; 4] = [Order::G0, Order::G1, Order::G2, Order::G3];

/// What an order asks for, by the joins' own measures: mm, degrees, 1/mm, 1/mm².
pub(super) const EXACT: [f64; 4] = [1e-9, 1e-7, 1e-9, 1e-10];

/// Numbers from −1 to 1, the same every time.
pub(super) struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    pub fn below(&mut self, count: usize) -> usize {
        (((self.next() + 1.0) * 0.5 * count as f64) as usize).min(count - 1)
    }

    pub fn list(&mut self, count: usize) -> Vec<f64> {
        (0..count).map(|_| self.next()).collect()
    }

    pub fn vector(&mut self, size: f64) -> Vec3 {
        Vec3::new(self.next(), self.next(), self.next()) * size
    }
}

/// The largest gap, angle, curvature jump and slope jump of a join; infinite where one applies nowhere.
pub(super) fn measured(join: &Join) -> [f64; 4] {
    let s = &join.summaries;
    [s.gap, s.angle, s.curvature, s.slope].map(|x| x.map_or(f64::INFINITY, |x| x.max.value))
}

pub(super) fn join_of(model: &Model, a: usize, b: usize) -> [f64; 4] {
    let graph = graph_of(model);
    let is = |j: &&Join| j.faces.iter().map(|f| f.index()).collect::<Vec<_>>() == [a, b];
    let joins: Vec<&Join> = graph.joins.iter().filter(is).collect();
    assert!(!joins.is_empty(), "no join between {a} and {b}");
    joins.into_iter().map(measured).reduce(|x, y| core::array::from_fn(|i| x[i].max(y[i]))).unwrap()
}

pub(super) fn patch_of(applied: &Applied, face: usize) -> nurbs::Surface {
    match &applied.model.faces[face].surface {
        Surface::Nurbs(s) => s.clone(),
        other => panic!("{other:?}"),
    }
}

pub(super) fn made(model: &Model, edits: impl IntoIterator<Item = Edit>) -> Applied {
    let mut trials = Trials::default();
    edits.into_iter().for_each(|e| trials.add("one", e));
    trials.apply(model)
}

fn drag(face: usize, patch: &nurbs::Surface, numbers: &mut Numbers, locks: [Lock; 4], twin: Option<Twin>) -> Drag {
    let (nu, nv) = patch.size();
    let (point, reach) = ((numbers.below(nu), numbers.below(nv)), (numbers.below(4), numbers.below(4)));
    Drag { face: FaceId::new(face), point, by: numbers.vector(3.0), reach, locks, twin }
}

/// Which side of the second part meets the first.
fn cut(patch: &nurbs::Surface, along: Direction, at: f64) -> [nurbs::Surface; 2] {
    patch.split(along, at).unwrap().into()
}

#[test]
fn a_thousand_drags_leave_locked_joins_as_smooth_as_they_were() {
    let mut numbers = Numbers(7391);
    let mut count = 0;
    for (k, &order) in ORDERS.iter().enumerate() {
        for (n, &(p, q, spans, rational)) in
            [(5, 4, 1, false), (4, 5, 2, true), (6, 3, 1, true), (3, 5, 3, false), (7, 7, 1, false)].iter().enumerate()
        {
            let along = if n % 2 == 0 { Direction::U } else { Direction::V };
            let parts = cut(&master(p, q, spans, &numbers.list(41), rational), along, 0.37);
            let high = n % 3 == 1;
            let moving = usize::from(!high);
            let side = 2 * usize::from(along == Direction::V) + usize::from(high);
            let mut locks = [Lock::Free; 4];
            locks[side] = Lock::Held(order);
            let model = model_of(parts.to_vec());
            let (mut trials, mut tried) = (Trials::default(), 0);
            while tried < 50 {
                trials.add("a drag", Edit::Drag(drag(moving, &parts[moving], &mut numbers, locks, None)));
                tried += 1;
            }
            count += tried;
            let applied = trials.apply(&model);
            // Drags of locked rows alone move nothing and say so.
            assert!(applied.failures.iter().all(|f| f.error == TrialError::Held), "{:?}", applied.failures);
            assert!(applied.changes.len() > 5 || parts[moving].size().0.min(parts[moving].size().1) <= 4);
            assert_eq!(applied.changed.len(), usize::from(!applied.changes.is_empty()));
            let after = join_of(&applied.model, 0, 1);
            for m in 0..=k {
                assert!(after[m] <= EXACT[m], "{order:?} of degrees {p}, {q}: {after:?}");
            }
            if k < 3 && !applied.changes.is_empty() {
                assert!(after[k + 1] > 10.0 * EXACT[k + 1], "{order:?}: nothing above it moved: {after:?}");
            }
        }
    }
    assert_eq!(count, 1000);
}

/// The half at y ≥ 0 of a patch symmetric about y = 0, u leading away from the plane, and its image.
fn halves(degree: usize, q: usize, numbers: &mut Numbers) -> [nurbs::Surface; 2] {
    let n = degree + 1;
    let mut net = vec![Point3::ORIGIN; n * (q + 1)];
    for i in 0..n {
        for j in 0..=q {
            let s = 2.0 * i as f64 / degree as f64 - 1.0;
            let p = Point3::new(300.0 * j as f64 / q as f64, 150.0 * s, 40.0 - 30.0 * s * s) + numbers.vector(6.0);
            let k = i * (q + 1) + j;
            let image = (n - 1 - i) * (q + 1) + j;
            let p = if k == image { Point3::new(p.x, 0.0, p.z) } else { p };
            net[k] = p;
            net[image] = MirrorPlane::Y.image(p);
        }
    }
    let patch = nurbs::Surface::new(KnotVector::bezier(degree).unwrap(), KnotVector::bezier(q).unwrap(), net, None).unwrap();
    let [left, right] = cut(&patch, Direction::U, 0.5);
    [if right.derivs(1.0, 0.5, 0).s.y > 0.0 { right } else { left }.clone(), patch]
}

fn centre_join(patch: &nurbs::Surface) -> [f64; 4] {
    let model = model_of(vec![patch.clone()]);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let options = Options { plane: Some(MirrorPlane::Y), ..Options::default() };
    let graph = JoinGraph::find(&Sheets { model: &model, domains: &domains }, &[1.0], &options, &mut Silent).unwrap();
    let join = graph.joins.iter().find(|j| j.mirrored).expect("a border on the plane");
    measured(join)
}

#[test]
fn rows_at_the_centre_plane_move_along_and_stay_as_smooth() {
    let mut numbers = Numbers(11);
    for (k, &order) in ORDERS.iter().enumerate() {
        for (degree, q) in [(5, 3), (4, 4), (7, 5)] {
            let [half, _] = halves(degree, q, &mut numbers);
            let side = usize::from(half.derivs(half.domain().0.high, 0.5, 0).s.y.abs() < 1e-9);
            let mut locks = [Lock::Free; 4];
            locks[side] = Lock::Centre(order, MirrorPlane::Y);
            let model = model_of(vec![half.clone()]);
            let applied = made(&model, (0..60).map(|_| Edit::Drag(drag(0, &half, &mut numbers, locks, None))));
            // Some of the rows that follow others cannot be pulled themselves.
            assert!(applied.failures.iter().all(|f| f.error == TrialError::Held) && applied.changes.len() > 40, "{:?}", applied.failures);
            let now = patch_of(&applied, 0);
            let border = |s: &nurbs::Surface| {
                let over = s.domain().0;
                s.derivs(if side == 1 { over.high } else { over.low }, 0.4, 0).s
            };
            assert!(border(&now).distance(border(&half)) > 0.1, "the row on the plane has not moved");
            let after = centre_join(&now);
            for m in 0..=k {
                assert!(after[m] <= EXACT[m], "{order:?} of degree {degree}: {after:?}");
            }
            if order == Order::G1 {
                assert!(after[2] <= EXACT[2] && after[3] > 1e-8, "by symmetry G2, and not more: {after:?}");
            }
        }
    }
}

#[test]
fn rows_that_slant_to_the_plane_stay_in_it_and_so_does_the_tangent_plane() {
    let mut numbers = Numbers(5);
    let [half, _] = halves(5, 4, &mut numbers);
    let high = half.derivs(half.domain().0.high, 0.5, 0).s.y.abs() < 1e-9;
    // A border of straight rows along x, the second row slid along it: tangent planes still contain y.
    let (nu, nv) = half.size();
    let mut points = half.points().to_vec();
    for j in 0..nv {
        let (first, second) = if high { ((nu - 1) * nv + j, (nu - 2) * nv + j) } else { (j, nv + j) };
        points[first] = Point3::new(75.0 * j as f64, 0.0, 10.0);
        points[second] = points[first] + Vec3::new(9.0 + j as f64, 25.0, 0.0);
    }
    let half = nurbs::Surface::new(half.knots_u().clone(), half.knots_v().clone(), points, None).unwrap();
    assert!(centre_join(&half)[1] < EXACT[1]);
    let mut locks = [Lock::Free; 4];
    locks[usize::from(high)] = Lock::Centre(Order::G1, MirrorPlane::Y);
    let applied = made(&model_of(vec![half.clone()]), (0..80).map(|_| Edit::Drag(drag(0, &half, &mut numbers, locks, None))));
    assert!(applied.changes.len() > 40);
    let after = centre_join(&patch_of(&applied, 0));
    assert!(after[0] <= EXACT[0] && after[1] <= EXACT[1], "{after:?}");
}

#[test]
fn a_twin_moves_by_the_mirror_image() {
    let mut numbers = Numbers(3);
    let [half, whole] = halves(5, 4, &mut numbers);
    let image = half.map(|p| MirrorPlane::Y.image(p));
    let side = usize::from(half.derivs(half.domain().0.high, 0.5, 0).s.y.abs() < 1e-9);
    let mut locks = [Lock::Free; 4];
    locks[side] = Lock::Centre(Order::G3, MirrorPlane::Y);
    let twin = |face: usize| Some(Twin { face: FaceId::new(face), plane: MirrorPlane::Y });
    let pair = model_of(vec![half.clone(), image]);
    let applied = made(&pair, (0..40).map(|_| Edit::Drag(drag(0, &half, &mut numbers, locks, twin(1)))));
    assert!(applied.failures.iter().all(|f| f.error == TrialError::Held) && applied.changes.len() > 25, "{:?}", applied.failures);
    let (a, b) = (patch_of(&applied, 0), patch_of(&applied, 1));
    assert!(a.points().iter().zip(b.points()).all(|(p, q)| MirrorPlane::Y.image(*p).distance(*q) < 1e-10));
    let after = join_of(&applied.model, 0, 1);
    assert!((0..4).all(|m| after[m] <= EXACT[m]), "{after:?}");
    // A patch through the plane stays its own image.
    let applied =
        made(&model_of(vec![whole.clone()]), (0..40).map(|_| Edit::Drag(drag(0, &whole, &mut numbers, [Lock::Free; 4], twin(0)))));
    assert!(applied.failures.is_empty(), "{:?}", applied.failures);
    let now = patch_of(&applied, 0);
    let (nu, nv) = now.size();
    for k in 0..nu * nv {
        let other = (nu - 1 - k / nv) * nv + k % nv;
        assert!(now.points()[k].distance(MirrorPlane::Y.image(now.points()[other])) < 1e-10);
    }
    // What is no image is refused.
    let odd = model_of(vec![half.clone(), half.map(|p| p + Vec3::X)]);
    let applied = made(&odd, [Edit::Drag(drag(0, &half, &mut numbers, [Lock::Free; 4], twin(1)))]);
    assert!(matches!(applied.failures[0].error, TrialError::NotMirrored(d) if d > 0.5));
}

fn pulled(face: usize, by: Vec3) -> Edit {
    Edit::Drag(Drag { face: FaceId::new(face), point: (2, 2), by, reach: (1, 1), locks: [Lock::Free; 4], twin: None })
}

#[test]
fn trials_stack_switch_and_come_back() {
    let patches = cut(&master(5, 4, 1, &Numbers(2).list(41), false), Direction::U, 0.5);
    let model = model_of(patches.to_vec());
    let mut trials = Trials::default();
    trials.add("lift", pulled(0, Vec3::Z * 2.0));
    trials.add("push", pulled(0, Vec3::X * 3.0));
    let point = |t: &Trials| patch_of(&t.apply(&model), 0).points()[2 * 5 + 2] - patches[0].points()[2 * 5 + 2];
    let near = |v: Vec3, w: Vec3| (v - w).length() < 1e-12;
    assert!(near(point(&trials), Vec3::new(3.0, 0.0, 2.0)));
    trials.switch(0, false);
    assert!(near(point(&trials), Vec3::X * 3.0));
    trials.rename(1, "shove");
    trials.reorder(1, 0);
    assert_eq!(trials.list().iter().map(|t| (t.name.as_str(), t.on)).collect::<Vec<_>>(), [("shove", true), ("lift", false)]);
    trials.replace(0, pulled(0, Vec3::Y));
    assert!(near(point(&trials), Vec3::Y));
    trials.remove(0);
    assert!(trials.apply(&model).changed.is_empty());
    for _ in 0..5 {
        assert!(trials.undo());
    }
    assert!(near(point(&trials), Vec3::new(3.0, 0.0, 2.0)));
    assert_eq!(trials.list()[1].name, "push");
    for _ in 0..5 {
        assert!(trials.redo());
    }
    assert!(!trials.redo() && trials.list().len() == 1);
    // Nothing changed is no step, and a new step ends what could be redone.
    trials.switch(0, false);
    trials.undo();
    trials.add("new", pulled(1, Vec3::Z));
    assert!(!trials.redo());
    let applied = trials.apply(&model);
    assert_eq!((applied.changed.as_slice(), applied.changes[1].moved.largest), ([0, 1].map(FaceId::new).as_slice(), Some(1.0)));
    let d = applied.changes[1].deviation();
    assert!(d.from_new > 0.05 && d.from_new < 1.0 && (d.from_new - d.from_old).abs() < 0.1 * d.from_new, "{d:?}");
    // A trial that cannot be made leaves the others.
    trials.add("nowhere", pulled(7, Vec3::Z));
    trials.add(
        "past the net",
        Edit::Drag(Drag {
            point: (6, 0),
            ..match pulled(0, Vec3::Z) {
                Edit::Drag(d) => d,
                _ => unreachable!(),
            }
        }),
    );
    let again = trials.apply(&model);
    assert_eq!(
        again.failures.iter().map(|f| f.error.clone()).collect::<Vec<_>>(),
        [TrialError::NoFace(FaceId::new(7)), TrialError::NoPoint(6, 0)]
    );
    assert_eq!(patch_of(&again, 1), patch_of(&applied, 1));
    // The imported model is the same as ever.
    assert!(model.faces.iter().zip(&patches).all(|(f, p)| f.surface == Surface::Nurbs(p.clone())));
}

/// A patch with a round hole's worth of it as face.
pub(super) fn trimmed(patch: &nurbs::Surface) -> Model {
    let conic = Conic2 { centre: Point2::new(0.5, 0.5), a: Vec2::new(0.3, 0.0), b: Vec2::new(0.0, 0.35) };
    let knots = KnotVector::new(5, KnotVector::uniform(5, 24).unwrap().knots().iter().map(|t| t * real::TAU).collect()).unwrap();
    let samples: Vec<CurveSample<3>> = (0..=400)
        .map(|i| {
            let t = real::TAU * f64::from(i) / 400.0;
            let uv = Pcurve::Conic(conic).point(t);
            CurveSample { t, point: patch.derivs(uv.u, uv.v, 0).s.to_array(), weight: 1.0 }
        })
        .collect();
    let edge = Curve::Nurbs(fit_curve(&knots, &samples, None, &[]).unwrap());
    let mut model = model_of(Vec::new());
    model.vertices.push(Vertex { point: edge.point(0.0), source: Source::default() });
    let (start, end) = (VertexId::new(0), VertexId::new(0));
    model.edges.push(Edge { curve: edge, t0: 0.0, t1: real::TAU, start, end, source: Source::default() });
    let pcurve = Some(TrimCurve { curve: Pcurve::Conic(conic), t0: 0.0, t1: real::TAU });
    let loops = vec![Loop::Edges(vec![EdgeUse { edge: EdgeId::new(0), forward: true, pcurve }])];
    model.faces.push(Face { loops, ..Face::whole(Surface::Nurbs(patch.clone())) });
    model
}

#[test]
fn a_trimmed_face_keeps_its_trims_on_the_changed_patch() {
    let patch = master(5, 5, 1, &Numbers(9).list(41), false);
    for sense in [true, false] {
        let mut model = trimmed(&patch);
        if !sense {
            model.faces[0].same_sense = false;
            model.faces[0].loops[0].turn_over();
        }
        let applied = made(&model, [pulled(0, Vec3::Z * 25.0)]);
        assert!(applied.failures.is_empty());
        let (before, after) = (model.domain(FaceId::new(0)).unwrap(), applied.model.domain(FaceId::new(0)).unwrap());
        assert!(after.untrimmed.is_none() && after.repairs.is_empty(), "{after:?}");
        let ((u0, v0), (u1, v1)) = (before.bounds(), after.bounds());
        for (x, y) in [(u0.low, u1.low), (u0.high, u1.high), (v0.low, v1.low), (v0.high, v1.high)] {
            assert!((x - y).abs() < 1e-3, "{u0:?} {u1:?}");
        }
        let areas = [(&before, &model), (&after, &applied.model)].map(|(d, m)| d.area(&m.faces[0].surface));
        assert!((areas[0] - areas[1]).abs() > 1.0 && (areas[0] - areas[1]).abs() < 0.2 * areas[0], "{areas:?}");
        for s in &after.loops[0].sides {
            for i in 0..=20 {
                let uv = s.uv(&applied.model.faces[0].surface, f64::from(i) / 20.0);
                let r = real::hypot((uv.u - 0.5) / 0.3, (uv.v - 0.5) / 0.35);
                assert!((r - 1.0).abs() < 1e-7, "{r}");
            }
        }
    }
}

#[test]
fn a_face_bounded_by_a_box_becomes_a_patch_of_that_box() {
    let patch = master(4, 5, 2, &Numbers(4).list(41), true);
    let (u, v) = ((0.2, 0.7), (0.1, 0.9));
    let cut = patch.between(Direction::U, u.0, u.1).unwrap().between(Direction::V, v.0, v.1).unwrap();
    let mut model = model_of(Vec::new());
    let corners = [(u.0, v.0), (u.1, v.0), (u.1, v.1), (u.0, v.1)];
    for (a, b) in corners {
        model.vertices.push(Vertex { point: patch.derivs(a, b, 0).s, source: Source::default() });
    }
    let mut uses = Vec::new();
    for (i, (side, forward)) in [(2, true), (1, true), (3, false), (0, false)].into_iter().enumerate() {
        let curve = super::leader::border(&cut, super::net::SIDES[side]).unwrap();
        let over = curve.domain();
        let (t0, t1) = if forward { (over.low, over.high) } else { (over.high, over.low) };
        let (start, end) = (VertexId::new(i), VertexId::new((i + 1) % 4));
        model.edges.push(Edge { curve: Curve::Nurbs(curve), t0, t1, start, end, source: Source::default() });
        uses.push(EdgeUse { edge: EdgeId::new(i), forward: true, pcurve: None });
    }
    model.faces.push(Face { loops: vec![Loop::Edges(uses)], ..Face::whole(Surface::Nurbs(patch.clone())) });
    let applied = made(&model, [pulled(0, Vec3::Z * 2.0)]);
    assert!(applied.failures.is_empty(), "{:?}", applied.failures);
    let now = patch_of(&applied, 0);
    assert!(applied.model.faces[0].loops.is_empty() && now.size() == cut.size());
    for (domain, want) in [(now.domain().0, u), (now.domain().1, v)] {
        assert!((domain.low - want.0).abs() < 1e-6 && (domain.high - want.1).abs() < 1e-6);
    }
    let d = applied.changes[0].deviation();
    assert!(d.from_new < 2.0 && d.from_old < 2.0 && d.from_new > 0.1, "{d:?}");
}
