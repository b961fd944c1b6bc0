//! Free curves: wireframes of every kind, and curves cut and joined.

use super::{MM, TRIANGLE, file, open};
use crate::exchange::Import;
use crate::math::{Point3, real};

fn wires(items: &str, rest: &str) -> Import {
    let text = file(
        &format!("{MM}{TRIANGLE}#200=SHAPE_REPRESENTATION('',({items}),#1);\n{rest}")
            .replace("#10=ADVANCED_FACE('tri',(#12),#20,.T.);\n", ""),
    );
    open(&text).unwrap_or_else(|e| panic!("{rest}: {e}"))
}

/// Start and end of each free curve.
fn ends(import: &Import) -> Vec<[Point3; 2]> {
    import.model.curves.iter().map(|c| [c.curve.point(c.t0), c.curve.point(c.t1)]).collect()
}

fn near(got: Point3, want: [f64; 3]) {
    assert!(got.distance(Point3::new(want[0], want[1], want[2])) < 1e-12, "{got:?} against {want:?}");
}

#[test]
fn every_kind_of_wireframe_gives_its_edges_once() {
    for (items, rest) in [
        ("#60", "#60=EDGE_BASED_WIREFRAME_MODEL('frame',(#61));\n#61=CONNECTED_EDGE_SET('',(#17,#18,#14,#19));"),
        (
            "#60",
            "#60=SHELL_BASED_WIREFRAME_MODEL('frame',(#61,#62));\n#61=WIRE_SHELL('',(#13));\n#62=VERTEX_SHELL('',#63);\n#63=VERTEX_LOOP('',#31);",
        ),
        ("#60", "#60=SHELL_BASED_WIREFRAME_MODEL('frame',(#61));\n#61=WIRE_SHELL('',(#62));\n#62=POLY_LOOP('',(#22,#24,#25));"),
    ] {
        let import = wires(items, rest);
        assert_eq!(
            (import.model.faces.len(), import.model.edges.len(), import.report.unread.len()),
            (0, 0, 0),
            "{rest}: {:?}",
            import.report
        );
        assert!(import.model.curves.iter().all(|c| c.name == "frame"));
        let mut lengths: Vec<f64> = ends(&import).iter().map(|[a, b]| a.distance(*b)).collect();
        lengths.sort_by(f64::total_cmp);
        for (got, want) in lengths.iter().zip([3.0, 4.0, 5.0]) {
            assert!((got - want).abs() < 1e-12, "{rest}: {lengths:?}");
        }
        assert_eq!(lengths.len(), 3);
    }
}

#[test]
fn a_part_of_an_edge_lies_on_its_curve() {
    let import = wires(
        "#60",
        "#60=CONNECTED_EDGE_SET('',(#61));\n#61=SUBEDGE('',#31,#62,#17);\n#62=VERTEX_POINT('',#63);\n#63=CARTESIAN_POINT('',(1.25,0.,0.));",
    );
    let [start, end] = ends(&import)[0];
    near(start, [0.0; 3]);
    near(end, [1.25, 0.0, 0.0]);
}

#[test]
fn curves_in_sets_are_cut_joined_and_repeated() {
    let set = "#60=GEOMETRIC_CURVE_SET('',(#61,#62,#63,#64,#65,#22));
#61=TRIMMED_CURVE('arc',#70,(PARAMETER_VALUE(5.)),(PARAMETER_VALUE(1.)),.T.,.PARAMETER.);
#62=COMPOSITE_CURVE('chain',(#71,#72),.F.);
#63=CURVE_REPLICA('copy',#61,#76);
#64=OFFSET_CURVE_3D('beside',#73,0.5,.F.,#77);
#65=CIRCLE('ring',#21,2.);
#70=CIRCLE('',#21,3.);
#71=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.F.,#73);
#72=COMPOSITE_CURVE_SEGMENT(.DISCONTINUOUS.,.T.,#74);
#73=TRIMMED_CURVE('',#41,(#22),(#24),.T.,.CARTESIAN.);
#74=POLYLINE('',(#22,#25));
#76=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,$,#24,2.,$);
#77=DIRECTION('',(0.,0.,1.));";
    let import = wires("#60", set);
    assert_eq!((import.model.curves.len(), import.report.unread.len()), (5, 0), "{:?}", import.report);
    let ends = ends(&import);
    let at = |radius: f64, angle: f64, shift: f64| [radius * real::cos(angle) + shift, radius * real::sin(angle), 0.0];
    near(ends[0][0], at(3.0, 5.0, 0.0));
    near(ends[0][1], at(3.0, 1.0, 0.0));
    let arc = &import.model.curves[0];
    assert!((arc.t1 - arc.t0 - (1.0 + real::TAU - 5.0)).abs() < 1e-12);
    near(ends[1][0], [3.0, 0.0, 0.0]);
    near(ends[1][1], [0.0, 4.0, 0.0]);
    near(import.model.curves[1].curve.point(1.0), [0.0; 3]);
    near(ends[2][0], at(6.0, 5.0, 3.0));
    // Half a unit in the direction of z × x.
    near(ends[3][0], [0.0, 0.5, 0.0]);
    near(ends[3][1], [3.0, 0.5, 0.0]);
    assert!((import.model.curves[4].t1 - import.model.curves[4].t0 - real::TAU).abs() < 1e-15);
    let names: Vec<&str> = import.model.curves.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["arc", "chain", "copy", "beside", "ring"]);
}

#[test]
fn a_curve_without_ends_is_listed() {
    let import = wires("#60", "#60=GEOMETRIC_CURVE_SET('',(#41,#61));\n#61=POLYLINE('',(#22,#24));");
    assert_eq!(import.model.curves.len(), 1);
    let listed: Vec<_> = import.report.unread.iter().map(|u| (u.entity, u.faces_lost, u.reason.contains("no ends"))).collect();
    assert_eq!(listed, [(41, 0, true)]);
}

#[test]
fn free_curves_are_placed_coloured_and_layered_as_faces_are() {
    let import = wires(
        "#80",
        "#80=MAPPED_ITEM('',#81,#82);
#81=REPRESENTATION_MAP(#21,#83);
#82=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,$,#24,2.,$);
#83=SHAPE_REPRESENTATION('',(#84),#1);
#84=GEOMETRIC_CURVE_SET('',(#85));
#85=POLYLINE('',(#24,#25));
#86=STYLED_ITEM('',(#87),#85);
#87=PRESENTATION_STYLE_ASSIGNMENT((#88));
#88=CURVE_STYLE('',$,$,#89);
#89=DRAUGHTING_PRE_DEFINED_COLOUR('green');
#90=PRESENTATION_LAYER_ASSIGNMENT('lines','',(#85));",
    );
    let curve = &import.model.curves[0];
    near(curve.curve.point(curve.t0), [9.0, 0.0, 0.0]);
    near(curve.curve.point(curve.t1), [3.0, 8.0, 0.0]);
    assert!(curve.colour.is_some_and(|c| c.green == 1.0 && c.red == 0.0) && curve.layers == ["lines"]);
}
