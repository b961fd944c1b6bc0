//! Half models over their centre plane y = 0, of which every number across it is known: the panel
//! z = 30 − x²/4000 + b·y + c·y² + d·y³, shifted off the plane or not. There the angle between the halves is 2·atan b; where
//! b = 0 the section across has κ = 2c on both sides and κ′ = 6d on one, −6d on the other.

use super::broken_once::findings;
use crate::finding::{Finding, MeasureId, Severity, Zone};
use crate::joins::arrangements::{graph_of, model_of};
use crate::joins::{Class, Join, Order, Station};
use crate::layout::MirrorExtent;
use crate::math::{Point3, real};
use crate::nurbs::{Direction, KnotVector, Surface};

#[derive(Clone, Copy)]
struct Half {
    shift: f64,
    b: f64,
    c: f64,
    d: f64,
}

const SOUND: Half = Half { shift: 0.0, b: 0.0, c: -5e-4, d: 0.0 };

/// The panel over x from 0 to 400 and y from `low` to `high`, exactly: quadratic by cubic.
fn panel(half: Half, (low, high): (f64, f64)) -> Surface {
    let Half { shift, b, c, d } = half;
    let width = high - low;
    // Power basis in t = (y − low)/width, then Bézier: b0 = a0, b1 = a0 + a1/3, b2 = a0 + 2a1/3 + a2/3, b3 = sum.
    let a = [
        b * low + c * low * low + d * low * low * low,
        (b + 2.0 * c * low + 3.0 * d * low * low) * width,
        (c + 3.0 * d * low) * width * width,
        d * width * width * width,
    ];
    let z = [a[0], a[0] + a[1] / 3.0, a[0] + 2.0 * a[1] / 3.0 + a[2] / 3.0, a[0] + a[1] + a[2] + a[3]];
    // −x²/4000 over 0 to 400 in the same way: 0, 0, −40.
    let net = [(0.0, 0.0), (200.0, 0.0), (400.0, -40.0)]
        .iter()
        .flat_map(|&(x, sag)| (0..4).map(move |j| Point3::new(x, shift + low + width * j as f64 / 3.0, 30.0 + sag + z[j])))
        .collect();
    Surface::new(KnotVector::bezier(2).unwrap(), KnotVector::bezier(3).unwrap(), net, None).unwrap()
}

fn across(half: Half) -> Join {
    let graph = graph_of(&model_of(vec![panel(half, (0.0, 150.0))]));
    assert_eq!(graph.mirror.as_ref().map(|m| m.extent), Some(MirrorExtent::Half));
    let mut joins: Vec<Join> = graph.joins.into_iter().filter(|j| j.mirrored).collect();
    assert_eq!(joins.len(), 1);
    joins.remove(0)
}

/// The station at x = 0, where the panel is level along x and the section is the curve b·y + c·y² + d·y³ itself.
fn top(join: &Join) -> &Station {
    join.stations.iter().min_by(|a, b| a.p.x.total_cmp(&b.p.x)).unwrap()
}

fn bad(half: Half) -> Vec<Finding> {
    findings(vec![panel(half, (0.0, 150.0))], Zone::Visible).into_iter().filter(|f| f.severity != Severity::Good).collect()
}

#[test]
fn a_sound_half_is_smooth_to_the_third_order() {
    let join = across(SOUND);
    assert_eq!((join.class, join.required, join.faces.len()), (Class::G3, Order::G2, 1));
    let s = &join.summaries;
    assert!(s.gap.unwrap().max.value < 1e-12 && s.angle.unwrap().max.value < 1e-9);
    assert!(s.curvature.unwrap().max.value < 1e-15 && s.slope.unwrap().max.value < 1e-15);
    let curvature = top(&join).measures.curvature.unwrap();
    assert!((curvature.a.abs() - 1e-3).abs() < 1e-12 && curvature.a == curvature.b, "{curvature:?}");
    assert!(bad(SOUND).is_empty());
}

#[test]
fn a_gap_is_twice_the_distance() {
    for (shift, severity) in [(0.002, Severity::Polish), (0.01, Severity::Fix), (0.1, Severity::Serious)] {
        let join = across(Half { shift, ..SOUND });
        assert!((join.summaries.gap.unwrap().max.value - 2.0 * shift).abs() < 1e-12);
        assert_eq!(join.class, Class::G0);
        let found = bad(Half { shift, ..SOUND });
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::CentrePosition, severity));
        assert!((one.value - 2.0 * shift).abs() < 1e-12);
    }
}

#[test]
fn an_angle_is_twice_the_normals_and_leaves_curvature_out() {
    for (b, severity) in [(4e-4, Severity::Polish), (2e-3, Severity::Fix), (0.012, Severity::Serious)] {
        let join = across(Half { b, ..SOUND });
        let want = 2.0 * real::atan(b).to_degrees();
        assert!((join.summaries.angle.unwrap().max.value - want).abs() < 1e-8, "{:?} against {want}", join.summaries.angle);
        assert!(join.summaries.curvature.is_none() && join.summaries.slope.is_none(), "not applicable, never met");
        assert!(join.stations.iter().all(|s| s.measures.curvature.is_none() && s.measures.slope.is_none()));
        assert_eq!(join.class, Class::G0);
        let found = bad(Half { b, d: 1e-5, ..SOUND });
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::CentreTangent, severity));
        assert!((one.value - want).abs() < 1e-8);
    }
}

#[test]
fn a_slope_of_curvature_jumps_by_twice_itself() {
    let d = 1e-5;
    let join = across(Half { d, ..SOUND });
    assert_eq!(join.class, Class::G2);
    assert!((top(&join).measures.slope_jump().unwrap() - 12.0 * d).abs() < 1e-12, "{:?}", top(&join).measures);
    assert!(top(&join).measures.curvature_jump().unwrap() < 1e-15);
    let found = bad(Half { d, ..SOUND });
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!((one.measure, one.severity), (MeasureId::CentreCurvatureSlope, Severity::Polish));
}

#[test]
fn a_sharp_nose_is_a_crease() {
    let join = across(Half { b: -0.6, ..SOUND });
    assert_eq!((join.class, join.required), (Class::Crease, Order::G0));
    assert!(join.summaries.curvature.is_none());
    let found = bad(Half { b: -0.6, ..SOUND });
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_patch_through_the_plane_has_no_join_there() {
    let whole = panel(SOUND, (-150.0, 150.0));
    let graph = graph_of(&model_of(vec![whole.clone()]));
    assert_eq!(graph.mirror.as_ref().map(|m| m.extent), Some(MirrorExtent::Full));
    assert!(graph.joins.iter().all(|j| j.class == Class::Outline && !j.mirrored));
    // Cut on the plane it is two faces with an ordinary join.
    let (left, right) = whole.split(Direction::V, 0.5).unwrap();
    let graph = graph_of(&model_of(vec![left, right]));
    assert!(graph.joins.iter().all(|j| !j.mirrored));
    assert_eq!(graph.joins.iter().filter(|j| j.class == Class::G3).count(), 1);
}

#[test]
fn a_wall_in_the_plane_is_not_folded_onto_its_image() {
    let wall = |x: f64, z: f64| Point3::new(x, 0.0, z);
    let net = vec![wall(0.0, 30.0), wall(0.0, -40.0), wall(400.0, -10.0), wall(400.0, -80.0)];
    let line = || KnotVector::bezier(1).unwrap();
    let wall = Surface::new(line(), line(), net, None).unwrap();
    let graph = graph_of(&model_of(vec![wall, panel(Half { b: -0.3, ..SOUND }, (0.0, 150.0))]));
    assert!(graph.joins.iter().all(|j| !j.mirrored || j.faces[0].index() == 1));
}

#[test]
fn left_and_right_are_told_apart_by_how_far_they_differ() {
    let (left, right) = panel(SOUND, (-150.0, 150.0)).split(Direction::V, 0.5).unwrap();
    // Row 2 off the plane up by δ: the panel rises by 3 t² (1 − t) δ, at most 4/9 δ, on its way out.
    let lifted = |delta: f64| {
        let points = right.points().iter().enumerate().map(|(n, &p)| if n % 4 == 2 { Point3::new(p.x, p.y, p.z + delta) } else { p });
        Surface::new(right.knots_u().clone(), right.knots_v().clone(), points.collect(), None).unwrap()
    };
    let mirror = |delta: f64| {
        let found = findings(vec![left.clone(), lifted(delta)], Zone::Visible);
        found.into_iter().filter(|f| f.measure == MeasureId::CentreMirror).collect::<Vec<_>>()
    };
    assert!(mirror(0.0).is_empty());
    for (delta, severity) in [(0.09, Severity::Polish), (0.6, Severity::Fix)] {
        let found = mirror(delta);
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!(one.severity, severity);
        // Sampled, and square to the panel, not upwards.
        let most = 4.0 / 9.0 * delta;
        assert!(one.value <= most && one.value > 0.93 * most, "{} of {most}", one.value);
    }
}
