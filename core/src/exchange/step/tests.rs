//! Whole files: real ones where they are at hand, damaged ones made here.

use crate::exchange::{Import, Limits, read};
use crate::geometry::SurfaceKind;
use crate::progress::Silent;
use std::collections::BTreeMap;

/// Bytes of a real file; None, said aloud, where the data is not at hand.
fn data(name: &str) -> Option<Vec<u8>> {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../shared/data/step/");
    let found = std::fs::read(format!("{root}{name}"));
    if found.is_err() {
        println!("skipped: {name} is not at hand");
    }
    found.ok()
}

fn open(name: &str) -> Option<Import> {
    Some(read(&data(name)?, name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{name}: {e}")))
}

fn kinds(import: &Import) -> BTreeMap<SurfaceKind, usize> {
    let mut counts = BTreeMap::new();
    import.model.faces.iter().for_each(|f| *counts.entry(f.surface.kind()).or_insert(0) += 1);
    counts
}

#[test]
fn explore() {
    for name in [
        "nacelle_6patch.stp",
        "wind_blade_15mw.stp",
        "mouse_cover.step",
        "splinecage_4patch.stp",
        "ventilator.stp",
        "linkrods.step",
        "nist_mbe_pmi_2.stp",
        "nist_mbe_pmi_3_inch.stp",
        "as1_assembly_214.stp",
        "plate_trimmed_surfaces_metre.stp",
        "torus_apple_degenerate.stp",
        "revolve_profile.stp",
        "sphere_quarter_pieces.stp",
        "offset_of_revolution.stp",
        "rational_closed_seam.stp",
    ] {
        let t = std::time::Instant::now();
        let Some(i) = open(name) else { continue };
        println!(
            "== {name} {:?} schema {} name {} unit {:?} unc {:?}",
            t.elapsed(),
            i.model.schema,
            i.model.name,
            i.model.unit,
            i.report.uncertainty
        );
        println!(
            "   entities {} faces {} {:?} edges {} vertices {} parts {:?}",
            i.report.entity_count,
            i.model.faces.len(),
            kinds(&i),
            i.model.edges.len(),
            i.model.vertices.len(),
            i.model.parts
        );
        let pc: usize = i.model.faces.iter().flat_map(|f| &f.loops).flat_map(|l| l.uses()).filter(|u| u.pcurve.is_some()).count();
        let uses: usize = i.model.faces.iter().flat_map(|f| &f.loops).map(|l| l.uses().len()).sum();
        println!(
            "   uses {uses} with pcurve {pc}, coloured {}, layered {}",
            i.model.faces.iter().filter(|f| f.colour.is_some()).count(),
            i.model.faces.iter().filter(|f| !f.layers.is_empty()).count()
        );
        for u in i.report.unread.iter().take(4) {
            println!("   unread {u:?}");
        }
        println!("   unread {} lost {}", i.report.unread.len(), i.report.faces_lost());
        for r in i.report.remarks.iter().take(6) {
            println!("   remark {r:?}");
        }
        println!("   remarks {}", i.report.remarks.len());
    }
}
