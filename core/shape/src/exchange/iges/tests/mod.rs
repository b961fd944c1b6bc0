//! Whole small files: each entity against the geometry the standard gives it, and the forms a file may have.

mod analytic;
mod bounded;
mod forms;
mod groups;
mod offset_curves;
mod ruled;
mod solids;

use crate::exchange::{Format, Import, Limits, read};
use crate::geometry::{Curve, Surface, SurfaceKind};
use crate::math::{Point3, real};
use crate::model::Model;
use crate::progress::Silent;

/// One entity: type, form, status, matrix, colour, level, and parameter data behind the type number.
#[derive(Clone)]
struct E {
    kind: u32,
    form: i64,
    status: &'static str,
    matrix: u32,
    colour: i64,
    level: i64,
    data: String,
}

fn e(kind: u32, form: i64, data: &str) -> E {
    E { kind, form, status: "00000000", matrix: 0, colour: 0, level: 0, data: data.into() }
}

/// The same as part of another entity.
fn part(kind: u32, form: i64, data: &str) -> E {
    E { status: "00010000", ..e(kind, form, data) }
}

const GLOBAL: &str = "1H,,1H;,4Hpart,8Hfile.igs,6Hsystem,4Hprep,32,38,6,308,15,,1.,2,2HMM,1,0.1,,1.D-4,9.,,,11;";

fn record(text: &str, letter: char, number: usize) -> String {
    format!("{text:<72}{letter}{number:>7}")
}

/// A file of the fixed form. Entity i has the number 2 i + 1.
fn fixed(global: &str, entities: &[E], delimiters: (char, char)) -> Vec<String> {
    let mut lines = vec![record("", 'S', 1)];
    lines.extend(global.as_bytes().chunks(72).enumerate().map(|(i, c)| record(std::str::from_utf8(c).unwrap(), 'G', i + 1)));
    let (mut directory, mut parameters) = (Vec::new(), Vec::new());
    for (i, e) in entities.iter().enumerate() {
        let number = 2 * i + 1;
        let first = parameters.len() + 1;
        let text = format!("{}{}{}{}", e.kind, delimiters.0, e.data, delimiters.1);
        for chunk in text.as_bytes().chunks(64) {
            let line = format!("{:<64}{number:>8}", std::str::from_utf8(chunk).unwrap());
            parameters.push(record(&line, 'P', parameters.len() + 1));
        }
        let count = parameters.len() + 1 - first;
        let (kind, form) = (e.kind, e.form);
        let one = format!("{kind:>8}{first:>8}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}", 0, 0, e.level, 0, e.matrix, 0, e.status);
        let two = format!("{kind:>8}{:>8}{:>8}{count:>8}{form:>8}{:>8}{:>8}{:>8}{:>8}", 0, e.colour, "", "", "LABEL", i + 1);
        directory.extend([record(&one, 'D', number), record(&two, 'D', number + 1)]);
    }
    lines.extend(directory);
    lines.extend(parameters);
    lines.push(record("S      1G      1D      1P      1", 'T', 1));
    lines
}

fn open(entities: &[E]) -> Import {
    let text = fixed(GLOBAL, entities, (',', ';')).join("\n");
    read(text.as_bytes(), "name", &Limits::default(), &mut Silent).unwrap()
}

fn only_curve(entities: &[E]) -> (Curve, f64, f64) {
    let import = open(entities);
    let c = &import.model.curves;
    assert_eq!(c.len(), 1, "{:?}", import.report);
    (c[0].curve.clone(), c[0].t0, c[0].t1)
}

fn near(a: Point3, x: f64, y: f64, z: f64) {
    assert!(a.distance(Point3::new(x, y, z)) < 1e-9, "{a:?} against {x} {y} {z}");
}

fn area(model: &Model) -> f64 {
    model.faces().map(|(id, f)| model.domain(id).unwrap().area(&f.surface)).sum()
}

#[test]
fn every_curve_runs_through_the_points_its_data_say() {
    // Three places of each: start, middle parameter, end.
    let half = 0.5f64.sqrt();
    let cases: [(E, [[f64; 3]; 3]); 8] = [
        (e(110, 0, "1.,2.,3.,5.,2.,-1."), [[1., 2., 3.], [3., 2., 1.], [5., 2., -1.]]),
        (e(100, 0, "7.,1.,2.,3.,2.,1.,4."), [[3., 2., 7.], [1. + 2. * half, 2. + 2. * half, 7.], [1., 4., 7.]]),
        // x²/9 + y²/4 = 1, a quarter.
        (e(104, 1, "4.,0.,9.,0.,0.,-36.,1.,3.,0.,0.,2."), [[3., 0., 1.], [3. * half, 2. * half, 1.], [0., 2., 1.]]),
        // y = x², from −1 to 1.
        (e(104, 3, "1.,0.,0.,0.,-1.,0.,0.,-1.,1.,1.,1."), [[-1., 1., 0.], [0., 0., 0.], [1., 1., 0.]]),
        // x² − y² = 1, its right branch.
        (e(104, 2, "1.,0.,-1.,0.,0.,-1.,0.,1.25,-0.75,1.25,0.75"), [[1.25, -0.75, 0.], [1., 0., 0.], [1.25, 0.75, 0.]]),
        (e(106, 12, "2,3,0.,0.,0.,1.,1.,0.,2.,0.,5."), [[0., 0., 0.], [1., 1., 0.], [2., 0., 5.]]),
        // (s, s², s³) for s from 0 to 2.
        (e(112, 0, "3,1,3,1,0.,2.,0.,1.,0.,0.,0.,0.,1.,0.,0.,0.,0.,1."), [[0., 0., 0.], [1., 1., 1.], [2., 4., 8.]]),
        // A quadratic with weights, of which the upper half is meant.
        (
            e(126, 0, "2,2,1,0,0,0,0.,0.,0.,1.,1.,1.,1.,2.,1.,0.,0.,0.,1.,2.,0.,2.,0.,0.,0.,1.,0.,0.,1."),
            [[0., 0., 0.], [1., 4. / 3., 0.], [2., 0., 0.]],
        ),
    ];
    for (entity, points) in cases {
        let (curve, t0, t1) = only_curve(std::slice::from_ref(&entity));
        for (s, [x, y, z]) in [0.0, 0.5, 1.0].into_iter().zip(points) {
            near(curve.point(t0 + (t1 - t0) * s), x, y, z);
        }
    }
}

#[test]
fn matrices_chain_and_composites_keep_their_order() {
    // A quarter turn about z, then (its own matrix) a shift.
    let turn = E { matrix: 3, ..e(124, 0, "0.,-1.,0.,0.,1.,0.,0.,0.,0.,0.,1.,0.") };
    let shift = e(124, 0, "1.,0.,0.,10.,0.,1.,0.,20.,0.,0.,1.,30.");
    let line = E { matrix: 1, ..part(110, 0, "0.,0.,0.,1.,0.,0.") };
    let other = part(110, 0, "10.,21.,30.,10.,25.,30.");
    let (curve, t0, t1) = only_curve(&[turn, shift, line, other, e(102, 0, "2,5,7")]);
    assert_eq!((t0, t1), (0.0, 2.0));
    for (t, y) in [(0.0, 20.0), (0.5, 20.5), (1.0, 21.0), (1.5, 23.0), (2.0, 25.0)] {
        near(curve.point(t), 10.0, y, 30.0);
    }
    // A matrix with itself as its matrix is a fault, not a hang.
    let ring = E { matrix: 1, ..e(124, 0, "1.,0.,0.,0.,0.,1.,0.,0.,0.,0.,1.,0.") };
    let import = open(&[ring, E { matrix: 1, ..e(110, 0, "0.,0.,0.,1.,0.,0.") }, e(110, 0, "0.,0.,0.,1.,0.,0.")]);
    assert_eq!((import.model.curves.len(), import.report.unread.len()), (1, 1));
    let told = &import.report.unread[0];
    assert!(told.reason.contains("reference loop") && told.entity == 3 && told.line > 0, "{told:?}");
}

#[test]
fn whole_surfaces_have_the_area_their_formulas_give() {
    let pi = real::PI;
    // Pappus: a segment of length 2 at mean radius 3, turned by a quarter.
    let revolution = [part(110, 0, "0.,0.,0.,0.,0.,1."), part(110, 0, "3.,0.,0.,3.,0.,2."), e(120, 0, "1,3,0.,1.5707963267948966")];
    let tabulated = [part(100, 0, "0.,0.,0.,2.,0.,-2.,0."), e(122, 0, "1,2.,0.,5.")];
    let ruled = [part(110, 0, "0.,0.,0.,4.,0.,0."), part(110, 0, "4.,3.,0.,0.,3.,0."), e(118, 1, "1,3,1,0")];
    // A bicubic patch x = s, y = t over [0, 2] × [0, 3], without the padding some writers leave out.
    let mut patch = vec!["0."; 48];
    (patch[1], patch[16 + 4]) = ("1.", "1.");
    let patch = [e(114, 0, &format!("3,1,1,1,0.,2.,0.,3.,{}", patch.join(",")))];
    let bilinear = [e(128, 0, "1,1,1,1,0,0,1,0,0,0.,0.,1.,1.,0.,0.,1.,1.,1.,1.,1.,1.,0.,0.,0.,5.,0.,0.,0.,2.,0.,5.,2.,0.,0.,1.,0.,1.")];
    let sphere = [part(116, 0, "1.,2.,3.,0"), e(196, 0, "1,2.")];
    let torus = [part(116, 0, "1.,2.,3.,0"), part(123, 0, "0.,1.,1."), e(198, 0, "1,3,5.,2.")];
    // The sphere at twice... the distance 0.5 outwards.
    let offset = [part(116, 0, "1.,2.,3.,0"), part(196, 0, "1,2."), e(140, 0, "0.,-1.,0.,0.5,3")];
    let cases: [(&[E], SurfaceKind, f64); 8] = [
        (&revolution, SurfaceKind::Revolution, 3.0 * pi),
        (&tabulated, SurfaceKind::Ruled, 10.0 * pi),
        (&ruled, SurfaceKind::Ruled, 12.0),
        (&patch, SurfaceKind::Nurbs, 6.0),
        (&bilinear, SurfaceKind::Nurbs, 10.0),
        (&sphere, SurfaceKind::Sphere, 16.0 * pi),
        (&torus, SurfaceKind::Torus, 40.0 * pi * pi),
        (&offset, SurfaceKind::Sphere, 0.0),
    ];
    for (entities, kind, want) in cases {
        let import = open(entities);
        assert_eq!(import.model.faces.len(), 1, "{kind:?} {:?}", import.report);
        assert_eq!(import.model.faces[0].surface.kind(), kind);
        let got = area(&import.model);
        if want > 0.0 {
            assert!((got - want).abs() < 1e-6 * want, "{kind:?}: {got} against {want}");
        } else {
            // Outwards or inwards as the indicator says at the start of the domain; the size of the step is sure.
            let radius = (got / (4.0 * pi)).sqrt();
            assert!((radius - 2.5).abs() < 1e-6 || (radius - 1.5).abs() < 1e-6, "{radius}");
        }
    }
}

/// A plane z = 4 with a square of side 4 and a round hole of radius 1 in it.
fn plate() -> Vec<E> {
    vec![
        part(108, 0, "0.,0.,2.,8.,0"),
        part(110, 0, "0.,0.,4.,4.,0.,4."),
        part(110, 0, "4.,0.,4.,4.,4.,4."),
        part(110, 0, "4.,4.,4.,0.,4.,4."),
        part(110, 0, "0.,4.,4.,0.,0.,4."),
        part(102, 0, "4,3,5,7,9"),
        part(142, 0, "0,1,0,11,2"),
        part(100, 0, "4.,2.,2.,3.,2.,3.,2."),
        part(142, 0, "0,1,0,15,2"),
        E { colour: -21, level: 7, ..e(144, 0, "1,1,1,13,17,0,1,23") },
        e(314, 0, "100.,50.,0."),
        e(406, 15, "1,5Hplate"),
        E { level: 7, ..e(406, 3, "2,1,5Houter") },
    ]
}

#[test]
fn trimmed_surfaces_have_loops_names_colours_and_levels() {
    let import = open(&plate());
    let face = &import.model.faces[0];
    assert!((area(&import.model) - (16.0 - real::PI)).abs() < 1e-6, "{}", area(&import.model));
    assert_eq!((face.loops.len(), face.loops[0].uses().len(), face.loops[1].uses().len()), (2, 4, 1));
    assert_eq!(face.layers, ["outer"]);
    let colour = face.colour.unwrap();
    assert_eq!((colour.red, colour.green, colour.blue), (1.0, 0.5, 0.0));
    assert_eq!((face.source.entity, import.model.curves.len(), import.report.remarks.len()), (19, 0, 0), "{:?}", import.report);
    assert!(import.model.domain(crate::model::FaceId::new(0)).unwrap().repairs.is_empty());
    assert_eq!((import.report.format, import.report.writer.as_str(), import.model.name.as_str()), (Format::Iges, "system", "part"));
}

#[test]
fn a_lost_boundary_keeps_its_surface() {
    let mut entities = plate();
    entities[2].data = "4.,0.,x".into();
    let import = open(&entities);
    assert_eq!((import.model.faces.len(), import.report.unread.len()), (1, 0));
    let lost = import.model.faces[0].boundary_lost.clone().unwrap();
    assert!(lost.contains("#5") && lost.contains("line"), "{lost}");
}

#[test]
fn blanked_faces_are_counted_and_read_when_asked() {
    let mut entities = plate();
    entities[9].status = "01000000";
    let text = fixed(GLOBAL, &entities, (',', ';')).join("\n");
    let import = read(text.as_bytes(), "", &Limits::default(), &mut Silent).unwrap();
    assert_eq!((import.model.faces.len(), import.report.hidden_faces), (0, 1));
    let import = read(text.as_bytes(), "", &Limits { hidden: true, ..Limits::default() }, &mut Silent).unwrap();
    assert_eq!((import.model.faces.len(), import.report.hidden_faces), (1, 0));
}

#[test]
fn subfigures_repeat_their_entities_at_scale() {
    let mut entities = plate();
    entities[9].status = "00010000";
    // Entities 27 and on: the definition, and two instances, one at twice the size.
    entities.push(E { status: "00000200", ..e(308, 0, "0,4Hdisc,1,19") });
    entities.push(e(408, 0, "27,10.,0.,0.,2."));
    entities.push(e(408, 0, "27,0.,0.,100.,1."));
    let model = open(&entities).model;
    assert_eq!(model.faces.len(), 2);
    let want = (16.0 - real::PI) * 5.0;
    assert!((area(&model) - want).abs() < 1e-6 * want);
    assert_eq!(model.parts[1..], ["LABEL 15", "LABEL 16"]);
    let heights: Vec<f64> = model.faces.iter().map(|f| f.surface.point(0.0, 0.0).z).collect();
    assert!((heights[0] - 8.0).abs() < 1e-12 && (heights[1] - 104.0).abs() < 1e-12, "{heights:?}");
}

#[test]
fn a_half_model_reflected_stays_a_mirror_image() {
    let mut entities = plate();
    entities[9].matrix = 27;
    entities.push(e(124, 1, "1.,0.,0.,0.,0.,-1.,0.,0.,0.,0.,1.,0."));
    let import = open(&entities);
    assert!((area(&import.model) - (16.0 - real::PI)).abs() < 1e-6);
    let edge = &import.model.edges[1];
    near(edge.point(0.5), 4.0, -2.0, 4.0);
    assert!(matches!(import.model.faces[0].surface, Surface::Plane(_)));
}
