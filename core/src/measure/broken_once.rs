//! A sound panel gives no finding but a good one; break one thing, get exactly one finding of the size it was broken by.

use super::{Judge, Memo, Subject, run};
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone, Zones};
use crate::joins::Sheets;
use crate::joins::arrangements::{graph_of, master, model_of, turned_over};
use crate::math::{Point3, Vec3, real};
use crate::model::{FaceId, Model};
use crate::nurbs::{Direction, KnotVector, Surface};
use crate::progress::Silent;

/// Two halves of one patch, G3 over the cut by construction; the second one from its first control row on.
pub(super) fn halves() -> (Surface, Surface) {
    let bumps: Vec<f64> = (0..41).map(|n| 0.6 * real::sin(1.7 * f64::from(n))).collect();
    master(5, 4, 1, &bumps, false).split(Direction::U, 0.45).unwrap()
}

/// The surface with control row `row` (all rows for None) moved.
pub(super) fn moved(s: &Surface, row: Option<usize>, by: Vec3) -> Surface {
    let (_, nv) = s.size();
    let points = s.points().iter().enumerate().map(|(n, &p)| if row.is_none_or(|r| n / nv == r) { p + by } else { p }).collect();
    Surface::new(s.knots_u().clone(), s.knots_v().clone(), points, None).unwrap()
}

pub(super) fn findings(patches: Vec<Surface>, zone: Zone) -> Vec<Finding> {
    findings_of(&model_of(patches), zone)
}

fn findings_of(model: &Model, zone: Zone) -> Vec<Finding> {
    judged(model, zone, &Yardstick::default())
}

/// All but what is read over whole panels of form, of how they are built, and of their edges: these sheets are wavy, flat, or cut in two
/// on purpose, and end in bare outlines.
fn judged(model: &Model, zone: Zone, yardstick: &Yardstick) -> Vec<Finding> {
    let of_form = |f: &Finding| matches!(f.measure, MeasureId::FormHollow | MeasureId::FormLowCrown | MeasureId::FormDip);
    let built = |f: &Finding| f.measure.text().starts_with("rows.") || f.measure == MeasureId::LayoutSplit;
    let edge = |f: &Finding| f.measure.text().starts_with("edge.");
    all_findings(model, zone, yardstick).into_iter().filter(|f| !of_form(f) && !built(f) && !edge(f)).collect()
}

pub(super) fn all_findings(model: &Model, zone: Zone, yardstick: &Yardstick) -> Vec<Finding> {
    zoned_findings(model, &Zones::all(zone), yardstick)
}

/// The same where each face has a zone of its own.
pub(super) fn zoned_findings(model: &Model, zones: &Zones, yardstick: &Yardstick) -> Vec<Finding> {
    let graph = graph_of(model);
    let domains: Vec<_> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let areas: Vec<f64> = model.faces().map(|(id, f)| domains[id.index()].as_ref().unwrap().area(&f.surface)).collect();
    let subject =
        Subject { sheets: Sheets { model, domains: &domains }, areas: &areas, graph: &graph, memo: &Memo::default(), reference: None };
    run(&subject, &Judge { yardstick, zones }, &mut Silent)
}

/// The normal of the second half in the middle of the cut, and 1/(Su·b) there.
pub(super) fn cut_middle(s: &Surface) -> (Point3, Vec3, f64) {
    let d = s.derivs(s.domain().0.low, 0.5, 1);
    let n = d.su.cross(d.sv).normalize();
    (d.s, n, 1.0 / d.su.dot(d.sv.cross(n).normalize()).abs())
}

/// Largest angle between the normals over the cut, degrees, at 4000 places: both sides share the border's tangent.
fn largest_angle(a: &Surface, b: &Surface) -> f64 {
    let (ua, ub) = (a.domain().0.high, b.domain().0.low);
    let normal = |s: &Surface, u: f64, v: f64| {
        let d = s.derivs(u, v, 1);
        d.su.cross(d.sv)
    };
    let angle = |i: i32| real::angle_between(normal(a, ua, f64::from(i) / 4000.0), normal(b, ub, f64::from(i) / 4000.0));
    (0..=4000).map(angle).fold(0.0, f64::max).to_degrees()
}

#[test]
fn a_sound_panel_is_good() {
    let (a, b) = halves();
    let found = findings(vec![a, b], Zone::Visible);
    let [good] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!((good.severity, good.measure), (Severity::Good, MeasureId::JoinCurvature));
    assert_eq!(good.faces.len(), 2);
}

#[test]
fn a_panel_moved_off_gives_its_gap() {
    let (a, b) = halves();
    let (_, n, _) = cut_middle(&b);
    for (gap, severity) in [(0.004, Severity::Polish), (0.03, Severity::Fix), (0.3, Severity::Serious)] {
        let found = findings(vec![a.clone(), moved(&b, None, n * gap)], Zone::Visible);
        let of: Vec<&Finding> = found.iter().filter(|f| f.measure == MeasureId::JoinPosition).collect();
        let [one] = of.as_slice() else { panic!("{found:#?}") };
        assert_eq!(one.severity, severity);
        // The normal turns along the cut and the shift does not, so the gap is the shift where both agree.
        assert!((one.value - gap).abs() < 0.02 * gap, "{} against {gap}", one.value);
        assert!(found.iter().all(|f| f.measure == MeasureId::JoinPosition || f.severity >= Severity::Polish), "{found:#?}");
    }
}

#[test]
fn a_moved_row_gives_one_finding_of_its_order() {
    let (a, b) = halves();
    let (_, n, rate) = cut_middle(&b);
    let factor = |k: usize| (0..k).map(|i| (5 - i) as f64 * rate).product::<f64>();
    let kink = f64::to_radians(0.8);
    for (k, size, measure, severity) in [
        (1, kink, MeasureId::JoinTangent, Severity::Serious),
        (2, 2.5e-5, MeasureId::JoinCurvature, Severity::Fix),
        (3, 4e-6, MeasureId::JoinCurvatureSlope, Severity::Polish),
    ] {
        let delta = size / factor(k);
        let found = findings(vec![a.clone(), moved(&b, Some(k), n * delta)], Zone::Visible);
        let bad: Vec<&Finding> = found.iter().filter(|f| f.severity != Severity::Good).collect();
        let [one] = bad.as_slice() else { panic!("row {k}: {found:#?}") };
        assert_eq!((one.measure, one.severity), (measure, severity), "row {k}: {one:#?}");
        if k == 1 {
            let want = largest_angle(&a, &moved(&b, Some(k), n * delta));
            assert!((one.value - want).abs() < 1e-6 * want, "{} against {want}", one.value);
        }
        assert!(one.extent > 0.0 && one.join == Some(0) && one.place.along.is_some());
    }
}

#[test]
fn hidden_faces_are_held_to_less() {
    let (a, b) = halves();
    let (_, n, rate) = cut_middle(&b);
    let delta = 4e-4 / (20.0 * rate * rate);
    let found = findings(vec![a, moved(&b, Some(2), n * delta)], Zone::Hidden);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_turned_normal_gives_one_finding_and_no_other() {
    let (a, b) = halves();
    let found = findings(vec![turned_over(&a), b], Zone::Visible);
    let bad: Vec<&Finding> = found.iter().filter(|f| f.severity != Severity::Good).collect();
    let [one] = bad.as_slice() else { panic!("{found:#?}") };
    assert_eq!((one.measure, one.value), (MeasureId::LayoutOrientation, 1.0));
    assert_eq!(one.faces.iter().map(|f| f.index()).collect::<Vec<_>>(), [0]);
}

/// A face that is there twice is one finding of its area, whichever way the copy faces: the copy has no joins, and no
/// side of its own to be judged by.
#[test]
fn a_face_put_in_twice_gives_one_finding_of_its_area() {
    let (a, b) = halves();
    let model = model_of(vec![a.clone()]);
    let area = model.domain(FaceId::new(0)).unwrap().area(&model.faces[0].surface);
    for copy in [a.clone(), turned_over(&a)] {
        for stated in [true, false] {
            let mut model = model_of(vec![a.clone(), b.clone(), copy.clone()]);
            model.faces[2].same_sense = stated;
            let found = findings_of(&model, Zone::Visible);
            let bad: Vec<&Finding> = found.iter().filter(|f| f.severity != Severity::Good).collect();
            let [one] = bad.as_slice() else { panic!("{found:#?}") };
            assert_eq!(one.measure, MeasureId::LayoutDuplicate);
            assert_eq!(one.faces.iter().map(|f| f.index()).collect::<Vec<_>>(), [0, 2]);
            assert!((one.value - area.sqrt()).abs() < 0.02 * area.sqrt(), "{} against {}", one.value, area.sqrt());
        }
    }
}

/// Breaks of two joins, each within a limit set for them, add up at the corner where they meet: one finding, of their spread.
#[test]
fn small_breaks_that_add_up_round_a_corner_give_its_spread() {
    // Away from the planes that a model may be symmetric about.
    const AWAY: Point3 = Point3::new(1000.0, 700.0, 500.0);
    let sides = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
    let slope = real::tan(f64::to_radians(0.09));
    let roof = |rise: f64| {
        let flat = |(sx, sy): (f64, f64)| {
            let at = |i: u8, j: u8| {
                let (x, y) = (sx * 300.0 * f64::from(i), sy * 300.0 * f64::from(j));
                AWAY + Vec3::new(x, y, rise * ((-x).max(0.0) + (-y).max(0.0)))
            };
            let line = || KnotVector::bezier(1).unwrap();
            Surface::new(line(), line(), vec![at(0, 0), at(0, 1), at(1, 0), at(1, 1)], None).unwrap()
        };
        let mut model = model_of(sides.into_iter().map(flat).collect());
        // All normals up.
        model.faces.iter_mut().zip(sides).for_each(|(f, (sx, sy))| f.same_sense = sx * sy > 0.0);
        model
    };
    let mut yardstick = Yardstick::default();
    let tangent = yardstick.rows.iter_mut().find(|r| r.measure == MeasureId::JoinTangent).unwrap();
    tangent.zones[0].polish = Some(0.0999);
    let corner = |found: Vec<Finding>| -> Vec<Finding> { found.into_iter().filter(|f| f.severity != Severity::Good).collect() };
    let sound = corner(judged(&roof(0.0), Zone::Visible, &yardstick));
    assert!(sound.is_empty(), "{sound:#?}");
    let found = corner(judged(&roof(slope), Zone::Visible, &yardstick));
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    let want = real::atan((2.0 * slope * slope + slope * slope * slope * slope).sqrt()).to_degrees();
    assert_eq!((one.measure, one.faces.len(), one.also.len()), (MeasureId::JoinCorner, 4, 3));
    assert!((one.value - want).abs() < 1e-6 && one.place.point.distance(AWAY) < 1e-9, "{one:?} against {want}");
}
