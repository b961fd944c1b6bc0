//! What all parts of the STEP layer share: the file, what is left of the limits, and the report.

use super::lookup::Lookup;
use super::style::Looks;
use super::units::Units;
use crate::exchange::Limits;
use crate::exchange::limits::Budget;
use crate::exchange::part21::{Instance, Part21};
use crate::exchange::report::{Fault, ReadError, Reason, Repair, Report, Unread};
use crate::model::Source;
use crate::progress::{Progress, Stage};
use std::collections::{BTreeMap, BTreeSet};

/// Hidden things named in the report; the rest is counted.
const MOST_NAMED: usize = 5;

pub(super) struct Reader<'a, 'p> {
    pub file: Part21<'a>,
    pub budget: Budget,
    pub lookup: Lookup,
    pub looks: Looks,
    pub contexts: BTreeMap<u64, Units>,
    /// Unit of length of the first context read, mm as stated.
    pub first_length: Option<f64>,
    /// Faces met so far, read or not.
    pub met: BTreeSet<u64>,
    limits: Limits,
    progress: &'p mut dyn Progress,
    /// Entities being read, outermost first.
    trail: Vec<u64>,
    report: Report,
}

impl<'a, 'p> Reader<'a, 'p> {
    pub(super) fn new(mut file: Part21<'a>, limits: &Limits, progress: &'p mut dyn Progress) -> Self {
        let mut report = Report { entity_count: file.len(), ..Report::default() };
        report.remarks = core::mem::take(&mut file.remarks);
        report.remarks_dropped = file.remarks_dropped;
        report.writer = if file.header.system.is_empty() { file.header.preprocessor.clone() } else { file.header.system.clone() };
        report.preprocessor = file.header.preprocessor.clone();
        let lookup = Lookup::new(&file);
        Self {
            file,
            budget: Budget::new(limits),
            lookup,
            looks: Looks::default(),
            contexts: BTreeMap::new(),
            first_length: None,
            met: BTreeSet::new(),
            limits: *limits,
            progress,
            trail: Vec::new(),
            report,
        }
    }

    pub(super) fn limits(&self) -> &Limits {
        &self.limits
    }

    pub(super) fn finish(mut self) -> Report {
        let named: Vec<&str> = self.looks.hidings.iter().filter(|h| h.1).map(|h| h.0.as_str()).collect();
        if self.report.hidden_faces > 0 {
            let count = self.report.hidden_faces;
            let mut text =
                format!("{count} faces are marked invisible and left out: {}", named.get(..MOST_NAMED).unwrap_or(&named).join(", "));
            if named.len() > MOST_NAMED {
                text += &format!(" and {} more", named.len() - MOST_NAMED);
            }
            self.remark(self.looks.hidden_at, text);
        }
        self.report
    }

    /// True when what the file hides is read too.
    pub(super) fn reads_hidden(&self) -> bool {
        self.limits.hidden
    }

    /// Counts faces left out because the file hides them.
    pub(super) fn note_hidden(&mut self, faces: usize) {
        self.report.hidden_faces = self.report.hidden_faces.saturating_add(faces);
    }

    /// Reads entity `id` and works on it, watching that it is not already being worked on further out.
    pub(super) fn within<T>(&mut self, id: u64, work: impl FnOnce(&mut Self, &Instance<'a>) -> Result<T, Fault>) -> Result<T, Fault> {
        let instance = self.file.get(id)?;
        if self.trail.contains(&id) {
            return Err(instance.fault(Reason::Loop));
        }
        if self.trail.len() >= self.limits.depth {
            return Err(instance.fault(Reason::Geometry("it is nested deeper than the limit")));
        }
        self.trail.push(id);
        let result = work(self, &instance);
        self.trail.pop();
        result
    }

    /// Works as if the entity being read were not, because the work reads that same entity again.
    pub(super) fn outside<T>(&mut self, work: impl FnOnce(&mut Self) -> T) -> T {
        let own = self.trail.pop();
        let result = work(self);
        self.trail.extend(own);
        result
    }

    /// Notes something odd.
    pub(super) fn remark(&mut self, at: Source, text: String) {
        self.report.remark(at, text, self.limits.remarks);
    }

    /// Notes something wrong that was mended, and how far off it was, mm.
    pub(super) fn repair(&mut self, at: Source, text: String, size: Option<f64>) {
        self.report.mended(Repair { entity: at.entity, line: at.line, text, size }, self.limits.remarks);
    }

    /// Lists `at` (a face, or an item without faces) as unread because of `fault`; a used-up limit ends the reading.
    pub(super) fn unread(&mut self, at: Source, kind: &str, fault: &Fault, faces_lost: usize) -> Result<(), ReadError> {
        self.report.unread(at, kind, fault, fault.reason == Reason::Unsupported, faces_lost, self.limits.unread)
    }

    /// Lists a sound item that is not read.
    pub(super) fn unread_item(&mut self, at: Source, kind: &str, reason: &str, faces_lost: usize) {
        let unread = Unread { entity: at.entity, kind: kind.into(), line: at.line, reason: reason.into(), faces_lost, damaged: false };
        self.report.leave_out(unread, self.limits.unread);
    }

    /// Keeps the largest uncertainty stated, mm.
    pub(super) fn note_uncertainty(&mut self, mm: f64) {
        let largest = self.report.uncertainty.map_or(mm, |u| u.max(mm));
        self.report.uncertainty = Some(largest);
    }

    /// Reports that one more face is done.
    pub(super) fn step(&mut self) -> Result<(), ReadError> {
        let (done, total) = (self.met.len(), self.lookup.faces.len());
        // Every face would flood the receiver of small files' reports.
        if done % 16 == 0 || done == total {
            self.progress.report(Stage::Read, done, total);
            if self.progress.cancelled() {
                return Err(ReadError::cancelled());
            }
        }
        Ok(())
    }
}
