//! What a reader answers: the model with its report, or why there is none.

use crate::model::{Model, Source};
use core::fmt;

pub(super) use super::fault::{Fault, Reason};

/// A model and what is to be said about how it was read.
#[derive(Debug, Clone)]
pub struct Import {
    /// The model.
    pub model: Model,
    /// What was left out and what was odd.
    pub report: Report,
}

/// What was left out, what was mended and what was odd.
#[derive(Debug, Clone, Default)]
pub struct Report {
    /// Which format it is.
    pub format: Format,
    /// The program that made the file, as the file says; empty when it does not.
    pub writer: String,
    /// The library or module that wrote it, as the file says; empty when it does not.
    pub preprocessor: String,
    /// Entities in the file.
    pub entity_count: usize,
    /// Faces the file marks as invisible (or blanked), left out unless [`super::Limits::hidden`] asks for them.
    pub hidden_faces: usize,
    /// What was wrong and mended while reading. What trims need is mended later, when domains are built.
    pub repairs: Vec<Repair>,
    /// Millimetres taken for the file's unit of length on the caller's word ([`super::Limits::unit`]); None: as stated.
    pub unit_override: Option<f64>,
    /// Everything that carries shape and is not in the model, in file order of its appearance.
    pub unread: Vec<Unread>,
    /// Oddities that were read around.
    pub remarks: Vec<Remark>,
    /// Remarks beyond the limit, counted only.
    pub remarks_dropped: usize,
    /// The file's own statement of how far apart points may lie and still be the same, mm; the largest one.
    pub uncertainty: Option<f64>,
}

impl Import {
    /// The model with its report, or why nothing of it can be shown: the first damage, if that is the cause.
    ///
    /// # Errors
    /// When there is neither shape nor anything sound that is merely hidden or of a type not read.
    pub(super) fn shown(model: Model, report: Report) -> Result<Self, ReadError> {
        let nothing = model.faces.is_empty() && model.curves.is_empty() && report.hidden_faces == 0;
        if nothing && !report.unread.iter().any(|u| u.faces_lost > 0 && !u.damaged) {
            return Err(report.no_shape());
        }
        Ok(Self { model, report })
    }
}

impl Report {
    fn no_shape(&self) -> ReadError {
        if let Some(u) = self.unread.iter().find(|u| u.faces_lost > 0) {
            return ReadError::file(Source { entity: u.entity, line: u.line }, format!("no face could be read; the first: {}", u.reason));
        }
        if let Some(u) = self.unread.first() {
            let message = format!("the file holds no face; the first thing left out is {}: {}", u.kind, u.reason);
            return ReadError::file(Source { entity: u.entity, line: u.line }, message);
        }
        if let Some(r) = self.remarks.first() {
            let at = Source { entity: r.entity.unwrap_or(0), line: r.line.unwrap_or(0) };
            return ReadError::file(at, format!("the file holds no face; the first oddity: {}", r.text));
        }
        let message = format!("the file holds no face among its {} entities", self.entity_count);
        ReadError::file(Source::default(), message)
    }

    /// Notes something odd, once where it is said twice in a row; beyond `most` further ones are only counted.
    pub(super) fn remark(&mut self, at: Source, text: String, most: usize) {
        if self.remarks.len() >= most {
            self.remarks_dropped += 1;
            return;
        }
        let remark = Remark { entity: (at.entity > 0).then_some(at.entity), line: (at.line > 0).then_some(at.line), text };
        if self.remarks.last() != Some(&remark) {
            self.remarks.push(remark);
        }
    }

    /// Lists `at` as left out because of `fault`, under the type that stopped the reader, or `kind` where the fault names
    /// none. `sound`: the file is not at fault.
    ///
    /// # Errors
    /// A used-up limit, which ends the reading.
    pub(super) fn unread(
        &mut self,
        at: Source,
        kind: &str,
        fault: &Fault,
        sound: bool,
        faces_lost: usize,
        most: usize,
    ) -> Result<(), ReadError> {
        fault.stops()?;
        let kind = if fault.kind.is_empty() { kind } else { &fault.kind };
        let reason = fault.to_string();
        let unread = Unread { entity: at.entity, kind: kind.into(), line: at.line, reason, faces_lost, damaged: !sound };
        self.leave_out(unread, most);
        Ok(())
    }

    /// Notes a repair; beyond `most`, hostile files could ask for one a line, so that further ones are only counted.
    pub(super) fn mended(&mut self, repair: Repair, most: usize) {
        if self.repairs.len() < most {
            self.repairs.push(repair);
        } else {
            self.remarks_dropped += 1;
        }
    }

    /// Lists something left out. Behind `most` entries one more stands for all the rest: it has no entity and no line.
    pub(super) fn leave_out(&mut self, unread: Unread, most: usize) {
        if self.unread.len() < most {
            self.unread.push(unread);
            return;
        }
        if self.unread.len() == most {
            let reason = "more is left out than is listed one by one".into();
            self.unread.push(Unread { entity: 0, kind: "others".into(), line: 0, reason, faces_lost: 0, damaged: true });
        }
        if let Some(rest) = self.unread.last_mut() {
            rest.faces_lost += unread.faces_lost;
            rest.damaged &= unread.damaged;
        }
    }

    /// Number of faces the file has and the model lacks.
    pub fn faces_lost(&self) -> usize {
        self.unread.iter().map(|u| u.faces_lost).sum()
    }
}

/// File formats that are read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Format {
    /// ISO 10303-21.
    #[default]
    Step,
    /// IGES 5.3, fixed or compressed.
    Iges,
    /// STL, binary or ASCII.
    Stl,
    /// PLY, binary or ASCII.
    Ply,
}

impl Format {
    /// Its usual short name.
    pub fn name(self) -> &'static str {
        match self {
            Format::Step => "STEP",
            Format::Iges => "IGES",
            Format::Stl => "STL",
            Format::Ply => "PLY",
        }
    }
}

/// Something wrong in the file that was mended because its intent was plain.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// Entity id of the face, or of what was mended.
    pub entity: u64,
    /// Its line, from 1; 0 when unknown.
    pub line: u32,
    /// What was mended, in words for the user.
    pub text: String,
    /// How far off it was, mm, where that is a length.
    pub size: Option<f64>,
}

/// Something with shape that is not in the model.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// Entity id of the face, or of the item itself where it is no face.
    pub entity: u64,
    /// Entity type that stopped the reader: of the surface or curve not read, or of the item.
    pub kind: String,
    /// Line of the entity, from 1.
    pub line: u32,
    /// Why, in words for the user.
    pub reason: String,
    /// Faces missing from the model because of it; 0 for free curves.
    pub faces_lost: usize,
    /// True when the file is at fault; false for a sound entity of a type that is not read.
    pub damaged: bool,
}

/// Something odd that was read around.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Entity id, where there is one.
    pub entity: Option<u64>,
    /// Line, where known, from 1.
    pub line: Option<u32>,
    /// What, in words for the user.
    pub text: String,
}

/// Who can act on a failed reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ReadErrorKind {
    /// The file is of no known format: choose another file.
    Format,
    /// The file is damaged, cut off or without shape: ask its author.
    File,
    /// The file is larger than the limits: the caller may raise them.
    Limit,
    /// The caller cancelled.
    Cancelled,
}

/// Why no model could be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadError {
    /// Who can act.
    pub kind: ReadErrorKind,
    /// Entity where reading ended, if in one.
    pub entity: Option<u64>,
    /// Line, from 1, if known.
    pub line: Option<u32>,
    /// What was wrong and what was expected.
    pub message: String,
}

impl ReadError {
    pub(super) fn file(at: Source, message: String) -> Self {
        Self { kind: ReadErrorKind::File, entity: (at.entity > 0).then_some(at.entity), line: (at.line > 0).then_some(at.line), message }
    }

    pub(super) fn format(message: String) -> Self {
        Self { kind: ReadErrorKind::Format, entity: None, line: Some(1), message }
    }

    pub(super) fn limit(message: String) -> Self {
        Self { kind: ReadErrorKind::Limit, entity: None, line: None, message }
    }

    pub(super) fn cancelled() -> Self {
        Self { kind: ReadErrorKind::Cancelled, entity: None, line: None, message: "reading was cancelled".into() }
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.line, self.entity) {
            (Some(line), Some(entity)) => write!(f, "line {line}, entity #{entity}: {}", self.message),
            (Some(line), None) => write!(f, "line {line}: {}", self.message),
            (None, Some(entity)) => write!(f, "entity #{entity}: {}", self.message),
            (None, None) => f.write_str(&self.message),
        }
    }
}

impl std::error::Error for ReadError {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_out_is_listed_up_to_a_limit_and_counted_beyond() {
        for (n, most, listed) in [(2usize, 5, 2), (5, 5, 5), (6, 5, 6), (100, 5, 6), (3, 0, 1)] {
            let mut report = Report::default();
            for entity in 0..n as u64 {
                let damaged = entity != 99;
                let unread = Unread { entity, kind: "X".into(), line: 1, reason: "y".into(), faces_lost: 2, damaged };
                report.leave_out(unread, most);
            }
            assert_eq!((report.unread.len(), report.faces_lost()), (listed, 2 * n));
            assert_eq!(report.unread.last().is_some_and(|u| u.damaged), n != 100);
        }
    }

    #[test]
    fn repairs_are_kept_up_to_a_limit_and_counted_beyond() {
        let mut report = Report::default();
        for entity in 0..9 {
            report.mended(Repair { entity, line: 1, text: "x".into(), size: None }, 4);
        }
        assert_eq!((report.repairs.len(), report.remarks_dropped), (4, 5));
    }
}
