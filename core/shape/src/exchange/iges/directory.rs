//! Directory entries. IGES 5.3, 2.2.4.4.

use super::sections::{Record, integer};
use crate::model::Source;
use std::collections::BTreeMap;

/// What the directory says of one entity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Entry {
    /// Its number: the sequence number of its first line, by which others refer to it.
    pub number: u32,
    /// Line of the file.
    pub line: u32,
    /// Type number.
    pub kind: u32,
    /// Sequence number of its first line of parameter data.
    pub pointer: u32,
    /// Lines of parameter data.
    pub lines: u32,
    pub form: i64,
    /// Its level; a negative number points to a list of levels.
    pub level: i64,
    /// Entity number of its transformation matrix; 0 for none.
    pub transformation: i64,
    /// Number of a standard colour; a negative number points to a colour definition.
    pub colour: i64,
    /// Marked as not to be shown.
    pub blank: bool,
    pub subordinate: Subordinate,
    /// Entity use flag: 0 geometry, 1 annotation, 2 definition, 3 other, 4 logical, 5 parameter plane, 6 construction.
    pub usage: u8,
    /// Up to eight characters.
    pub label: [u8; 8],
    /// Number behind the label; 0 for none.
    pub subscript: i64,
}

/// Whether it stands for itself. IGES 5.3, 2.2.4.4.9.2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Subordinate {
    #[default]
    Independent,
    /// Part of the entity that refers to it.
    Physically,
    /// Related to others, but a shape of its own.
    Logically,
    Both,
}

/// The fields of an entry as they are numbered in the standard: 1 to 9 on the first line, 11 to 19 on the second.
pub(super) type Fields<'a> = [&'a [u8]; 21];

impl Entry {
    pub fn source(&self) -> Source {
        Source { entity: u64::from(self.number), line: self.line }
    }

    /// The entry with these fields; None when not even its type can be read.
    pub fn new(number: u32, line: u32, fields: &Fields<'_>) -> Option<Self> {
        let field = |i: usize| fields.get(i).map(|t| t.trim_ascii()).and_then(integer);
        let positive = |i: usize| field(i).and_then(|n| u32::try_from(n).ok());
        let status = positive(9).unwrap_or(0);
        let kind = positive(1).filter(|&k| k > 0).or_else(|| positive(11).filter(|&k| k > 0))?;
        let mut label = [b' '; 8];
        label.iter_mut().zip(fields.get(18).into_iter().flat_map(|t| t.iter())).for_each(|(to, &from)| *to = from);
        Some(Self {
            number,
            line,
            kind,
            pointer: positive(2).unwrap_or(0),
            lines: positive(14).unwrap_or(1).max(1),
            form: field(15).unwrap_or(0),
            level: field(5).unwrap_or(0),
            transformation: field(7).unwrap_or(0),
            colour: field(13).unwrap_or(0),
            blank: status / 1_000_000 % 100 == 1,
            subordinate: match status / 10_000 % 100 {
                1 => Subordinate::Physically,
                2 => Subordinate::Logically,
                3 => Subordinate::Both,
                _ => Subordinate::Independent,
            },
            usage: (status / 100 % 100) as u8,
            label,
            subscript: field(19).unwrap_or(0),
        })
    }

    /// Its label with its number, empty when it has none.
    pub fn label(&self) -> String {
        let label = String::from_utf8_lossy(&self.label);
        match (label.trim(), self.subscript) {
            ("", _) => String::new(),
            (label, 0) => label.into(),
            (label, n) => format!("{label} {n}"),
        }
    }
}

/// Entries from the lines of the directory section, by rising number; and how many lines are no part of an entry, with
/// the first one's line.
pub(super) fn paired(records: &[Record<'_>]) -> (Vec<Entry>, Option<(usize, u32)>) {
    let mut entries = BTreeMap::new();
    let mut damaged: Option<(usize, u32)> = None;
    let mut hurt = |line: u32| damaged = Some(damaged.map_or((1, line), |(n, first)| (n + 1, first)));
    let mut rest = records.iter().copied().peekable();
    let mut expected: u32 = 1;
    while let Some(first) = rest.next() {
        let number = first.number.unwrap_or(expected);
        // An even number is a second line that lost its first.
        if number % 2 == 0 {
            hurt(first.line);
            continue;
        }
        expected = number.saturating_add(2);
        let second = rest.next_if(|r| r.number.is_none_or(|n| n == number.saturating_add(1)));
        let mut fields: Fields<'_> = [&[]; 21];
        for (line, start) in [(Some(first), 1), (second, 11)] {
            let columns = line.map_or([].as_slice(), |r| r.text).chunks(8);
            fields.iter_mut().skip(start).zip(columns.take(9)).for_each(|(field, text)| *field = text);
        }
        match Entry::new(number, first.line, &fields) {
            Some(entry) if second.is_some() => {
                entries.entry(number).or_insert(entry);
            }
            _ => hurt(first.line),
        }
    }
    (entries.into_values().collect(), damaged)
}
