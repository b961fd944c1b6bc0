//! The encoding of text in Part 21.

use super::alphabet::character;
use core::fmt::Write;

/// Decodes what stands between quotes. ISO 10303-21:2016, 6.4.3: doubled quotes and backslashes, `\S\`, `\P.\`,
/// `\X\`, `\X2\` and `\X4\`. Line breaks are dropped. Bytes
/// beyond ASCII, which the standard forbids, are UTF-8 if they can be, else ISO 8859-1. Never fails: damaged
/// directives stay as they are written.
pub(in crate::exchange) fn decode(raw: &[u8]) -> String {
    let plain: String = match core::str::from_utf8(raw) {
        Ok(s) => s.into(),
        Err(_) => raw.iter().map(|&b| char::from(b)).collect(),
    };
    let mut out = String::with_capacity(plain.len());
    let mut rest = plain.as_str();
    let mut alphabet = 0;
    while let Some(c) = rest.chars().next() {
        let (text, used) = match c {
            '\r' | '\n' => (None, 1),
            '\'' if rest.starts_with("''") => (Some('\''), 2),
            '\\' => match directive(rest, &mut alphabet, &mut out) {
                Some(used) => (None, used),
                None => (Some(c), 1),
            },
            c => (Some(c), c.len_utf8()),
        };
        out.extend(text);
        rest = rest.get(used..).unwrap_or_default();
    }
    out
}

/// Appends what a directive at the start of `rest` stands for; its length in bytes.
fn directive(rest: &str, alphabet: &mut usize, out: &mut String) -> Option<usize> {
    if rest.starts_with("\\\\") {
        out.push('\\');
        return Some(2);
    }
    if let Some(after) = rest.strip_prefix("\\S\\") {
        let c = after.chars().next().filter(char::is_ascii)?;
        out.push(character(*alphabet, c as u8));
        return Some(4);
    }
    if let Some(letter) = rest.strip_prefix("\\P").and_then(|r| r.bytes().next()).filter(u8::is_ascii_uppercase)
        && rest.get(3..4) == Some("\\")
    {
        *alphabet = usize::from(letter - b'A');
        return Some(4);
    }
    if let Some(after) = rest.strip_prefix("\\X\\") {
        out.push(char::from_u32(u32::from_str_radix(after.get(..2)?, 16).ok()?)?);
        return Some(5);
    }
    let (width, after) = match rest.strip_prefix("\\X2\\") {
        Some(after) => (4, after),
        None => (8, rest.strip_prefix("\\X4\\")?),
    };
    let hex = after.get(..after.find("\\X0\\")?)?;
    let mut units = Vec::new();
    for digits in hex.as_bytes().chunks(width) {
        units.push(u32::from_str_radix(core::str::from_utf8(digits).ok()?, 16).ok()?);
    }
    if width == 4 {
        // Writers put pairs of surrogates here, though the standard means single characters.
        let units = units.into_iter().map(|u| u as u16);
        out.extend(char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)));
    } else {
        out.extend(units.into_iter().map(|u| char::from_u32(u).unwrap_or(char::REPLACEMENT_CHARACTER)));
    }
    Some(4 + hex.len() + 4)
}

/// Encodes text with its quotes, the inverse of [`decode`]; control characters become spaces.
pub(in crate::exchange) fn encode(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('\'');
    for c in text.chars() {
        match c {
            '\'' => out.push_str("''"),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push(' '),
            c if c.is_ascii() => out.push(c),
            c => {
                // Writing to a String cannot fail.
                let _ = match u32::from(c) {
                    n if n <= 0xffff => write!(out, "\\X2\\{n:04X}\\X0\\"),
                    n => write!(out, "\\X4\\{n:08X}\\X0\\"),
                };
            }
        }
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn decodes_each_directive() {
        for (raw, want) in [
            ("it''s", "it's"),
            ("a\\\\b", "a\\b"),
            ("M\\S\\|ller", "Müller"),
            ("\\PA\\M\\X\\FCller", "Müller"),
            ("\\PE\\\\S\\6\\S\\c\\PA\\\\S\\|", "Жуü"),
            ("\\X2\\03B103B2\\X0\\!", "αβ!"),
            ("\\X2\\D83DDE00\\X0\\", "😀"),
            ("\\X4\\0001F600\\X0\\x", "😀x"),
            ("two\r\nlines", "twolines"),
            ("\\X2\\damaged", "\\X2\\damaged"),
            ("\\X\\é", "\\X\\é"),
            ("\\", "\\"),
        ] {
            assert_eq!(decode(raw.as_bytes()), want);
        }
        assert_eq!(decode(b"M\xfcller"), "Müller");
    }

    proptest! {
        #[test]
        fn decodes_what_it_encodes(text in "\\PC{0,40}") {
            let coded = encode(&text);
            prop_assert!(coded.is_ascii());
            let inner = &coded[1..coded.len() - 1];
            prop_assert_eq!(decode(inner.as_bytes()), text);
        }

        #[test]
        fn survives_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..60)) {
            decode(&bytes);
        }
    }
}
