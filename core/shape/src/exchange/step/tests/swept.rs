//! Surfaces made from others and from curves, each against the formula of ISO 10303-42.

use super::{MM, file, open};
use crate::exchange::Import;
use crate::geometry::Surface;
use crate::math::{Point3, real};

/// Frame #21 at (1, 2, 3) with axis y and first axis x, so that its second axis is −z; axis #23 along z through (1, 2, 3).
const PLACES: &str = "#21=AXIS2_PLACEMENT_3D('',#22,#24,#25);
#22=CARTESIAN_POINT('',(1.,2.,3.));
#23=AXIS1_PLACEMENT('',#22,#26);
#24=DIRECTION('',(0.,1.,0.));
#25=DIRECTION('',(1.,0.,0.));
#26=DIRECTION('',(0.,0.,2.));
#27=VECTOR('',#26,2.5);
#28=CARTESIAN_POINT('',(5.,2.,3.));
#29=AXIS2_PLACEMENT_3D('',#28,#24,#25);
";

/// The face that a set holding surface #100 reads as.
fn face(surface: &str) -> Import {
    let text = file(&format!("{MM}{PLACES}{surface}\n#101=GEOMETRIC_SET('',(#100));\n#102=SHAPE_REPRESENTATION('',(#101),#1);"));
    open(&text).unwrap_or_else(|e| panic!("{surface}: {e}"))
}

fn near(got: Point3, want: [f64; 3]) {
    assert!(got.distance(Point3::new(want[0], want[1], want[2])) < 1e-12, "{got:?} against {want:?}");
}

#[test]
fn a_curve_turned_about_an_axis() {
    let import = face("#100=SURFACE_OF_REVOLUTION('',#110,#23);\n#110=CIRCLE('',#29,1.5);");
    let surface = &import.model.faces[0].surface;
    assert!(matches!(surface, Surface::Revolution(_)) && import.model.faces[0].same_sense);
    for (u, v) in [(0.3, 0.7), (4.0, 5.5), (2.0, 3.0)] {
        // The circle lies in the half-plane of x and z: centre 4 beside the axis, running towards −z.
        let (out, up) = (4.0 + 1.5 * real::cos(v), -1.5 * real::sin(v));
        near(surface.point(u, v), [1.0 + out * real::cos(u), 2.0 + out * real::sin(u), 3.0 + up]);
    }
    let (u, v) = surface.periods();
    assert!(u.is_some() && v.is_some());
}

#[test]
fn a_curve_pushed_along_a_vector() {
    let whole = "#100=RECTANGULAR_TRIMMED_SURFACE('',#105,0.5,2.,-1.,3.,.T.,.T.);\n#105=SURFACE_OF_LINEAR_EXTRUSION('',#110,#27);\n";
    for (curve, at) in [
        ("#110=CIRCLE('',#29,1.5);", &(|t| [5.0 + 1.5 * real::cos(t), 2.0, 3.0 - 1.5 * real::sin(t)]) as &dyn Fn(f64) -> [f64; 3]),
        ("#110=ELLIPSE('',#29,3.,0.5);", &|t| [5.0 + 3.0 * real::cos(t), 2.0, 3.0 - 0.5 * real::sin(t)]),
        ("#110=PARABOLA('',#29,0.75);", &|t| [5.0 + 0.75 * t * t, 2.0, 3.0 - 1.5 * t]),
        ("#110=PARABOLA('',#29,-0.75);", &|t| [5.0 - 0.75 * t * t, 2.0, 3.0 + 1.5 * t]),
        ("#110=HYPERBOLA('',#29,3.,0.5);", &|t| [5.0 + 3.0 * real::cosh(t), 2.0, 3.0 - 0.5 * real::sinh(t)]),
        ("#110=LINE('',#22,#111);\n#111=VECTOR('',#25,4.);", &|t| [1.0 + 4.0 * t, 2.0, 3.0]),
        ("#110=POLYLINE('',(#22,#28,#112,#22));\n#112=CARTESIAN_POINT('',(5.,9.,3.));", &|t| {
            if t < 1.0 { [1.0 + 4.0 * t, 2.0, 3.0] } else { [5.0, 2.0 + 7.0 * (t - 1.0), 3.0] }
        }),
        // 2 to the side of V × T, V along y and T along x: towards −z.
        ("#110=OFFSET_CURVE_3D('',#112,2.,.F.,#24);\n#112=LINE('',#22,#111);\n#111=VECTOR('',#25,4.);", &|t| [1.0 + 4.0 * t, 2.0, 1.0]),
        (
            "#110=CURVE_REPLICA('',#112,#113);\n#112=CIRCLE('',#29,1.5);\n\
             #113=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,$,#22,2.,$);",
            &|t| [11.0 + 3.0 * real::cos(t), 6.0, 9.0 - 3.0 * real::sin(t)],
        ),
    ] {
        let import = face(&format!("{whole}{curve}"));
        assert_eq!((import.model.faces.len(), import.report.unread.len()), (1, 0), "{curve}: {:?}", import.report);
        let face = &import.model.faces[0];
        assert!(matches!(face.surface, Surface::Extrusion(_)) && face.same_sense);
        for (u, v) in [(0.5, -1.0), (0.9, 0.2), (1.7, 3.0)] {
            let [x, y, z] = at(u);
            near(face.surface.point(u, v), [x, y, z + 2.5 * v]);
        }
        // Its four sides are edges on it.
        assert_eq!((face.loops.len(), import.model.edges.len(), import.model.vertices.len()), (1, 4, 4), "{curve}");
        let corner = import.model.edges[0].point(0.0);
        let [x, y, z] = at(0.5);
        near(corner, [x, y, z - 2.5]);
    }
}

#[test]
fn a_surface_beside_another() {
    let import = face("#100=OFFSET_SURFACE('',#110,-0.5,.F.);\n#110=SPHERICAL_SURFACE('',#21,2.);");
    assert!(matches!(&import.model.faces[0].surface, Surface::Sphere(s) if s.radius == 1.5));
    // The normal of a rectangular trimmed surface with one sense false is turned, and so is the side of its offset.
    let trimmed = "#110=RECTANGULAR_TRIMMED_SURFACE('',#111,0.,1.,0.5,-0.5,.T.,.F.);\n#111=SPHERICAL_SURFACE('',#21,2.);";
    let import = face(&format!("#100=OFFSET_SURFACE('',#110,-0.5,.F.);\n{trimmed}"));
    let face = &import.model.faces[0];
    assert!(matches!(&face.surface, Surface::Sphere(s) if s.radius == 2.5) && !face.same_sense);
}

#[test]
fn a_surface_repeated_elsewhere() {
    let operator = "#113=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',#114,$,#22,2.,$);\n#114=DIRECTION('',(0.,1.,0.));";
    let import = face(&format!("#100=SURFACE_REPLICA('',#110,#113);\n#110=TOROIDAL_SURFACE('',#21,5.,1.);\n{operator}"));
    let Surface::Torus(torus) = &import.model.faces[0].surface else { panic!("{:?}", import.model.faces) };
    assert_eq!((torus.major, torus.minor), (10.0, 2.0));
    // x goes to y and y to −x, all doubled, then (1, 2, 3) is added.
    near(torus.frame.origin, [1.0 - 4.0, 2.0 + 2.0, 3.0 + 6.0]);
}

/// Both halves of a torus that meets itself: together they are the whole turn of the tube.
#[test]
fn both_halves_of_a_degenerate_torus() {
    let turn = real::acos(-0.4);
    let outer = face("#100=DEGENERATE_TOROIDAL_SURFACE('',#21,2.,5.,.T.);");
    assert!(matches!(outer.model.faces[0].surface, Surface::Torus(_)));
    let inner = face("#100=DEGENERATE_TOROIDAL_SURFACE('',#21,2.,5.,.F.);");
    let surface = &inner.model.faces[0].surface;
    let (_, v) = surface.domain();
    assert!((v.low - turn).abs() < 1e-15 && (v.high - (real::TAU - turn)).abs() < 1e-15);
    for (u, v) in [(0.4, 2.5), (3.0, real::PI), (5.0, 4.0)] {
        assert!(surface.point(u, v).distance(outer.model.faces[0].surface.point(u, v)) < 1e-13);
    }
    // Area of the inner part by Pappus's theorem (Encyclopaedia of Mathematics, "Guldin theorems"):
    // 2π ∫ (−R − r cos v) r dv from φ to 2π − φ.
    let want = real::TAU * 5.0 * (2.0 * 5.0 * real::sin(turn) - 2.0 * (real::TAU - 2.0 * turn));
    let domain = inner.model.domain(crate::model::FaceId::new(0)).unwrap();
    let area = domain.area(surface);
    assert!((area - want).abs() < 1e-9 * want, "{area} against {want}");
}

#[test]
fn surfaces_without_bounds_are_listed_and_lose_no_face() {
    let import = face(
        "#100=CYLINDRICAL_SURFACE('',#21,2.);\n#120=GEOMETRIC_SET('',(#121));\n#121=SPHERICAL_SURFACE('',#21,1.);\n#122=SHAPE_REPRESENTATION('',(#120),#1);",
    );
    assert_eq!(import.model.faces.len(), 1);
    let listed: Vec<_> = import.report.unread.iter().map(|u| (u.entity, u.faces_lost)).collect();
    assert_eq!(listed, [(100, 0)]);
}
