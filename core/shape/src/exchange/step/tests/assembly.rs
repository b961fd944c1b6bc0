//! Parts placed once, often, mirrored, and in units of their own.

use super::{MM, TRIANGLE, file, open};
use crate::exchange::Import;
use crate::math::Point3;

const PARTS: &str = "#60=SHAPE_REPRESENTATION('part',(#11,#70),#1);
#61=SHAPE_DEFINITION_REPRESENTATION(#62,#60);
#62=PRODUCT_DEFINITION_SHAPE('','',#63);
#63=PRODUCT_DEFINITION('','',#64,$);
#64=PRODUCT_DEFINITION_FORMATION('','',#65);
#65=PRODUCT('p-1','flap','',());
#70=AXIS2_PLACEMENT_3D('',#22,$,$);
#80=SHAPE_REPRESENTATION('whole',(#70,#90,#91),#100);
#81=SHAPE_DEFINITION_REPRESENTATION(#82,#80);
#82=PRODUCT_DEFINITION_SHAPE('','',#83);
#83=PRODUCT_DEFINITION('','',#84,$);
#84=PRODUCT_DEFINITION_FORMATION('','',#85);
#85=PRODUCT('w-1','wing','',());
#90=AXIS2_PLACEMENT_3D('',#92,#93,#94);
#91=AXIS2_PLACEMENT_3D('',#95,$,$);
#92=CARTESIAN_POINT('',(10.,0.,0.));
#93=DIRECTION('',(0.,1.,0.));
#94=DIRECTION('',(0.,0.,1.));
#95=CARTESIAN_POINT('',(0.,0.,7.));
#101=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.CENTI.,.METRE.));
#100=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#101,#3))REPRESENTATION_CONTEXT('',''));
";

fn usage(n: usize, name: &str, relation: &str) -> String {
    format!(
        "#{}=CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{},#{});\n#{}={relation};\n#{}=PRODUCT_DEFINITION_SHAPE('','',#{});\n\
         #{}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('u','{name}','',#83,#63,$);\n",
        n,
        n + 1,
        n + 2,
        n + 1,
        n + 2,
        n + 3,
        n + 3
    )
}

fn placed(first: u32, second: u32, transformation: u32) -> String {
    format!(
        "(REPRESENTATION_RELATIONSHIP('','',#{first},#{second})REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{transformation})\
         SHAPE_REPRESENTATION_RELATIONSHIP())"
    )
}

/// The corners of face `i`: origin, end of the 3 mm edge, end of the 4 mm edge.
fn corners(import: &Import, i: usize) -> [Point3; 3] {
    let uses = import.model.faces[i].loops[0].uses();
    let start = |k: usize| {
        let u = &uses[k];
        import.model.edges[u.edge.index()].point(if u.forward { 0.0 } else { 1.0 })
    };
    [start(0), start(1), start(2)]
}

fn near(got: [Point3; 3], want: [[f64; 3]; 3]) {
    for (g, [x, y, z]) in got.into_iter().zip(want) {
        assert!(g.distance(Point3::new(x, y, z)) < 1e-12, "{got:?}");
    }
}

#[test]
fn instances_are_placed_in_the_assembly_s_own_unit() {
    // The second usage names its representations the other way round, as some writers do.
    let data = format!(
        "{MM}{TRIANGLE}{PARTS}#110=ITEM_DEFINED_TRANSFORMATION('','',#70,#90);\n#111=ITEM_DEFINED_TRANSFORMATION('','',#91,#70);\n{}{}",
        usage(120, "left", &placed(60, 80, 110)),
        usage(130, "right", &placed(80, 60, 111))
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!(import.report.remarks, vec![]);
    assert_eq!((import.model.faces.len(), import.model.edges.len(), import.model.name.as_str()), (2, 6, "wing"));
    assert_eq!(import.model.parts, ["wing/left", "wing/right"]);
    // x of the part goes to z, y to x, z to y; the assembly counts centimetres.
    near(corners(&import, 0), [[100., 0., 0.], [100., 0., 3.], [104., 0., 0.]]);
    near(corners(&import, 1), [[0., 0., 70.], [3., 0., 70.], [0., 4., 70.]]);
}

#[test]
fn repeated_shapes_are_placed_and_mirrored() {
    let data = format!(
        "{MM}{TRIANGLE}#60=SHAPE_REPRESENTATION('part',(#11),#1);
#70=AXIS2_PLACEMENT_3D('',#22,$,$);
#71=REPRESENTATION_MAP(#70,#60);
#72=MAPPED_ITEM('',#71,#73);
#73=AXIS2_PLACEMENT_3D('',#24,$,$);
#74=MAPPED_ITEM('',#71,#75);
#75=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,#76,#22,2.,$);
#76=DIRECTION('',(0.,-1.,0.));
#80=SHAPE_REPRESENTATION('whole',(#72,#74),#1);"
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!((import.report.remarks.len(), import.model.faces.len()), (0, 2));
    near(corners(&import, 0), [[3., 0., 0.], [6., 0., 0.], [3., 4., 0.]]);
    // Mirrored in y and doubled: the loop runs the other way round, and up stays up.
    let mirrored = corners(&import, 1);
    assert!(mirrored.iter().all(|p| p.y <= 0.0) && mirrored.iter().any(|p| p.distance(Point3::new(0., -8., 0.)) < 1e-12));
    let (a, b) = (mirrored[1] - mirrored[0], mirrored[2] - mirrored[0]);
    let normal = import.model.faces[1].surface.normal(0.0, 0.0).unwrap() * if import.model.faces[1].same_sense { 1.0 } else { -1.0 };
    assert!(a.cross(b).dot(normal) > 0.0 && normal.z > 0.0);
}

#[test]
fn a_linked_shape_belongs_to_its_product_once() {
    let data = format!(
        "{MM}{TRIANGLE}#60=ADVANCED_BREP_SHAPE_REPRESENTATION('',(#11),#1);
#66=SHAPE_REPRESENTATION('',(),#1);
#67=SHAPE_REPRESENTATION_RELATIONSHIP('','',#66,#60);
#61=SHAPE_DEFINITION_REPRESENTATION(#62,#66);
#62=PRODUCT_DEFINITION_SHAPE('','',#63);
#63=PRODUCT_DEFINITION('','',#64,$);
#64=PRODUCT_DEFINITION_FORMATION('','',#65);
#65=PRODUCT('p-1','','',());"
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!((import.model.faces.len(), import.model.parts.as_slice()), (1, &["p-1".to_string()][..]));
}

#[test]
fn a_part_inside_itself_is_placed_once_and_remarked_on() {
    let data = format!(
        "{MM}{TRIANGLE}{PARTS}#110=ITEM_DEFINED_TRANSFORMATION('','',#70,#90);\n{}{}",
        usage(120, "in", &placed(60, 80, 110)),
        usage(130, "back", &placed(80, 60, 110)).replace("#83,#63", "#63,#83")
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!(import.model.faces.len(), 1);
    assert!(import.report.remarks.iter().any(|r| r.text.contains("reference loop") && r.line.is_some()), "{:?}", import.report.remarks);
}

#[test]
fn scales_and_mirrors_multiply_down_the_levels() {
    let data = format!(
        "{MM}{TRIANGLE}#60=SHAPE_REPRESENTATION('part',(#11),#1);
#70=AXIS2_PLACEMENT_3D('',#22,$,$);
#71=REPRESENTATION_MAP(#70,#60);
#72=MAPPED_ITEM('',#71,#75);
#75=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,#76,#22,2.,$);
#76=DIRECTION('',(0.,-1.,0.));
#80=SHAPE_REPRESENTATION('middle',(#72),#1);
#81=REPRESENTATION_MAP(#70,#80);
#82=MAPPED_ITEM('',#81,#83);
#83=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,#76,#24,3.,$);
#84=MAPPED_ITEM('',#81,#85);
#85=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',#86,$,#22,0.5,$);
#86=DIRECTION('',(0.,1.,0.));
#90=SHAPE_REPRESENTATION('whole',(#82,#84),#1);"
    );
    let import = open(&file(&data)).unwrap();
    assert_eq!((import.report.remarks.len(), import.model.faces.len()), (0, 2));
    // Mirrored twice: six times as large, shifted by 3.
    near(corners(&import, 0), [[3., 0., 0.], [21., 0., 0.], [3., 24., 0.]]);
    // Mirrored once at twice its size, then x to y and y to −x at half: as large as at first.
    let once = corners(&import, 1);
    assert!(once.iter().any(|p| p.distance(Point3::new(0., 3., 0.)) < 1e-12));
    assert!(once.iter().any(|p| p.distance(Point3::new(4., 0., 0.)) < 1e-12), "{once:?}");
    for face in &import.model.faces {
        let normal = face.surface.normal(0.0, 0.0).unwrap() * if face.same_sense { 1.0 } else { -1.0 };
        assert!(normal.z > 0.0);
    }
}
