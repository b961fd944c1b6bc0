//! Units of length and angle, and what they change.

use super::{TRIANGLE, file, open};
use crate::exchange::{Limits, read};
use crate::geometry::Surface;
use crate::progress::Silent;

/// Context #1 over unit entity #2 for length and #3 for angle.
fn context(length: &str, angle: &str) -> String {
    format!(
        "#2={length};\n#3={angle};\n#1=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#2,#3))REPRESENTATION_CONTEXT('',''));\n"
    )
}

const RADIAN: &str = "(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))";
const DEGREE: &str = "(CONVERSION_BASED_UNIT('DEGREE',#6)NAMED_UNIT(*)PLANE_ANGLE_UNIT())";
const RULES: &str = "#5=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(2.54),#8);
#6=PLANE_ANGLE_MEASURE_WITH_UNIT(PLANE_ANGLE_MEASURE(0.01745329252),#7);
#7=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));
#8=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.CENTI.,.METRE.));
";

#[test]
fn lengths_become_millimetres() {
    for (unit, name, mm) in [
        ("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))", "mm", 1.0),
        ("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.CENTI.,.METRE.))", "cm", 10.0),
        ("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT($,.METRE.))", "m", 1000.0),
        ("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MICRO.,.METRE.))", "µm", 1e-3),
        ("(CONVERSION_BASED_UNIT('INCH',#5)LENGTH_UNIT()NAMED_UNIT(*))", "inch", 25.4),
    ] {
        let data = format!(
            "{}{RULES}{TRIANGLE}#50=SHELL_BASED_SURFACE_MODEL('',(#11));\n#51=SHAPE_REPRESENTATION('',(#50),#1);",
            context(unit, RADIAN)
        );
        let import = open(&file(&data)).unwrap();
        assert_eq!((import.report.unread.len(), import.report.remarks.len()), (0, 0), "{:?}", import.report);
        assert_eq!((import.model.unit.name.as_str(), import.model.faces.len(), import.model.edges.len()), (name, 1, 3));
        assert!((import.model.unit.in_mm - mm).abs() < 1e-12 * mm);
        let length = |i: usize| import.model.edges[i].point(0.0).distance(import.model.edges[i].point(1.0)) / mm;
        for (i, want) in [3.0, 5.0, 4.0].into_iter().enumerate() {
            assert!((length(i) - want).abs() < 1e-12);
        }
    }
}

#[test]
fn lengths_are_taken_for_what_the_caller_says() {
    for (unit, stated) in
        [("(CONVERSION_BASED_UNIT('INCH',#5)LENGTH_UNIT()NAMED_UNIT(*))", 25.4), ("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT($,.METRE.))", 1e3)]
    {
        let data = format!("{}{RULES}{TRIANGLE}#51=SHAPE_REPRESENTATION('',(#11),#1);", context(unit, RADIAN));
        for (asked, mm) in [(None, stated), (Some(1.0), 1.0), (Some(304.8), 304.8), (Some(-2.0), stated), (Some(f64::NAN), stated)] {
            let limits = Limits { unit: asked, ..Limits::default() };
            let import = read(file(&data).as_bytes(), "made.stp", &limits, &mut Silent).unwrap();
            // The model still tells what the file states.
            assert!((import.model.unit.in_mm - stated).abs() < 1e-12 * stated);
            for (edge, want) in import.model.edges.iter().zip([3.0, 5.0, 4.0]) {
                let length = edge.point(0.0).distance(edge.point(1.0));
                assert!((length - want * mm).abs() < 1e-12 * mm, "{length} for {asked:?}");
            }
        }
    }
}

#[test]
fn angles_become_radians() {
    for (unit, angle) in [(DEGREE, "30."), (RADIAN, "0.52359877559829887")] {
        let length = "(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))";
        let cone = TRIANGLE.replace("#20=PLANE('',#21)", &format!("#20=CONICAL_SURFACE('',#21,2.,{angle})"));
        let data = format!("{}{RULES}{cone}#51=SHAPE_REPRESENTATION('',(#11),#1);", context(length, unit));
        let import = open(&file(&data)).unwrap();
        let Surface::Cone(c) = &import.model.faces[0].surface else { panic!() };
        assert!((c.half_angle - std::f64::consts::FRAC_PI_6).abs() < 1e-15);
    }
}

/// A quarter arc on a cylinder whose pcurve counts degrees, in both kinds of parameter.
#[test]
fn pcurves_follow_the_unit_of_angle() {
    let length = "(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.CENTI.,.METRE.))";
    let data = format!(
        "{}{RULES}#10=ADVANCED_FACE('',(#12),#20,.T.);
#12=FACE_BOUND('',#13,.T.);
#13=EDGE_LOOP('',(#14,#15));
#14=ORIENTED_EDGE('',*,*,#17,.T.);
#15=ORIENTED_EDGE('',*,*,#17,.F.);
#17=EDGE_CURVE('',#31,#32,#41,.T.);
#20=CYLINDRICAL_SURFACE('',#21,2.);
#21=AXIS2_PLACEMENT_3D('',#22,$,$);
#22=CARTESIAN_POINT('',(0.,0.,0.));
#24=CARTESIAN_POINT('',(2.,0.,0.));
#25=CARTESIAN_POINT('',(0.,2.,0.));
#31=VERTEX_POINT('',#24);
#32=VERTEX_POINT('',#25);
#41=SURFACE_CURVE('',#42,(#43),.CURVE_3D.);
#42=CIRCLE('',#21,2.);
#43=PCURVE('',#20,#44);
#44=DEFINITIONAL_REPRESENTATION('',(#45),#1);
#45=LINE('',#46,#47);
#46=CARTESIAN_POINT('',(0.,0.));
#47=VECTOR('',#48,1.);
#48=DIRECTION('',(1.,0.));
#51=SHAPE_REPRESENTATION('',(#10),#1);",
        context(length, DEGREE)
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!(import.report.remarks, vec![]);
    let trim = import.model.faces[0].loops[0].uses()[0].pcurve.clone().unwrap();
    let (a, b) = (trim.curve.point(trim.t0), trim.curve.point(trim.t1));
    assert!(a.u.abs() < 1e-12 && (b.u - std::f64::consts::FRAC_PI_2).abs() < 1e-9, "{a:?} {b:?}");
    assert!(import.model.edges[0].point(0.5).distance(crate::math::Point3::new(200f64.sqrt(), 200f64.sqrt(), 0.0)) < 1e-12);
}
