//! Names, hidden things, and looks that change from one instance of a part to the next.

use super::{MM, TRIANGLE, file, open};
use crate::exchange::{Import, Limits, read};
use crate::progress::Silent;

fn with(rest: &str) -> Import {
    open(&file(&format!("{MM}{TRIANGLE}{rest}"))).unwrap_or_else(|e| panic!("{rest}: {e}"))
}

/// A second face #60 beside the triangle, in one shell with it.
const TWO: &str = "#60=ADVANCED_FACE('',(#61),#20,.T.);\n#61=FACE_OUTER_BOUND('',#13,.T.);\n#62=OPEN_SHELL('skin',(#10,#60));\n";

#[test]
fn what_is_hidden_is_left_out_counted_and_named_once() {
    let base = format!("{TWO}#51=SHAPE_REPRESENTATION('',(#62),#1);\n");
    let style =
        |item: u32| format!("#70=STYLED_ITEM('',(#71),#{item});\n#71=PRESENTATION_STYLE_ASSIGNMENT(());\n#72=INVISIBILITY((#70));\n");
    for (rest, left, hidden, named) in [
        (style(10), 1, 1, "advanced face \"tri\""),
        (style(62), 0, 2, "open shell \"skin\""),
        (style(20), 2, 0, ""),
        ("#70=PRESENTATION_LAYER_ASSIGNMENT('aside','',(#60));\n#72=INVISIBILITY((#70));\n".into(), 1, 1, "layer \"aside\""),
        ("#72=INVISIBILITY((#51));\n".into(), 0, 2, "shape representation #51"),
        (
            "#72=CONTEXT_DEPENDENT_INVISIBILITY((#70),#1);\n#70=PRESENTATION_LAYER_ASSIGNMENT('aside','',(#10,#60));\n".into(),
            0,
            2,
            "layer \"aside\"",
        ),
    ] {
        let text = file(&format!("{MM}{TRIANGLE}{base}{rest}"));
        let import = open(&text).unwrap_or_else(|e| panic!("{rest}: {e}"));
        assert_eq!((import.model.faces.len(), import.report.hidden_faces), (left, hidden), "{rest}");
        assert_eq!(import.report.remarks.len(), usize::from(hidden > 0), "{rest}: {:?}", import.report.remarks);
        if let Some(remark) = import.report.remarks.first() {
            assert!(remark.text.contains(named) && remark.line.is_some(), "{rest}: {}", remark.text);
        }
        let limits = Limits { hidden: true, ..Limits::default() };
        let all = read(text.as_bytes(), "x", &limits, &mut Silent).unwrap();
        assert_eq!((all.model.faces.len(), all.report.hidden_faces), (2, 0), "{rest}");
    }
}

#[test]
fn names_come_from_the_nearest_that_says_something() {
    let import = with(&format!("{TWO}#51=SHAPE_REPRESENTATION('',(#62),#1);"));
    assert_eq!(import.model.faces.iter().map(|f| f.name.as_str()).collect::<Vec<_>>(), ["tri", "skin"]);
    let data = format!("{MM}{TRIANGLE}{TWO}#50=MANIFOLD_SOLID_BREP('block',#62);\n#51=SHAPE_REPRESENTATION('',(#50),#1);")
        .replace("OPEN_SHELL('skin'", "CLOSED_SHELL('NONE'")
        .replace("'tri'", "' none '");
    let import = open(&file(&data)).unwrap();
    assert!(import.model.faces.iter().all(|f| f.name == "block"));
    let import = open(&file(&data.replace("#20=PLANE(''", "#20=PLANE('floor'"))).unwrap();
    assert!(import.model.faces.iter().all(|f| f.name == "floor"));
}

/// The triangle's part #60 placed twice in #80, by #120 and #130.
const PLACED: &str = "#60=SHAPE_REPRESENTATION('part',(#11,#70),#1);
#61=SHAPE_DEFINITION_REPRESENTATION(#62,#60);
#62=PRODUCT_DEFINITION_SHAPE('','',#63);
#63=PRODUCT_DEFINITION('','',#64,$);
#64=PRODUCT_DEFINITION_FORMATION('','',#65);
#65=PRODUCT('p-1','blade','',());
#70=AXIS2_PLACEMENT_3D('',#22,$,$);
#80=SHAPE_REPRESENTATION('whole',(#70,#90),#1);
#81=SHAPE_DEFINITION_REPRESENTATION(#82,#80);
#82=PRODUCT_DEFINITION_SHAPE('','',#83);
#83=PRODUCT_DEFINITION('','',#84,$);
#84=PRODUCT_DEFINITION_FORMATION('','',#85);
#85=PRODUCT('w-1','wing','',());
#90=AXIS2_PLACEMENT_3D('',#24,$,$);
#110=ITEM_DEFINED_TRANSFORMATION('','',#70,#90);
#120=CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#121,#122);
#121=(REPRESENTATION_RELATIONSHIP('','',#60,#80)REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#110)SHAPE_REPRESENTATION_RELATIONSHIP());
#122=PRODUCT_DEFINITION_SHAPE('','',#123);
#123=NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','left','',#83,#63,$);
#130=CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#121,#132);
#132=PRODUCT_DEFINITION_SHAPE('','',#133);
#133=NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','right','',#83,#63,$);
";

/// A colour for `item`, overriding none, where the placements lead.
fn colour(n: u32, item: u32, places: &str, name: &str) -> String {
    format!(
        "#{n}=CONTEXT_DEPENDENT_OVER_RIDING_STYLED_ITEM('',(#{}),#{item},#200,({places}));\n#{}=PRESENTATION_STYLE_ASSIGNMENT((#{}));\n\
         #{}=SURFACE_STYLE_USAGE(.BOTH.,#{});\n#{}=DRAUGHTING_PRE_DEFINED_COLOUR('{name}');\n",
        n + 1,
        n + 1,
        n + 2,
        n + 2,
        n + 3,
        n + 3
    )
}

#[test]
fn one_instance_looks_its_own_way() {
    let reds = |import: &Import| import.model.faces.iter().map(|f| f.colour.map_or(-1.0, |c| c.red)).collect::<Vec<_>>();
    let blue =
        "#200=STYLED_ITEM('',(#201),#11);\n#201=PRESENTATION_STYLE_ASSIGNMENT((#202));\n#202=DRAUGHTING_PRE_DEFINED_COLOUR('blue');\n";
    assert_eq!(reds(&with(&format!("{PLACED}{blue}"))), [0.0, 0.0]);
    for item in [10, 11, 60] {
        let import = with(&format!("{PLACED}{blue}{}", colour(210, item, "#130", "red")));
        assert_eq!((reds(&import), import.report.remarks.len()), (vec![0.0, 1.0], 0), "{item}");
    }
    // Nothing is styled where the placements do not lead.
    assert_eq!(reds(&with(&format!("{PLACED}{blue}{}", colour(210, 11, "#120,#130", "red")))), [0.0, 0.0]);
    // One that names more of the path counts before one that names less.
    let both = format!("{}{}", colour(210, 11, "", "yellow"), colour(220, 11, "#120", "green"));
    assert_eq!(reds(&with(&format!("{PLACED}{blue}{both}"))), [0.0, 1.0]);
    // And one instance may be hidden.
    let import = with(&format!("{PLACED}{blue}{}#230=INVISIBILITY((#210));", colour(210, 11, "#120", "red")));
    assert_eq!((reds(&import), import.report.hidden_faces, import.model.parts.len()), (vec![0.0], 1, 2));
}
