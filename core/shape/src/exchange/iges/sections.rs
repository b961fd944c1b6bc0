//! The lines of a file, sorted into its sections. IGES 5.3, 2.2.

use super::compressed;
use super::directory::{Entry, paired};
use crate::exchange::Limits;
use crate::exchange::report::ReadError;
use crate::model::Source;
use memchr::memchr2;
use std::collections::BTreeMap;

/// A file sorted into its sections. The parameter data stay in the file until an entity is asked for.
#[derive(Debug, Default)]
pub(super) struct Sections<'a> {
    /// Text of the global section, lines joined.
    pub global: Vec<u8>,
    /// The directory, by rising number.
    pub entries: Vec<Entry>,
    /// Lines of parameter data, in file order.
    pub parameters: Vec<TextLine<'a>>,
    /// Place in `parameters` of the line with each sequence number.
    pub by_number: BTreeMap<u32, usize>,
    /// Place in `parameters` of the first line that names each entity as its owner.
    pub by_owner: BTreeMap<u32, usize>,
    /// Directory lines that make no entry; the first one's line.
    pub damaged: Option<(usize, u32)>,
}

/// One line of parameter data.
#[derive(Debug, Clone, Copy)]
pub(super) struct TextLine<'a> {
    /// What stands in its text columns, without the blanks at its end.
    pub text: &'a [u8],
    /// Columns the text has: blanks fill up to here.
    pub width: usize,
    /// Number of the entity it belongs to; 0 when it does not say.
    pub owner: u32,
}

/// One record of 80 columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Record<'a> {
    pub text: &'a [u8],
    /// Section letter; None where column 73 holds none.
    pub letter: Option<u8>,
    /// Sequence number, where one can be read.
    pub number: Option<u32>,
    /// Line of the file, from 1; of a file without line ends, the record.
    pub line: u32,
}

/// Columns of text before the section letter.
pub(super) const TEXT: usize = 72;

/// Columns of parameter data in front of the pointer back to the directory.
const DATA: usize = 64;

/// Columns of a record.
const RECORD: usize = 80;

impl<'a> Sections<'a> {
    /// Sorts the lines of a file.
    ///
    /// # Errors
    /// When it is the binary form, has no directory, or is beyond the limits.
    pub fn open(bytes: &'a [u8], limits: &Limits) -> Result<Self, ReadError> {
        let mut records = Records::new(bytes);
        let first = records.clone().find(|r| !r.text.is_empty() || r.letter.is_some());
        match first.and_then(|r| r.letter) {
            Some(b'B') => {
                return Err(ReadError::format(
                    "this is the binary form of IGES, which is not read: ask for the fixed or compressed ASCII form".into(),
                ));
            }
            Some(b'C') => return compressed::sections(records, limits),
            _ => {}
        }
        let mut sections = Sections::default();
        let mut directory = Vec::new();
        let mut section = b'S';
        for record in &mut records {
            section = record.letter.unwrap_or(section);
            match section {
                b'G' => sections.add_global(record.text),
                b'D' => directory.push(record),
                b'P' => sections.add_parameters(record)?,
                _ => {}
            }
            if directory.len() / 2 > limits.entities {
                return Err(ReadError::limit(format!("the directory has more than {} entries", limits.entities)));
            }
        }
        (sections.entries, sections.damaged) = paired(&directory);
        sections.checked()
    }

    /// The sections, if there is anything in them.
    pub(super) fn checked(self) -> Result<Self, ReadError> {
        if self.entries.is_empty() {
            let message = "the file has no directory section with whole entries: it is damaged or cut off".into();
            return Err(ReadError::file(Source { entity: 0, line: 1 }, message));
        }
        Ok(self)
    }

    pub(super) fn add_global(&mut self, text: &[u8]) {
        let start = self.global.len();
        self.global.extend_from_slice(text);
        // A string may run over the end of a line, whose blanks some writers leave off.
        self.global.resize(start + TEXT.max(text.len()), b' ');
    }

    fn add_parameters(&mut self, record: Record<'a>) -> Result<(), ReadError> {
        let cut = cut_columns(record.text, DATA);
        let owner = record.text.get(cut..).map(|t| t.trim_ascii()).and_then(integer).and_then(|n| u32::try_from(n).ok());
        let place = self.parameters.len();
        let line =
            TextLine { text: record.text.get(..cut).unwrap_or(record.text).trim_ascii_end(), width: DATA, owner: owner.unwrap_or(0) };
        self.parameters.push(line);
        let after_last = self.by_number.last_key_value().map_or(1, |(n, _)| n.saturating_add(1));
        self.by_number.entry(record.number.unwrap_or(after_last)).or_insert(place);
        if line.owner > 0 {
            self.by_owner.entry(line.owner).or_insert(place);
        }
        Ok(())
    }

    /// The entry with this number.
    pub fn entry(&self, number: u32) -> Option<&Entry> {
        let at = self.entries.binary_search_by_key(&number, |e| e.number).ok()?;
        self.entries.get(at)
    }

    /// The lines of an entity's parameter data: those its directory entry points to, or where those belong to another
    /// entity, those that say they are its own.
    pub fn lines(&self, entry: &Entry) -> &[TextLine<'a>] {
        let owned = |&at: &usize| self.parameters.get(at).is_some_and(|l| l.owner == 0 || l.owner == entry.number);
        let pointed = self.by_number.get(&entry.pointer).copied();
        let Some(start) = pointed.filter(owned).or_else(|| self.by_owner.get(&entry.number).copied()).or(pointed) else { return &[] };
        let rest = self.parameters.get(start..).unwrap_or_default();
        let own = |(i, l): &(usize, &TextLine<'_>)| l.owner == entry.number || *i < entry.lines as usize;
        // Lines that belong to others end it even within the count, which some writers overstate.
        let foreign = |l: &TextLine<'_>| l.owner != 0 && l.owner != entry.number;
        let mut count = rest.iter().enumerate().take_while(own).take_while(|(_, l)| !foreign(l)).count();
        if count == 0 {
            // Its lines name another owner: the pointer and count are all there is.
            count = (entry.lines as usize).min(rest.len());
        }
        rest.get(..count).unwrap_or_default()
    }
}

/// The records of a file, by line ends or, where lines follow each other without any, by 80 columns.
#[derive(Debug, Clone)]
pub(super) struct Records<'a> {
    rest: &'a [u8],
    /// What is left of a line that holds several records.
    joined: &'a [u8],
    line: u32,
}

impl<'a> Records<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { rest: bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes), joined: &[], line: 0 }
    }
}

impl<'a> Iterator for Records<'a> {
    type Item = Record<'a>;

    fn next(&mut self) -> Option<Record<'a>> {
        while self.joined.is_empty() {
            if self.rest.is_empty() {
                return None;
            }
            self.line = self.line.saturating_add(1);
            let (line, rest) = match memchr2(b'\n', b'\r', self.rest) {
                Some(end) => {
                    let crlf = self.rest.get(end..end + 2) == Some(b"\r\n");
                    (self.rest.get(..end)?, self.rest.get(end + if crlf { 2 } else { 1 }..)?)
                }
                None => (self.rest, [].as_slice()),
            };
            self.rest = rest;
            // An end-of-file mark of old systems is no line.
            let line = line.strip_suffix(b"\x1a").unwrap_or(line);
            if line.len() > RECORD && mark(line.get(RECORD..)?).is_some() && mark(line).is_some() {
                self.joined = line;
            } else if !line.trim_ascii().is_empty() {
                return Some(record(line, self.line));
            }
        }
        let cut = RECORD.min(self.joined.len());
        let (head, tail) = self.joined.split_at(cut);
        self.joined = tail;
        let found = record(head, self.line);
        self.line = if tail.is_empty() { self.line } else { self.line.saturating_add(1) };
        Some(found)
    }
}

fn record(line: &[u8], number: u32) -> Record<'_> {
    match mark(line) {
        Some((cut, letter, sequence)) => {
            Record { text: line.get(..cut).unwrap_or(line).trim_ascii_end(), letter: Some(letter), number: sequence, line: number }
        }
        None => {
            let cut = cut_columns(line, TEXT);
            Record { text: line.get(..cut).unwrap_or(line).trim_ascii_end(), letter: None, number: None, line: number }
        }
    }
}

/// Where column 73 is, the section letter in it, and the sequence number behind it.
fn mark(line: &[u8]) -> Option<(usize, u8, Option<u32>)> {
    let at_column = cut_columns(line, TEXT);
    // Columns are bytes; of writers that count characters, characters.
    [TEXT, at_column].into_iter().find_map(|cut| {
        let letter = line.get(cut)?.to_ascii_uppercase();
        let behind = line.get(cut + 1..)?;
        let digits = behind.get(..RECORD - TEXT - 1).unwrap_or(behind).trim_ascii();
        let number = integer(digits).and_then(|n| u32::try_from(n).ok());
        let known = matches!(letter, b'S' | b'G' | b'D' | b'P' | b'T' | b'B' | b'C') && (number.is_some() || digits.is_empty());
        known.then_some((cut, letter, number))
    })
}

/// The byte at which column `columns` + 1 begins, a character of UTF-8 being one column; the length of shorter lines.
fn cut_columns(line: &[u8], columns: usize) -> usize {
    let mut seen = 0;
    for (at, &byte) in line.iter().enumerate() {
        if byte & 0xc0 != 0x80 {
            if seen == columns {
                return at;
            }
            seen += 1;
        }
    }
    line.len()
}

/// A whole number with an optional sign; None for anything else, also nothing.
pub(super) fn integer(text: &[u8]) -> Option<i64> {
    let digits = text.strip_prefix(b"+").unwrap_or(text);
    core::str::from_utf8(digits).ok()?.parse().ok()
}
