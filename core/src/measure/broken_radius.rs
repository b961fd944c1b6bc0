//! Smallest radii, sheet and draft against closed forms.

use super::broken_once::all_findings;
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::geometry::{Sphere, Surface, Torus};
use crate::joins::arrangements::{model_of, tilted};
use crate::math::real;
use crate::model::{Face, Model};
use crate::nurbs::{self, KnotVector};

fn whole(surface: Surface) -> Model {
    Model { faces: vec![Face::whole(surface)], parts: vec!["one".into()], ..Model::default() }
}

/// A line from (r, z) to (r, z) turned round the axis of the frame: a circle of nine points in four arcs (The NURBS Book, ch. 7.5) by a
/// line.
fn turned(ends: [(f64, f64); 2]) -> Model {
    let (f, w) = (tilted(), 0.5_f64.sqrt());
    let round = [(1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (-1.0, 1.0), (-1.0, 0.0), (-1.0, -1.0), (0.0, -1.0), (1.0, -1.0), (1.0, 0.0)];
    let points = round.iter().flat_map(|&(x, y)| ends.map(|(r, z)| f.point(r * x, r * y, z))).collect();
    let weights = (0..9).flat_map(|i| [if i % 2 == 1 { w } else { 1.0 }; 2]).collect();
    let knots = KnotVector::new(2, [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4].map(f64::from).to_vec()).unwrap();
    model_of(vec![nurbs::Surface::new(knots, KnotVector::bezier(1).unwrap(), points, Some(weights)).unwrap()])
}

/// What is found of a measure with this limit to be mended, along a pull direction in the frame's axes.
fn found(model: &Model, measure: MeasureId, limit: Option<f64>, pull: Option<[f64; 3]>) -> Vec<Finding> {
    let f = tilted();
    let mut yardstick = Yardstick { pull: pull.map(|[x, y, z]| f.x * x + f.y * y + f.z * z), ..Yardstick::default() };
    let row = yardstick.rows.iter_mut().find(|r| r.measure == measure).unwrap();
    row.zones[0].fix = limit;
    let all = all_findings(model, Zone::Visible, &yardstick);
    all.into_iter().filter(|x| matches!(x.measure, MeasureId::FormRadius | MeasureId::FormOffset | MeasureId::FormDraft)).collect()
}

/// Findings of a measure just above the radii wanted, and none just below.
fn radii(model: &Model, measure: MeasureId, want: &[f64]) {
    let largest = want.iter().fold(0.0_f64, |a, b| a.max(*b));
    let least = want.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    let all = found(model, measure, Some(1.001 * largest), None);
    assert_eq!(all.len(), want.len(), "{all:#?}");
    for (one, want) in all.iter().zip(want) {
        assert!((one.value - want).abs() < 1e-8 * want, "{} against {want}", one.value);
        assert_eq!((one.measure, one.severity), (measure, Severity::Fix));
    }
    assert!(found(model, measure, Some(0.999 * least), None).is_empty() && found(model, measure, None, None).is_empty());
}

/// A ball has its radius; a torus its tube's, and R − r where it is hollow (do Carmo §3.3, example 5).
#[test]
fn smallest_radii_of_a_ball_and_of_a_ring() {
    let ball = whole(Surface::Sphere(Sphere { frame: tilted(), radius: 12.0 }));
    let ring = whole(Surface::Torus(Torus { frame: tilted(), major: 60.0, minor: 20.0 }));
    radii(&ball, MeasureId::FormRadius, &[12.0]);
    radii(&ring, MeasureId::FormRadius, &[20.0, 40.0]);
    // A sheet lies on the inner side, where the hollow of the ring is no less than it is outside.
    radii(&ball, MeasureId::FormOffset, &[12.0]);
    radii(&ring, MeasureId::FormOffset, &[20.0]);
    let all = found(&ring, MeasureId::FormOffset, Some(25.0), None);
    let area = 4.0 * real::PI * real::PI * 60.0 * 20.0;
    assert!((all[0].extent * all[0].extent - area).abs() < 0.02 * area, "{}", all[0].extent);
}

/// z = −(a x² + b y²) bends most in its vertex, with 2b across for b > a (an elliptic paraboloid: do Carmo §3.3).
#[test]
fn the_vertex_of_a_paraboloid_is_found() {
    let (f, a, b) = (tilted(), 0.002, 0.02);
    let (xs, ys) = ((-31.0, 47.0), (-22.0, 13.0));
    // Bézier ordinates of t² over (low, high): low², low·high, high².
    let square = |(l, h): (f64, f64), i: usize| [l * l, l * h, h * h][i];
    let line = |(l, h): (f64, f64), i: usize| [l, 0.5 * (l + h), h][i];
    let at = |i: usize, j: usize| f.point(line(xs, i), line(ys, j), -(a * square(xs, i) + b * square(ys, j)));
    let points = (0..3).flat_map(|i| (0..3).map(move |j| (i, j))).map(|(i, j)| at(i, j)).collect();
    let knots = || KnotVector::bezier(2).unwrap();
    let model = model_of(vec![nurbs::Surface::new(knots(), knots(), points, None).unwrap()]);
    // Which of its sides is the outward one, a single sheet does not tell.
    let all = found(&model, MeasureId::FormRadius, Some(0.5 / b + 0.1), None);
    let [one] = all.as_slice() else { panic!("{all:#?}") };
    assert!((one.value - 0.5 / b).abs() < 1e-8, "{}", one.value);
    assert!(one.place.point.distance(f.origin) < 1e-3, "{:?}", one.place);
    assert!(found(&model, MeasureId::FormRadius, Some(0.5 / b - 0.1), None).is_empty());
}

/// On a quarter of an ellipse the curvature is largest at an end: ab/((a² + b²)/2)^(3/2) at 45°, for a > b.
#[test]
fn the_tightest_place_may_be_on_a_border() {
    let (f, s) = (tilted(), 0.5_f64.sqrt());
    let (a, b) = (40.0, 15.0);
    let profile = [(a * s, b * s, 1.0), (0.0, b / s, s), (-a * s, b * s, 1.0)];
    let points = profile.iter().flat_map(|&(x, z, _)| [f.point(x, 0.0, z), f.point(x, 90.0, z)]).collect();
    let weights = profile.iter().flat_map(|p| [p.2; 2]).collect();
    let (u, v) = (KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap());
    let model = model_of(vec![nurbs::Surface::new(u, v, points, Some(weights)).unwrap()]);
    let mean: f64 = 0.5 * (a * a + b * b);
    let want = mean * mean.sqrt() / (a * b);
    radii(&model, MeasureId::FormRadius, &[want]);
}

/// The wall of a cone leans by half its opening angle all over.
#[test]
fn a_cone_has_the_draft_of_its_wall() {
    for (r, top, height) in [(50.0, 40.0, 60.0), (50.0, 48.0, 80.0), (30.0, 5.0, 10.0_f64)] {
        let model = turned([(r, 0.0), (top, height)]);
        let lean = real::atan2(r - top, height).to_degrees();
        let area = real::PI * (r + top) * real::hypot(r - top, height);
        let all = found(&model, MeasureId::FormDraft, Some(lean + 0.01), Some([0.0, 0.0, 2.0]));
        let [one] = all.as_slice() else { panic!("{all:#?}") };
        assert!((one.value - lean).abs() < 1e-9, "{} against {lean}", one.value);
        assert_eq!(one.severity, Severity::Fix);
        assert!((one.extent * one.extent - area).abs() < 0.02 * area, "{} against {area}", one.extent * one.extent);
        assert!(found(&model, MeasureId::FormDraft, Some(lean - 0.01), Some([0.0, 0.0, 1.0])).is_empty());
        let all = found(&model, MeasureId::FormDraft, None, Some([0.0, 0.0, -1.0]));
        let [one] = all.as_slice() else { panic!("{all:#?}") };
        assert!((one.value + lean).abs() < 1e-9 && one.severity == Severity::Serious, "{one:#?}");
    }
}

/// Half of a cylinder pulled across is undercut, and none of it pulled along; so is half of a ball, whichever way.
#[test]
fn half_of_what_is_round_is_undercut() {
    let (r, length) = (25.0, 90.0);
    let rod = turned([(r, 0.0), (r, length)]);
    let ball = whole(Surface::Sphere(Sphere { frame: tilted(), radius: r }));
    let cases = [
        (&rod, [0.6, 0.8, 0.0], real::PI * r * length),
        (&ball, [0.3, -0.5, 0.8], real::TAU * r * r),
        (&ball, [0.0, 0.0, 1.0], real::TAU * r * r),
    ];
    for (model, pull, area) in cases {
        let all = found(model, MeasureId::FormDraft, None, Some(pull));
        let [one] = all.as_slice() else { panic!("{all:#?}") };
        assert!((one.value + 90.0).abs() < 1e-3, "{}", one.value);
        assert!((one.extent * one.extent - area).abs() < 0.02 * area, "{} against {area}", one.extent * one.extent);
        assert!(found(model, MeasureId::FormDraft, None, None).is_empty());
        assert!(found(model, MeasureId::FormDraft, Some(10.0), Some([0.0; 3])).is_empty());
    }
    assert!(found(&rod, MeasureId::FormDraft, None, Some([0.0, 0.0, 1.0])).is_empty());
}

/// Two faces of one wall are one finding with the area of both.
#[test]
fn faces_that_meet_are_told_as_one() {
    let (r, length) = (25.0, 90.0);
    let mut both = turned([(r, 0.0), (r, length)]);
    both.faces.extend(turned([(r, length), (r, 2.0 * length)]).faces);
    let all = found(&both, MeasureId::FormDraft, None, Some([1.0, 0.0, 0.0]));
    let [one] = all.as_slice() else { panic!("{all:#?}") };
    let area = real::TAU * r * length;
    assert!((one.extent * one.extent - area).abs() < 0.02 * area && one.faces.len() == 2, "{one:#?}");
}
