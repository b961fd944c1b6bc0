//! A panel on its reference gives nothing; off it at one place, or with a part missing, exactly one finding of that size.

use super::{Judge, Memo, Subject, run};
use crate::finding::{Finding, MeasureId, Severity, Yardstick, Zones};
use crate::joins::Sheets;
use crate::joins::arrangements::{graph_of, model_of};
use crate::math::Point3;
use crate::model::Model;
use crate::nurbs::{KnotVector, Surface};
use crate::progress::Silent;
use crate::reference::{FAR, Reference};

/// Away from the planes that a model may be symmetric about.
const AWAY: f64 = 700.0;

/// A flat patch of degree 2 between x0 and x1, 200 mm deep, its middle control point lifted.
fn patch(x0: f64, x1: f64, lift: f64) -> Surface {
    let knots = || KnotVector::bezier(2).unwrap();
    let at = |k: u32| {
        let (i, j) = (f64::from(k / 3), f64::from(k % 3));
        Point3::new(AWAY + x0 + (x1 - x0) * 0.5 * i, AWAY + 100.0 * j, AWAY + if k == 4 { lift } else { 0.0 })
    };
    Surface::new(knots(), knots(), (0..9).map(at).collect(), None).unwrap()
}

fn against(own: &Model, reference: Model) -> Vec<Finding> {
    let reference = Reference::new("reference", reference, FAR, &mut Silent).unwrap();
    let graph = graph_of(own);
    let domains: Vec<_> = own.faces().map(|(id, _)| own.domain(id).ok()).collect();
    let areas: Vec<f64> = own.faces().map(|(id, f)| domains[id.index()].as_ref().unwrap().area(&f.surface)).collect();
    let memo = Memo::default();
    let sheets = Sheets { model: own, domains: &domains };
    let subject = Subject { sheets, areas: &areas, graph: &graph, memo: &memo, reference: Some(&reference) };
    let found = run(&subject, &Judge { yardstick: &Yardstick::default(), zones: &Zones::default() }, &mut Silent);
    let own = |f: &Finding| matches!(f.measure, MeasureId::ReferenceDistance | MeasureId::ReferenceMissing);
    found.into_iter().filter(own).collect()
}

/// The demo of a sound pair: two patches on themselves, on a mesh of them, and facing the other way.
#[test]
fn a_model_on_its_reference_gives_nothing() {
    let own = model_of(vec![patch(0.0, 200.0, 3.0), patch(200.0, 380.0, 0.0)]);
    assert!(against(&own, own.clone()).is_empty());
    let mut turned = own.clone();
    turned.faces.iter_mut().for_each(|f| f.same_sense = false);
    assert!(against(&own, turned).is_empty());
    // One large patch under both, within the limits.
    assert!(against(&model_of(vec![patch(0.0, 200.0, 0.3), patch(200.0, 380.0, 0.0)]), model_of(vec![patch(0.0, 380.0, 0.0)])).is_empty());
}

/// A quarter of the middle control point's lift is left in the middle of a patch of degree 2.
#[test]
fn a_patch_off_its_reference_gives_its_distance() {
    let flat = model_of(vec![patch(0.0, 200.0, 0.0), patch(200.0, 380.0, 0.0)]);
    for (off, severity) in [(0.2, Severity::Polish), (-0.9, Severity::Fix), (3.0, Severity::Serious)] {
        let found = against(&model_of(vec![patch(0.0, 200.0, 4.0 * off), patch(200.0, 380.0, 0.0)]), flat.clone());
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::ReferenceDistance, severity));
        assert!((one.value - off.abs()).abs() < 1e-6, "{} against {off}", one.value);
        assert!(one.place.point.distance(Point3::new(AWAY + 100.0, AWAY + 100.0, AWAY + off)) < 0.1, "{:?}", one.place);
        assert_eq!(one.faces.iter().map(|f| f.index()).collect::<Vec<_>>(), [0]);
        assert!(one.extent > 10.0 && one.extent < 200.0);
    }
}

/// The reference goes on for 45 mm more, of which the first 5 are near; and the other way round.
#[test]
fn a_part_that_is_missing_or_extra_gives_its_area() {
    let (short, long) = (model_of(vec![patch(0.0, 200.0, 0.0)]), model_of(vec![patch(0.0, 245.0, 0.0)]));
    let want = (45.0 - FAR) * 200.0;
    for (own, reference, word) in [(&short, &long, "model is farther"), (&long, &short, "reference is farther")] {
        let found = against(own, reference.clone());
        let [one] = found.as_slice() else { panic!("{found:#?}") };
        assert_eq!((one.measure, one.severity), (MeasureId::ReferenceMissing, Severity::Serious));
        assert!((one.value - want).abs() < 0.005 * want, "{} against {want}", one.value);
        assert!(one.remedy.contains(word) && one.faces.len() == 1, "{one:?}");
        assert!(one.place.point.x > AWAY + 235.0);
    }
}
