//! The same mesh through every encoding, order and type, and what is said of damage.

use crate::exchange::{Format, Import, Limits, ReadError, ReadErrorKind, read};
use crate::math::Point3;
use crate::progress::Silent;
use proptest::prelude::*;

fn open(bytes: impl AsRef<[u8]>) -> Result<Import, ReadError> {
    read(bytes.as_ref(), "part.ply", &Limits::default(), &mut Silent)
}

const POINTS: [[f64; 3]; 5] = [[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [3.0, 1.5, 0.0], [0.0, 2.0, 0.25], [1.0, 1.0, -3.0]];
/// A quadrilateral and two triangles.
const POLYGONS: [&[i64]; 3] = [&[0, 1, 2, 3], &[3, 4, 0], &[1, 0, 4]];

/// Writes numbers of the named PLY type.
fn put(out: &mut Vec<u8>, encoding: &str, kind: &str, value: f64) {
    if encoding == "ascii" {
        out.extend(format!("{value} ").bytes());
        return;
    }
    let mut bytes = match kind {
        "char" | "int8" => (value as i8).to_le_bytes().to_vec(),
        "uchar" | "uint8" => (value as u8).to_le_bytes().to_vec(),
        "short" | "int16" => (value as i16).to_le_bytes().to_vec(),
        "ushort" | "uint16" => (value as u16).to_le_bytes().to_vec(),
        "int" | "int32" => (value as i32).to_le_bytes().to_vec(),
        "uint" | "uint32" => (value as u32).to_le_bytes().to_vec(),
        "float" | "float32" => (value as f32).to_le_bytes().to_vec(),
        "double" | "float64" => value.to_le_bytes().to_vec(),
        _ => panic!("{kind}"),
    };
    if encoding == "binary_big_endian" {
        bytes.reverse();
    }
    out.extend(bytes);
}

#[derive(Debug, Clone)]
struct Shape {
    encoding: &'static str,
    real: &'static str,
    length: &'static str,
    index: &'static str,
    list: &'static str,
    /// x, y, z and a colour in this order.
    columns: Vec<usize>,
    faces_first: bool,
    extras: bool,
    end: &'static str,
}

fn write(shape: &Shape) -> Vec<u8> {
    let Shape { encoding, real, length, index, list, columns, faces_first, extras, end } = shape;
    let mut head = vec!["ply".to_string(), format!("format {encoding} 1.0"), "comment made by hand: end_header".into()];
    let mut vertex = vec![format!("element vertex {}", POINTS.len())];
    for &column in columns {
        let kind = if column == 3 { "uchar" } else { real };
        vertex.push(format!("property {kind} {}", ["x", "y", "z", "red"][column]));
    }
    let mut face = vec![format!("element face {}", POLYGONS.len())];
    if *extras {
        vertex.push("property list uchar short neighbours".into());
        face.push("property float32 quality".into());
    }
    face.push(format!("property list {length} {index} {list}"));
    if *extras {
        face.push("property list ushort double texcoord".into());
        head.extend(["element empty 7".into(), "element camera 2".into(), "property int number".into()]);
    }
    head.extend(if *faces_first { [face, vertex].concat() } else { [vertex, face].concat() });
    head.push("end_header".into());
    let mut out: Vec<u8> = head.iter().flat_map(|line| format!("{line}{end}").into_bytes()).collect();
    if *extras {
        put(&mut out, encoding, "int", 10.0);
        put(&mut out, encoding, "int", 13.0);
    }
    for faces in [*faces_first, !faces_first] {
        if faces {
            for polygon in POLYGONS {
                if *extras {
                    put(&mut out, encoding, "float", 0.5);
                }
                put(&mut out, encoding, length, polygon.len() as f64);
                polygon.iter().for_each(|&i| put(&mut out, encoding, index, i as f64));
                if *extras {
                    put(&mut out, encoding, "ushort", 2.0);
                    put(&mut out, encoding, "double", 1e300);
                    put(&mut out, encoding, "double", -1.0);
                }
                if *encoding == "ascii" {
                    out.extend(end.bytes());
                }
            }
        } else {
            for point in POINTS {
                for &column in columns {
                    match point.get(column) {
                        Some(&x) => put(&mut out, encoding, real, x),
                        None => put(&mut out, encoding, "uchar", 200.0),
                    }
                }
                if *extras {
                    put(&mut out, encoding, "uchar", 1.0);
                    put(&mut out, encoding, "short", -2.0);
                }
                if *encoding == "ascii" {
                    out.extend(end.bytes());
                }
            }
        }
    }
    out
}

fn shapes() -> impl Strategy<Value = Shape> {
    let whole = || {
        prop::sample::select(vec!["char", "uchar", "short", "ushort", "int", "uint", "int8", "uint8", "int16", "uint16", "int32", "uint32"])
    };
    (
        prop::sample::select(vec!["ascii", "binary_little_endian", "binary_big_endian"]),
        prop::sample::select(vec!["float", "double", "float32", "float64"]),
        whole(),
        whole(),
        prop::sample::select(vec!["vertex_indices", "vertex_index"]),
        Just(vec![0usize, 1, 2, 3]).prop_shuffle(),
        any::<bool>(),
        any::<bool>(),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
    )
        .prop_map(|(encoding, real, length, index, list, columns, faces_first, extras, end)| Shape {
            encoding,
            real,
            length,
            index,
            list,
            columns,
            faces_first,
            extras,
            end,
        })
}

proptest! {
    #[test]
    fn every_encoding_type_and_order_gives_the_same_mesh(shape in shapes()) {
        let import = open(write(&shape)).map_err(|e| TestCaseError::fail(format!("{shape:?}: {e}")))?;
        prop_assert_eq!(import.report.format, Format::Ply);
        let mesh = &import.model.meshes[0];
        prop_assert_eq!(&mesh.points, &POINTS.map(|[x, y, z]| Point3::new(x, y, z)));
        prop_assert_eq!(&mesh.triangles, &[[0, 1, 2], [0, 2, 3], [3, 4, 0], [1, 0, 4]]);
        prop_assert_eq!(import.report.remarks.len(), 1);
    }

    #[test]
    fn a_cut_file_says_where_it_ends(shape in shapes(), share in 0.0..1.0f64) {
        let whole = write(&shape);
        let end = 4 + (share * (whole.len() - 6) as f64) as usize;
        let error = match open(&whole[..end]) {
            // A number cut short is another number; nothing can tell in text.
            Ok(_) if shape.encoding == "ascii" => return Ok(()),
            Ok(_) => return Err(TestCaseError::fail("read")),
            Err(error) => error,
        };
        prop_assert!(error.line.is_some() || error.message.starts_with("at byte"), "{}", error);
    }

    #[test]
    fn any_bytes_behind_a_sound_header_are_a_mesh_or_an_error(shape in shapes(), noise in prop::collection::vec(any::<u8>(), 0..200)) {
        let whole = write(&shape);
        let head = whole.windows(10).position(|w| w == b"end_header" ).unwrap();
        let mut bytes = whole[..head + 11].to_vec();
        bytes.extend(noise);
        let _ = open(bytes);
    }
}

const TRIANGLE: &str = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_index\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n";

#[test]
fn damage_is_named_by_its_line() {
    assert_eq!(open(TRIANGLE).unwrap().model.meshes[0].triangles, [[0, 1, 2]]);
    for (from, to, line, said) in [
        ("format ascii", "format roman", 2, "binary_big_endian"),
        ("ascii 1.0", "ascii 2.0", 2, "version 1.0"),
        ("element vertex 3", "element vertex three", 3, "number of rows"),
        ("element vertex 3", "element vertex 999999999", 3, "more than the rest of the file can hold"),
        ("element vertex 3", "element vertex 18446744073709551615", 3, ""),
        ("element vertex 3", "element vortex 3", 9, "no element \"vertex\""),
        ("element face", "element vertex", 7, "declared already"),
        ("element face", "element mace", 3, "a cloud of 3 points"),
        ("element face 1", "element face 0", 3, "a cloud of 3 points"),
        ("property float z", "property float w", 3, "no property z"),
        ("property float z", "property complex z", 6, "TYPE NAME"),
        ("list uchar int", "list float int", 8, "list TYPE TYPE NAME"),
        ("list uchar int", "list uchar float", 7, "a list of whole numbers"),
        ("end_header\n", "", 9, "expected a line of a PLY header"),
        ("\n1 0 0", "\n1 x 0", 11, "found \"x\", expected a number"),
        ("3 0 1 2", "-3 0 1 2", 13, "a list cannot have -3 items"),
        ("3 0 1 2", "2.5 0 1 2", 13, "a list cannot have 2.5 items"),
        ("3 0 1 2", "9 0 1 2", 14, "the file ends here"),
    ] {
        let error = open(TRIANGLE.replacen(from, to, 1)).unwrap_err();
        assert!(error.line == Some(line) && error.message.contains(said), "{to}: {error}");
        assert!(matches!(error.kind, ReadErrorKind::File | ReadErrorKind::Limit), "{error}");
    }
}

#[test]
fn odd_files_are_read_with_a_remark() {
    let said = |text: String| {
        let import = open(&text).unwrap_or_else(|e| panic!("{text}: {e}"));
        (import.model.meshes[0].triangles.len(), import.report.remarks[0].text.clone())
    };
    let two = TRIANGLE.replace("face 1", "face 2");
    let (n, text) = said(format!("{two}3 0 1 3\n"));
    assert!(n == 1 && text.contains("1 of the triangles left out: each names a corner"), "{text}");
    let (n, text) = said(format!("{two}3 0 -1 2\n"));
    assert!(n == 1 && text.contains("names a corner"), "{text}");
    let (n, text) = said(format!("{two}2 0 1\nmore"));
    assert!(n == 1 && text.contains("goes on behind the last element"), "{text}");
}

#[test]
fn strips_turn_over_one_by_one_and_start_anew() {
    let points: String = (0..6).map(|i| format!("{} {} {}\n", i / 2, i % 2, i * i)).collect();
    let text = format!(
        "ply\nformat ascii 1.0\nelement vertex 6\nproperty float x\nproperty float y\nproperty float z\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n{points}9 0 1 2 3 -1 5 4 3 2\n"
    );
    let mesh = &open(text).unwrap().model.meshes[0];
    assert_eq!(mesh.triangles, [[0, 1, 2], [2, 1, 3], [5, 4, 3], [3, 4, 2]]);
}

#[test]
fn counts_are_held_to_the_limits() {
    let limits = Limits { points: 2, ..Limits::default() };
    assert_eq!(read(TRIANGLE.as_bytes(), "x", &limits, &mut Silent).unwrap_err().kind, ReadErrorKind::Limit);
    // One polygon of many corners.
    let fan = TRIANGLE.replace("3 0 1 2", &format!("100 {}", "0 1 2 ".repeat(34)));
    let limits = Limits { points: 20, ..Limits::default() };
    assert_eq!(read(fan.as_bytes(), "x", &limits, &mut Silent).unwrap_err().kind, ReadErrorKind::Limit);
}
