//! The compressed ASCII form: directory and parameter data of each entity stand together. IGES 5.3, 2.2.3.
//!
//! After the flag record (C in column 73), the start and the global section, each entity is a line `D`, its number and
//! those directory fields that differ from the entity before, each as `@` field number `_` value; then its parameter
//! data. Deliberately tolerant of what writers may do differently: where lines break, whether blanks or a record
//! delimiter end the directory part, and whether lines keep their section letter in column 73.

use super::directory::{Entry, Fields};
use super::sections::{Records, Sections, TextLine, integer};
use crate::exchange::Limits;
use crate::exchange::report::ReadError;
use std::collections::BTreeMap;

/// Sorts a file of the compressed form.
pub(super) fn sections<'a>(records: Records<'a>, limits: &Limits) -> Result<Sections<'a>, ReadError> {
    let mut sections = Sections::default();
    let mut entries = BTreeMap::new();
    let mut open: Option<Open> = None;
    let mut fields: Fields<'a> = [&[]; 21];
    let mut behind_global = false;
    for record in records {
        match record.letter {
            Some(b'C' | b'S' | b'T') => continue,
            Some(b'G') => {
                behind_global = true;
                sections.add_global(record.text);
                continue;
            }
            _ if !behind_global => continue,
            _ => {}
        }
        let number = number_line(record.text).filter(|_| open.as_ref().is_none_or(|o| o.complete(&sections)));
        if let Some((number, rest)) = number {
            close(&mut open, &fields, &mut sections, &mut entries);
            open = Some(Open { number, line: record.line, start: sections.parameters.len() });
            take_fields(rest, &mut fields);
            if entries.len() > limits.entities {
                return Err(ReadError::limit(format!("the directory has more than {} entries", limits.entities)));
            }
        } else if let Some(open) = &open {
            let fresh = open.start == sections.parameters.len();
            if fresh && record.text.trim_ascii_start().starts_with(b"@") {
                take_fields(record.text.trim_ascii_start(), &mut fields);
            } else {
                let text = record.text;
                sections.parameters.push(TextLine { text, width: text.len(), owner: open.number });
            }
        }
    }
    close(&mut open, &fields, &mut sections, &mut entries);
    sections.entries = entries.into_values().collect();
    sections.checked()
}

/// The entity whose lines are being gathered.
struct Open {
    number: u32,
    line: u32,
    /// Where its parameter data start.
    start: usize,
}

impl Open {
    /// Its parameter data have come to an end: a mark that is neither blank, number nor text closes them, so that a
    /// line of text that happens to look like the next entity is not taken for one.
    fn complete(&self, sections: &Sections<'_>) -> bool {
        let last = sections.parameters.get(self.start..).and_then(|lines| lines.last());
        last.and_then(|l| l.text.last()).is_some_and(|&b| !(b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-' | b'+' | b',')))
    }
}

/// Number and directory part of a line that begins an entity.
fn number_line(text: &[u8]) -> Option<(u32, &[u8])> {
    let rest = text.strip_prefix(b"D")?;
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    let (number, rest) = rest.split_at(digits);
    let number = u32::try_from(integer(number)?).ok()?;
    let rest = rest.trim_ascii_start();
    (rest.is_empty() || rest.starts_with(b"@") || rest.starts_with(b";")).then_some((number, rest))
}

/// Takes over the fields a line changes.
fn take_fields<'a>(text: &'a [u8], fields: &mut Fields<'a>) {
    for part in text.split(|&b| b == b'@') {
        let Some(cut) = part.iter().position(|&b| b == b'_') else { continue };
        let (name, value) = part.split_at(cut);
        let value = value.get(1..).unwrap_or_default();
        let value = value.trim_ascii_end().strip_suffix(b";").unwrap_or(value);
        let place = integer(name.trim_ascii()).and_then(|n| usize::try_from(n).ok());
        if let Some(field) = place.and_then(|n| fields.get_mut(n)) {
            *field = value;
        }
    }
}

fn close(open: &mut Option<Open>, fields: &Fields<'_>, sections: &mut Sections<'_>, entries: &mut BTreeMap<u32, Entry>) {
    let Some(open) = open.take() else { return };
    let count = sections.parameters.len() - open.start;
    match Entry::new(open.number, open.line, fields) {
        Some(entry) => {
            // The pointer and the count of the fixed form do not hold here; lines are found by their owner.
            entries.entry(open.number).or_insert(Entry { pointer: 0, lines: u32::try_from(count).unwrap_or(u32::MAX), ..entry });
            sections.by_owner.entry(open.number).or_insert(open.start);
        }
        None => sections.damaged = Some(sections.damaged.map_or((1, open.line), |(n, first)| (n + 1, first))),
    }
}
