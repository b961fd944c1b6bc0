//! Tell the code of a script from its texts and comments, line by line.
//!
//! Source: ECMAScript language specification, lexical grammar. A slash begins a regular expression where no value can have ended, told by
//! what stands before it; a guess that is wrong ends in a line that makes no sense, which is refused.

use std::ops::Range;

/// Words after which a slash begins a regular expression.
const BEFORE_VALUE: [&str; 12] = ["return", "typeof", "case", "in", "of", "delete", "void", "throw", "new", "else", "do", "await"];

/// One line of a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line<'a> {
    /// From 1.
    pub number: usize,
    /// Without its line break.
    pub text: &'a str,
    /// Begins outside of texts and comments.
    pub code: bool,
    /// Nothing but a comment, or a part of one, or nothing at all.
    pub idle: bool,
}

/// A line in which something is left open, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unclear(pub usize);

/// The lines of a script.
///
/// # Errors
/// A text, a comment or a regular expression does not end.
pub fn lines(script: &str) -> Result<Vec<Line<'_>>, Unclear> {
    let spans = Scanner::new(script).run().map_err(|at| Unclear(1 + script[..at].matches('\n').count()))?;
    let alone: Vec<Range<usize>> = spans.comments.iter().filter(|span| is_alone(script, span)).cloned().collect();
    let mut lines = Vec::new();
    let mut start = 0;
    for (index, text) in script.split('\n').enumerate() {
        let within = |spans: &[Range<usize>]| span_at(spans, start).is_some_and(|span| span.start < start);
        let code = !within(&spans.comments) && !within(&spans.texts);
        let said = |at: usize| span_at(&alone, at).is_none();
        let idle = !within(&spans.texts) && !text.char_indices().any(|(at, c)| !c.is_whitespace() && said(start + at));
        lines.push(Line { number: index + 1, text, code, idle });
        start += text.len() + 1;
    }
    Ok(lines)
}

/// The span that holds a place; spans are in order and do not overlap.
fn span_at(spans: &[Range<usize>], at: usize) -> Option<&Range<usize>> {
    spans.get(spans.partition_point(|span| span.end <= at)).filter(|span| span.contains(&at))
}

/// Whether a comment shares no line with anything else.
fn is_alone(script: &str, span: &Range<usize>) -> bool {
    let before = script[..span.start].rsplit('\n').next().unwrap_or_default();
    let after = script[span.end..].split('\n').next().unwrap_or_default();
    before.trim().is_empty() && after.trim().is_empty()
}

/// The script without lines that are comments, and without the spaces that lines of code begin with.
///
/// # Errors
/// As of [`lines`].
pub fn compact(script: &str) -> Result<String, Unclear> {
    let mut out = String::with_capacity(script.len());
    for line in lines(script)?.iter().filter(|line| !line.idle) {
        out.push_str(if line.code { line.text.trim_start() } else { line.text });
        out.push('\n');
    }
    Ok(out)
}

#[derive(Default)]
struct Spans {
    comments: Vec<Range<usize>>,
    /// Parts of templates, from one brace or backtick to the next.
    texts: Vec<Range<usize>>,
}

struct Scanner<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Where the last thing that is no space ended.
    last: usize,
    /// Braces open in the code of each template that is open.
    open: Vec<usize>,
    spans: Spans,
}

impl<'a> Scanner<'a> {
    fn new(script: &'a str) -> Self {
        Self { bytes: script.as_bytes(), at: 0, last: 0, open: Vec::new(), spans: Spans::default() }
    }

    /// The spans, or the place of what does not end.
    fn run(mut self) -> Result<Spans, usize> {
        while let Some(&byte) = self.bytes.get(self.at) {
            let start = self.at;
            match byte {
                b'/' if self.bytes[start..].starts_with(b"//") => {
                    self.at = self.find(start, b"\n").unwrap_or(self.bytes.len());
                    self.spans.comments.push(start..self.at);
                    continue;
                }
                b'/' if self.bytes[start..].starts_with(b"/*") => {
                    self.at = self.find(start + 2, b"*/").ok_or(start)? + 2;
                    self.spans.comments.push(start..self.at);
                    continue;
                }
                b'/' if self.value_begins() => self.quoted(b'/')?,
                b'\'' | b'"' => self.quoted(byte)?,
                b'`' => self.template()?,
                b'{' => {
                    if let Some(depth) = self.open.last_mut() {
                        *depth += 1;
                    }
                    self.at += 1;
                }
                b'}' if self.open.last() == Some(&0) => {
                    self.open.pop();
                    self.template()?;
                }
                b'}' => {
                    if let Some(depth) = self.open.last_mut() {
                        *depth -= 1;
                    }
                    self.at += 1;
                }
                _ => self.at += 1,
            }
            if !byte.is_ascii_whitespace() {
                self.last = self.at;
            }
        }
        if self.open.is_empty() { Ok(self.spans) } else { Err(self.bytes.len()) }
    }

    fn find(&self, from: usize, what: &[u8]) -> Option<usize> {
        self.bytes.get(from..)?.windows(what.len()).position(|window| window == what).map(|at| from + at)
    }

    /// Whether a value, and so a regular expression, can begin here.
    fn value_begins(&self) -> bool {
        let before = &self.bytes[..self.last];
        let is_word = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'$');
        let word = before.iter().rev().take_while(|byte| is_word(byte)).count();
        if word > 0 {
            return BEFORE_VALUE.iter().any(|one| one.as_bytes() == &before[before.len() - word..]);
        }
        !before.last().is_some_and(|byte| matches!(byte, b')' | b']' | b'}' | b'\'' | b'"' | b'`' | b'/') || !byte.is_ascii())
    }

    /// A text or a regular expression on one line; slashes in a class of the latter do not end it.
    fn quoted(&mut self, mark: u8) -> Result<(), usize> {
        let start = self.at;
        let mut class = false;
        self.at += 1;
        loop {
            match self.bytes.get(self.at) {
                None | Some(b'\n') => return Err(start),
                Some(b'\\') => self.at += 1,
                Some(b'[') if mark == b'/' => class = true,
                Some(b']') => class = false,
                Some(byte) if *byte == mark && !class => break,
                Some(_) => {}
            }
            self.at += 1;
        }
        self.at += 1;
        Ok(())
    }

    /// From a backtick, or the brace that ends code within, to the next.
    fn template(&mut self) -> Result<(), usize> {
        let start = self.at;
        self.at += 1;
        loop {
            match self.bytes.get(self.at) {
                None => return Err(start),
                Some(b'\\') => self.at += 1,
                Some(b'`') => break,
                Some(b'$') if self.bytes.get(self.at + 1) == Some(&b'{') => {
                    self.open.push(0);
                    self.at += 1;
                    break;
                }
                Some(_) => {}
            }
            self.at += 1;
        }
        self.at += 1;
        self.spans.texts.push(start..self.at);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_go_and_code_and_texts_stay() {
        for (script, compacted) in [
            ("// a\nlet a = 1; // b\n  let b;\n", "let a = 1; // b\nlet b;\n"),
            ("/** a\n * b */\nf();", "f();\n"),
            ("/* a */ f(); /* b\n c */\n", "/* a */ f(); /* b\n c */\n"),
            ("/* a\n b */ f();\n", "/* a\n b */ f();\n"),
            ("f(`a\n  // b ${g({ c: `d\n  e` })}\n  f`);\n  h();", "f(`a\n  // b ${g({ c: `d\n  e` })}\n  f`);\nh();\n"),
            ("f('// a', \"/* b\", 'c\\'// d');\n", "f('// a', \"/* b\", 'c\\'// d');\n"),
            ("x = y / 2; // a /\nreturn /[/'`]\\/\"/.test(z);", "x = y / 2; // a /\nreturn /[/'`]\\/\"/.test(z);\n"),
            ("x = [a(1) / b[2] / 3];\n  // it's\n", "x = [a(1) / b[2] / 3];\n"),
            ("f(/'/g, '');\n", "f(/'/g, '');\n"),
        ] {
            assert_eq!(compact(script).as_deref(), Ok(compacted), "{script}");
        }
    }

    #[test]
    fn lines_within_texts_and_comments_are_no_code() {
        let kinds = |script| lines(script).map(|all| all.iter().map(|l| (l.code, l.idle)).collect::<Vec<_>>());
        assert_eq!(kinds("a(`\nimport`);\n"), Ok(vec![(true, false), (false, false), (true, true)]));
        assert_eq!(kinds("/*\nimport\n*/"), Ok(vec![(true, true), (false, true), (false, true)]));
    }

    #[test]
    fn what_does_not_end_is_told_by_its_line() {
        for (script, line) in [("a\n'b\nc", 2), ("a\nb /* c", 2), ("`a\n${b", 2), ("\n\n`a", 3), ("x = /a\n/", 1)] {
            assert_eq!(compact(script), Err(Unclear(line)), "{script}");
        }
    }
}
