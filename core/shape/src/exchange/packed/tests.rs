//! Containers made here, byte by byte, sound and damaged.

use super::checksum::crc32;
use crate::exchange::{Format, Import, Limits, ReadError, ReadErrorKind, read};
use crate::progress::Silent;
use miniz_oxide::deflate::compress_to_vec;

const STL: &[u8] =
    b"solid box\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid box\n";

/// One file to pack.
#[derive(Clone)]
struct Packed {
    name: &'static str,
    method: u16,
    flags: u16,
    wide: bool,
    bytes: Vec<u8>,
}

fn file(name: &'static str, bytes: &[u8]) -> Packed {
    Packed { name, method: 8, flags: 0, wide: false, bytes: bytes.to_vec() }
}

fn zip(files: &[Packed]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut directory = Vec::new();
    for file in files {
        let packed = if file.method == 8 { compress_to_vec(&file.bytes, 6) } else { file.bytes.clone() };
        let (size, length, offset) = (file.bytes.len() as u32, packed.len() as u32, out.len() as u32);
        let mut common = Vec::new();
        common.extend([20, 0]);
        common.extend(file.flags.to_le_bytes());
        common.extend(file.method.to_le_bytes());
        common.extend([0; 4]);
        common.extend(crc32(&file.bytes).to_le_bytes());
        let sizes = |wide: bool| [length, size].map(|n| if wide { u32::MAX } else { n }).map(u32::to_le_bytes).concat();
        let mut extra = vec![7, 7, 1, 0, 9];
        if file.wide {
            extra.extend([1, 0, 16, 0]);
            extra.extend(u64::from(size).to_le_bytes());
            extra.extend(u64::from(length).to_le_bytes());
        }
        out.extend(b"PK\x03\x04");
        out.extend(&common);
        out.extend(sizes(false));
        out.extend((file.name.len() as u16).to_le_bytes());
        out.extend([3, 0]);
        out.extend(file.name.bytes());
        out.extend([1, 2, 3]);
        out.extend(packed);
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&common);
        directory.extend(sizes(file.wide));
        directory.extend((file.name.len() as u16).to_le_bytes());
        directory.extend((extra.len() as u16).to_le_bytes());
        directory.extend([2, 0]);
        directory.extend([0; 8]);
        directory.extend(offset.to_le_bytes());
        directory.extend(file.name.bytes());
        directory.extend(extra);
        directory.extend(b"hi");
    }
    let offset = out.len() as u32;
    out.extend(&directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend((files.len() as u16).to_le_bytes());
    out.extend((files.len() as u16).to_le_bytes());
    out.extend((directory.len() as u32).to_le_bytes());
    out.extend(offset.to_le_bytes());
    out.extend([5, 0]);
    out.extend(b"a PK\x05");
    out
}

fn gzip(flags: u8, bytes: &[u8]) -> Vec<u8> {
    let mut out = b"\x1f\x8b\x08".to_vec();
    out.extend([flags, 0, 0, 0, 0, 0, 3]);
    if flags & 4 != 0 {
        out.extend([2, 0, 8, 8]);
    }
    if flags & 8 != 0 {
        out.extend(b"inner.stl\0");
    }
    if flags & 16 != 0 {
        out.extend(b"a remark\0");
    }
    if flags & 2 != 0 {
        out.extend([1, 2]);
    }
    out.extend(compress_to_vec(bytes, 6));
    out.extend(crc32(bytes).to_le_bytes());
    out.extend((bytes.len() as u32).to_le_bytes());
    out
}

fn open(bytes: &[u8]) -> Result<Import, ReadError> {
    read(bytes, "outer.zip", &Limits::default(), &mut Silent)
}

#[test]
fn reads_the_first_model_and_lists_the_rest() {
    let stored = Packed { method: 0, ..file("mesh.stl", STL) };
    let wide = Packed { wide: true, ..file("deep/in/mesh.stl", STL) };
    for (first, base) in [(file("a/mesh.stl", STL), "mesh.stl"), (stored, "mesh.stl"), (wide, "mesh.stl")] {
        let said = first.name;
        let import =
            open(&zip(&[file("a/", b""), file("readme.txt", b"hello"), first, file("b.stl", STL), file("c.zip", b"PK\x03\x04")])).unwrap();
        assert_eq!((import.report.format, import.model.name.as_str()), (Format::Stl, base));
        let texts: Vec<&str> = import.report.remarks.iter().map(|r| r.text.as_str()).collect();
        assert_eq!(texts[0], format!("read from \"{said}\" in a zip container"));
        assert!(texts[1].contains("\"readme.txt\" is text starting with \"hello\""), "{texts:?}");
        assert!(texts[2].contains("\"b.stl\" is another model (STL)"), "{texts:?}");
        assert!(texts[3].contains("\"c.zip\" is packed once more"), "{texts:?}");
        assert!(texts[4].contains("millimetres"), "{texts:?}");
    }
}

#[test]
fn the_root_that_the_standard_names_comes_first() {
    let step = crate::exchange::step::read;
    assert!(step(STL, "x", &Limits::default(), &mut Silent).is_err());
    // Not a sound STEP file, so that what is read can be told by what is said of it.
    let error = open(&zip(&[file("mesh.stl", STL), file("iso-10303.P21", b"ISO-10303-21;\nHEADER;\nDATA;\n")])).unwrap_err();
    assert!(error.message.starts_with("in \"iso-10303.P21\", unpacked: ") && error.line.is_some(), "{error}");
    assert_eq!(open(&zip(&[file("mesh.stl", STL)])).unwrap().model.meshes.len(), 1);
}

#[test]
fn what_cannot_be_unpacked_says_why() {
    let with = |method, flags| zip(&[Packed { method, flags, ..file("mesh.stl", STL) }]);
    for (bytes, kind, said) in [
        (zip(&[]), ReadErrorKind::Format, "holds no model: it is empty"),
        (zip(&[file("a.png", b"\x89PNG\r\n")]), ReadErrorKind::Format, "of 1 files the first, \"a.png\" is a PNG picture"),
        (with(8, 1), ReadErrorKind::Format, "\"mesh.stl\" is encrypted"),
        (with(14, 0), ReadErrorKind::Format, "packed with LZMA"),
        (with(77, 0), ReadErrorKind::Format, "a method that is not known"),
        (zip(&[file("mesh.stl", b"solid a\nfacet normal x")]), ReadErrorKind::File, "in \"mesh.stl\", unpacked: found \"x\""),
    ] {
        let error = open(&bytes).unwrap_err();
        assert!(error.kind == kind && error.message.contains(said), "{error}");
    }
}

#[test]
fn a_damaged_or_cut_container_names_a_byte() {
    let sound = zip(&[file("mesh.stl", STL), file("b.txt", b"text")]);
    for end in 4..sound.len() - 5 {
        let error = open(&sound[..end]).unwrap_err();
        assert!(error.message.starts_with("at byte"), "{end}: {error}");
    }
    let mut read_anyway = 0;
    for at in 4..sound.len() {
        for flip in [1, 0x80] {
            let mut bytes = sound.clone();
            bytes[at] ^= flip;
            match open(&bytes) {
                Ok(import) => {
                    // Names, times and versions may differ; the file itself may not.
                    assert_eq!(import.model.meshes[0].triangles.len(), 1);
                    read_anyway += 1;
                }
                Err(error) => assert!(error.message.len() > 10, "{error}"),
            }
        }
    }
    assert!(read_anyway < 2 * sound.len());
    let mut lying = sound.clone();
    let text = lying.windows(4).position(|w| w == crc32(STL).to_le_bytes()).unwrap();
    let directory = text + 1 + lying[text + 1..].windows(4).position(|w| w == crc32(STL).to_le_bytes()).unwrap();
    lying[directory] ^= 1;
    assert!(open(&lying).unwrap_err().message.contains("its checksum"));
}

#[test]
fn unpacking_stays_within_the_limits() {
    let blank = [STL, &vec![b' '; 3_000_000]].concat();
    for bytes in [zip(&[file("a.stl", &blank)]), gzip(0, &blank)] {
        let error = open(&bytes).unwrap_err();
        assert!(error.kind == ReadErrorKind::Limit && error.message.contains("times its packed size"), "{error}");
        let limits = Limits { ratio: 2000, ..Limits::default() };
        assert!(read(&bytes, "x", &limits, &mut Silent).is_ok());
        let limits = Limits { ratio: 2000, unpacked: 3_000_000, ..Limits::default() };
        let error = read(&bytes, "x", &limits, &mut Silent).unwrap_err();
        assert!(error.kind == ReadErrorKind::Limit && error.message.contains("the limit is 3000000"), "{error}");
    }
}

#[test]
fn gzip_is_read_with_every_part_of_its_header() {
    for flags in 0..32 {
        let import = open(&gzip(flags, STL)).unwrap();
        assert_eq!(import.model.name, if flags & 8 != 0 { "inner.stl" } else { "outer.zip" });
        assert_eq!(import.report.remarks[0].text, "unpacked from gzip data");
    }
    let sound = gzip(31, STL);
    for end in 3..sound.len() {
        let error = open(&sound[..end]).unwrap_err();
        assert!(error.message.contains("gzip"), "{end}: {error}");
    }
    assert!(open(&gzip(0, b"hello")).unwrap_err().message.contains("unpacked: this is no model file"));
    assert!(open(&gzip(0, &gzip(0, STL))).unwrap_err().message.contains("packed once more"));
}
