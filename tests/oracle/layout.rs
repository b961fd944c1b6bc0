//! How the faces of real models lie to each other: copies, laps, sides, centre planes.
//!
//! Solids come from kernels that orient their faces, so none may read as turned; the blade's narrow trailing face points
//! inwards, against both large ones, by its own derivatives.

use rakelight_core::exchange::{Limits, read};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::layout::MirrorExtent;
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::data;

/// File; overlaps, skins, closed skins, turned faces, one-sided joins; whether it is a whole about a plane.
const PINNED: [(&str, [usize; 5], bool); 16] = [
    ("as1_assembly_214.stp", [0, 18, 18, 0, 0], false),
    ("linkrods.step", [0, 1, 1, 0, 0], false),
    // A flat pocket floor lies on the back of the outer skin: 51.8 mm² without thickness.
    ("mouse_cover.step", [1, 1, 0, 0, 0], false),
    ("nacelle_6patch.stp", [0, 1, 0, 0, 0], true),
    ("nist_mbe_pmi_2.stp", [0, 1, 1, 0, 0], true),
    ("nist_mbe_pmi_3_inch.stp", [0, 1, 1, 0, 0], true),
    ("wind_blade_15mw.stp", [0, 1, 0, 1, 0], false),
    ("cube_msbo_186.igs", [0, 1, 1, 0, 0], true),
    ("hammer.iges", [0, 1, 0, 9, 0], false),
    ("hull_kvlcc2m.iges", [0, 1, 0, 0, 0], false),
    ("hull_wigley.iges", [0, 1, 0, 0, 0], false),
    ("pipe_hollow_metre.iges", [0, 1, 1, 0, 0], true),
    ("sunglasses_lens.igs", [0, 1, 0, 0, 0], false),
    ("surf114.igs", [0, 4, 0, 0, 0], false),
    ("wind_blade_15mw.igs", [0, 1, 0, 1, 0], false),
    ("wing_d150.igs", [0, 1, 1, 0, 0], false),
];

#[test]
fn layout_of_real_models() {
    let mut wrong = Vec::new();
    for (name, counts, full) in PINNED {
        let Some(file) = data::model(name, "layout") else { continue };
        let prepared = Prepared::new(read(&file.bytes(), name, &Limits::default(), &mut Silent).expect("a model"));
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
        let skins = &graph.orientation.skins;
        let sum = |f: fn(&rakelight_core::joins::Skin) -> usize| skins.iter().map(f).sum::<usize>();
        let closed = skins.iter().filter(|s| s.closed).count();
        let got = [graph.overlaps.len(), skins.len(), closed, sum(|s| s.turned.len()), sum(|s| s.one_sided.len())];
        let whole = graph.mirror.as_ref().is_some_and(|m| m.extent == MirrorExtent::Full);
        println!("{name}: {got:?}, {:?}", graph.mirror.as_ref().map(|m| (m.plane, m.extent, m.pairs.len(), m.own.len(), m.share)));
        if (got, whole) != (counts, full) {
            wrong.push(format!("{name}: {got:?} {whole}, pinned {counts:?} {full}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
