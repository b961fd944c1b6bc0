//! One pass over the whole file: its sections, and where each entity stands. ISO 10303-21:2016, 5.5 and 8 to 14.

use super::header::Header;
use super::index::{Entry, Index, LineCounter, addressed_end, declaration, statement_end};
use super::lexer::{Lexer, Token};
use super::text::decode;
use super::value::Room;
use crate::exchange::Limits;
use crate::exchange::report::{ReadError, ReadErrorKind, Remark};
use crate::model::Source;
use std::collections::BTreeMap;

/// What the pass finds.
#[derive(Debug, Default)]
pub(super) struct Scanned {
    pub header: Header,
    pub index: Index,
    /// Entities said to stand elsewhere, by number.
    pub elsewhere: BTreeMap<u64, Elsewhere>,
    pub remarks: Vec<Remark>,
    /// Remarks beyond the limit, counted only.
    pub remarks_dropped: usize,
}

/// Where an entity of the reference section stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Elsewhere {
    /// In this very file, under another number.
    Here(u64),
    /// In another file, at this address; line of the reference.
    Other(String, u32),
}

/// Finds all sections and entities.
///
/// # Errors
/// When the bytes are no Part 21 file, are cut off, hold no entity, or hold more than the limits allow.
pub(super) fn scan(bytes: &[u8], limits: &Limits, room: Room) -> Result<Scanned, ReadError> {
    let start = opening(bytes)?;
    let mut scan = Scan {
        bytes,
        limits,
        room,
        found: Scanned::default(),
        entries: Vec::new(),
        anchors: BTreeMap::new(),
        section: Section::Between,
        last: Source { entity: 0, line: 1 },
    };
    let ended = scan.sections(start)?;
    let Scan { mut found, entries, section, last, .. } = scan;
    if section == Section::Data {
        return Err(ReadError::file(last, "the file ends after this entity without 'ENDSEC;': it is cut off".into()));
    }
    let last_line = LineCounter::new(bytes).line(bytes.len());
    if entries.is_empty() {
        let at = Source { entity: 0, line: last_line };
        return Err(ReadError::file(at, "the file holds no entity, expected a DATA section".into()));
    }
    if !ended {
        found.remark(limits, None, last_line, "the closing mark END-ISO-10303-21 is missing".into());
    }
    let (index, repeated) = Index::new(entries);
    for e in repeated {
        found.remark(limits, Some(e.id), e.line, "the number is used before; this entity is left out".into());
    }
    found.index = index;
    Ok(found)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Between,
    Header,
    Anchor,
    Reference,
    Data,
}

struct Scan<'a, 'l> {
    bytes: &'a [u8],
    limits: &'l Limits,
    room: Room,
    found: Scanned,
    entries: Vec<Entry>,
    /// Entities that have a name for other files to refer to.
    anchors: BTreeMap<&'a [u8], u64>,
    section: Section,
    /// The last entity declared.
    last: Source,
}

impl<'a> Scan<'a, '_> {
    /// Goes through all statements from offset `at` on; true when the closing mark is met.
    fn sections(&mut self, mut at: usize) -> Result<bool, ReadError> {
        let bytes = self.bytes;
        let mut lines = LineCounter::new(bytes);
        loop {
            let mut lexer = Lexer::new(bytes, at);
            if lexer.skip_blank().is_err() {
                let here = Source { entity: 0, line: lines.line(lexer.offset()) };
                return Err(ReadError::file(here, "the file ends inside a comment: it is cut off or damaged".into()));
            }
            at = lexer.offset();
            if at >= bytes.len() {
                return Ok(false);
            }
            let line = lines.line(at);
            let addressed = matches!(self.section, Section::Anchor | Section::Reference);
            let declared = if self.section == Section::Data { declaration(bytes, at) } else { None };
            let end = if addressed { addressed_end(bytes, at) } else { statement_end(bytes, at) };
            let Some(end) = end else {
                return Err(self.cut_off(Source { entity: declared.map_or(0, |(id, _)| id), line }));
            };
            match (declared, self.section) {
                (Some((id, body)), _) => self.entity(Entry { id, body, line })?,
                (None, Section::Anchor) if !ends_section(lexer.clone()) => self.anchor(&mut lexer, line),
                (None, Section::Reference) if !ends_section(lexer.clone()) => self.reference(&mut lexer, line),
                _ => {
                    if self.other(&mut lexer, line) {
                        self.after_the_end(end, &mut lines);
                        return Ok(true);
                    }
                }
            }
            at = end;
        }
    }

    fn entity(&mut self, entry: Entry) -> Result<(), ReadError> {
        if self.entries.len() >= self.limits.entities {
            return Err(ReadError::limit(format!("the file has more than {} entities, the limit", self.limits.entities)));
        }
        self.last = Source { entity: entry.id, line: entry.line };
        self.entries.push(entry);
        Ok(())
    }

    /// A statement that declares nothing; true for the closing mark.
    fn other(&mut self, lexer: &mut Lexer<'a>, line: u32) -> bool {
        match (lexer.next(), self.section) {
            (Ok(Token::Word("HEADER")), _) => self.section = Section::Header,
            (Ok(Token::Word("DATA")), _) => self.section = Section::Data,
            (Ok(Token::Word("ENDSEC")), _) => self.section = Section::Between,
            (Ok(Token::Word("ANCHOR")), Section::Between) => self.section = Section::Anchor,
            (Ok(Token::Word("REFERENCE")), Section::Between) => self.section = Section::Reference,
            (Ok(Token::Word(word)), Section::Between) if word.starts_with("END-ISO-10303-21") => return true,
            (Ok(Token::Word(name)), Section::Header) => self.found.header.see(name, lexer, self.room),
            (_, Section::Data) => {
                let text = "a statement in the data section declares no entity; left out";
                self.found.remark(self.limits, None, line, text.into());
            }
            _ => {}
        }
        false
    }

    /// `<name>=#12{…};`: only entities matter here.
    fn anchor(&mut self, lexer: &mut Lexer<'a>, line: u32) {
        match (lexer.next(), lexer.next(), lexer.next()) {
            (Ok(Token::Address(name)), Ok(Token::Equals), Ok(Token::Reference(id))) => {
                self.anchors.entry(name).or_insert(id);
            }
            (Ok(Token::Address(_)), Ok(Token::Equals), Ok(_)) => {}
            _ => self.found.remark(self.limits, None, line, "an anchor cannot be understood; left out".into()),
        }
    }

    /// `#12=<address#anchor>;`, or a value `@12=<…>;`.
    fn reference(&mut self, lexer: &mut Lexer<'a>, line: u32) {
        let (name, equals, address) = (lexer.next(), lexer.next(), lexer.next());
        let (Ok(Token::Equals), Ok(Token::Address(address))) = (equals, address) else {
            self.found.remark(self.limits, None, line, "a reference cannot be understood; left out".into());
            return;
        };
        let id = if let Ok(Token::Reference(id)) = name { Some(id) } else { None };
        let local = address.strip_prefix(b"#").and_then(|anchor| self.anchors.get(anchor));
        if let (Some(id), Some(&anchored)) = (id, local) {
            self.found.elsewhere.insert(id, Elsewhere::Here(anchored));
            return;
        }
        let address = decode(address);
        let text = format!("it stands in another file, {address}, which is not read");
        self.found.remark(self.limits, id, line, text);
        if let Some(id) = id {
            self.found.elsewhere.insert(id, Elsewhere::Other(address, line));
        }
    }

    /// A signature may follow; an editor's leavings are nobody's loss.
    fn after_the_end(&mut self, end: usize, lines: &mut LineCounter<'_>) {
        let mut lexer = Lexer::new(self.bytes, end);
        let blank = lexer.skip_blank().is_ok();
        let at = lexer.offset();
        if blank && lexer.next() == Ok(Token::Word("SIGNATURE")) {
            self.found.remark(self.limits, None, lines.line(at), "the file is signed; the signature is not checked".into());
        }
    }

    /// Why a statement without an end cannot be passed over.
    fn cut_off(&self, here: Source) -> ReadError {
        if let Some(damaged) = self.entries.iter().find(|e| swallows(self.bytes, e.body)) {
            let source = Source { entity: damaged.id, line: damaged.line };
            return ReadError::file(source, "a quote in this entity is not closed, so the file cannot be told apart from here".into());
        }
        let inside = if here.entity > 0 { "this entity" } else { "this statement" };
        ReadError::file(here, format!("the file ends inside {inside}: it is cut off or damaged, expected ';'"))
    }
}

impl Scanned {
    fn remark(&mut self, limits: &Limits, entity: Option<u64>, line: u32, text: String) {
        if self.remarks.len() < limits.remarks {
            self.remarks.push(Remark { entity, line: Some(line), text });
        } else {
            self.remarks_dropped = self.remarks_dropped.saturating_add(1);
        }
    }
}

fn ends_section(mut lexer: Lexer<'_>) -> bool {
    lexer.next() == Ok(Token::Word("ENDSEC"))
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
