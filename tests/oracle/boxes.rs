//! The box round every whole model agrees with the general-purpose kernel's.
//!
//! Oracle: `kernel-properties.json`, field box_mm: the kernel's optimal box, which it widens by 1e-7 mm on every side
//! (its README says how it was made).

use rakelight_core::progress::Silent;
use rakelight_core::review::{Options, run};
use rakelight_tests::data;

/// Agreement asked: mm, or as a share of the diagonal, whichever is greater.
const ABSOLUTE: f64 = 0.01;
const OF_DIAGONAL: f64 = 1e-6;

/// What the kernel adds.
const WIDENED: f64 = 1e-7;

/// The kernel moves this shape by the placement that stands among its representation's items, (10, 0, 0). A placement
/// there is one more item and places nothing (ISO 10303-43, 4.4: items share the representation's one context); and the
/// face's own points all have x between −10 and 10, where the kernel's box begins at 10.
const MOVED_BY_KERNEL: (&str, [f64; 3]) = ("rational_closed_seam.stp", [10.0, 0.0, 0.0]);

#[test]
fn boxes_of_whole_models_agree_with_the_kernel() {
    let Some(oracle) = data::oracle("kernel-properties.json", "boxes") else { return };
    let mut compared = 0;
    for model in data::models("boxes") {
        let check = run(&model.bytes(), model.name, &Options::default(), &mut Silent, &mut || 0.0)
            .unwrap_or_else(|e| panic!("{}: {e}", model.name));
        let folder = if data::IGES_MODELS.contains(&model.name) { "iges" } else { "step" };
        let name = format!("{folder}/{}", model.name);
        let row = oracle["files"].as_array().and_then(|rows| rows.iter().find(|row| row["file"] == name.as_str()));
        let row = row.unwrap_or_else(|| panic!("{name} is not in the oracle"));
        if !check.unread.is_empty() {
            println!("{name}: {} entities not read, box not compared", check.unread.len());
            continue;
        }
        let want: Vec<f64> = row["box_mm"].as_array().expect("a box").iter().map(|x| x.as_f64().expect("a number")).collect();
        let text = check.to_json().expect("finite");
        let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let got: Vec<f64> = json["bbox"]
            .as_array()
            .expect("a box")
            .iter()
            .flat_map(|p| p.as_array().expect("a point").iter())
            .map(|x| x.as_f64().expect("a number"))
            .collect();
        let diagonal = (0..3).map(|i| (want[i + 3] - want[i]) * (want[i + 3] - want[i])).sum::<f64>().sqrt();
        let allowed = ABSOLUTE.max(OF_DIAGONAL * diagonal);
        for (i, (g, w)) in got.iter().zip(&want).enumerate() {
            let moved = if model.name == MOVED_BY_KERNEL.0 { MOVED_BY_KERNEL.1[i % 3] } else { 0.0 };
            let w = w - moved + if i < 3 { WIDENED } else { -WIDENED };
            println!("{name} {i}: {g} against {w}, off {:.1e} of {allowed:.1e}", g - w);
            assert!((g - w).abs() <= allowed, "{name}, side {i}: {g} against {w}, allowed {allowed}");
        }
        compared += 1;
    }
    println!("{compared} boxes compared");
    assert!(compared > 0 || data::models("boxes").is_empty());
}
