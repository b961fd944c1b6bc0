//! Bytes to tokens, nothing copied.

use memchr::{memchr, memmem};

/// A token; slices point into the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Token<'a> {
    /// `#12`
    Reference(u64),
    /// `@12`, `@NAME` or `#NAME`: a value, or a constant of the schema, that stands elsewhere.
    Elsewhere,
    /// What stands between angle brackets: an address, or the name of an anchor.
    Address(&'a [u8]),
    /// `12`
    Integer(i64),
    /// `1.5E3`
    Real(f64),
    /// What stands between the quotes, still encoded.
    Text(&'a [u8]),
    /// `.NAME.` without the dots.
    Enumeration(&'a str),
    /// `"0AF"`
    Binary,
    /// A keyword.
    Word(&'a str),
    Open,
    Close,
    Comma,
    Equals,
    Semicolon,
    /// `$`: no value.
    Unset,
    /// `*`: a value that a subtype derives.
    Derived,
    /// The end of the bytes.
    End,
}

/// What stood where something else was expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unexpected {
    pub offset: usize,
    pub expected: &'static str,
}

/// Reads tokens one after the other. ISO 10303-21:2016, 5.
#[derive(Debug, Clone)]
pub(super) struct Lexer<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Lexer<'a> {
    pub(super) fn new(bytes: &'a [u8], at: usize) -> Self {
        Self { bytes, at }
    }

    /// Offset of the next byte.
    pub(super) fn offset(&self) -> usize {
        self.at
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn fail<T>(&self, expected: &'static str) -> Result<T, Unexpected> {
        Err(Unexpected { offset: self.at, expected })
    }

    /// Skips white space, comments and the print controls `\N\` and `\F\`.
    pub(super) fn skip_blank(&mut self) -> Result<(), Unexpected> {
        loop {
            match self.peek() {
                Some(b) if b <= b' ' => self.at += 1,
                Some(b'/') if self.bytes.get(self.at + 1) == Some(&b'*') => {
                    let body = self.bytes.get(self.at + 2..).unwrap_or_default();
                    match memmem::find(body, b"*/") {
                        Some(n) => self.at += n + 4,
                        None => return self.fail("the end of a comment"),
                    }
                }
                Some(b'\\') if matches!(self.bytes.get(self.at + 1..self.at + 3), Some(b"N\\" | b"F\\")) => self.at += 3,
                _ => return Ok(()),
            }
        }
    }

    /// The next token.
    pub(super) fn next(&mut self) -> Result<Token<'a>, Unexpected> {
        self.skip_blank()?;
        let Some(first) = self.peek() else { return Ok(Token::End) };
        let single = match first {
            b'(' => Token::Open,
            b')' => Token::Close,
            b',' => Token::Comma,
            b'=' => Token::Equals,
            b';' => Token::Semicolon,
            b'$' => Token::Unset,
            b'*' => Token::Derived,
            b'#' => return self.reference(),
            b'@' => return self.elsewhere(),
            b'<' => return self.address(),
            b'\'' => return self.text(),
            b'.' => return self.enumeration(),
            b'"' => return self.binary(),
            b'0'..=b'9' | b'+' | b'-' => return self.number(),
            b'A'..=b'Z' | b'a'..=b'z' | b'_' | b'!' => return self.word(),
            _ => return self.fail("a value, name or punctuation"),
        };
        self.at += 1;
        Ok(single)
    }

    /// The bytes from here on that satisfy `keep`, as text (they are ASCII by the choice of `keep`).
    fn take(&mut self, keep: impl Fn(u8) -> bool) -> &'a str {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let n = rest.iter().position(|&b| !keep(b)).unwrap_or(rest.len());
        self.at += n;
        rest.get(..n).and_then(|b| core::str::from_utf8(b).ok()).unwrap_or_default()
    }

    fn reference(&mut self) -> Result<Token<'a>, Unexpected> {
        if self.bytes.get(self.at + 1).is_some_and(u8::is_ascii_uppercase) {
            return self.elsewhere();
        }
        self.at += 1;
        match self.take(|b| b.is_ascii_digit()).parse() {
            Ok(id) => Ok(Token::Reference(id)),
            Err(_) => self.fail("an entity number after #"),
        }
    }

    fn elsewhere(&mut self) -> Result<Token<'a>, Unexpected> {
        self.at += 1;
        let name = self.take(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_');
        if name.is_empty() { self.fail("a name or number after @") } else { Ok(Token::Elsewhere) }
    }

    fn address(&mut self) -> Result<Token<'a>, Unexpected> {
        let start = self.at + 1;
        match self.bytes.get(start..).and_then(|rest| memchr(b'>', rest)) {
            Some(n) => {
                self.at = start + n + 1;
                Ok(Token::Address(self.bytes.get(start..start + n).unwrap_or_default()))
            }
            None => self.fail("a closing angle bracket"),
        }
    }

    fn text(&mut self) -> Result<Token<'a>, Unexpected> {
        let start = self.at + 1;
        let mut end = start;
        loop {
            let Some(n) = self.bytes.get(end..).and_then(|rest| memchr(b'\'', rest)) else { return self.fail("a closing quote") };
            end += n;
            if self.bytes.get(end + 1) != Some(&b'\'') {
                self.at = end + 1;
                return Ok(Token::Text(self.bytes.get(start..end).unwrap_or_default()));
            }
            end += 2;
        }
    }

    fn enumeration(&mut self) -> Result<Token<'a>, Unexpected> {
        self.at += 1;
        let name = self.take(|b| b.is_ascii_alphanumeric() || b == b'_');
        if name.is_empty() || self.peek() != Some(b'.') {
            return self.fail("a name between dots");
        }
        self.at += 1;
        Ok(Token::Enumeration(name))
    }

    fn binary(&mut self) -> Result<Token<'a>, Unexpected> {
        self.at += 1;
        self.take(|b| b.is_ascii_hexdigit());
        if self.peek() != Some(b'"') {
            return self.fail("a closing double quote");
        }
        self.at += 1;
        Ok(Token::Binary)
    }

    fn number(&mut self) -> Result<Token<'a>, Unexpected> {
        let start = self.at;
        let digits = self.take(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E'));
        if !digits.contains(['.', 'e', 'E'])
            && let Ok(n) = digits.parse()
        {
            return Ok(Token::Integer(n));
        }
        match digits.parse::<f64>() {
            Ok(x) if x.is_finite() => Ok(Token::Real(x)),
            _ => Err(Unexpected { offset: start, expected: "a finite number" }),
        }
    }

    fn word(&mut self) -> Result<Token<'a>, Unexpected> {
        Ok(Token::Word(self.take(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'!'))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &str) -> Result<Vec<Token<'_>>, Unexpected> {
        let mut lexer = Lexer::new(text.as_bytes(), 0);
        let mut found = Vec::new();
        loop {
            match lexer.next()? {
                Token::End => return Ok(found),
                token => found.push(token),
            }
        }
    }

    #[test]
    fn reads_every_kind_of_token() {
        use Token::*;
        let got = all("#12 = A_B('it''s',1.,-2,+3,1.E-3,0.E+000,$,*,.T.,\"0F\",LENGTH_MEASURE(2.5))/* ; */ \\N\\ ;").unwrap();
        let want = [
            Reference(12),
            Equals,
            Word("A_B"),
            Open,
            Text(b"it''s"),
            Comma,
            Real(1.0),
            Comma,
            Integer(-2),
            Comma,
            Integer(3),
            Comma,
            Real(1e-3),
            Comma,
            Real(0.0),
            Comma,
            Unset,
            Comma,
            Derived,
            Comma,
            Enumeration("T"),
            Comma,
            Binary,
            Comma,
            Word("LENGTH_MEASURE"),
            Open,
            Real(2.5),
            Close,
            Close,
            Semicolon,
        ];
        assert_eq!(got, want);
    }

    #[test]
    fn reads_the_names_of_the_third_edition() {
        use Token::*;
        let got = all("<top>=#12;@3,#PI,@E_1,<part.stp#x;'y>").unwrap();
        let want = [
            Address(b"top"),
            Equals,
            Reference(12),
            Semicolon,
            Elsewhere,
            Comma,
            Elsewhere,
            Comma,
            Elsewhere,
            Comma,
            Address(b"part.stp#x;'y"),
        ];
        assert_eq!(got, want);
    }

    #[test]
    fn names_the_place_of_damage() {
        for (text, offset) in [
            ("'open", 0),
            ("1.2.3", 0),
            ("1E999", 0),
            ("/* open", 0),
            (".T", 2),
            ("#x", 1),
            ("@", 1),
            ("<x", 0),
            (" \u{7f}", 1),
            ("\"0", 2),
            ("é", 0),
        ] {
            assert_eq!(all(text).unwrap_err().offset, offset, "{text}");
        }
    }
}
