//! Bounded surfaces (143) by their boundaries (141), against areas by hand. IGES 5.3.

use super::*;

/// A square of side 4 in z = 4, its third and fourth sides written against the loop, with a hole of radius 1.
/// The hole's boundary is listed first: only its size tells that it is one.
fn plate() -> Vec<E> {
    vec![
        part(108, 0, "0.,0.,1.,4.,0"),
        part(110, 0, "0.,0.,4.,4.,0.,4."),
        part(110, 0, "4.,0.,4.,4.,4.,4."),
        part(110, 0, "0.,4.,4.,4.,4.,4."),
        part(110, 0, "0.,0.,4.,0.,4.,4."),
        part(141, 0, "0,1,1,4,3,1,0,5,1,0,7,2,0,9,2,0"),
        part(100, 0, "4.,2.,2.,3.,2.,3.,2."),
        part(141, 0, "0,1,1,1,13,2,0"),
        e(143, 0, "0,1,2,15,11"),
    ]
}

#[test]
fn the_boundary_that_encloses_most_is_the_outer_one() {
    let import = open(&plate());
    let face = &import.model.faces[0];
    assert!((area(&import.model) - (16.0 - real::PI)).abs() < 1e-6, "{}", area(&import.model));
    let uses: Vec<usize> = face.loops.iter().map(|l| l.uses().len()).collect();
    assert_eq!((uses.as_slice(), face.source.entity), ([4, 1].as_slice(), 17));
    assert!(import.report.repairs.is_empty() && import.report.remarks.is_empty(), "{:?}", import.report);
    assert!(import.model.domain(crate::model::FaceId::new(0)).unwrap().repairs.is_empty());
}

#[test]
fn a_side_whose_sense_is_wrong_is_turned_and_told() {
    let mut entities = plate();
    entities[5].data = "0,1,1,4,3,1,0,5,1,0,7,1,0,9,2,0".into();
    let import = open(&entities);
    assert!((area(&import.model) - (16.0 - real::PI)).abs() < 1e-6, "{}", area(&import.model));
    let told: Vec<(u64, bool)> = import.report.repairs.iter().map(|r| (r.entity, r.text.contains("turned"))).collect();
    assert_eq!(told, [(11, true)]);
}

#[test]
fn curves_in_the_parameters_follow_the_curves_in_space() {
    // The patch x = 5 u, y = 2 v, z = x y / 10, and of it u ≤ 1/2. Its last side
    // has no curve in the parameters.
    let patch = part(128, 0, "1,1,1,1,0,0,1,0,0,0.,0.,1.,1.,0.,0.,1.,1.,1.,1.,1.,1.,0.,0.,0.,5.,0.,0.,0.,2.,0.,5.,2.,1.,0.,1.,0.,1.");
    let entities = [
        patch,
        part(110, 0, "0.,0.,0.,2.5,0.,0."),
        part(110, 0, "2.5,0.,0.,2.5,2.,0.5"),
        part(110, 0, "0.,2.,0.,2.5,2.,0.5"),
        part(110, 0, "0.,2.,0.,0.,0.,0."),
        E { status: "00010500", ..e(110, 0, "0.,0.,0.,0.5,0.,0.") },
        E { status: "00010500", ..e(110, 0, "0.5,0.,0.,0.5,1.,0.") },
        E { status: "00010500", ..e(110, 0, "0.5,1.,0.,0.,1.,0.") },
        part(141, 0, "1,1,1,4,3,1,1,11,5,1,1,13,7,2,1,15,9,1,0"),
        e(143, 0, "1,1,1,17"),
    ];
    let import = open(&entities);
    let model = &import.model;
    assert!(import.report.repairs.is_empty() && import.report.remarks.is_empty(), "{:?}", import.report);
    // ∬ √(1 + (x² + y²) / 100) over [0, 2.5] × [0, 2], by a midpoint sum of 400 × 400.
    assert!((area(model) - 5.084_409_7).abs() < 1e-5, "{}", area(model));
    let uses = model.faces[0].loops[0].uses();
    // The third edge runs the way its sense says, and its curve in the parameters with it.
    for (u, [a, b]) in uses.iter().zip([[0., 0.], [0.5, 0.], [0.5, 1.], [0., 1.]]) {
        let edge = model.edge(u.edge).unwrap();
        let start = if u.forward { edge.point(0.0) } else { edge.point(1.0) };
        near(start, 5.0 * a, 2.0 * b, a * b);
        if let Some(p) = &u.pcurve {
            let uv = p.curve.point(p.t0);
            assert!((uv.u - a).abs() + (uv.v - b).abs() < 1e-12, "{uv:?}");
        }
    }
    assert_eq!(uses.iter().filter(|u| u.pcurve.is_some()).count(), 3);
}
