//! STL, binary and ASCII: triangles one by one, each with its own corners. Common practice, no source.

mod binary;
mod facing;
mod text;

use crate::exchange::format::is_solid;
use crate::exchange::{Format, Import, Limits, ReadError};
use crate::progress::Progress;

pub(in crate::exchange) use binary::{has_facets, has_whole_size};

/// Reads an STL file. The length settles whether it is binary: the header of a binary file may start with `solid` too.
pub(in crate::exchange) fn read(bytes: &[u8], name: &str, limits: &Limits, progress: &mut dyn Progress) -> Result<Import, ReadError> {
    let (found, schema) = if is_solid(bytes) && !has_whole_size(bytes, bytes.len() as u64) {
        (text::read(bytes, limits, progress)?, "STL, ASCII")
    } else {
        (binary::read(bytes, limits, progress)?, "STL, binary")
    };
    found.import(Format::Stl, schema, name, limits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::ReadErrorKind;
    use crate::math::Point3;
    use crate::model::Mesh;
    use crate::progress::Silent;

    type Facet = [[f32; 3]; 4];

    /// The facets of a tetrahedron with legs a, b, c, seen from outside.
    fn tetrahedron([a, b, c]: [f32; 3]) -> Vec<Facet> {
        let (o, x, y, z) = ([0.0; 3], [a, 0.0, 0.0], [0.0, b, 0.0], [0.0, 0.0, c]);
        vec![[[0.0, 0.0, -1.0], o, y, x], [[0.0, -1.0, 0.0], o, x, z], [[-1.0, 0.0, 0.0], o, z, y], [[0.0; 3], x, y, z]]
    }

    fn binary(header: &str, facets: &[Facet]) -> Vec<u8> {
        let mut bytes = vec![0; 80];
        bytes[..header.len()].copy_from_slice(header.as_bytes());
        bytes.extend((facets.len() as u32).to_le_bytes());
        for facet in facets {
            bytes.extend(facet.iter().flatten().flat_map(|x| x.to_le_bytes()));
            bytes.extend([0, 0]);
        }
        bytes
    }

    fn text(name: &str, facets: &[Facet]) -> String {
        let mut text = format!("solid {name}\n");
        for [n, corners @ ..] in facets {
            text += &format!("  facet normal {} {} {}\n    outer loop\n", n[0], n[1], n[2]);
            corners.iter().for_each(|c| text += &format!("      vertex {} {:e} {}\n", c[0], c[1], c[2]));
            text += "    endloop\n  endfacet\n";
        }
        text + &format!("endsolid {name}\n")
    }

    fn open(bytes: impl AsRef<[u8]>) -> Result<Import, ReadError> {
        crate::exchange::read(bytes.as_ref(), "part.stl", &Limits::default(), &mut Silent)
    }

    fn only_mesh(import: &Import) -> &Mesh {
        assert_eq!((import.report.format, import.model.meshes.len()), (Format::Stl, 1));
        &import.model.meshes[0]
    }

    #[test]
    fn binary_and_text_give_the_same_mesh() {
        let facets = tetrahedron([3.5, 0.1, 7e-3]);
        let from_binary = open(binary("solid legs", &facets)).unwrap();
        let from_text = open(text("legs", &facets)).unwrap();
        let (a, b) = (only_mesh(&from_binary), only_mesh(&from_text));
        // f32 prints as the shortest decimal that reads back as f32, so the text holds 0.1 where the binary has its f32.
        assert_eq!((&a.triangles, a.points.len(), a.name.as_str()), (&b.triangles, 4, "solid legs"));
        assert_eq!((b.name.as_str(), b.points[1]), ("legs", Point3::new(0.0, 0.1, 0.0)));
        assert_eq!(a.triangles, [[0, 1, 2], [0, 2, 3], [0, 3, 1], [2, 1, 3]]);
        for import in [&from_binary, &from_text] {
            assert_eq!(import.report.entity_count, 4);
            assert_eq!(import.report.remarks.len(), 1, "{:?}", import.report.remarks);
            assert!(import.report.remarks[0].text.contains("millimetres"));
        }
    }

    #[test]
    fn text_may_be_in_any_case_and_spacing() {
        let facets = tetrahedron([1.0, 2.0, 3.0]);
        let sound = text("a b", &facets);
        let want = only_mesh(&open(&sound).unwrap()).clone();
        for changed in [
            sound.to_uppercase(),
            sound.replace('\n', "\r\n"),
            sound.replace('\n', "\r"),
            sound.replace(' ', " \t "),
            sound.replace('\n', "\n\n"),
            sound.replace("a b\n ", "a b "),
            sound.replace("outer loop", "outer\nloop"),
            format!("\u{feff}\n{sound}"),
        ] {
            let import = open(&changed).unwrap();
            let got = only_mesh(&import);
            assert_eq!((&got.points, &got.triangles), (&want.points, &want.triangles), "{changed}");
            assert_eq!(got.name.to_lowercase(), "a b");
        }
    }

    #[test]
    fn several_solids_are_several_meshes() {
        let two = text("first", &tetrahedron([1.0, 2.0, 3.0])) + &text("", &tetrahedron([4.0, 5.0, 6.0]));
        let import = open(&two).unwrap();
        let names: Vec<&str> = import.model.meshes.iter().map(|m| m.name.as_str()).collect();
        assert_eq!(names, ["first", ""]);
        assert_eq!(import.model.meshes[1].points.len(), 4);
    }

    #[test]
    fn odd_files_are_read_with_a_remark() {
        let mut facets = tetrahedron([1.0, 2.0, 3.0]);
        let sound = text("a", &facets);
        let remarks = |import: Import| import.report.remarks.iter().map(|r| r.text.clone()).collect::<Vec<_>>().join("|");
        let unended = sound.replace("endsolid a\n", "");
        assert!(remarks(open(unended).unwrap()).contains("without endsolid"));
        facets[0].swap(1, 2);
        facets.push([[0.0; 3], [5.0; 3], [5.0; 3], [6.0; 3]]);
        for import in [open(binary("", &facets)).unwrap(), open(text("", &facets)).unwrap()] {
            assert_eq!(only_mesh(&import).triangles.len(), 4);
            let said = remarks(import);
            assert!(said.contains("1 of the triangles left out: each has no area"), "{said}");
            assert!(said.contains("1 of the triangles runs against"), "{said}");
        }
        // A loop of four corners is a fan of two triangles.
        let square =
            "solid\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 2 0 0\nvertex 2 2 0\nvertex 0 2 0\nendloop\nendfacet\nendsolid";
        assert_eq!(only_mesh(&open(square).unwrap()).triangles, [[0, 1, 2], [0, 2, 3]]);
    }

    #[test]
    fn damage_is_named_by_line_or_byte() {
        let facets = tetrahedron([1.0, 2.0, 3.0]);
        let sound = text("a", &facets);
        for (from, to, line, said) in [
            ("vertex 1 0e0 0", "vertex 1 zero 0", 6, "found \"zero\", expected a number"),
            ("outer loop", "outer hoop", 3, "expected \"loop\""),
            ("endfacet", "", 9, "expected \"endfacet\""),
            ("solid a\n", "solid a\nxyz\n", 2, "expected \"facet\" or \"endsolid\""),
        ] {
            let error = open(sound.replacen(from, to, 1)).unwrap_err();
            assert_eq!((error.kind, error.line), (ReadErrorKind::File, Some(line)), "{error}");
            assert!(error.message.contains(said), "{error}");
        }
        for end in 6..sound.len() - 11 {
            match open(&sound[..end]) {
                Ok(import) => assert!(only_mesh(&import).triangles.len() < 5),
                Err(error) => assert!(error.line.is_some() || error.message.contains("no triangle"), "{end}: {error}"),
            }
        }
        let bytes = binary("cut", &facets);
        for end in 134..bytes.len() {
            let error = open(&bytes[..end]).unwrap_err();
            assert!(error.message.contains(&format!("at byte {end}")), "{error}");
            assert!(error.message.contains("of 4"), "{error}");
        }
        let mut longer = bytes.clone();
        longer[80] = 2;
        let error = open(&longer).unwrap_err();
        assert!(error.to_string().contains("at byte 184: 100 bytes follow the last of 2 triangles"), "{error}");
    }

    #[test]
    fn counts_are_checked_before_memory_is_taken() {
        let mut bytes = binary("", &tetrahedron([1.0, 2.0, 3.0]));
        bytes[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
        assert!(open(&bytes).unwrap_err().message.contains("of 4294967295"));
        let limits = Limits { points: 11, ..Limits::default() };
        for bytes in [binary("", &tetrahedron([1.0, 2.0, 3.0])), text("", &tetrahedron([1.0, 2.0, 3.0])).into_bytes()] {
            let error = read(&bytes, "x", &limits, &mut Silent).unwrap_err();
            assert_eq!(error.kind, ReadErrorKind::Limit, "{error}");
        }
    }

    #[test]
    fn a_file_without_a_triangle_is_refused() {
        for bytes in [binary("", &[]), b"solid a\nendsolid a".to_vec(), binary("", &[[[0.0; 3]; 4]])] {
            let error = open(&bytes).unwrap_err();
            assert!(error.kind == ReadErrorKind::File && error.message.contains("no triangle"), "{error}");
        }
    }
}
