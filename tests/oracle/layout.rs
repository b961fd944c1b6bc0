//! How the faces of real models lie to each other: copies, laps, sides, centre planes.
//!
//! Solids come from kernels that orient their faces, so none may read as turned; the blade's narrow trailing face points
//! inwards, against both large ones, by its own derivatives.

use rakelight_core::exchange::{Limits, read};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::layout::MirrorExtent;
use rakelight_core::measure::{Memo, Subject};
use rakelight_core::progress::Silent;
use rakelight_core::review::{LayoutRecord, Number, Prepared, face_layouts, plan_map};
use rakelight_tests::{data, demo};

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

/// The demo's patches: its hood is built in rows that run from outline to outline over the whole width and length, and bend where the
/// cheeks begin; every other count is what its description gives.
#[test]
fn the_layout_of_the_demo() {
    let (prepared, graph) = demo::read_again();
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference: None };
    let found = LayoutRecord::new(&subject);
    let roles = &found.roles;
    assert_eq!([roles.primary.len(), roles.transition.len(), roles.detail.len()], [15, 18, 21]);
    // Mirrored: what is not on the centre line comes in pairs, at places that are each other's images.
    let mirrored = |at: &[Number; 3]| [at[0].0, -at[1].0, at[2].0];
    let near = |a: [f64; 3], b: &[Number; 3]| a.iter().zip(b).all(|(x, y)| (x - y.0).abs() < 0.5);
    for corner in &found.corners {
        let image = mirrored(&corner.at);
        let twin = found.corners.iter().find(|c| near(image, &c.at)).expect("an image of the corner");
        assert!((twin.off[0].0 - corner.off[0].0).abs() < 1.0, "{corner:?} {twin:?}");
    }
    let ends = |stop: &str| found.chains.iter().flat_map(|c| &c.ends).filter(|e| e.stop == stop).count();
    assert_eq!((ends("outline"), ends("three"), ends("turn")), (26, 16, 0));
    assert_eq!((found.chains.len(), found.breaks.len(), found.tiny.len()), (30, 16, 0));
    assert_eq!(
        found.chains.iter().map(|c| c.joins.len()).sum::<usize>(),
        graph.joins.iter().filter(|j| j.faces.len() == 2 && !j.interior && j.class.meets()).count()
    );
    let longest = &found.chains[0];
    assert!(longest.ends.iter().all(|e| e.stop == "outline") && longest.joins.len() == 8, "{longest:?}");
    let faces = face_layouts(&subject);
    assert!(faces.iter().map(|f| f.face).eq(0..prepared.import.model.faces.len()));
    let map = plan_map(&subject);
    assert_eq!((map.nodes.len(), map.along), (faces.len(), "z"));
}
