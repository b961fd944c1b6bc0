//! Trials on real models: every face's patch pulled, and what comes of borders, of the import, and of the file written.

use rakelight_core::exchange::{self, Limits, write};
use rakelight_core::geometry::Surface;
use rakelight_core::math::Vec3;
use rakelight_core::model::{FaceId, Model};
use rakelight_core::progress::Silent;
use rakelight_core::trial::{Drag, Edit, Lock, TrialError, Trials};
use rakelight_tests::data;

fn read(bytes: &[u8], name: &str) -> Model {
    exchange::read(bytes, name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{name}: {e}")).model
}

#[test]
fn every_face_can_be_pulled_and_keeps_a_border() {
    // Faces that are trimmed and run over a pole are refused; their number is pinned.
    for (name, refused) in
        [("mouse_cover.step", 1), ("revolve_profile.stp", 0), ("sphere_quarter_pieces.stp", 1), ("nacelle_6patch.stp", 0)]
    {
        let Some(file) = data::step_model(name, "trials") else { continue };
        let model = read(&file.bytes(), name);
        let area = |m: &Model, id: FaceId| {
            let domain = m.domain(id).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(domain.untrimmed.is_none(), "{name}: face {}: {:?}", id.index(), domain.untrimmed);
            domain.area(&m.faces[id.index()].surface)
        };
        let pull = |face: usize| Drag {
            face: FaceId::new(face),
            point: (1, 1),
            by: Vec3::new(0.0, 0.3, 0.6) * (0.005 * area(&model, FaceId::new(face)).sqrt()),
            reach: (1, 1),
            locks: [Lock::Free; 4],
            twin: None,
        };
        let mut trials = Trials::default();
        (0..model.faces.len()).for_each(|i| trials.add("pull", Edit::Drag(pull(i))));
        let applied = trials.apply(&model);
        assert!(applied.failures.iter().all(|f| matches!(f.error, TrialError::Pole(_))), "{name}: {:?}", applied.failures);
        assert_eq!(applied.failures.len(), refused, "{name}");
        assert_eq!(applied.changed.len() + refused, model.faces.len());
        for change in &applied.changes {
            let (was, now) = (change.faces[0], applied.face(change.faces[0]).expect("a face that stays"));
            let (before, after) = (area(&model, was), area(&applied.model, now));
            assert!((before - after).abs() < 0.2 * before, "{name}: face {} of {before} mm2 has {after} now", was.index());
        }
        let written = applied.step(&write::StepOptions::default());
        let back = read(written.text.as_bytes(), name);
        assert_eq!(back.faces.len(), model.faces.len());
        let splines = applied.model.faces.iter().filter(|f| matches!(f.surface, Surface::Nurbs(_)));
        let missing = splines.filter(|f| back.faces.iter().all(|g| g.surface != f.surface)).count();
        assert_eq!(missing, 0, "{name}: patches that do not read back bit for bit");
        // Nothing happened to the import.
        let again = read(&file.bytes(), name);
        assert!(model.faces.iter().zip(&again.faces).all(|(a, b)| a.surface == b.surface && a.loops == b.loops), "{name}");
    }
}
