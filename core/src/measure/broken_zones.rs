//! One fault, graded by the zones of the faces it lies on.

use super::broken_fillets::round;
use super::broken_once::{cut_middle, halves, moved, zoned_findings};
use crate::finding::{Limits, MeasureId, Severity, Yardstick, Zone, Zones};
use crate::joins::arrangements::{model_of, tilted};
use crate::model::{FaceId, Model};

/// How a measure is graded at its worst with each face, by its number, in a zone; the rest in the usual one.
fn graded(model: &Model, usual: Zone, faces: &[(usize, Zone)], measure: MeasureId) -> Option<Severity> {
    let mut zones = Zones::all(usual);
    faces.iter().for_each(|&(face, zone)| zones.set(FaceId::new(face), zone));
    let found = zoned_findings(model, &zones, &Yardstick::default());
    found.iter().filter(|f| f.measure == measure).map(|f| f.severity).min()
}

#[test]
fn a_break_between_two_faces_is_held_to_the_more_visible_one() {
    use Zone::{Hidden, Secondary, Visible};
    let (a, b) = halves();
    let (_, n, rate) = cut_middle(&b);
    let model = model_of(vec![a, moved(&b, Some(2), n * (4e-4 / (20.0 * rate * rate)))]);
    for (zones, severity) in [
        ([Visible, Visible], Some(Severity::Serious)),
        ([Secondary, Secondary], Some(Severity::Fix)),
        ([Hidden, Hidden], None),
        ([Hidden, Visible], Some(Severity::Serious)),
        ([Visible, Secondary], Some(Severity::Serious)),
        ([Secondary, Hidden], Some(Severity::Fix)),
    ] {
        // Whatever the rest of the model is held to.
        for usual in Zone::ALL {
            let faces = [(0, zones[0]), (1, zones[1])];
            assert_eq!(graded(&model, usual, &faces, MeasureId::JoinCurvature), severity, "{zones:?} in {usual:?}");
        }
    }
}

#[test]
fn what_is_done_well_is_told_where_it_is_asked_for() {
    let (a, b) = halves();
    let model = model_of(vec![a, b]);
    let good = |faces: &[(usize, Zone)]| graded(&model, Zone::Hidden, faces, MeasureId::JoinCurvature);
    assert_eq!((good(&[]), good(&[(1, Zone::Visible)])), (None, Some(Severity::Good)));
}

#[test]
fn a_tight_fillet_is_graded_by_its_own_zone() {
    let model = model_of(round(&tilted(), 100.0, 0.9));
    let of = |usual: Zone, fillet: Zone| graded(&model, usual, &[(1, fillet)], MeasureId::FilletRadius);
    for usual in Zone::ALL {
        let all = Zone::ALL.map(|zone| of(usual, zone));
        assert_eq!(all, [Some(Severity::Serious), Some(Severity::Polish), None], "beside {usual:?} faces");
    }
}

/// Of faces that meet and are told as one the most severe speaks for all, not the farthest off.
#[test]
fn faces_told_as_one_go_by_the_most_severe() {
    let (a, b) = halves();
    let model = model_of(vec![a, b]);
    let mut yardstick = Yardstick::default();
    let row = yardstick.rows.iter_mut().find(|r| r.measure == MeasureId::FormRadius).expect("a row");
    let limits = |polish, fix| Limits { polish, fix, serious: None };
    row.zones = [limits(None, Some(1e6)), limits(Some(1e6), None), limits(None, None)];
    let told = |zones: &Zones| {
        let found = zoned_findings(&model, zones, &yardstick);
        found.into_iter().filter(|f| f.measure == MeasureId::FormRadius && f.faces.len() == 2).collect::<Vec<_>>()
    };
    let all = told(&Zones::default());
    assert!(!all.is_empty());
    for one in all {
        let mut zones = Zones::default();
        zones.set(one.place.face.expect("a face"), Zone::Secondary);
        let same = |f: &&crate::finding::Finding| f.severity == Severity::Fix && f.value > one.value && f.place.face != one.place.face;
        assert!(told(&zones).iter().any(|f| same(&f)), "{:?} of {one:#?}", told(&zones));
    }
}
