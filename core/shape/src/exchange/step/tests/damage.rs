//! Damaged files: a clear message with its line, never a panic.

use super::{MM, TRIANGLE, file, open};
use crate::exchange::write::{StepOptions, step};
use crate::exchange::{Limits, ReadErrorKind, read};
use crate::progress::{Progress, Silent, Stage};
use proptest::prelude::*;

fn sound() -> String {
    file(&format!("{MM}{TRIANGLE}#51=SHAPE_REPRESENTATION('',(#11),#1);"))
}

/// The triangle beside itself lost to some damage: what is said of it.
fn lost(from: &str, to: &str) -> String {
    let text = sound();
    assert!(text.contains(from), "{from}");
    let e = open(&text.replace(from, to)).unwrap_err();
    assert_eq!((e.kind, e.entity, e.line), (ReadErrorKind::File, Some(10), Some(11)), "{e}");
    e.to_string()
}

#[test]
fn no_model_at_all_says_why() {
    let kind = |bytes: &[u8]| {
        let e = read(bytes, "x", &Limits::default(), &mut Silent).unwrap_err();
        (e.kind, e.line, e.to_string())
    };
    let (k, line, text) = kind(b"");
    assert_eq!((k, line, text.as_str()), (ReadErrorKind::Format, Some(1), "line 1: the file is empty"));
    let (k, _, text) = kind(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR");
    assert!(k == ReadErrorKind::Format && text.contains("a PNG picture"), "{text}");
    let (k, _, text) = kind(b"solidus cube\nfacet normal 0 0 1");
    assert!(k == ReadErrorKind::Format && text.contains("solidus cube"), "{text}");
    let (k, _, text) = kind(file("#1=CARTESIAN_POINT('',(0.,0.,0.));").as_bytes());
    assert!(k == ReadErrorKind::File && text.contains("no face among its 1 entities"), "{text}");
}

#[test]
fn each_damage_of_a_surface_names_entity_line_and_expectation() {
    for (from, to, said) in [
        ("#22=CARTESIAN_POINT('',(0.,0.,0.));", "", "entity #22 is referred to but not in the file"),
        ("#20=PLANE('',#21);", "#20=PLANE('',(#21));", "PLANE #20 (line 21): value 2 should be a reference to an entity"),
        ("#20=PLANE('',#21);", "#20=PLANE('',#21", "damaged text"),
        ("#20=PLANE('',#21);", "#20=PLANE('',#31);", "an AXIS2_PLACEMENT_3D was expected"),
        ("#20=PLANE('',#21);", "#20=SPHERICAL_SURFACE('',#21,-1.);", "value 3 should be a positive number"),
        ("#20=PLANE('',#21);", "#20=RECTANGULAR_TRIMMED_SURFACE('',#20,0.,1.,0.,1.,.T.,.T.);", "a reference loop"),
        ("#20=PLANE('',#21);", "#20=SURFACE_OF_REVOLUTION('',#41,#31);", "an AXIS1_PLACEMENT was expected"),
        ("#20=PLANE('',#21);", "#20=OFFSET_SURFACE('',#20,1.,.F.);", "a reference loop"),
        ("#20=PLANE('',#21);", "#20=SURFACE_REPLICA('',#20,#21);", "a reference loop"),
        ("#20=PLANE('',#21);", "#20=SURFACE_OF_LINEAR_EXTRUSION('',#41,#20);", "a DIRECTION was expected"),
        (",.T.);\n#11=", ",.MAYBE.);\n#11=", ".T. or .F."),
    ] {
        let text = lost(from, to);
        assert!(text.contains(said), "{to}: {text}");
    }
}

/// A face never vanishes while its surface can be read: the boundary says why it is lost, and keeps what was read.
#[test]
fn each_damage_of_a_boundary_leaves_the_face_and_says_why() {
    for (from, to, said, kept) in [
        ("#41=LINE('',#22,#35);", "#41=TRIMMED_CURVE('',#41,(#22),(#24),.T.,.CARTESIAN.);", "a reference loop", 2),
        ("#35=VECTOR('',#34,2.);", "#35=VECTOR('',#34,0.);", "positive number", 2),
        ("#34=DIRECTION('',(1.,0.,0.));", "#34=DIRECTION('',(0.,0.,0.));", "not all zero", 2),
        ("(#14,#15,#16)", "()", "the loop has no edge", 0),
        ("#13=EDGE_LOOP('',(#14,#15,#16));", "", "entity #13 is referred to but not in the file", 0),
        ("#13=EDGE_LOOP", "#13=MY_LOOP", "is of a type not read yet", 0),
        ("(#12)", "(#21)", "a FACE_BOUND was expected", 0),
        ("#24=CARTESIAN_POINT('',(3.,0.,0.));", "#24=CARTESIAN_POINT('',(3.,0.));", "another number of coordinates", 1),
        ("#24=CARTESIAN_POINT('',(3.,0.,0.));", "#24=CARTESIAN_POINT('',(3.E200,0.,0.));", "too large", 1),
        ("#24=CARTESIAN_POINT('',(3.,0.,0.));", "#24=CARTESIAN_POINT('',(0.,0.,0.));", "has no length", 2),
        ("#17=EDGE_CURVE('',#31,#32,#41,.T.);", "#17=EDGE_CURVE('',#31,#32,#35,.T.);", "is of a type not read yet", 2),
    ] {
        let text = sound();
        assert!(text.contains(from), "{from}");
        let import = open(&text.replace(from, to)).unwrap_or_else(|e| panic!("{to}: {e}"));
        let face = &import.model.faces[0];
        let lost = face.boundary_lost.as_deref().unwrap_or_default();
        assert!(lost.contains(said), "{to}: {lost}");
        assert_eq!(face.loops.iter().map(|l| l.uses().len()).sum::<usize>(), kept, "{to}");
        assert_eq!((import.model.faces.len(), import.report.unread.len()), (1, 0), "{to}");
    }
}

#[test]
fn odd_but_readable_files_are_read_with_a_remark() {
    for (from, to, said) in [
        ("#18=EDGE_CURVE('',#32,#33,#42,.F.)", "#18=EDGE_CURVE('',#32,#33,#42,.T.)", "its sense contradicts"),
        ("(#14,#15,#16)", "(#14,#16,#15)", "the loop is not closed"),
        ("#25=CARTESIAN_POINT('',(0.,4.,0.))", "#25=CARTESIAN_POINT('',(0.1,4.,0.))", "off the end of its curve"),
        ("(#2,#3)", "(#3)", "no unit of length"),
        ("(#11),#1);", "(#11),$);", "no context"),
        ("END-ISO-10303-21;", "", "END-ISO-10303-21 is missing"),
        (
            "#41=LINE('',#22,#35);",
            "#41=SURFACE_CURVE('',#99,(#20,#98),.CURVE_3D.);\n#98=PCURVE('',#20,#97);\n#99=LINE('',#22,#35);",
            "entity #97",
        ),
    ] {
        let text = sound();
        assert!(text.contains(from), "{from}");
        let import = open(&text.replace(from, to)).unwrap_or_else(|e| panic!("{to}: {e}"));
        assert_eq!(import.model.faces.len(), 1, "{to}");
        assert!(import.report.remarks.iter().any(|r| r.text.contains(said)), "{to}: {:?}", import.report.remarks);
    }
}

#[test]
fn limits_end_the_reading_before_memory_is_taken() {
    let refused = |limits: Limits| read(sound().as_bytes(), "x", &limits, &mut Silent).unwrap_err().kind;
    let all = Limits::default();
    assert_eq!(refused(Limits { bytes: 100, ..all }), ReadErrorKind::Limit);
    assert_eq!(refused(Limits { entities: 10, ..all }), ReadErrorKind::Limit);
    assert_eq!(refused(Limits { placed: 2, ..all }), ReadErrorKind::Limit);
    let patch = "#20=BEZIER_SURFACE('',1,1,((#22,#22),(#22,#22)),.UNSPECIFIED.,.F.,.F.,.F.);";
    let text = sound().replace("#20=PLANE('',#21);", patch);
    let e = read(text.as_bytes(), "x", &Limits { points: 19, ..all }, &mut Silent).unwrap_err();
    assert_eq!((e.kind, e.entity), (ReadErrorKind::Limit, Some(20)));
}

/// A ladder of shapes, each placed twice in the next: 2⁴⁰ faces from a file of a few kilobytes.
#[test]
fn an_exploding_assembly_is_refused() {
    let mut data = format!("{MM}{TRIANGLE}#70=AXIS2_PLACEMENT_3D('',#22,$,$);\n#100=SHAPE_REPRESENTATION('',(#11),#1);\n");
    for i in 1..=40u32 {
        let n = 100 + 10 * i;
        data += &format!(
            "#{}=REPRESENTATION_MAP(#70,#{});\n#{}=MAPPED_ITEM('',#{},#70);\n#{}=MAPPED_ITEM('',#{},#70);\n#{n}=SHAPE_REPRESENTATION('',(#{},#{}),#1);\n",
            n + 1,
            n - 10,
            n + 2,
            n + 1,
            n + 3,
            n + 1,
            n + 2,
            n + 3
        );
    }
    let limits = Limits { placed: 10_000, ..Limits::default() };
    assert_eq!(read(file(&data).as_bytes(), "x", &limits, &mut Silent).unwrap_err().kind, ReadErrorKind::Limit);
}

#[test]
fn a_cancelled_reading_stops() {
    struct Impatient;
    impl Progress for Impatient {
        fn report(&mut self, _: Stage, _: usize, _: usize) {}
        fn cancelled(&self) -> bool {
            true
        }
    }
    let e = read(sound().as_bytes(), "x", &Limits::default(), &mut Impatient).unwrap_err();
    assert_eq!(e.kind, ReadErrorKind::Cancelled);
}

#[test]
fn a_file_cut_anywhere_is_an_error_or_complete() {
    let text = sound();
    let data_end = text.find("ENDSEC;\nEND-ISO").unwrap() + "ENDSEC;".len();
    for cut in 0..text.len() {
        match open(&text[..cut]) {
            Err(e) => assert!(cut < data_end || e.line.is_some(), "{cut}: {e}"),
            Ok(_) => assert!(cut >= data_end, "{cut} of {data_end}"),
        }
    }
}

/// Three of this module's files, each with most kinds of entity the reader knows.
fn seeds() -> [String; 3] {
    let import = open(&sound()).unwrap();
    let with_looks = {
        let mut model = import.model.clone();
        model.faces[0].colour = Some(crate::model::Colour { red: 0.5, green: 0.25, blue: 1.0 });
        model.faces[0].layers.push("skin".into());
        step(&model, &StepOptions::default()).text
    };
    let assembly = file(&format!(
        "{MM}{TRIANGLE}#70=AXIS2_PLACEMENT_3D('',#22,$,$);\n#71=REPRESENTATION_MAP(#70,#60);\n#72=MAPPED_ITEM('',#71,#73);\n\
         #73=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',$,#34,#22,2.,$);\n#60=SHAPE_REPRESENTATION('',(#11),#1);\n\
         #80=SHAPE_REPRESENTATION('',(#72),#1);\n#20=CIRCLE('',#21,3.);"
    ));
    let splines = sound()
        .replace("#20=PLANE('',#21);", "#20=BEZIER_SURFACE('',1,1,((#22,#24),(#25,#24)),.UNSPECIFIED.,.F.,.F.,.F.);")
        .replace("#42=LINE('',#25,#37);", "#42=COMPOSITE_CURVE('',(#91),.F.);\n#91=COMPOSITE_CURVE_SEGMENT(.CONTINUOUS.,.T.,#92);\n#92=TRIMMED_CURVE('',#93,(PARAMETER_VALUE(0.)),(#24),.T.,.PARAMETER.);\n#93=LINE('',#25,#37);")
        .replace("#43=LINE('',#22,#39);", "#43=B_SPLINE_CURVE_WITH_KNOTS('',1,(#22,#25),.UNSPECIFIED.,.F.,.F.,(2,2),(0.,1.),.UNSPECIFIED.);");
    [with_looks, assembly, splines]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]
    /// Bytes changed, doubled or removed anywhere: reading ends with a model or an error, soon and without panic.
    #[test]
    fn no_damage_panics(seed in 0usize..3, edits in proptest::collection::vec((0.0..1.0f64, 0u8..4, any::<u8>(), 1usize..40), 1..6)) {
        const MARKS: &[u8] = b"#0123456789.,()';=$*ETF-/ \n";
        let mut bytes = seeds()[seed].clone().into_bytes();
        for (place, what, byte, length) in edits {
            let at = ((bytes.len() as f64 * place) as usize).min(bytes.len() - 1);
            let end = (at + length).min(bytes.len());
            match what {
                0 => bytes[at] = byte,
                1 => bytes[at] = MARKS[usize::from(byte) % MARKS.len()],
                2 => drop(bytes.drain(at..end)),
                _ => { let again: Vec<u8> = bytes[at..end].to_vec(); bytes.splice(at..at, again); }
            }
            if bytes.is_empty() {
                break;
            }
        }
        let limits = Limits { placed: 1000, points: 1000, entities: 1000, values: 1000, ..Limits::default() };
        if let Ok(import) = read(&bytes, "x", &limits, &mut Silent) {
            for e in &import.model.edges {
                prop_assert!(e.t0.is_finite() && e.t1.is_finite() && e.start.index() < import.model.vertices.len());
            }
            prop_assert!(import.model.vertices.iter().all(|v| v.point.is_finite()));
        }
    }
}
