//! How the faces of real models lie to each other: copies, laps, sides, centre planes.

use rakelight_core::exchange::{Limits, read};
use rakelight_core::joins::{JoinGraph, Options};
use rakelight_core::progress::Silent;
use rakelight_core::review::Prepared;
use rakelight_tests::data;

#[test]
fn layout_of_real_models() {
    for file in data::step_models("layout") {
        let prepared = Prepared::new(read(&file.bytes(), file.name, &Limits::default(), &mut Silent).expect("a model"));
        let start = std::time::Instant::now();
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &Options::default(), &mut Silent).expect("not cancelled");
        let time = start.elapsed().as_secs_f64();
        let skins = &graph.orientation.skins;
        let m = graph.mirror.as_ref();
        println!(
            "{}: {} faces, {:.2} s, {} overlaps, {} skins, {} closed, turned {:?}, inside out {}, one-sided {:?}, {:?}",
            file.name,
            prepared.areas.len(),
            time,
            graph.overlaps.len(),
            skins.len(),
            skins.iter().filter(|s| s.closed).count(),
            skins.iter().map(|s| s.turned.len()).filter(|&n| n > 0).collect::<Vec<_>>(),
            skins.iter().filter(|s| s.inside_out).count(),
            skins.iter().flat_map(|s| &s.one_sided).collect::<Vec<_>>(),
            m.map(|m| (m.plane, m.extent, m.pairs.len(), m.own.len(), m.share)),
        );
        for o in graph.overlaps.iter().take(8) {
            println!("   {o:?}");
        }
    }
}
