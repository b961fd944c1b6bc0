//! Text cut into words at blanks, with the line each stands on.

use super::place::Place;
use crate::exchange::report::ReadError;

/// Reads words one after the other; nothing is copied.
#[derive(Debug, Clone)]
pub(super) struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
}

impl<'a> Words<'a> {
    /// Starts at offset `at`, which lies on `line`.
    pub(super) fn new(bytes: &'a [u8], at: usize, line: u32) -> Self {
        Self { bytes, at, line }
    }

    /// Line of the word read last, from 1.
    pub(super) fn place(&self) -> Place {
        Place::Line(self.line)
    }

    /// Bytes read so far, from the start of the file.
    pub(super) fn offset(&self) -> usize {
        self.at
    }

    /// The next word; None at the end of the bytes.
    pub(super) fn next(&mut self) -> Option<&'a [u8]> {
        loop {
            let byte = *self.bytes.get(self.at)?;
            if !is_blank(byte) {
                break;
            }
            self.step_over(byte);
        }
        let rest = self.bytes.get(self.at..)?;
        let length = rest.iter().position(|&b| is_blank(b)).unwrap_or(rest.len());
        self.at += length;
        rest.get(..length)
    }

    /// The next word without moving on.
    pub(super) fn peek(&self) -> Option<&'a [u8]> {
        self.clone().next()
    }

    /// The words up to the end of the line, or to where `stop` says that the rest is no part of them.
    pub(super) fn rest_of_line(&mut self, mut stop: impl FnMut(&Self) -> bool) -> String {
        let mut found = String::new();
        loop {
            while let Some(&byte) = self.bytes.get(self.at).filter(|&&b| is_blank(b) && !is_line_end(b)) {
                self.step_over(byte);
            }
            if self.bytes.get(self.at).is_none_or(|&b| is_line_end(b)) || stop(self) {
                return found;
            }
            let Some(word) = self.next() else { return found };
            if !found.is_empty() {
                found.push(' ');
            }
            found.push_str(&String::from_utf8_lossy(word));
        }
    }

    /// The next word as a number; it may be infinite or not a number where the file says so.
    pub(super) fn number(&mut self) -> Result<f64, ReadError> {
        let word = self.next();
        word.and_then(number).ok_or_else(|| self.unexpected(word, "a number"))
    }

    /// What to say of a word that should have been something else.
    pub(super) fn unexpected(&self, word: Option<&[u8]>, expected: &str) -> ReadError {
        match word {
            None => self.place().wrong(format!("the file ends here: it is cut off or damaged, expected {expected}")),
            Some(word) => {
                let shown = word.get(..24).unwrap_or(word);
                self.place().wrong(format!("found \"{}\", expected {expected}", String::from_utf8_lossy(shown)))
            }
        }
    }

    fn step_over(&mut self, byte: u8) {
        // A carriage return before a line feed is part of the same line end.
        let ends = byte == b'\n' || (byte == b'\r' && self.bytes.get(self.at + 1) != Some(&b'\n'));
        self.line = self.line.saturating_add(u32::from(ends));
        self.at += 1;
    }
}

/// A word as a number.
pub(super) fn number(word: &[u8]) -> Option<f64> {
    core::str::from_utf8(word).ok()?.parse().ok()
}

fn is_blank(byte: u8) -> bool {
    byte.is_ascii_whitespace() || byte == 0x0b
}

fn is_line_end(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_lines_by_every_kind_of_line_end() {
        for end in ["\n", "\r\n", "\r"] {
            let text = ["a b", "", "\tc", "d"].join(end);
            let mut words = Words::new(text.as_bytes(), 0, 1);
            let mut seen = Vec::new();
            while let Some(word) = words.next() {
                seen.push((String::from_utf8_lossy(word).into_owned(), words.place()));
            }
            let at = |word: &str, line| (word.to_string(), Place::Line(line));
            assert_eq!(seen, [at("a", 1), at("b", 1), at("c", 3), at("d", 4)], "{end:?}");
        }
    }

    #[test]
    fn reads_names_to_the_end_of_the_line_or_to_a_stop() {
        let mut words = Words::new(b"  my  part facet normal\nnext", 0, 1);
        assert_eq!(words.rest_of_line(|rest| rest.peek() == Some(b"facet")), "my part");
        assert_eq!(words.next(), Some(b"facet".as_slice()));
        assert_eq!(words.rest_of_line(|_| false), "normal");
        assert_eq!((words.rest_of_line(|_| false), words.next()), (String::new(), Some(b"next".as_slice())));
    }

    #[test]
    fn says_which_word_is_no_number_and_where() {
        let mut words = Words::new(b"1 -2.5e-3\n+4. x", 0, 1);
        assert_eq!([words.number(), words.number(), words.number()], [Ok(1.0), Ok(-2.5e-3), Ok(4.0)]);
        assert_eq!(words.number().unwrap_err().to_string(), "line 2: found \"x\", expected a number");
        let error = words.number().unwrap_err();
        assert_eq!(error.line, Some(2));
        assert!(error.message.contains("the file ends here"), "{error}");
    }
}
