//! What all parts of the IGES layer share: the file, what is left of the limits, and the report.

use super::directory::Entry;
use super::global::{self, Global};
use super::kinds;
use super::lists::Lists;
use super::record::Record;
use super::sections::Sections;
use super::values::{real, values};
use crate::exchange::Limits;
use crate::exchange::limits::Budget;
use crate::exchange::report::{Fault, Format, ReadError, Reason, Repair, Report};
use crate::model::Source;
use crate::progress::{Progress, Stage};
use std::collections::{BTreeMap, BTreeSet};

pub(super) struct Reader<'a, 'p> {
    pub sections: Sections<'a>,
    pub global: Global,
    pub budget: Budget,
    pub limits: Limits,
    /// Entities that became part of the model, or were listed as unread.
    pub met: BTreeSet<u32>,
    /// Entities that subfigure definitions hold.
    pub in_definitions: BTreeSet<u32>,
    /// Names of levels, by number.
    pub levels: BTreeMap<i64, String>,
    /// Edge and vertex lists read so far.
    pub lists: Lists,
    progress: &'p mut dyn Progress,
    /// Entities being read, outermost first.
    trail: Vec<u32>,
    report: Report,
}

impl<'a, 'p> Reader<'a, 'p> {
    pub(super) fn new(sections: Sections<'a>, limits: &Limits, progress: &'p mut dyn Progress) -> Self {
        let global = global::read(&sections.global);
        let report = Report {
            format: Format::Iges,
            entity_count: sections.entries.len(),
            writer: if global.system.is_empty() { global.preprocessor.clone() } else { global.system.clone() },
            preprocessor: global.preprocessor.clone(),
            uncertainty: global.resolution.map(|r| r * limits.in_mm(global.unit.in_mm) / global.scale),
            ..Report::default()
        };
        let mut reader = Self {
            sections,
            global,
            budget: Budget::new(limits),
            limits: *limits,
            met: BTreeSet::new(),
            in_definitions: BTreeSet::new(),
            levels: BTreeMap::new(),
            lists: Lists::default(),
            progress,
            trail: Vec::new(),
            report,
        };
        for text in core::mem::take(&mut reader.global.remarks) {
            reader.remark(Source::default(), text);
        }
        if let Some((count, line)) = reader.sections.damaged {
            reader.remark(Source { entity: 0, line }, format!("{count} directory lines make no entry and are left out, this the first"));
        }
        reader
    }

    pub(super) fn finish(self) -> Report {
        self.report
    }

    /// mm in one unit of the file.
    pub(super) fn unit(&self) -> f64 {
        self.limits.in_mm(self.global.unit.in_mm) / self.global.scale
    }

    /// Points nearer than this are the same, file units.
    pub(super) fn tolerance(&self) -> f64 {
        self.global.resolution.unwrap_or(DEFAULT_RESOLUTION / self.unit())
    }

    /// Where entity `number` stands.
    pub(super) fn source(&self, number: u32) -> Source {
        self.sections.entry(number).map_or(Source { entity: u64::from(number), line: 0 }, Entry::source)
    }

    pub(super) fn entry(&self, number: u32) -> Result<Entry, Fault> {
        let missing = || Fault::new(Source { entity: u64::from(number), line: 0 }, "", Reason::Missing);
        self.sections.entry(number).copied().ok_or_else(missing)
    }

    /// Reads the values of entity `number`.
    pub(super) fn get(&self, number: u32) -> Result<Record, Fault> {
        let entry = self.entry(number)?;
        let fault = |reason| Fault::new(entry.source(), &kinds::name(entry.kind), reason);
        let mut text = Vec::new();
        for line in self.sections.lines(&entry) {
            let start = text.len();
            text.extend_from_slice(line.text);
            // A text may run over the end of a line, whose blanks are part of it.
            text.resize(start + line.width.max(line.text.len()), b' ');
        }
        let (mut values, _) = values(&text, self.global.delimiters, self.limits.values).map_err(fault)?;
        let first = if values.is_empty() { None } else { Some(values.remove(0)) };
        let kind = match first {
            Some(super::values::Value::Plain(a, b)) => text.get(a as usize..b as usize).and_then(real),
            _ => None,
        };
        if kind != Some(f64::from(entry.kind)) {
            return Err(fault(Reason::Syntax { expected: "parameter data that begin with the type number of its directory entry" }));
        }
        Ok(Record::new(entry, text, values))
    }

    /// Reads entity `number` and works on it, watching that it is not already being worked on further out.
    pub(super) fn within<T, E: From<Fault>>(&mut self, number: u32, work: impl FnOnce(&mut Self, &Record) -> Result<T, E>) -> Result<T, E> {
        let record = self.get(number)?;
        if self.trail.contains(&number) {
            return Err(record.fault(Reason::Loop).into());
        }
        if self.trail.len() >= self.limits.depth {
            return Err(record.geometry("it is nested deeper than the limit").into());
        }
        self.trail.push(number);
        let result = work(self, &record);
        self.trail.pop();
        result
    }

    /// Notes something odd.
    pub(super) fn remark(&mut self, at: Source, text: String) {
        self.report.remark(at, text, self.limits.remarks);
    }

    /// Notes something mended.
    pub(super) fn repair(&mut self, at: Source, text: &str, size: Option<f64>) {
        self.report.mended(Repair { entity: at.entity, line: at.line, text: text.into(), size }, self.limits.remarks);
    }

    /// Counts faces the file marks as not to be shown.
    pub(super) fn hidden(&mut self, faces: usize) {
        self.report.hidden_faces = self.report.hidden_faces.saturating_add(faces);
    }

    /// Lists `at` as unread because of `fault`; a used-up limit ends the reading.
    pub(super) fn unread(&mut self, at: Source, kind: u32, fault: &Fault, faces_lost: usize) -> Result<(), ReadError> {
        // A reference to another file is a sound entity here (type 416); in STEP it stands in place of one.
        let sound = matches!(fault.reason, Reason::Unsupported | Reason::Elsewhere(_));
        self.report.unread(at, &kinds::name(kind), fault, sound, faces_lost, self.limits.unread)
    }

    /// Reports progress over the directory.
    pub(super) fn step(&mut self, done: usize) -> Result<(), ReadError> {
        let total = self.sections.entries.len();
        // Every entity would flood the receiver.
        if done.is_multiple_of(64) || done == total {
            self.progress.report(Stage::Read, done, total);
            if self.progress.cancelled() {
                return Err(ReadError::cancelled());
            }
        }
        Ok(())
    }
}

/// Why an item is given up.
pub(super) enum Stop {
    /// The item is at fault.
    Fault(Fault),
    /// The whole reading ends.
    Read(ReadError),
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        match fault.stops() {
            Ok(()) => Stop::Fault(fault),
            Err(error) => Stop::Read(error),
        }
    }
}

impl From<ReadError> for Stop {
    fn from(error: ReadError) -> Self {
        Stop::Read(error)
    }
}

/// Taken where a file states no smallest distance, in mm. Smaller: corners written with few digits are taken for gaps;
/// larger: short edges shrink to points.
const DEFAULT_RESOLUTION: f64 = 1e-3;
