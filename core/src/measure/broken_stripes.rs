//! Forms on which what stripes do is known, sound and broken by a known amount.

use super::{Judge, Subject, run};
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use crate::geometry::{Domain, Surface, Torus};
use crate::joins::{JoinGraph, Options, Sheets};
use crate::math::{Frame, Interval, Point3, Vec3, real};
use crate::model::{Face, Model};
use crate::progress::Silent;

/// Parts of surfaces over rectangles of their parameters, measured.
pub(super) fn findings(parts: Vec<(Surface, Interval, Interval)>) -> Vec<Finding> {
    let domains: Vec<Option<Domain>> = parts.iter().map(|(s, u, v)| Domain::rectangle(s, *u, *v).ok()).collect();
    let areas: Vec<f64> = parts.iter().zip(&domains).map(|(p, d)| d.as_ref().unwrap().area(&p.0)).collect();
    let faces = parts.into_iter().map(|p| Face::whole(p.0)).collect();
    let model = Model { faces, parts: vec!["one".into()], ..Model::default() };
    let sheets = Sheets { model: &model, domains: &domains };
    let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).unwrap();
    let subject = Subject { sheets, areas: &areas, graph: &graph };
    run(&subject, &Judge { yardstick: &Yardstick::default(), zone: Zone::Visible }, &mut Silent)
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
