//! Where each entity stands, found in one fast pass without reading what is in it.

use super::lexer::{Lexer, Token};
use crate::math::Arrange;
use memchr::{memchr_iter, memchr3, memmem};

/// Where one entity stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Entry {
    pub id: u64,
    /// Offset of what follows the equals sign.
    pub body: usize,
    /// Line of the entity's number, from 1.
    pub line: u32,
}

/// All entities, by rising id.
#[derive(Debug, Clone, Default)]
pub(super) struct Index {
    entries: Vec<Entry>,
}

impl Index {
    /// Sorts by id; of equal ids the first in the file stays. The later ones are returned.
    pub(super) fn new(mut entries: Vec<Entry>) -> (Self, Vec<Entry>) {
        if !entries.is_sorted_by_key(|e| e.id) {
            entries.arrange_by_key(|e| e.id); // stable
        }
        let mut repeated = Vec::new();
        entries.dedup_by(|later, first| {
            let same = later.id == first.id;
            if same {
                repeated.push(*later);
            }
            same
        });
        (Self { entries }, repeated)
    }

    /// The entity with this id.
    pub(super) fn get(&self, id: u64) -> Option<Entry> {
        // Most files number without holes, so the place can be guessed.
        let first = self.entries.first()?;
        let guess = usize::try_from(id.checked_sub(first.id)?).ok();
        if let Some(&e) = guess.and_then(|i| self.entries.get(i))
            && e.id == id
        {
            return Some(e);
        }
        let i = self.entries.binary_search_by_key(&id, |e| e.id).ok()?;
        self.entries.get(i).copied()
    }

    /// Every entity, by rising id.
    pub(super) fn iter(&self) -> impl Iterator<Item = Entry> + '_ {
        self.entries.iter().copied()
    }

    pub(super) fn len(&self) -> usize {
        self.entries.len()
    }
}

/// Counts lines while moving forward through the file.
#[derive(Debug)]
pub(super) struct LineCounter<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    newline: u8,
}

impl<'a> LineCounter<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        // Files without a line feed may still have the carriage returns of old systems.
        let newline = if memchr::memchr(b'\n', bytes).is_some() { b'\n' } else { b'\r' };
        Self { bytes, at: 0, line: 1, newline }
    }

    /// Line of the byte at `offset`, which must not lie before an earlier one asked for.
    pub(super) fn line(&mut self, offset: usize) -> u32 {
        if let Some(passed) = self.bytes.get(self.at..offset) {
            let n = memchr_iter(self.newline, passed).count();
            self.line = self.line.saturating_add(u32::try_from(n).unwrap_or(u32::MAX));
            self.at = offset;
        }
        self.line
    }
}

/// Offset just past the semicolon that ends the statement holding `from`; None when the file ends first.
/// Text and comments are stepped over.
pub(super) fn statement_end(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        let rest = bytes.get(at..)?;
        let n = memchr3(b';', b'\'', b'/', rest)?;
        at += n + 1;
        match rest.get(n) {
            Some(b';') => return Some(at),
            Some(b'\'') => at += memchr::memchr(b'\'', bytes.get(at..)?)? + 1,
            _ if bytes.get(at) == Some(&b'*') => at += memmem::find(bytes.get(at + 1..)?, b"*/")? + 3,
            _ => {}
        }
    }
}

/// As [`statement_end`], in sections where addresses stand between angle brackets, which may hold quotes and
/// semicolons.
pub(super) fn addressed_end(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        let rest = bytes.get(at..)?;
        let n = memchr3(b';', b'<', b'\'', rest)?;
        // Up to there only comments can hide the end.
        if let Some(comment) = rest.get(..n).and_then(|before| memmem::find(before, b"/*")) {
            at += comment + 2;
            at += memmem::find(bytes.get(at..)?, b"*/")? + 2;
            continue;
        }
        at += n + 1;
        let closing = match rest.get(n) {
            Some(b'<') => b'>',
            Some(b'\'') => b'\'',
            _ => return Some(at),
        };
        at += memchr::memchr(closing, bytes.get(at..)?)? + 1;
    }
}

/// The number and body offset of a statement that declares an entity.
pub(super) fn declaration(bytes: &[u8], at: usize) -> Option<(u64, usize)> {
    let mut lexer = Lexer::new(bytes, at);
    let Ok(Token::Reference(id)) = lexer.next() else { return None };
    (lexer.next() == Ok(Token::Equals)).then_some((id, lexer.offset()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_end_of_a_statement_past_text_and_comments() {
        for (text, end) in [
            ("A(1);B", Some(5)),
            ("A('a;b''c;');B", Some(13)),
            ("A(/* ; ' */);B", Some(13)),
            ("A(1/2);", Some(7)),
            ("A('open;", None),
            ("A(/* open;", None),
            ("A(1)", None),
            ("", None),
        ] {
            assert_eq!(statement_end(text.as_bytes(), 0), end, "{text}");
        }
    }

    #[test]
    fn finds_the_end_of_a_statement_past_addresses() {
        for (text, end) in
            [("#1=<a;b'c>;x", Some(11)), ("<n>=#1{t:'>;'};", Some(15)), ("/* ;<' */<n>=1;", Some(15)), ("<open;", None), ("/* open;", None)]
        {
            assert_eq!(addressed_end(text.as_bytes(), 0), end, "{text}");
        }
    }

    #[test]
    fn finds_entities_in_any_order_and_reports_repeats() {
        let e = |id, body| Entry { id, body, line: 1 };
        let (index, repeated) = Index::new(vec![e(5, 0), e(3, 1), e(900, 2), e(5, 3)]);
        assert_eq!(repeated, vec![e(5, 3)]);
        assert_eq!((index.get(5), index.get(3), index.get(900), index.len()), (Some(e(5, 0)), Some(e(3, 1)), Some(e(900, 2)), 3));
        for absent in [0, 4, 6, 901, u64::MAX] {
            assert_eq!(index.get(absent), None);
        }
    }
}
