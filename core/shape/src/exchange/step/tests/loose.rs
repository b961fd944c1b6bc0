//! Faces that surfaces make by themselves: cut along parameter lines or by boundary curves, and put together.

use super::{MM, file, open};
use crate::exchange::Import;
use crate::model::{FaceId, Loop};

/// A plane #20 on the world's axes, with points from #31 on.
const PLANE: &str = "#20=PLANE('',#21);
#21=AXIS2_PLACEMENT_3D('',#31,$,$);
#31=CARTESIAN_POINT('',(0.,0.,0.));
#32=CARTESIAN_POINT('',(4.,0.,0.));
#33=CARTESIAN_POINT('',(4.,3.,0.));
#34=CARTESIAN_POINT('',(0.,3.,0.));
#35=CARTESIAN_POINT('',(2.,1.5,0.));
#36=AXIS2_PLACEMENT_3D('',#35,$,$);
#37=(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()REPRESENTATION_CONTEXT('',''));
";

fn with(rest: &str) -> Import {
    let text = file(&format!("{MM}{PLANE}{rest}\n#101=GEOMETRIC_SET('patches',(#100));\n#102=SHAPE_REPRESENTATION('',(#101),#1);"));
    open(&text).unwrap_or_else(|e| panic!("{rest}: {e}"))
}

fn area(import: &Import, face: usize) -> f64 {
    let domain = import.model.domain(FaceId::new(face)).unwrap_or_else(|e| panic!("{e}"));
    assert!(domain.untrimmed.is_none() && domain.repairs.is_empty(), "{:?}", domain.repairs);
    domain.area(&import.model.faces[face].surface)
}

const OUTER: &str = "#40=OUTER_BOUNDARY_CURVE('',(#41,#42),.F.);
#41=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#43);
#42=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.F.,#44);
#43=POLYLINE('',(#31,#32,#33));
#44=POLYLINE('',(#31,#34,#33));
";

/// A hole of radius 1 about (2, 1.5), given by a curve in parameters alone.
const HOLE: &str = "#50=BOUNDARY_CURVE('',(#51),.F.);
#51=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.F.,#52);
#52=PCURVE('',#20,#53);
#53=DEFINITIONAL_REPRESENTATION('',(#54),#37);
#54=CIRCLE('',#55,1.);
#55=AXIS2_PLACEMENT_2D('',#56,$);
#56=CARTESIAN_POINT('',(2.,1.5));
";

#[test]
fn boundaries_are_loops_with_the_outer_one_first() {
    let import = with(&format!("#100=CURVE_BOUNDED_SURFACE('cut',#20,(#50,#40),.F.);\n{OUTER}{HOLE}"));
    let face = &import.model.faces[0];
    assert_eq!((face.name.as_str(), face.loops.len(), face.loops[0].uses().len(), face.loops[1].uses().len()), ("cut", 2, 2, 1));
    assert!(face.loops[1].uses()[0].pcurve.is_some());
    assert!((area(&import, 0) - (12.0 - std::f64::consts::PI)).abs() < 1e-9);
    assert_eq!(import.report.remarks, vec![]);
}

#[test]
fn an_implied_outer_boundary_is_that_of_the_basis() {
    let window = "#60=RECTANGULAR_TRIMMED_SURFACE('',#20,0.,4.,0.,3.,.T.,.T.);\n";
    let import = with(&format!("#100=CURVE_BOUNDED_SURFACE('',#60,(#50),.T.);\n{window}{HOLE}"));
    assert!((area(&import, 0) - (12.0 - std::f64::consts::PI)).abs() < 1e-9);
    assert_eq!(import.model.faces[0].name, "patches");
    // The plane itself has none: the face stays, with what was read.
    let import = with(&format!("#100=CURVE_BOUNDED_SURFACE('',#20,(#50),.T.);\n{HOLE}"));
    let face = &import.model.faces[0];
    assert!(face.boundary_lost.as_deref().is_some_and(|w| w.contains("outer boundary")) && face.loops.len() == 1);
}

#[test]
fn a_boundary_that_cannot_be_read_leaves_the_face() {
    let import = with(&format!("#100=CURVE_BOUNDED_SURFACE('',#20,(#40,#50),.F.);\n{OUTER}").replace("(#31,#32,#33)", "(#31)"));
    let face = &import.model.faces[0];
    assert!(face.boundary_lost.as_deref().is_some_and(|w| w.contains("two points")), "{:?}", face.boundary_lost);
    assert_eq!((import.report.unread.len(), import.report.faces_lost()), (0, 0));
}

#[test]
fn a_leading_curve_in_parameters_gives_the_direction() {
    let surface_curve =
        "(BOUNDED_CURVE()CURVE()GEOMETRIC_REPRESENTATION_ITEM()REPRESENTATION_ITEM('')SURFACE_CURVE(#61,(#62),.PCURVE_S1.))";
    let rest = format!(
        "#100=CURVE_BOUNDED_SURFACE('',#20,(#40),.F.);\n#40=OUTER_BOUNDARY_CURVE('',(#41,#42),.F.);\n\
         #41=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#60);\n#42=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#43);\n\
         #43=POLYLINE('',(#33,#34,#31));\n#60={surface_curve};\n#61=POLYLINE('',(#33,#32,#31));\n#62=PCURVE('',#20,#63);\n\
         #63=DEFINITIONAL_REPRESENTATION('',(#64),#37);\n#64=POLYLINE('',(#65,#66,#67));\n#65=CARTESIAN_POINT('',(0.,0.));\n\
         #66=CARTESIAN_POINT('',(4.,0.));\n#67=CARTESIAN_POINT('',(4.,3.));"
    );
    let import = with(&rest);
    assert!((area(&import, 0) - 12.0).abs() < 1e-12);
    assert_eq!((import.report.repairs.len(), import.report.remarks.len()), (1, 0), "{:?}", import.report);
}

#[test]
fn a_window_has_real_edges_turned_with_the_senses() {
    for (bounds, senses, same) in [("0.,4.,0.,3.", ".T.,.T.", true), ("4.,0.,0.,3.", ".F.,.T.", false), ("4.,0.,3.,0.", ".F.,.F.", true)] {
        let import = with(&format!("#100=RECTANGULAR_TRIMMED_SURFACE('',#20,{bounds},{senses});"));
        let face = &import.model.faces[0];
        assert_eq!((face.same_sense, import.model.edges.len()), (same, 4), "{senses}");
        assert!((area(&import, 0) - 12.0).abs() < 1e-12);
    }
    let import = with("#100=RECTANGULAR_TRIMMED_SURFACE('',#20,1.,1.,0.,3.,.T.,.T.);\n#103=FACE_SURFACE('',(),#20,.T.);");
    assert_eq!((import.report.unread.len(), import.report.faces_lost()), (1, 1));
}

#[test]
fn patches_of_a_composite_are_faces_of_their_own() {
    let parts = "#100=RECTANGULAR_COMPOSITE_SURFACE('',((#70,#71)));
#70=SURFACE_PATCH(#72,.CONTINUOUS.,.CONTINUOUS.,.T.,.T.);
#71=SURFACE_PATCH(#73,.CONTINUOUS.,.CONTINUOUS.,.T.,.F.);
#72=RECTANGULAR_TRIMMED_SURFACE('',#20,0.,4.,0.,3.,.T.,.T.);
#73=RECTANGULAR_TRIMMED_SURFACE('',#20,0.,4.,3.,5.,.T.,.T.);\n";
    let import = with(parts);
    assert_eq!(import.model.faces.iter().map(|f| f.same_sense).collect::<Vec<_>>(), [true, false]);
    assert!((area(&import, 0) - 12.0).abs() < 1e-12 && (area(&import, 1) - 8.0).abs() < 1e-12);
    // As the surface of a face its own boundary is lost, and the patches stay.
    let face = format!(
        "{parts}#80=ADVANCED_FACE('',(#81),#100,.F.);\n#81=FACE_BOUND('',#82,.T.);\n#82=VERTEX_LOOP('',#31);\n#83=SHAPE_REPRESENTATION('',(#80),#1);"
    );
    let import = open(&file(&format!("{MM}{PLANE}{face}"))).unwrap();
    assert_eq!(import.model.faces.iter().map(|f| f.same_sense).collect::<Vec<_>>(), [false, true]);
    assert!(import.model.faces.iter().all(|f| f.boundary_lost.is_some()) && import.report.unread.is_empty());
}

/// A triangle in the plane whose slanting side has the given curve in parameters; what becomes of it.
fn slanting(curve: &str) -> Import {
    let data = format!(
        "{MM}{PLANE}#10=ADVANCED_FACE('',(#11),#20,.T.);\n#11=FACE_OUTER_BOUND('',#12,.T.);\n#12=EDGE_LOOP('',(#13,#14));\n\
         #13=ORIENTED_EDGE('',*,*,#15,.T.);\n#14=ORIENTED_EDGE('',*,*,#16,.T.);\n#15=EDGE_CURVE('',#17,#18,#19,.T.);\n\
         #16=EDGE_CURVE('',#18,#17,#22,.T.);\n#17=VERTEX_POINT('',#23);\n#18=VERTEX_POINT('',#24);\n#23=CARTESIAN_POINT('',(0.75,3.,0.));\n\
         #24=CARTESIAN_POINT('',(0.75,-3.,0.));\n#19=SURFACE_CURVE('',#25,(#26),.CURVE_3D.);\n#22=POLYLINE('',(#24,#23));\n\
         #25=PARABOLA('',#21,3.);\n#26=PCURVE('',#20,#27);\n#27=DEFINITIONAL_REPRESENTATION('',(#28),#37);\n#28={curve};\n\
         #29=AXIS2_PLACEMENT_2D('',#38,$);\n#38=CARTESIAN_POINT('',(0.,0.));\n#39=SHAPE_REPRESENTATION('',(#10),#1);"
    );
    open(&file(&data)).unwrap_or_else(|e| panic!("{curve}: {e}"))
}

/// x = y²/12 from (0.75, 3) to (0.75, −3) in every form a curve in parameters can have.
#[test]
fn every_kind_of_curve_in_parameters_follows_its_edge() {
    let bezier = "BEZIER_CURVE('',2,(#91,#92,#93),.UNSPECIFIED.,.F.,.F.)";
    let points = "#91=CARTESIAN_POINT('',(0.75,3.));\n#92=CARTESIAN_POINT('',(-0.75,0.));\n#93=CARTESIAN_POINT('',(0.75,-3.));";
    let halves = "COMPOSITE_CURVE('',(#94,#95),.F.);\n#94=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#96);\n\
                  #95=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.F.,#97);\n#96=TRIMMED_CURVE('',#98,(PARAMETER_VALUE(0.5)),(PARAMETER_VALUE(0.)),.F.,.PARAMETER.);\n\
                  #97=TRIMMED_CURVE('',#98,(#93),(#90),.T.,.CARTESIAN.);\n#98=PARABOLA('',#29,3.);\n#90=CARTESIAN_POINT('',(0.,0.));\n";
    for curve in [
        format!("{bezier};\n{points}"),
        "PARABOLA('',#29,3.)".to_string(),
        "TRIMMED_CURVE('',#98,(PARAMETER_VALUE(0.5)),(PARAMETER_VALUE(-0.5)),.F.,.PARAMETER.);\n#98=PARABOLA('',#29,3.)".to_string(),
        format!("{halves}{points}"),
    ] {
        let import = slanting(curve.trim_end_matches(';'));
        let Loop::Edges(uses) = &import.model.faces[0].loops[0] else { panic!("{curve}") };
        let trim = uses[0].pcurve.as_ref().unwrap_or_else(|| panic!("{curve}: {:?}", import.report));
        for (t, y) in [(trim.t0, 3.0), (trim.t1, -3.0)] {
            let p = trim.curve.point(t);
            assert!((p.u - 0.75).abs() < 1e-12 && (p.v - y).abs() < 1e-12, "{curve}: {p:?}");
        }
        let middle = trim.curve.point(0.5 * (trim.t0 + trim.t1));
        assert!((12.0 * middle.u - middle.v * middle.v).abs() < 1e-12, "{curve}: {middle:?}");
        // Between the parabola and its chord: two thirds of 6 × 0.75 (Archimedes, Quadrature of the Parabola).
        assert!((area(&import, 0) - 3.0).abs() < 1e-9, "{curve}");
    }
    let astray = slanting("LINE('',#38,#91);\n#91=VECTOR('',#92,1.);\n#92=DIRECTION('',(1.,1.))");
    assert_eq!((astray.report.repairs.len(), astray.model.faces.len()), (1, 1));
    assert!(astray.report.repairs[0].size.is_some_and(|mm| mm > 1.0));
}
