//! The findings on the demo model, held to its answer key: every seeded fault of a kind that is measured is found at
//! its place with its value, and nothing else is worse than polish.

use rakelight_core::demo::bramble::{Revision, SeededFault, seeded, step};
use rakelight_core::finding::{Finding, MeasureId, Severity, Yardstick, Zone};
use rakelight_core::joins::JoinGraph;
use rakelight_core::math::Point2;
use rakelight_core::measure::REGISTRY;
use rakelight_core::model::FaceId;
use rakelight_core::progress::Silent;
use rakelight_core::review::{Options, Prepared, findings};

/// Reads, joins and measures a revision as a file.
fn found(revision: Revision) -> (Prepared, Vec<Finding>) {
    let text = step(revision);
    let options = Options::default();
    let import = rakelight_core::exchange::read(text.as_bytes(), "bramble.step", &options.limits, &mut Silent).expect("our own file");
    let prepared = Prepared::new(import);
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, &mut Silent).expect("not cancelled");
    let all = findings(&prepared, &graph, &Yardstick::default(), Zone::Visible, &mut Silent);
    (prepared, all)
}

fn told(prepared: &Prepared, f: &Finding) -> String {
    let names: Vec<&str> = f.faces.iter().filter_map(|&id| prepared.import.model.face(id)).map(|face| face.name.as_str()).collect();
    format!("{} {} {:.5} on {} at {:?}", f.severity.text(), f.measure.text(), f.value, names.join(" | "), f.place.point)
}

fn belongs(f: &Finding, fault: &SeededFault) -> bool {
    f.measure == fault.measure && f.place.point.distance(fault.place) <= fault.reach
}

/// True for what a fault shows in besides: on the face it is on, or on the one beside it that is built on the same rows.
fn follows(prepared: &Prepared, f: &Finding, fault: &SeededFault) -> bool {
    let near = |id: FaceId| {
        let (face, domain) = (prepared.import.model.face(id)?, prepared.domains.get(id.index())?.as_ref()?);
        let (u, v) = domain.bounds();
        let starts = (0..49).map(|k| Point2::new(u.at(f64::from(k % 7) / 6.0), v.at(f64::from(k / 7) / 6.0)));
        let far = starts.map(|s| face.surface.point(s.u, s.v).distance(fault.place)).fold(f64::INFINITY, f64::min);
        Some(far <= fault.reach)
    };
    fault.shows.contains(&f.measure) && f.faces.iter().any(|&id| near(id) == Some(true))
}

/// Measures that exist so far: only faults of these kinds can be asked for.
fn measured(id: MeasureId) -> bool {
    REGISTRY.iter().any(|m| m.id == id)
}

/// Returns how many seeded faults were found.
fn hold(revision: Revision) -> usize {
    let (prepared, all) = found(revision);
    let key: Vec<SeededFault> = seeded(revision).into_iter().filter(|f| measured(f.measure)).collect();
    let mut wrong = Vec::new();
    for fault in &key {
        let mut hits: Vec<&Finding> = all.iter().filter(|f| f.severity != Severity::Good && belongs(f, fault)).collect();
        hits.sort_by_key(|f| f.severity);
        println!("{}: {:.5} seeded, found {:?}", fault.id, fault.value, hits.iter().map(|f| f.value).collect::<Vec<_>>());
        // One fault may show at several places (both halves, rows and columns); the worst is the one seeded.
        match hits.first() {
            None => wrong.push(format!("{} is not found", fault.id)),
            Some(f) if (f.value - fault.value).abs() <= 0.02 * fault.value.abs() && f.severity == fault.severity => {}
            Some(f) => {
                let seed = format!("{}, seeded with {:.5} {}", fault.id, fault.value, fault.severity.text());
                wrong.push(format!("{seed}, reads {}", told(&prepared, f)));
            }
        }
    }
    let whole = seeded(revision);
    for f in all.iter().filter(|f| matches!(f.severity, Severity::Serious | Severity::Fix)) {
        if !key.iter().any(|fault| belongs(f, fault)) && !whole.iter().any(|fault| follows(&prepared, f, fault)) {
            wrong.push(format!("not seeded: {}", told(&prepared, f)));
        }
    }
    assert!(wrong.is_empty(), "{revision:?}:\n{}", wrong.join("\n"));
    key.len()
}

#[test]
fn revision_a_shows_what_was_seeded_and_nothing_else() {
    assert!(hold(Revision::A) >= 9);
}

#[test]
fn revision_b_shows_what_is_left_and_what_is_new() {
    assert!(hold(Revision::B) >= 2);
}

#[test]
fn the_sound_cowl_has_nothing_to_mend() {
    assert_eq!(hold(Revision::Sound), 0);
}
