//! Forms on which what stripes do is known, sound and broken by a known amount.

use super::{Judge, Memo, Subject, run};
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zones};
use crate::geometry::{Cylinder, Domain, Surface, Torus};
use crate::joins::{JoinGraph, Options, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{Face, Model};
use crate::progress::Silent;

/// Parts of surfaces over rectangles of their parameters, measured; all but their edges, which are bare outlines, some across a gap.
pub(super) fn findings(parts: Vec<(Surface, Interval, Interval)>) -> Vec<Finding> {
    held_to(&Yardstick::default(), parts)
}

fn held_to(yardstick: &Yardstick, parts: Vec<(Surface, Interval, Interval)>) -> Vec<Finding> {
    let edge = |f: &Finding| ["edge.", "gap."].iter().any(|kind| f.measure.text().starts_with(kind));
    all_of(yardstick, parts).into_iter().filter(|f| !edge(f)).collect()
}

/// The same with their edges.
pub(super) fn all_of(yardstick: &Yardstick, parts: Vec<(Surface, Interval, Interval)>) -> Vec<Finding> {
    let domains: Vec<Option<Domain>> = parts.iter().map(|(s, u, v)| Domain::rectangle(s, *u, *v).ok()).collect();
    let areas: Vec<f64> = parts.iter().zip(&domains).map(|(p, d)| d.as_ref().unwrap().area(&p.0)).collect();
    let faces = parts.into_iter().map(|p| Face::whole(p.0)).collect();
    let model = Model { faces, parts: vec!["one".into()], ..Model::default() };
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).unwrap();
    let subject = Subject { sheets, areas: &areas, graph: &graph, memo: &Memo::default(), reference: None };
    run(&subject, &Judge { yardstick, zones: &Zones::default() }, &mut Silent)
}

/// Two tori that touch along their outer equator, of radius 200 mm, with tubes of `r1` above and `r2` below.
fn tori(r1: f64, r2: f64) -> Vec<Finding> {
    let frame = Frame::from_axis(Point3::new(40.0, -120.0, 70.0), Some(Vec3::new(1.0, 2.0, 4.0)), Some(Vec3::new(0.3, 1.0, 0.0)));
    let tube = |minor: f64| Surface::Torus(Torus { frame, major: 200.0 - minor, minor });
    let around = Interval::new(0.1, 1.3);
    let found = findings(vec![(tube(r1), around, Interval::new(0.0, 0.6)), (tube(r2), around, Interval::new(-0.6, 0.0))]);
    found.into_iter().filter(|f| f.severity != Severity::Good).collect()
}

/// Isophotes kink by atan √(r1/r2) − atan √(r2/r1) at most (flow's own test has the derivation). A jump of curvature below its
/// limit lets them kink; one above is the cause, and listed alone.
#[test]
fn a_kink_is_listed_where_no_break_explains_it() {
    let found = tori(20.0, 21.0);
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    let want = (real::atan((21.0f64 / 20.0).sqrt()) - real::atan((20.0f64 / 21.0).sqrt())).to_degrees();
    assert_eq!((one.measure, one.severity), (MeasureId::HighlightKink, Severity::Polish));
    assert!((one.value - want).abs() < 1e-6, "{} against {want}", one.value);
    assert!((one.extent - 200.0 * 1.2).abs() < 0.5 && one.join == Some(0), "{one:#?}");
    let found = tori(20.0, 30.0);
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!(one.measure, MeasureId::JoinCurvature);
    for r in [20.2, 20.0] {
        assert!(tori(20.0, r).is_empty(), "{r}");
    }
}

/// Isophotes of a cylinder are its rulings. A second panel shifted square to the axis carries them off by the shift; turned by
/// θ about a radius, it turns them by θ; a step of the panel's own radius about the axis leaves them where they are.
#[test]
fn stripes_across_a_gap_read_the_shift_and_the_turn() {
    let frame = Frame { origin: Point3::new(40.0, -120.0, 70.0), x: Vec3::Y, y: Vec3::Z, z: Vec3::X };
    let tube = |frame: Frame| Surface::Cylinder(Cylinder { frame, radius: 300.0 });
    let (around, left) = (Interval::new(0.1, 1.4), Interval::new(-200.0, 0.0));
    let two = |second: Frame, gap: f64| vec![(tube(frame), around, left), (tube(second), around, Interval::new(gap, 240.0))];
    let bad = |found: Vec<Finding>| found.into_iter().filter(|f| f.severity != Severity::Good).collect::<Vec<_>>();
    let shifted = |by: f64| Frame { origin: frame.origin + frame.x * by, ..frame };
    for by in [0.0, 0.9] {
        let found = bad(findings(two(shifted(by), 3.5)));
        assert!(found.is_empty(), "{found:#?}");
    }
    for (by, severity) in [(1.5, Severity::Polish), (4.0, Severity::Fix), (9.0, Severity::Serious)] {
        let found = bad(findings(two(shifted(by), 3.5)));
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::HighlightGap, severity));
        assert!((one.value - by).abs() < 1e-6 && one.extent > 200.0, "{one:#?}");
        assert_eq!(one.faces.len(), 2);
        // Each stripe from either panel to the middle of the gap, the shift apart there.
        assert!(one.drawn.len() >= 6 && one.drawn.len() % 2 == 0);
        for pair in one.drawn.chunks(2) {
            assert!((pair[0][1].distance(pair[1][1]) - by).abs() < 1e-6);
            assert!(pair.iter().all(|l| l.len() == 2 && (l[0].distance(l[1]) - 1.75).abs() < 1e-6));
        }
    }
    // Held to angles alone: turned about a radius the panel is carried off as well, the more the farther from it.
    let mut angles = Yardstick::default();
    angles.rows.retain(|r| r.measure == MeasureId::HighlightGapAngle);
    let turned = |degrees: f64| {
        let (sin, cos) = real::sin_cos(degrees.to_radians());
        let about = frame.x * real::cos(0.75) + frame.y * real::sin(0.75);
        let turn = |v: Vec3| v * cos + about.cross(v) * sin + about * about.dot(v) * (1.0 - cos);
        let middle = frame.origin + frame.z * 4.0 + about * 300.0;
        Frame { origin: middle + turn(frame.origin - middle), x: turn(frame.x), y: turn(frame.y), z: turn(frame.z) }
    };
    assert!(bad(held_to(&angles, two(turned(0.9), 8.0))).is_empty());
    let found = bad(held_to(&angles, two(turned(1.1), 8.0)));
    let [one] = found.as_slice() else { panic!("{found:#?}") };
    assert!(one.measure == MeasureId::HighlightGapAngle && (one.value - 1.1).abs() < 1e-5, "{one:#?}");
    assert!(one.remedy.contains("turn by 1.1°"), "{}", one.remedy);
}

/// Panels that stand at an angle to each other all along the gap are meant to, and stripes are not asked to carry on; nor are they
/// where outlines come near each other at a corner only.
#[test]
fn stripes_are_not_asked_over_an_edge_or_a_corner() {
    let frame = Frame { origin: Point3::new(40.0, -120.0, 70.0), x: Vec3::Y, y: Vec3::Z, z: Vec3::X };
    let tube = |frame: Frame, radius: f64| Surface::Cylinder(Cylinder { frame, radius });
    let first = (tube(frame, 300.0), Interval::new(0.1, 1.4), Interval::new(-200.0, 0.0));
    // The second tube bends away from the first, some millimetres off where they face each other.
    let across = |found: &[Finding]| found.iter().filter(|f| f.measure.text().starts_with("highlight.gap")).count();
    for (degrees, count) in [(1.5, 1), (6.0, 0)] {
        let (sin, cos) = real::sin_cos(f64::to_radians(degrees));
        let bent = Frame { y: frame.y * cos - frame.z * sin, z: frame.z * cos + frame.y * sin, ..frame };
        let second = (tube(bent, 300.0), Interval::new(0.9, 1.4), Interval::new(300.0 * sin + 3.0, 240.0));
        let found = findings(vec![first.clone(), second]);
        assert_eq!(across(&found), count, "{degrees}: {found:#?}");
    }
    let corner = findings(vec![first, (tube(frame, 304.0), Interval::new(1.38, 2.4), Interval::new(4.0, 240.0))]);
    assert_eq!(across(&corner), 0, "{corner:#?}");
}
