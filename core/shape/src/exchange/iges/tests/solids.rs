//! Solids by their boundary (186) and their instances (430), against the area and volume of a tetrahedron.
//! IGES 5.3.

use super::*;

/// The tetrahedron of the origin and 2 on each axis. Entity numbers from 1; the solid is the last, entity 59.
fn tetrahedron() -> Vec<E> {
    let mut entities = vec![part(502, 1, "4,0.,0.,0.,2.,0.,0.,0.,2.,0.,0.,0.,2.")];
    let corners = ["0.,0.,0.", "2.,0.,0.", "0.,2.,0.", "0.,0.,2."];
    let ends = [(1, 2), (2, 3), (3, 1), (1, 4), (2, 4), (3, 4)];
    // Lines are entities 3 to 13, their list is 15.
    entities.extend(ends.map(|(a, b)| part(110, 0, &format!("{},{}", corners[a - 1], corners[b - 1]))));
    let links: Vec<String> = ends.iter().enumerate().map(|(i, (a, b))| format!("{},1,{a},1,{b}", 3 + 2 * i)).collect();
    entities.push(part(504, 1, &format!("6,{}", links.join(","))));
    // Each face: outward normal, a corner, and its edges the way that keeps it on their left seen from outside.
    let faces = [
        ("0.,0.,-1.", 1, [(3, 0), (2, 0), (1, 0)]),
        ("0.,-1.,0.", 1, [(1, 1), (5, 1), (4, 0)]),
        ("-1.,0.,0.", 1, [(4, 1), (6, 0), (3, 1)]),
        ("1.,1.,1.", 2, [(2, 1), (6, 1), (5, 0)]),
    ];
    let mut list = Vec::new();
    for (normal, corner, edges) in faces {
        let first = 2 * entities.len() + 1;
        entities.push(part(123, 0, normal));
        entities.push(part(116, 0, &format!("{},0", corners[corner - 1])));
        entities.push(part(190, 0, &format!("{},{first}", first + 2)));
        let uses: Vec<String> = edges.iter().map(|(edge, forward)| format!("0,15,{edge},{forward},0")).collect();
        entities.push(part(508, 1, &format!("3,{}", uses.join(","))));
        entities.push(part(510, 1, &format!("{},1,1,{}", first + 4, first + 6)));
        list.push(format!("{},1", first + 8));
    }
    entities.push(part(514, 1, &format!("4,{}", list.join(","))));
    let shell = 2 * entities.len() - 1;
    entities.push(part(186, 0, &format!("{shell},1,0")));
    entities
}

/// Volume by the divergence theorem over plane faces: Σ A (p · n) / 3, n outwards.
fn volume(model: &Model) -> f64 {
    let one = |(id, f): (crate::model::FaceId, &crate::model::Face)| {
        let sign = if f.same_sense { 1.0 } else { -1.0 };
        let n = f.surface.normal(0.0, 0.0).unwrap() * sign;
        model.domain(id).unwrap().area(&f.surface) * f.surface.point(0.0, 0.0).to_vec().dot(n) / 3.0
    };
    model.faces().map(one).sum()
}

/// Three halves of 2², and an equilateral triangle of side 2 √2: 6 + 2 √3.
fn surface_area() -> f64 {
    6.0 + 2.0 * 3f64.sqrt()
}

#[test]
fn a_solid_has_its_faces_outsides_outwards_and_shares_its_edges() {
    let mut entities = tetrahedron();
    entities.last_mut().unwrap().status = "00000000";
    let model = open(&entities).model;
    assert_eq!((model.faces.len(), model.edges.len(), model.vertices.len()), (4, 6, 4));
    assert!((area(&model) - surface_area()).abs() < 1e-9, "{}", area(&model));
    assert!((volume(&model) - 8.0 / 6.0).abs() < 1e-9, "{}", volume(&model));
    assert!(model.faces().all(|(id, _)| model.domain(id).unwrap().repairs.is_empty()));
}

#[test]
fn instances_stand_where_their_matrices_put_them() {
    let mut entities = tetrahedron();
    let solid = 2 * entities.len() - 1;
    // Shifted by 10 in x; and mirrored at x = 0.
    let shift = 2 * entities.len() + 1;
    entities.push(e(124, 0, "1.,0.,0.,10.,0.,1.,0.,0.,0.,0.,1.,0."));
    entities.push(e(124, 1, "-1.,0.,0.,0.,0.,1.,0.,0.,0.,0.,1.,0."));
    for matrix in [shift, shift + 2] {
        entities.push(E { matrix: matrix as u32, ..e(430, 1, &solid.to_string()) });
    }
    let import = open(&entities);
    let model = &import.model;
    assert!(import.report.unread.is_empty() && import.report.remarks.is_empty(), "{:?}", import.report);
    assert_eq!((model.faces.len(), model.edges.len(), model.vertices.len()), (8, 12, 8));
    assert!((area(model) - 2.0 * surface_area()).abs() < 1e-9, "{}", area(model));
    // Outsides stay outside in the mirror too: both volumes count as positive.
    assert!((volume(model) - 2.0 * 8.0 / 6.0).abs() < 1e-9, "{}", volume(model));
    let x = |range: core::ops::Range<usize>| {
        model.vertices[range].iter().map(|v| v.point.x).fold((f64::MAX, f64::MIN), |m, x| (m.0.min(x), m.1.max(x)))
    };
    assert_eq!((x(0..4), x(4..8)), ((10.0, 12.0), (-2.0, 0.0)));
}

#[test]
fn a_solid_that_stands_for_itself_is_there_beside_its_instances() {
    let mut entities = tetrahedron();
    let solid = 2 * entities.len() - 1;
    entities.last_mut().unwrap().status = "00000000";
    entities.push(e(124, 0, "1.,0.,0.,0.,0.,1.,0.,0.,0.,0.,1.,50."));
    entities.push(E { matrix: solid as u32 + 2, ..e(430, 1, &solid.to_string()) });
    let model = open(&entities).model;
    let highest = model.vertices.iter().map(|v| v.point.z).fold(0.0, f64::max);
    assert_eq!((model.faces.len(), highest), (8, 52.0));
    assert!((area(&model) - 2.0 * surface_area()).abs() < 1e-9);
}
