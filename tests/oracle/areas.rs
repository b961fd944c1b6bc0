//! Every face of every model has a domain, and their areas add up to the general-purpose kernel's.
//!
//! Oracle: `kernel-properties.json`, adaptive integration at 1e-6 (its README says how it was made).

use rakelight_core::exchange::{self, Limits};
use rakelight_core::progress::Silent;
use rakelight_tests::data;

/// Agreement asked of a model's total area.
const RELATIVE: f64 = 1e-4;

#[test]
fn areas_of_whole_models_agree_with_the_kernel() {
    let Some(oracle) = data::oracle("kernel-properties.json", "areas") else { return };
    let (mut models, mut compared) = (0, 0);
    let step = data::step_models("areas").into_iter().map(|m| ("step", m));
    let iges = data::iges_models("areas").into_iter().map(|m| ("iges", m));
    for (folder, model) in step.chain(iges) {
        models += 1;
        let import =
            exchange::read(&model.bytes(), model.name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{}: {e}", model.name));
        let mut total = 0.0;
        for (id, face) in import.model.faces() {
            let domain = import.model.domain(id).unwrap_or_else(|e| panic!("{}: {e}", model.name));
            assert_eq!(domain.untrimmed, None, "{} face #{}", model.name, face.source.entity);
            let area = domain.area(&face.surface);
            assert!(area > 0.0, "{} face #{}: area {area}", model.name, face.source.entity);
            total += area;
        }
        let name = format!("{folder}/{}", model.name);
        let row = oracle["files"].as_array().and_then(|rows| rows.iter().find(|row| row["file"] == name.as_str()));
        let row = row.unwrap_or_else(|| panic!("{name} is not in the oracle"));
        if import.report.faces_lost() > 0 {
            // A part of a model has no total to compare; its faces above still had to have domains.
            println!("{name}: {} faces not read, total not compared", import.report.faces_lost());
            continue;
        }
        let want = row["area_mm2"].as_f64().expect("an area");
        println!("{name}: area {total} mm², kernel {want}, relative difference {:.1e}", total / want - 1.0);
        assert_eq!(row["faces"].as_u64(), Some(import.model.faces.len() as u64), "{name}");
        assert!((total - want).abs() <= RELATIVE * want, "{name}: {total} against {want}");
        compared += 1;
    }
    // A model that stops being whole would drop out of the comparison unseen.
    assert_eq!(compared, models);
}
