//! A whole Part 21 file, indexed: entities are read when asked for.

use super::index::{Entry, Index, LineCounter, declaration, statement_end};
use super::instance::{Instance, Record};
use super::lexer::{Lexer, Token, Unexpected};
use super::text::decode;
use super::value::{Room, Value, values};
use crate::exchange::Limits;
use crate::exchange::report::{Fault, ReadError, ReadErrorKind, Reason, Remark};
use crate::model::Source;

/// An indexed file.
#[derive(Debug)]
pub(in crate::exchange) struct Part21<'a> {
    bytes: &'a [u8],
    index: Index,
    room: Room,
    /// First name in FILE_SCHEMA, without the numbers behind it.
    pub schema: String,
    /// Oddities of the text.
    pub remarks: Vec<Remark>,
}

impl<'a> Part21<'a> {
    /// Finds all entities.
    ///
    /// # Errors
    /// When the bytes are no Part 21 file, are cut off, hold no entity, or hold more than the limits allow.
    pub(in crate::exchange) fn open(bytes: &'a [u8], limits: &Limits) -> Result<Self, ReadError> {
        let start = opening(bytes)?;
        let room = Room { values: limits.values, depth: limits.depth };
        let mut file = Self { bytes, index: Index::default(), room, schema: String::new(), remarks: Vec::new() };
        let mut lines = LineCounter::new(bytes);
        let mut entries: Vec<Entry> = Vec::new();
        let mut section = Section::Between;
        let mut ended = false;
        let mut at = start;
        let mut last = Source { entity: 0, line: 1 };
        loop {
            let mut lexer = Lexer::new(bytes, at);
            if lexer.skip_blank().is_err() {
                let line = lines.line(lexer.offset());
                return Err(ReadError::file(Source { entity: 0, line }, "the file ends inside a comment: it is cut off or damaged".into()));
            }
            at = lexer.offset();
            if at >= bytes.len() {
                break;
            }
            let line = lines.line(at);
            let declared = if section == Section::Data { declaration(bytes, at) } else { None };
            let here = Source { entity: declared.map_or(0, |(id, _)| id), line };
            let Some(end) = statement_end(bytes, at) else {
                // What follows the end mark (an editor's leavings, a signature) is nobody's loss.
                if ended {
                    break;
                }
                if let Some(damaged) = entries.iter().find(|e| swallows(bytes, e.body)) {
                    let source = Source { entity: damaged.id, line: damaged.line };
                    return Err(ReadError::file(
                        source,
                        "a quote in this entity is not closed, so the file cannot be told apart from here".into(),
                    ));
                }
                let inside = if here.entity > 0 { "this entity" } else { "this statement" };
                return Err(ReadError::file(here, format!("the file ends inside {inside}: it is cut off or damaged, expected ';'")));
            };
            if let Some((id, body)) = declared {
                if entries.len() >= limits.entities {
                    return Err(ReadError::limit(format!("the file has more than {} entities, the limit", limits.entities)));
                }
                entries.push(Entry { id, body, line });
                last = here;
            } else {
                match (lexer.next(), section) {
                    (Ok(Token::Word("HEADER")), _) => section = Section::Header,
                    (Ok(Token::Word("DATA")), _) => section = Section::Data,
                    (Ok(Token::Word("ENDSEC")), _) => section = Section::Between,
                    (Ok(Token::Word("ANCHOR" | "REFERENCE" | "SIGNATURE")), Section::Between) => section = Section::Other,
                    (Ok(Token::Word(word)), Section::Between) if word.starts_with("END-ISO-10303-21") => ended = true,
                    (Ok(Token::Word("FILE_SCHEMA")), Section::Header) => file.schema = first_text(&mut lexer, room),
                    (_, Section::Data) => file.remark(line, "a statement in the data section declares no entity; left out"),
                    _ => {}
                }
            }
            at = end;
        }
        if section == Section::Data {
            return Err(ReadError::file(last, "the file ends after this entity without 'ENDSEC;': it is cut off".into()));
        }
        if entries.is_empty() {
            return Err(ReadError::file(
                Source { entity: 0, line: lines.line(bytes.len()) },
                "the file holds no entity, expected a DATA section".into(),
            ));
        }
        if !ended {
            file.remark(lines.line(bytes.len()), "the closing mark END-ISO-10303-21 is missing");
        }
        let (index, repeated) = Index::new(entries);
        for e in repeated {
            file.remarks.push(Remark {
                entity: Some(e.id),
                line: Some(e.line),
                text: "the number is used before; this entity is left out".into(),
            });
        }
        file.index = index;
        Ok(file)
    }

    fn remark(&mut self, line: u32, text: &str) {
        self.remarks.push(Remark { entity: None, line: Some(line), text: text.into() });
    }

    /// Number of entities.
    pub(in crate::exchange) fn len(&self) -> usize {
        self.index.len()
    }

    /// Where an entity stands; line 0 when it is not in the file.
    pub(in crate::exchange) fn source(&self, id: u64) -> Source {
        Source { entity: id, line: self.index.get(id).map_or(0, |e| e.line) }
    }

    /// Reads one entity.
    ///
    /// # Errors
    /// When it is missing or its text is damaged; the line is that of the damage.
    pub(in crate::exchange) fn get(&self, id: u64) -> Result<Instance<'a>, Fault> {
        let at = self.source(id);
        let Some(entry) = self.index.get(id) else { return Err(Fault::new(at, "", Reason::Missing)) };
        let mut lexer = Lexer::new(self.bytes, entry.body);
        let mut room = self.room;
        records(&mut lexer, &mut room).map(|records| Instance { at, records }).map_err(|e| {
            let damaged = self.bytes.get(entry.body..e.offset).unwrap_or_default();
            let lines = u32::try_from(memchr::memchr_iter(b'\n', damaged).count()).unwrap_or(u32::MAX);
            let line = entry.line.saturating_add(lines);
            Fault::new(Source { entity: id, line }, "", Reason::Syntax { expected: e.expected })
        })
    }

    /// Calls `see` with the id and each type name of every entity by rising id, without reading values.
    /// Splines of several types are left out: nothing is looked for among them.
    pub(in crate::exchange) fn sweep(&self, mut see: impl FnMut(u64, &'a str)) {
        for entry in self.index.iter() {
            let mut lexer = Lexer::new(self.bytes, entry.body);
            match lexer.next() {
                Ok(Token::Word(name)) => see(entry.id, name),
                Ok(Token::Open) => sweep_complex(&mut lexer, |name| see(entry.id, name)),
                _ => {}
            }
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Between,
    Header,
    Data,
    Other,
}

/// True when the statement from `body` on reaches over the start of another entity: only a quote left open does that.
fn swallows(bytes: &[u8], body: usize) -> bool {
    let end = statement_end(bytes, body).unwrap_or(bytes.len());
    let statement = bytes.get(body..end).unwrap_or_default();
    memchr::memmem::find_iter(statement, b"\n#").any(|n| declaration(bytes, body + n + 1).is_some())
}

/// Offset just past the opening mark.
fn opening(bytes: &[u8]) -> Result<usize, ReadError> {
    if bytes.is_empty() {
        return Err(ReadError { kind: ReadErrorKind::Format, entity: None, line: Some(1), message: "the file is empty".into() });
    }
    let start = if bytes.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
    let mut lexer = Lexer::new(bytes, start);
    if let (Ok(Token::Word("ISO-10303-21")), Ok(Token::Semicolon)) = (lexer.next(), lexer.next()) {
        return Ok(lexer.offset());
    }
    let found = if bytes.starts_with(b"\x89PNG") {
        "a PNG picture".into()
    } else if bytes.starts_with(b"PK\x03\x04") {
        "a ZIP archive".into()
    } else if bytes.starts_with(b"\x1f\x8b") {
        "gzip data".into()
    } else {
        let head = bytes.get(start..).unwrap_or_default().iter().take(24);
        let shown: String = head.map(|&b| if (b' '..=b'~').contains(&b) { char::from(b) } else { '·' }).collect();
        format!("\"{shown}\"")
    };
    let message = format!("this is no STEP file: it starts with {found}, expected ISO-10303-21;");
    Err(ReadError { kind: ReadErrorKind::Format, entity: None, line: Some(1), message })
}

/// The first text among the values of a header record whose name has been read.
fn first_text(lexer: &mut Lexer<'_>, mut room: Room) -> String {
    let Ok(Token::Open) = lexer.next() else { return String::new() };
    let found = values(lexer, &mut room).unwrap_or_default();
    let raw = match found.first() {
        Some(Value::List(names)) => names.first(),
        other => other,
    };
    match raw {
        Some(Value::Text(raw)) => decode(raw).split([' ', '{']).next().unwrap_or_default().into(),
        _ => String::new(),
    }
}

/// The records of an entity, from behind its equals sign up to the semicolon.
fn records<'a>(lexer: &mut Lexer<'a>, room: &mut Room) -> Result<Vec<Record<'a>>, Unexpected> {
    let fail = |lexer: &Lexer<'_>, expected| Err(Unexpected { offset: lexer.offset(), expected });
    let mut found = Vec::new();
    match lexer.next()? {
        Token::Word(name) => found.push(record(lexer, name, room)?),
        Token::Open => loop {
            match lexer.next()? {
                Token::Word(name) => found.push(record(lexer, name, room)?),
                Token::Close => break,
                _ => return fail(lexer, "a type name or a closing bracket"),
            }
        },
        _ => return fail(lexer, "a type name"),
    }
    match lexer.next()? {
        Token::Semicolon => Ok(found),
        _ => fail(lexer, "';'"),
    }
}

fn record<'a>(lexer: &mut Lexer<'a>, name: &'a str, room: &mut Room) -> Result<Record<'a>, Unexpected> {
    match lexer.next()? {
        Token::Open => Ok(Record { name, values: values(lexer, room)? }),
        _ => Err(Unexpected { offset: lexer.offset(), expected: "an opening bracket" }),
    }
}

fn sweep_complex<'a>(lexer: &mut Lexer<'a>, mut see: impl FnMut(&'a str)) {
    let mut depth = 0usize;
    while let Ok(token) = lexer.next() {
        match token {
            Token::Word(name) if depth == 0 => {
                if name.starts_with("BOUNDED_") || name.starts_with("B_SPLINE_") {
                    return;
                }
                see(name);
            }
            Token::Open => depth += 1,
            Token::Close if depth == 0 => return,
            Token::Close => depth -= 1,
            Token::Semicolon | Token::End => return,
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str =
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 }'));\nENDSEC;\nDATA;\n";
    const TAIL: &str = "ENDSEC;\nEND-ISO-10303-21;\n";

    fn open(text: &str) -> Result<Part21<'_>, ReadError> {
        Part21::open(text.as_bytes(), &Limits::default())
    }

    #[test]
    fn reads_simple_and_complex_entities_with_lines() {
        let text = format!("{HEAD}#1=A('x;y',(1.,2),\n$);\n/* #9=N(); */\n#3=(B(#1)C()D(.T.));\n{TAIL}");
        let file = open(&text).unwrap();
        assert_eq!((file.schema.as_str(), file.len(), file.remarks.len()), ("AUTOMOTIVE_DESIGN", 2, 0));
        let a = file.get(1).unwrap();
        assert_eq!((a.at.line, a.kind(), a.fields().text(0), a.fields().reals(1).unwrap()), (7, "A", "x;y".into(), vec![1.0, 2.0]));
        let c = file.get(3).unwrap();
        assert_eq!((c.at.line, c.is_simple(), c.is("C"), c.references()), (10, false, true, vec![1]));
        assert!(c.record("D").unwrap().flag(0).unwrap());
        let mut names = Vec::new();
        file.sweep(|id, name| names.push((id, name)));
        assert_eq!(names, vec![(1, "A"), (3, "B"), (3, "C"), (3, "D")]);
        assert_eq!(file.get(9).unwrap_err().reason, Reason::Missing);
    }

    #[test]
    fn says_where_a_file_ends_too_early() {
        let cut = |text: &str| {
            let e = open(text).unwrap_err();
            (e.kind, e.line, e.entity)
        };
        assert_eq!(cut(""), (ReadErrorKind::Format, Some(1), None));
        assert_eq!(cut("\u{89}PNG"), (ReadErrorKind::Format, Some(1), None));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n#2=B(1,")), (ReadErrorKind::File, Some(8), Some(2)));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n")), (ReadErrorKind::File, Some(7), Some(1)));
        assert_eq!(cut(&format!("{HEAD}{TAIL}")), (ReadErrorKind::File, Some(9), None));
        assert_eq!(cut(&format!("{HEAD}#1=A();\n/* no end")), (ReadErrorKind::File, Some(8), None));
        // The quote left open in #1 swallows #2 and pairs with one in #3; what is told is the place of the damage.
        assert_eq!(cut(&format!("{HEAD}#1=A('x);\n#2=B(1);\n#3=C('y',2);\n#4=D();\n{TAIL}")), (ReadErrorKind::File, Some(7), Some(1)));
        assert_eq!(cut("ISO-10303-21;\nHEAD"), (ReadErrorKind::File, Some(2), None));
    }

    #[test]
    fn reads_around_damage_and_names_its_line() {
        let text = format!("{HEAD}#1=A(1,\n,2);\nnonsense;\n#2=B();\n#2=C();\n{TAIL}");
        let file = open(&text).unwrap();
        let fault = file.get(1).unwrap_err();
        assert_eq!((fault.at.line, fault.reason), (8, Reason::Syntax { expected: "a value" }));
        assert_eq!(file.get(2).unwrap().kind(), "B");
        assert_eq!(file.remarks.iter().map(|r| r.line).collect::<Vec<_>>(), vec![Some(9), Some(11)]);
    }

    #[test]
    fn refuses_more_than_the_limits() {
        let text = format!("{HEAD}#1=A((((1))));\n#2=B(1,2,3,4);\n{TAIL}");
        let limits = Limits { entities: 1, ..Limits::default() };
        assert_eq!(Part21::open(text.as_bytes(), &limits).unwrap_err().kind, ReadErrorKind::Limit);
        let limits = Limits { values: 3, depth: 2, ..Limits::default() };
        let file = Part21::open(text.as_bytes(), &limits).unwrap();
        assert!(matches!(file.get(1).unwrap_err().reason, Reason::Syntax { .. }));
        assert!(matches!(file.get(2).unwrap_err().reason, Reason::Syntax { .. }));
    }
}
