//! Which format bytes are of, told from the bytes alone: names and endings lie.

use super::mesh::{has_facets, has_whole_size};
use super::report::{Format, ReadError};
use memchr::{memchr, memmem};

/// What the bytes of a file are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Content {
    /// A model in this format.
    Model(Format),
    /// A zip container, which may hold a model.
    Zip,
    /// One file packed with gzip.
    Gzip,
}

/// Tells what `bytes` are. Reads the start, and for STL the length; a damaged file of a known format is that format.
///
/// - STEP: the opening mark of ISO 10303-21:2016, 5.2, behind blanks and comments.
/// - IGES: the section letter in column 73 of an 80-column line, IGES 5.3, 2.2.1 and 2.2.3 (compressed).
/// - STL: 80 bytes of header, a count n and 50 n bytes; or the word `solid`. No standard; common practice.
/// - PLY: the magic word `ply` on a line of its own. No standard; common practice.
/// - zip: the signature of a local file header, PKWARE APPNOTE 4.3.7. gzip: RFC 1952, 2.3.1.
///
/// # Errors
/// When it is none of these: what was expected and what the bytes look like.
pub fn detect(bytes: &[u8]) -> Result<Content, ReadError> {
    detect_start(bytes, bytes.len() as u64)
}

/// As [`detect`], of a file of `length` bytes of which only the first are at hand.
pub(super) fn detect_start(bytes: &[u8], length: u64) -> Result<Content, ReadError> {
    if bytes.is_empty() {
        return Err(ReadError::format("the file is empty".into()));
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return Ok(Content::Zip);
    }
    if bytes.starts_with(b"\x1f\x8b\x08") {
        return Ok(Content::Gzip);
    }
    let text = behind_mark(bytes);
    let body = behind_blanks(text);
    let known = if starts_with(body, b"ISO-10303-21") {
        Some(Format::Step)
    } else if has_whole_size(bytes, length) {
        Some(Format::Stl)
    } else if is_ply(text) {
        Some(Format::Ply)
    } else if has_section_letter(text) {
        Some(Format::Iges)
    } else if is_solid(bytes) || has_facets(bytes) {
        Some(Format::Stl)
    } else {
        None
    };
    known.map(Content::Model).ok_or_else(|| {
        let seen = describe(bytes);
        ReadError::format(format!("this is no model file: it {seen}; expected STEP, IGES, STL, PLY, or a zip container with one of them"))
    })
}

/// What the bytes look like, to follow "it": "is a PNG picture", "starts with …".
pub(super) fn describe(bytes: &[u8]) -> String {
    if let Some((_, what)) = SIGNATURES.iter().find(|(signature, _)| bytes.starts_with(signature)) {
        return format!("is {what}");
    }
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return "is a WebP picture".into();
    }
    let text = behind_mark(bytes);
    let body = text.trim_ascii_start();
    let lead: Vec<u8> = body.iter().take(14).map(u8::to_ascii_lowercase).collect();
    if lead.starts_with(b"<!doctype html") || lead.starts_with(b"<html") {
        return "is a web page".into();
    }
    if lead.starts_with(b"<?xml") || lead.starts_with(b"<svg") {
        return "is XML".into();
    }
    if body.is_empty() {
        return "holds nothing but blanks".into();
    }
    let sample = bytes.get(..4096).unwrap_or(bytes);
    let binary = sample.iter().any(|&b| b < b' ' && !matches!(b, b'\t' | b'\n' | b'\r' | 0x0c));
    let shown: String = body.iter().take(24).map(|&b| if (b' '..=b'~').contains(&b) { char::from(b) } else { '·' }).collect();
    if binary { format!("is binary data starting with \"{shown}\"") } else { format!("is text starting with \"{shown}\"") }
}

/// What other files start with; those a user may drop by mistake.
const SIGNATURES: [(&[u8], &str); 17] = [
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a zip container"),
    (b"\x1f\x8b", "gzip data"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"BZh", "bzip2 data"),
    (b"\xfd7zXZ", "xz data"),
    (b"\x28\xb5\x2f\xfd", "zstd data"),
    (b"\xd0\xcf\x11\xe0", "a compound document"),
    (b"glTF", "a glTF mesh"),
    (b"\xff\xfe", "UTF-16 text"),
    (b"\xfe\xff", "UTF-16 text"),
];

/// The bytes behind a UTF-8 byte order mark.
pub(super) fn behind_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)
}

/// The bytes behind blanks and whole `/* … */` comments.
fn behind_blanks(mut bytes: &[u8]) -> &[u8] {
    loop {
        bytes = bytes.trim_ascii_start();
        let Some(comment) = bytes.strip_prefix(b"/*") else { return bytes };
        match memmem::find(comment, b"*/") {
            Some(end) => bytes = comment.get(end + 2..).unwrap_or_default(),
            None => return bytes,
        }
    }
}

/// As the slice's own, but letters of either case are the same.
fn starts_with(bytes: &[u8], word: &[u8]) -> bool {
    bytes.get(..word.len()).is_some_and(|head| head.eq_ignore_ascii_case(word))
}

/// Bytes that may follow the last triangle: padding of some writers. Larger: more files that are no STL fit by chance.
pub(super) const STL_TAIL: u64 = 4;

fn is_ply(text: &[u8]) -> bool {
    text.strip_prefix(b"ply").and_then(|rest| rest.first()).is_some_and(u8::is_ascii_whitespace)
}

/// Text that starts with the word `solid`. The word alone may stand in the header of a cut binary file, which no text has
/// a zero byte in.
pub(super) fn is_solid(bytes: &[u8]) -> bool {
    let body = behind_mark(bytes).trim_ascii_start();
    let head = body.get(..512).unwrap_or(body);
    starts_with(body, b"solid") && body.get(5).is_none_or(u8::is_ascii_whitespace) && memchr(0, head).is_none()
}

/// The first line with anything on it has S, or C (compressed), B (binary form) or G (no start section) in column 73, and
/// a number behind it. Records may stand without line ends.
fn has_section_letter(text: &[u8]) -> bool {
    let lines = text.get(..4096).unwrap_or(text).split(|&b| b == b'\n' || b == b'\r');
    let Some(line) = lines.into_iter().find(|line| !line.trim_ascii().is_empty()) else { return false };
    // Where the text before it is not ASCII, the column counts characters, not bytes.
    let wide = line.iter().take(72 * 4).filter(|&&b| b & 0xc0 == 0x80).count();
    [72, 72 + wide].into_iter().any(|column| {
        let number = line.get(column + 1..).unwrap_or_default();
        let number = number.get(..7).unwrap_or(number).trim_ascii();
        let letter = line.get(column).is_some_and(|b| matches!(b, b'S' | b'C' | b'B' | b'G'));
        letter && !number.is_empty() && number.iter().all(u8::is_ascii_digit)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: impl AsRef<[u8]>, expected: Content) {
        let bytes = bytes.as_ref();
        assert_eq!(detect(bytes).as_ref(), Ok(&expected), "{}", String::from_utf8_lossy(bytes));
    }

    fn record(text: &str, letter: char, number: &str) -> String {
        format!("{text:72}{letter}{number:>7}")
    }

    #[test]
    fn tells_step_behind_marks_blanks_and_comments() {
        for head in ["", "\u{feff}", " \r\n\t", "/* a ** b */\n", "\u{feff}\n/* a *//**/ "] {
            for mark in ["ISO-10303-21;", "iso-10303-21 ;"] {
                check(format!("{head}{mark}\nHEADER;"), Content::Model(Format::Step));
            }
        }
        assert!(detect(b"/* ISO-10303-21;").is_err());
    }

    #[test]
    fn tells_iges_by_column_73() {
        for (letter, number) in [('S', "1"), ('S', "0000001"), ('C', "1"), ('G', "1"), ('B', "12")] {
            for text in ["", "a start section, which may hold ISO-10303-21; or ply or solid", "solid x", "prüfstück"] {
                for end in ["", "\n", "\r\n", "\r", "  \n"] {
                    check(format!("{}{end}", record(text, letter, number)), Content::Model(Format::Iges));
                    check(format!("\n{}{end}", record(text, letter, number)), Content::Model(Format::Iges));
                }
            }
        }
        // Records of 80 columns that follow each other without line ends.
        check(record("", 'S', "1") + &record("1H,,1H;", 'G', "1"), Content::Model(Format::Iges));
        for no in [record("", 'S', ""), record("", 'S', "x"), record("", 'X', "1"), format!("{:71}S      1", "")] {
            assert!(detect(no.as_bytes()).is_err(), "{no}");
        }
    }

    #[test]
    fn tells_binary_stl_by_its_length_whatever_the_header_says() {
        for header in ["", "solid box\nfacet normal", "ply\n", "any thing at all"] {
            for count in [0u32, 1, 7] {
                for tail in 0..=STL_TAIL as usize {
                    let mut bytes = vec![b' '; 80];
                    bytes[..header.len()].copy_from_slice(header.as_bytes());
                    bytes.extend(count.to_le_bytes());
                    bytes.extend(vec![0; 50 * count as usize + tail]);
                    check(&bytes, Content::Model(Format::Stl));
                }
            }
        }
        let mut bytes = vec![0; 84 + 50];
        bytes[80] = 2;
        assert!(detect(&bytes).is_err());
    }

    #[test]
    fn tells_text_meshes_and_containers() {
        for text in ["solid", "solid a\n facet normal 0 0 1", "\n  SOLID\r\n", "\u{feff}Solid x"] {
            check(text, Content::Model(Format::Stl));
        }
        for text in ["ply\nformat ascii 1.0\n", "ply\r\n", "ply\r", "\u{feff}ply\n"] {
            check(text, Content::Model(Format::Ply));
        }
        check(b"PK\x03\x04", Content::Zip);
        check(b"PK\x05\x06", Content::Zip);
        check(b"\x1f\x8b\x08\0", Content::Gzip);
    }

    #[test]
    fn says_what_other_bytes_look_like() {
        for (bytes, said) in [
            (b"".as_slice(), "the file is empty"),
            (b"\x89PNG\r\n\x1a\n", "is a PNG picture; expected STEP"),
            (b"%PDF-1.7", "is a PDF document"),
            (b"RIFF\0\0\0\0WEBPVP8", "is a WebP picture"),
            (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
            (b"\xff\xfeI\0S\0O\0", "UTF-16 text"),
            (b" <!DOCTYPE html>", "is a web page"),
            (b"<?xml version='1.0'?>", "is XML"),
            (b" \n\t", "nothing but blanks"),
            (b"solidly text", "is text starting with \"solidly text\""),
            (b"plywood", "is text starting with \"plywood\""),
            (b"\x01\x02rest", "is binary data starting with"),
        ] {
            let error = detect(bytes).unwrap_err();
            assert_eq!((error.kind, error.line), (super::super::ReadErrorKind::Format, Some(1)), "{error}");
            assert!(error.message.contains(said), "{error}");
        }
    }
}
