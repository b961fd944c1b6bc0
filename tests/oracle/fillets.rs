//! Which faces are blends, against lists that a person made by looking at the models, blind to the detector (tests/data/fillets).

use rakelight_core::exchange::{Limits, read};
use rakelight_core::fillet::{BlendKind, Fillets, fillets};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::data;
use serde_json::Value;
use std::path::Path;

/// Model, list, faces found that the list has not, by index.
const LISTS: [(&str, &str, &[usize]); 3] = [
    ("linkrods.step", "linkrods.json", &[]),
    ("nist_mbe_pmi_2.stp", "nist_mbe_pmi_2.json", &[]),
    // A lip's wall that goes straight and then bends, in one spline; the list calls it doubtful.
    ("mouse_cover.step", "mouse_cover.json", &[1]),
];

/// Least precision and recall.
const LEAST: f64 = 0.95;

fn found(name: &'static str) -> Option<(Prepared, Fillets)> {
    let file = data::model(name, "fillets")?;
    let prepared = Prepared::new(read(&file.bytes(), name, &Limits::default(), &mut Silent).expect("a model"));
    let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
    let all = fillets(&prepared.sheets(), &graph);
    Some((prepared, all))
}

#[test]
fn blends_are_those_that_a_person_sees() {
    for (name, list, extra) in LISTS {
        let Some((prepared, all)) = found(name) else { continue };
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/fillets").join(list);
        let list: Value = serde_json::from_slice(&std::fs::read(path).expect("a list")).expect("JSON");
        let labels = list["faces"].as_array().expect("faces");
        assert_eq!(labels.len(), prepared.import.model.faces.len(), "{name}: every face has a label");
        let (mut both, mut only_found, mut only_listed) = (0, Vec::new(), Vec::new());
        for label in labels {
            let face = usize::try_from(label["face"].as_u64().expect("an index")).expect("small");
            match (all.blends[face].is_some(), label["blend"].as_bool().expect("a label")) {
                (true, true) => both += 1,
                (true, false) => only_found.push(face),
                (false, true) => only_listed.push(face),
                (false, false) => {}
            }
        }
        let share = |wrong: &[usize]| f64::from(both) / (f64::from(both) + wrong.len() as f64);
        let (precision, recall) = (share(&only_found), share(&only_listed));
        println!("{name}: precision {precision:.3}, recall {recall:.3}; only found {only_found:?}, only listed {only_listed:?}");
        assert!(precision >= LEAST && recall >= LEAST, "{name}");
        assert_eq!(only_found, extra, "{name}");
    }
}

/// Most fillets of these solids are rounds of a few radii, whatever surface the file writes them as.
#[test]
fn radii_of_real_fillets_are_round_numbers() {
    for (name, radii) in [("linkrods.step", &[0.125][..]), ("nist_mbe_pmi_2.stp", &[6.0, 8.0, 10.0, 15.0, 18.0, 22.0, 25.0])] {
        let Some((_, all)) = found(name) else { continue };
        let mut round = 0;
        for fillet in &all.chains {
            let widest = fillet.stations.iter().map(|s| s.radius).fold(0.0, f64::max);
            round += usize::from(radii.iter().any(|r: &f64| (widest - r).abs() < 2e-3 * r));
            println!("{name}: {:?} {:?} {widest:.5}", fillet.faces, fillet.stations.len());
        }
        assert!(round * 10 >= all.chains.len() * 9, "{name}: {round} of {}", all.chains.len());
        assert!(all.blends.iter().flatten().any(|b| b.kind == BlendKind::Corner), "{name}");
    }
}
