//! Joins come from geometry alone: a model taken apart into loose faces, with no edge or vertex shared, has the very
//! same joins as the model whose topology the file gives.

use std::collections::BTreeMap;
use std::time::Instant;

use rakelight_core::demo::bramble::{Revision, step};
use rakelight_core::exchange::{Limits, read};
use rakelight_core::geometry::Domain;
use rakelight_core::joins::{Class, JoinGraph, Options, Sheets};
use rakelight_core::model::{EdgeId, Model, VertexId};
use rakelight_core::progress::Silent;
use rakelight_tests::data;

#[test]
fn loose_faces_have_the_joins_of_the_whole() {
    let (mut between, mut differing) = (0, Vec::new());
    for file in data::models("joins of loose faces") {
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

/// The demo model, read as a file.
fn bramble() -> Model {
    read(step(Revision::A).as_bytes(), "bramble.step", &Limits::default(), &mut Silent).expect("our own file").model
}

/// Which faces use each edge and each vertex.
fn owners(model: &Model) -> (BTreeMap<EdgeId, Vec<usize>>, BTreeMap<VertexId, Vec<usize>>) {
    let (mut edges, mut vertices) = (BTreeMap::<_, Vec<usize>>::new(), BTreeMap::<_, Vec<usize>>::new());
    for (id, face) in model.faces() {
        for u in face.loops.iter().flat_map(|l| l.uses()) {
            edges.entry(u.edge).or_default().push(id.index());
            let edge = model.edge(u.edge).expect("of the model");
            vertices.entry(edge.start).or_default().push(id.index());
            vertices.entry(edge.end).or_default().push(id.index());
        }
    }
    edges.values_mut().for_each(Vec::dedup);
    vertices.values_mut().for_each(Vec::dedup);
    (edges, vertices)
}

#[test]
fn faces_share_nothing_and_keep_their_shape() {
    let whole = bramble();
    let shared = owners(&whole);
    assert!(shared.0.values().any(|f| f.len() > 1) && shared.1.values().any(|f| f.len() > 2), "nothing to take apart");
    let apart = whole.exploded();
    let own = owners(&apart);
    assert!(own.0.values().all(|f| f.len() == 1) && own.1.values().all(|f| f.len() == 1));
    // Nothing is left over, and every use runs along the very curve it ran along before.
    assert_eq!((own.0.len(), own.1.len()), (apart.edges.len(), apart.vertices.len()));
    assert_eq!(whole.faces.len(), apart.faces.len());
    for (a, b) in whole.faces.iter().zip(&apart.faces) {
        assert_eq!((&a.name, a.same_sense, a.part, a.loops.len()), (&b.name, b.same_sense, b.part, b.loops.len()));
        let uses = a.loops.iter().flat_map(|l| l.uses()).zip(b.loops.iter().flat_map(|l| l.uses()));
        for (x, y) in uses {
            assert_eq!((x.forward, &x.pcurve), (y.forward, &y.pcurve));
            let (e, f) = (whole.edge(x.edge).expect("of the model"), apart.edge(y.edge).expect("of the model"));
            assert_eq!((&e.curve, e.t0, e.t1, e.source), (&f.curve, f.t0, f.t1, f.source));
            assert_eq!(whole.vertices[e.start.index()], apart.vertices[f.start.index()]);
            assert_eq!(whole.vertices[e.end.index()], apart.vertices[f.end.index()]);
        }
    }
}

#[test]
fn missing_edges_stay_missing() {
    let mut whole = bramble();
    whole.edges.truncate(3);
    let apart = whole.exploded();
    let lost = |m: &Model| m.faces.iter().flat_map(|f| &f.loops).flat_map(|l| l.uses()).filter(|u| m.edge(u.edge).is_none()).count();
    assert!(lost(&whole) > 0);
    assert_eq!(lost(&whole), lost(&apart));
}
