//! Joins come from geometry alone: a model taken apart into loose faces, with no edge or vertex shared, has the very
//! same joins as the model whose topology the file gives.

use std::time::Instant;

use rakelight_core::exchange::{Limits, read};
use rakelight_core::geometry::Domain;
use rakelight_core::joins::{Class, JoinGraph, Options, Sheets};
use rakelight_core::model::Model;
use rakelight_core::progress::Silent;
use rakelight_tests::data;

#[test]
fn loose_faces_have_the_joins_of_the_whole() {
    let (mut between, mut differing) = (0, Vec::new());
    for file in data::step_models("joins of loose faces") {
        let model = read(&file.bytes(), file.name, &Limits::default(), &mut Silent).unwrap_or_else(|e| panic!("{}: {e}", file.name)).model;
        let start = Instant::now();
        let (whole, apart) = (joins(&model), joins(&model.exploded()));
        let of_two = |g: &JoinGraph| g.joins.iter().filter(|j| j.faces.len() == 2 && !j.interior).count();
        let n = of_two(&whole);
        println!("{}: {n} joins between faces, {} in all, twice in {:.1} s", file.name, whole.joins.len(), start.elapsed().as_secs_f64());
        between += n;
        // Not to a tolerance: nothing that is measured may come from shared topology, so every figure is the same.
        if whole.joins != apart.joins || whole.roles != apart.roles {
            let at = whole.joins.iter().zip(&apart.joins).position(|(a, b)| a != b);
            differing.push(format!("{}: {n} joins against {}, the first that differs is {at:?}", file.name, of_two(&apart)));
        }
    }
    assert!(differing.is_empty(), "{differing:#?}");
    assert!(between > 500, "only {between} joins were compared");
}

/// The models compared share topology in the first place, and joins are found along what they share.
#[test]
fn the_whole_had_topology_to_lose() {
    let Some(file) = data::step_model("nist_mbe_pmi_3_inch.stp", "shared edges") else { return };
    let model = read(&file.bytes(), file.name, &Limits::default(), &mut Silent).expect("a model").model;
    let apart = model.exploded();
    // A closed solid: each edge has two uses, and taken apart two copies.
    assert!(apart.edges.len() > model.edges.len() + 300, "{} edges, apart {}", model.edges.len(), apart.edges.len());
    assert!(joins(&apart).joins.iter().all(|j| j.class != Class::Outline));
}

fn joins(model: &Model) -> JoinGraph {
    let domains: Vec<Option<Domain>> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
    let areas: Vec<f64> = model.faces.iter().zip(&domains).map(|(f, d)| d.as_ref().map_or(0.0, |d| d.area(&f.surface))).collect();
    JoinGraph::find(&Sheets { model, domains: &domains }, &areas, &Options::default(), &mut Silent).expect("not cancelled")
}
