//! B-splines of every sub-type, against what each stands for.

use super::{MM, file, open};
use crate::geometry::Surface;
use crate::math::Point3;
use crate::nurbs::{self, KnotVector};

/// The patch that a set holding entity #100 reads as.
fn patch(entity: &str, rows: usize, columns: usize) -> nurbs::Surface {
    let mut data = format!("{MM}#100={entity};\n#101=GEOMETRIC_SET('',(#100));\n#102=SHAPE_REPRESENTATION('',(#101),#1);\n");
    for (i, p) in points(rows, columns).iter().enumerate() {
        data += &format!("#{}=CARTESIAN_POINT('',({:?},{:?},{:?}));\n", 200 + i, p.x, p.y, p.z);
    }
    let import = open(&file(&data)).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(import.report.unread, vec![]);
    match &import.model.faces[0].surface {
        Surface::Nurbs(s) => s.clone(),
        other => panic!("{other:?}"),
    }
}

fn points(rows: usize, columns: usize) -> Vec<Point3> {
    let at = |i: usize, j: usize| Point3::new(i as f64 * 2.0, j as f64 * 3.0 + 0.5 * i as f64, (i * i) as f64 * 0.25 - j as f64);
    (0..rows).flat_map(|i| (0..columns).map(move |j| at(i, j))).collect()
}

fn net(rows: usize, columns: usize) -> String {
    let row = |i: usize| (0..columns).map(|j| format!("#{}", 200 + i * columns + j)).collect::<Vec<_>>().join(",");
    let all: Vec<String> = (0..rows).map(|i| format!("({})", row(i))).collect();
    format!("({})", all.join(","))
}

fn expect(got: &nurbs::Surface, degrees: (usize, usize), u: &[f64], v: &[f64], weights: Option<Vec<f64>>) {
    let knots_u = KnotVector::new(degrees.0, u.to_vec()).unwrap();
    let knots_v = KnotVector::new(degrees.1, v.to_vec()).unwrap();
    let points = points(knots_u.point_count(), knots_v.point_count());
    assert_eq!(got, &nurbs::Surface::new(knots_u, knots_v, points, weights).unwrap());
}

#[test]
fn knots_are_expanded_clamped_or_not() {
    let n = net(5, 4);
    let got = patch(
        &format!(
            "B_SPLINE_SURFACE_WITH_KNOTS('',2,1,{n},.UNSPECIFIED.,.F.,.T.,.F.,(3,1,1,3),(1,1,1,2,1),(-1.,0.5,2.,4),(0.,1.,2.,3.,7.),.UNSPECIFIED.)"
        ),
        5,
        4,
    );
    expect(&got, (2, 1), &[-1., -1., -1., 0.5, 2., 4., 4., 4.], &[0., 1., 2., 3., 3., 7.], None);
}

#[test]
fn rational_patches_are_several_types_at_once() {
    let n = net(3, 4);
    let got = patch(
        &format!(
            "(BOUNDED_SURFACE()B_SPLINE_SURFACE(2,3,{n},.UNSPECIFIED.,.F.,.F.,.F.)B_SPLINE_SURFACE_WITH_KNOTS((3,3),(4,4),(0.,1.),(5.,9.),\
             .UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(((1.,2.,3.,4.),(5.,6.,7.,8.),(9.,1.,2.,3.)))\
             REPRESENTATION_ITEM('')SURFACE())"
        ),
        3,
        4,
    );
    let weights = vec![1., 2., 3., 4., 5., 6., 7., 8., 9., 1., 2., 3.];
    expect(&got, (2, 3), &[0., 0., 0., 1., 1., 1.], &[5., 5., 5., 5., 9., 9., 9., 9.], Some(weights));
}

/// Default knots: ISO 10303-42, default_b_spline_knots and default_b_spline_knot_mult.
#[test]
fn bezier_uniform_and_quasi_uniform_patches_follow_the_standard() {
    let form = ".UNSPECIFIED.,.F.,.F.,.F.)";
    let got = patch(&format!("BEZIER_SURFACE('',2,3,{},{form}", net(5, 4)), 5, 4);
    expect(&got, (2, 3), &[0., 0., 0., 1., 1., 2., 2., 2.], &[0., 0., 0., 0., 1., 1., 1., 1.], None);
    let got = patch(&format!("QUASI_UNIFORM_SURFACE('',2,1,{},{form}", net(5, 3)), 5, 3);
    expect(&got, (2, 1), &[0., 0., 0., 1., 2., 3., 3., 3.], &[0., 0., 1., 2., 2.], None);
    let got = patch(&format!("UNIFORM_SURFACE('',3,1,{},{form}", net(5, 3)), 5, 3);
    expect(&got, (3, 1), &[-3., -2., -1., 0., 1., 2., 3., 4., 5.], &[-1., 0., 1., 2., 3.], None);
    let rational = format!(
        "(BEZIER_SURFACE()BOUNDED_SURFACE()B_SPLINE_SURFACE(1,1,{},{form}GEOMETRIC_REPRESENTATION_ITEM()\
         RATIONAL_B_SPLINE_SURFACE(((1.,2.),(0.5,3.)))REPRESENTATION_ITEM('')SURFACE())",
        net(2, 2)
    );
    expect(&patch(&rational, 2, 2), (1, 1), &[0., 0., 1., 1.], &[0., 0., 1., 1.], Some(vec![1., 2., 0.5, 3.]));
}

#[test]
fn wrong_numbers_are_named() {
    let bad = |entity: &str, what: &str| {
        let data = format!(
            "{MM}#100={entity};\n#101=GEOMETRIC_SET('',(#100));\n#102=SHAPE_REPRESENTATION('',(#101),#1);\n#200=CARTESIAN_POINT('',(0.,0.,0.));"
        );
        let e = open(&file(&data)).unwrap_err();
        assert_eq!((e.entity, e.line), (Some(100), Some(11)), "{e}");
        assert!(e.message.contains(what), "{e}");
    };
    let square = "((#200,#200),(#200,#200)),.UNSPECIFIED.,.F.,.F.,.F.";
    let with = |degrees: &str, rest: &str| format!("B_SPLINE_SURFACE_WITH_KNOTS('',{degrees},{square},{rest},.UNSPECIFIED.)");
    bad(&with("0,1", "(1,1),(2,2),(0.,1.),(0.,1.)"), "degree 0");
    bad(&with("99999999999,1", "(2,2),(2,2),(0.,1.),(0.,1.)"), "degree 99999999999");
    bad(&with("1,1", "(2,3),(2,2),(0.,1.),(0.,1.)"), "5 knots");
    bad(&with("1,1", "(2,9223372036854775807),(2,2),(0.,1.),(0.,1.)"), "knots");
    bad(&with("1,1", "(2,2),(2,2),(1.,0.),(0.,1.)"), "smaller");
    bad(&with("1,1", "(2,2),(2,2),(1.,1.),(0.,1.)"), "no interval");
    bad(&with("1,1", "(2,-2),(2,2),(0.,1.),(0.,1.)"), "whole numbers");
    bad("BEZIER_SURFACE('',2,1,((#200,#200),(#200)),.UNSPECIFIED.,.F.,.F.,.F.)", "net of references");
    bad("BEZIER_SURFACE('',2,1,((#200,#200),(#200,#200)),.UNSPECIFIED.,.F.,.F.,.F.)", "does not fit");
    bad(
        "(BEZIER_SURFACE()B_SPLINE_SURFACE(1,1,((#200,#200),(#200,#200)),.UNSPECIFIED.,.F.,.F.,.F.)RATIONAL_B_SPLINE_SURFACE(((1.,0.),(1.,1.))))",
        "weight 0",
    );
}
