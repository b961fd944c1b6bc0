//! What a report tells of each entry, the same in every form.

use super::Report;
use crate::finding::{MeasureId, Unit, Zone};
use crate::review::quantity::quantity;
use crate::review::said::{Entry, Rank, State, entries};
use crate::review::{FindingRecord, Verdict, verdict};
use std::fmt::Write;

/// Names of faces in one cell; more are counted.
const NAMES: usize = 6;

/// A report with its entries in order.
pub struct Told<'a> {
    /// What it is made of.
    pub report: &'a Report<'a>,
    /// Scores and summary.
    pub verdict: Verdict,
    /// Findings and pins, worst first.
    pub entries: Vec<Listed<'a>>,
}

/// An entry with what is told of it.
pub struct Listed<'a> {
    /// The entry.
    pub entry: Entry<'a>,
    /// Its number among findings from 1, or a pin's own.
    pub number: usize,
    /// Zone of its faces.
    pub zone: Zone,
    /// Unit of its value.
    pub unit: Unit,
}

impl<'a> Told<'a> {
    /// All that is told.
    pub fn new(report: &'a Report<'a>) -> Self {
        let mut findings = 0;
        let mut number = |e: &Entry<'_>| match e.pin {
            Some(pin) => pin.key as usize,
            None => {
                findings += 1;
                findings
            }
        };
        let unit = |e: &Entry<'_>| e.finding.and_then(|(_, f)| MeasureId::from_text(f.measure)).map_or(Unit::Number, MeasureId::unit);
        let listed = |e: Entry<'a>| Listed { number: number(&e), zone: (report.zone)(&e.faces()), unit: unit(&e), entry: e };
        Self {
            report,
            verdict: verdict(report.check, report.said, report.zone),
            entries: entries(report.check, report.said).into_iter().map(listed).collect(),
        }
    }

    /// Findings, without pins.
    pub fn findings(&self) -> impl Iterator<Item = (&Listed<'a>, &'a FindingRecord)> {
        self.entries.iter().filter_map(|l| Some((l, l.entry.finding?.1)))
    }

    /// A face's name, or its number where it has none.
    pub fn face(&self, id: usize) -> String {
        match self.report.check.faces.get(id) {
            Some(face) if !face.name.is_empty() => face.name.clone(),
            _ => format!("face {id}"),
        }
    }

    /// Names of faces, the first few.
    pub fn faces(&self, ids: &[usize]) -> String {
        let mut t = ids.iter().take(NAMES).map(|&id| self.face(id)).collect::<Vec<_>>().join(", ");
        if ids.len() > NAMES {
            let _ = write!(t, " and {} more", ids.len() - NAMES);
        }
        t
    }
}

impl Listed<'_> {
    /// "3" or "Pin 3".
    pub fn name(&self) -> String {
        if self.entry.pin.is_some() { format!("Pin {}", self.number) } else { self.number.to_string() }
    }

    /// What the reviewer gives as reason, and the note.
    pub fn words(&self) -> [&str; 2] {
        match (self.entry.mark, self.entry.pin) {
            (Some(mark), _) => [if mark.severity.is_some() { &mark.reason } else { "" }, &mark.note],
            (_, Some(pin)) => ["", &pin.text],
            _ => ["", ""],
        }
    }

    /// A value of its measure.
    pub fn quantity(&self, x: f64) -> String {
        quantity(x, self.unit)
    }
}

/// "1.0, 2.0, 3.0".
pub fn place([x, y, z]: [f64; 3]) -> String {
    format!("{x:.1}, {y:.1}, {z:.1}")
}

/// A severity as a word that begins a line.
pub fn rank(rank: Rank) -> &'static str {
    match rank {
        Rank::Serious => "Serious",
        Rank::Fix => "Fix",
        Rank::Polish => "Polish",
        Rank::Note => "Note",
        Rank::Good => "Good",
    }
}

/// The same by its lower-case name.
pub fn rank_named(name: &str) -> &'static str {
    Rank::ALL.into_iter().find(|r| r.text() == name).map_or("", rank)
}

/// A state as a word.
pub fn state(state: State) -> &'static str {
    match state {
        State::Open => "Open",
        State::Agreed => "Agreed",
        State::Waived => "Waived",
        State::Fixed => "Fixed",
    }
}

/// The state of a line of the checklist, as its stable name and as a word; open, where it is none.
pub fn line_state(state: &str) -> [&'static str; 2] {
    match state {
        "there" => ["there", "There"],
        "missing" => ["missing", "Missing"],
        "needless" => ["needless", "Not needed"],
        _ => ["open", "Open"],
    }
}
