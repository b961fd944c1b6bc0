//! Free-format values between delimiters. IGES 5.3, 2.2.2 and 2.2.3.

use crate::exchange::report::Reason;

/// The two marks that a file may choose for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Delimiters {
    /// Between values.
    pub value: u8,
    /// At the end of all values.
    pub record: u8,
}

impl Default for Delimiters {
    fn default() -> Self {
        Self { value: b',', record: b';' }
    }
}

/// Where one value stands in its text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Value {
    /// Left out: its default holds.
    Empty,
    /// A number, or anything else that is no text.
    Plain(u32, u32),
    /// Text, without its count.
    Text(u32, u32),
}

/// The values of a text up to the record delimiter or its end; and whether that delimiter was there.
///
/// # Errors
/// When there are more than `limit`, or text runs beyond the end.
pub(super) fn values(text: &[u8], delimiters: Delimiters, limit: usize) -> Result<(Vec<Value>, bool), Reason> {
    let mut found = Vec::new();
    let mut at = 0;
    loop {
        while text.get(at).is_some_and(|b| b.is_ascii_whitespace()) {
            at += 1;
        }
        let (value, end) = match text_value(text, at, delimiters)? {
            Some(found) => found,
            None => {
                let rest = text.get(at..).unwrap_or_default();
                let length = memchr::memchr2(delimiters.value, delimiters.record, rest).unwrap_or(rest.len());
                let trimmed = rest.get(..length).unwrap_or(rest).trim_ascii_end().len();
                (if trimmed == 0 { Value::Empty } else { Value::Plain(place(at)?, place(at + trimmed)?) }, at + length)
            }
        };
        if found.len() >= limit {
            return Err(Reason::Limit("values in one entity"));
        }
        found.push(value);
        match text.get(end) {
            Some(&b) if b == delimiters.value => at = end + 1,
            Some(_) => return Ok((found, true)),
            None => return Ok((found, false)),
        }
    }
}

fn place(at: usize) -> Result<u32, Reason> {
    u32::try_from(at).map_err(|_| Reason::Limit("bytes in one entity"))
}

/// Text of so many characters: a count, H and the characters; and where the delimiter behind it stands.
fn text_value(text: &[u8], at: usize, delimiters: Delimiters) -> Result<Option<(Value, usize)>, Reason> {
    let rest = text.get(at..).unwrap_or_default();
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    if digits == 0 || digits > 9 || !matches!(rest.get(digits), Some(b'H' | b'h')) {
        return Ok(None);
    }
    let count = rest.get(..digits).and_then(|d| core::str::from_utf8(d).ok()).and_then(|d| d.parse::<usize>().ok()).unwrap_or(0);
    let start = at + digits + 1;
    let behind = text.get(start..).unwrap_or_default();
    // The count is of bytes; of writers that count characters, characters.
    let characters = || {
        let mut starts = behind.iter().enumerate().filter(|(_, b)| **b & 0xc0 != 0x80).map(|(i, _)| i);
        // The last character ends where the text does.
        starts.by_ref().nth(count.checked_sub(1)?)?;
        Some(starts.next().unwrap_or(behind.len()))
    };
    let ended = |length: usize| {
        let tail = text.get(start.checked_add(length)?..)?;
        let blanks = tail.iter().take_while(|b| b.is_ascii_whitespace()).count();
        let end = start + length + blanks;
        text.get(end).is_none_or(|&b| b == delimiters.value || b == delimiters.record).then_some((length, end))
    };
    match ended(count).or_else(|| ended(characters()?)) {
        Some((length, end)) => Ok(Some((Value::Text(place(start)?, place(start + length)?), end))),
        None => Err(Reason::Syntax { expected: "a delimiter behind a text of the length it states" }),
    }
}

/// A real number of the file: Fortran's D counts as an exponent, and a sign alone may begin one. None for anything that
/// is no finite number.
pub(super) fn real(text: &[u8]) -> Option<f64> {
    let numeric = |b: &u8| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E' | b'd' | b'D');
    if !text.iter().all(numeric) {
        return None;
    }
    let value = if text.iter().any(|b| matches!(b, b'd' | b'D')) {
        let usual: Vec<u8> = text.iter().map(|&b| if matches!(b, b'd' | b'D') { b'E' } else { b }).collect();
        core::str::from_utf8(&usual).ok()?.parse::<f64>().ok()
    } else {
        core::str::from_utf8(text).ok()?.parse::<f64>().ok()
    };
    value.filter(|v| v.is_finite())
}

/// Text as the user would read it: UTF-8 where it is, else ISO 8859-1.
pub(super) fn plain(text: &[u8]) -> String {
    match core::str::from_utf8(text) {
        Ok(text) => text.trim().into(),
        Err(_) => text.iter().map(|&b| char::from(b)).collect::<String>().trim().into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, value: u8, record: u8) -> Vec<String> {
        let (found, _) = values(text.as_bytes(), Delimiters { value, record }, 100).unwrap();
        let shown = |v: Value| match v {
            Value::Empty => "-".into(),
            Value::Plain(a, b) => text[a as usize..b as usize].to_string(),
            Value::Text(a, b) => format!("'{}'", &text[a as usize..b as usize]),
        };
        found.into_iter().map(shown).collect()
    }

    #[test]
    fn values_end_at_their_delimiters_and_texts_by_their_count() {
        assert_eq!(read("110, 1. ,,-2.5D+1;rest", b',', b';'), ["110", "1.", "-", "-2.5D+1"]);
        assert_eq!(read("1H,,3H;,;,0H , 4Hab  ;", b',', b';'), ["','", "';,;'", "''", "'ab  '"]);
        for (value, record) in [(b'/', b'!'), (b'|', b'$'), (b'^', b'#')] {
            let text = format!("406{0}2{0}5Ha,;{1}b{0}{0} 7.5E3 {1} more", char::from(value), char::from(record));
            let inner = format!("'a,;{}b'", char::from(record));
            assert_eq!(read(&text, value, record), ["406", "2", inner.as_str(), "-", "7.5E3"]);
        }
        // Counted in characters, by a writer that knows UTF-8; and in bytes.
        assert_eq!(read("3Häöü,1;", b',', b';'), ["'äöü'", "1"]);
        assert_eq!(read("6Häöü,1;", b',', b';'), ["'äöü'", "1"]);
        assert!(!values(b"1,2", Delimiters::default(), 9).unwrap().1);
    }

    #[test]
    fn refuses_texts_longer_than_their_record_and_too_many_values() {
        assert!(matches!(values(b"9Habc,1;", Delimiters::default(), 9), Err(Reason::Syntax { .. })));
        assert!(matches!(values(b"999999999Habc", Delimiters::default(), 9), Err(Reason::Syntax { .. })));
        assert!(matches!(values(b"1,2,3,4;", Delimiters::default(), 3), Err(Reason::Limit(_))));
    }

    #[test]
    fn reals_as_fortran_writes_them() {
        for (text, want) in [("1.", 1.0), (".5", 0.5), ("-2.5D-3", -2.5e-3), ("+1.0d2", 100.0), ("7", 7.0), ("1.E5", 1e5)] {
            assert_eq!(real(text.as_bytes()), Some(want), "{text}");
        }
        for text in ["", "inf", "NaN", "1e999", "0x10", "1,5", "--1", "."] {
            assert_eq!(real(text.as_bytes()), None, "{text}");
        }
    }
}
