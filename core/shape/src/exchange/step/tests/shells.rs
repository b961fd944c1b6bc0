//! Solids, shells, senses, loops and looks, around one triangle.

use super::{MM, TRIANGLE, file, open};
use crate::exchange::Import;
use crate::model::{Colour, Loop};

fn with(rest: &str) -> Import {
    open(&file(&format!("{MM}{TRIANGLE}{rest}"))).unwrap_or_else(|e| panic!("{e}"))
}

/// Does the loop run counter-clockwise seen against the face's normal?
fn left_handed_walk(import: &Import) -> bool {
    let face = &import.model.faces[0];
    let uses = face.loops[0].uses();
    let start = |k: usize| import.model.edges[uses[k].edge.index()].point(if uses[k].forward { 0.0 } else { 1.0 });
    let turn = (start(1) - start(0)).cross(start(2) - start(1));
    let normal = face.surface.normal(0.0, 0.0).unwrap() * if face.same_sense { 1.0 } else { -1.0 };
    turn.dot(normal) > 0.0
}

#[test]
fn every_container_gives_the_same_face() {
    for items in [
        "#51=SHAPE_REPRESENTATION('',(#10),#1);",
        "#51=SHAPE_REPRESENTATION('',(#11),#1);",
        "#50=SHELL_BASED_SURFACE_MODEL('',(#11));\n#51=MANIFOLD_SURFACE_SHAPE_REPRESENTATION('',(#50,#21),#1);",
        "#50=FACE_BASED_SURFACE_MODEL('',(#11));\n#51=SHAPE_REPRESENTATION('',(#50),#1);",
        "#50=MANIFOLD_SOLID_BREP('',#11);\n#51=ADVANCED_BREP_SHAPE_REPRESENTATION('',(#50),#1);",
        "#50=(BREP_WITH_VOIDS(())FACETED_BREP()GEOMETRIC_REPRESENTATION_ITEM()MANIFOLD_SOLID_BREP(#11)REPRESENTATION_ITEM('')SOLID_MODEL());\n#51=SHAPE_REPRESENTATION('',(#50),#1);",
        "#52=ORIENTED_OPEN_SHELL('',*,#11,.T.);\n#50=SHELL_BASED_SURFACE_MODEL('',(#52));\n#51=SHAPE_REPRESENTATION('',(#50),#1);",
        "#51=(REPRESENTATION('',(#11),#1)SHAPE_REPRESENTATION());",
    ] {
        let import = with(items);
        assert_eq!(
            (import.model.faces.len(), import.report.unread.len(), import.report.remarks.len()),
            (1, 0, 0),
            "{items}: {:?}",
            import.report
        );
        assert!(import.model.faces[0].same_sense && left_handed_walk(&import));
        assert_eq!((import.model.faces[0].name.as_str(), import.model.faces[0].source.line), ("tri", 11));
    }
}

#[test]
fn turned_shells_and_faces_keep_the_face_on_the_left() {
    let turned = with("#52=ORIENTED_CLOSED_SHELL('',*,#11,.F.);\n#50=BREP_WITH_VOIDS('',#52,());\n#51=SHAPE_REPRESENTATION('',(#50),#1);");
    assert!(!turned.model.faces[0].same_sense && left_handed_walk(&turned));
    let face = with("#52=ORIENTED_FACE('',*,#10,.F.);\n#51=SHAPE_REPRESENTATION('',(#52),#1);");
    assert!(!face.model.faces[0].same_sense && left_handed_walk(&face) && face.report.remarks.is_empty());
}

#[test]
fn a_reversed_bound_runs_its_loop_backwards() {
    let data =
        format!("{MM}{TRIANGLE}#51=SHAPE_REPRESENTATION('',(#11),#1);").replace("FACE_OUTER_BOUND('',#13,.T.)", "FACE_BOUND('',#13,.F.)");
    let import = open(&file(&data)).unwrap();
    assert!(!left_handed_walk(&import) && import.report.remarks.is_empty());
}

#[test]
fn loops_of_points_share_their_edges() {
    let import = open(&file(&format!(
        "{MM}#10=FACE_SURFACE('',(#12),#20,.T.);
#11=FACE_SURFACE('',(#13),#20,.T.);
#12=FACE_BOUND('',#14,.T.);
#13=FACE_BOUND('',#15,.T.);
#14=POLY_LOOP('',(#31,#32,#33));
#15=POLY_LOOP('',(#31,#33,#34));
#20=PLANE('',#21);
#21=AXIS2_PLACEMENT_3D('',#31,$,$);
#31=CARTESIAN_POINT('',(0.,0.,0.));
#32=CARTESIAN_POINT('',(1.,0.,0.));
#33=CARTESIAN_POINT('',(1.,1.,0.));
#34=CARTESIAN_POINT('',(0.,1.,0.));
#40=CLOSED_SHELL('',(#10,#11));
#41=FACETED_BREP('',#40);
#51=FACETED_BREP_SHAPE_REPRESENTATION('',(#41),#1);"
    )))
    .unwrap();
    assert_eq!((import.model.faces.len(), import.model.edges.len(), import.model.vertices.len()), (2, 5, 4));
    assert!(left_handed_walk(&import));
}

#[test]
fn a_vertex_loop_is_a_point_and_an_outer_bound_comes_first() {
    let data = format!("{MM}{TRIANGLE}#51=SHAPE_REPRESENTATION('',(#11),#1);\n#60=FACE_BOUND('',#61,.T.);\n#61=VERTEX_LOOP('',#32);")
        .replace("('tri',(#12)", "('tri',(#60,#12)");
    let import = open(&file(&data)).unwrap();
    let loops = &import.model.faces[0].loops;
    assert!(matches!(loops[..], [Loop::Edges(_), Loop::Vertex(p)] if p.x == 3.0));
}

#[test]
fn a_face_s_own_colour_wins_over_its_solid_s() {
    let style = |n: u32, item: u32, colour: &str| {
        format!(
            "#{n}=STYLED_ITEM('',(#{}),#{item});\n#{}=PRESENTATION_STYLE_ASSIGNMENT((#{},#{}));\n#{}=CURVE_STYLE('',$,$,#{});\n\
             #{}=DRAUGHTING_PRE_DEFINED_COLOUR('black');\n#{}=SURFACE_STYLE_USAGE(.BOTH.,#{});\n#{}=SURFACE_SIDE_STYLE('',(#{}));\n\
             #{}=SURFACE_STYLE_FILL_AREA(#{});\n#{}=FILL_AREA_STYLE('',(#{}));\n#{}=FILL_AREA_STYLE_COLOUR('',#{});\n#{}={colour};\n",
            n + 1,
            n + 1,
            n + 2,
            n + 4,
            n + 2,
            n + 3,
            n + 3,
            n + 4,
            n + 5,
            n + 5,
            n + 6,
            n + 6,
            n + 7,
            n + 7,
            n + 8,
            n + 8,
            n + 9,
            n + 9
        )
    };
    let base = "#50=MANIFOLD_SOLID_BREP('',#11);\n#51=SHAPE_REPRESENTATION('',(#50),#1);\n#52=PRESENTATION_LAYER_ASSIGNMENT('skin','',(#50,#10));\n";
    let solid = style(100, 50, "COLOUR_RGB('',0.25,0.5,0.75)");
    let face = style(200, 10, "DRAUGHTING_PRE_DEFINED_COLOUR('yellow')");
    let over =
        style(300, 10, "COLOUR_RGB('',0.,1.,0.)").replace("STYLED_ITEM('',(#301),#10)", "OVER_RIDING_STYLED_ITEM('',(#301),#10,#200)");
    let colour = |rest: &str| with(rest).model.faces[0].colour;
    let is = |red, green, blue| Some(Colour { red, green, blue });
    assert_eq!(colour(base), None);
    assert_eq!(colour(&format!("{base}{solid}")), is(0.25, 0.5, 0.75));
    assert_eq!(colour(&format!("{base}{solid}{face}")), is(1.0, 1.0, 0.0));
    assert_eq!(colour(&format!("{base}{over}{solid}{face}")), is(0.0, 1.0, 0.0));
    assert_eq!(with(base).model.faces[0].layers, ["skin"]);
}

#[test]
fn what_is_not_read_is_listed_with_its_type_and_line() {
    let data = format!(
        "{MM}{TRIANGLE}#51=SHAPE_REPRESENTATION('',(#11,#52,#53,#54),#1);\n#52=GEOMETRIC_CURVE_SET('',(#55));\n#53=CSG_SOLID('',#54);\n\
         #54=!OUR_OWN(1,(2));\n#55=OFFSET_CURVE_2D('',#41,1.,.F.);\n#60=ADVANCED_FACE('',(#12),#61,.T.);\n#61=SWEPT_SURFACE('',#20);"
    )
    .replace("OPEN_SHELL('',(#10))", "OPEN_SHELL('',(#10,#60))");
    let import = open(&file(&data)).unwrap();
    assert_eq!(import.model.faces.len(), 1);
    let listed: Vec<_> = import.report.unread.iter().map(|u| (u.entity, u.kind.as_str(), u.faces_lost, u.damaged)).collect();
    assert_eq!(
        listed,
        [(60, "SWEPT_SURFACE", 1, false), (55, "OFFSET_CURVE_2D", 0, false), (53, "CSG_SOLID", 0, false), (54, "!OUR_OWN", 0, false)]
    );
    assert_eq!(import.report.faces_lost(), 1);
}

#[test]
fn faces_without_a_representation_are_read_where_they_stand() {
    let import = with("");
    assert_eq!(import.model.faces.len(), 1);
    assert!(import.report.remarks.iter().any(|r| r.text.contains("no representation")));
}
