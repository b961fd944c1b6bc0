//! The whole check at once.

use super::opened::Opened;
use super::revision::{Judged, RevisionRecord, carried};
use super::{Check, Prepared, ranked};
use crate::exchange::{self, ReadError, ReadErrorKind};
use crate::finding::{Finding, Limits, MeasureId, Yardstick, Zone};
use crate::joins::{self, JoinGraph, Reach};
use crate::measure::{self, Judge, Memo, Subject};
use crate::progress::Progress;
use crate::reference::Reference;

/// What a check is made with.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// What reading may cost.
    pub limits: exchange::Limits,
    /// How joins are looked for.
    pub joins: joins::Options,
    /// The limits.
    pub yardstick: Yardstick,
    /// Which column of them.
    pub zone: Zone,
}

/// What a file is put beside.
#[derive(Debug, Clone, Copy, Default)]
pub struct Beside<'a> {
    /// What it is held against.
    pub reference: Option<&'a Reference>,
    /// Name and bytes of the revision before it.
    pub earlier: Option<(&'a str, &'a [u8])>,
}

/// Reads, meshes, joins and measures the bytes of a file. `clock` answers milliseconds; only differences count.
///
/// # Errors
/// When no model can be made, or when cancelled.
pub fn run(
    bytes: &[u8],
    file_name: &str,
    options: &Options,
    progress: &mut dyn Progress,
    clock: &mut dyn FnMut() -> f64,
) -> Result<Check, ReadError> {
    run_beside(bytes, file_name, Beside::default(), options, progress, clock)
}

/// The same, beside a reference or an earlier revision, which is judged by the same limits.
///
/// # Errors
/// As [`run`]; the message of one about the earlier revision begins with its name.
pub fn run_beside(
    bytes: &[u8],
    file_name: &str,
    beside: Beside<'_>,
    options: &Options,
    progress: &mut dyn Progress,
    clock: &mut dyn FnMut() -> f64,
) -> Result<Check, ReadError> {
    run_kept(bytes, file_name, beside, options, progress, clock).map(|(_, check)| check)
}

/// The same, with what the check was made of, for whoever tells more of it than the check does.
///
/// # Errors
/// As [`run_beside`].
pub fn run_kept(
    bytes: &[u8],
    file_name: &str,
    beside: Beside<'_>,
    options: &Options,
    progress: &mut dyn Progress,
    clock: &mut dyn FnMut() -> f64,
) -> Result<(Opened, Check), ReadError> {
    let mut opened = Opened::read(bytes, file_name, options, progress, clock)?;
    let found = opened.judge(beside.reference, options, progress);
    let before = beside.earlier.map(|(name, bytes)| {
        let about = |e: ReadError| ReadError { message: format!("{name}: {}", e.message), ..e };
        let mut earlier = Opened::read(bytes, name, options, progress, &mut || 0.0).map_err(about)?;
        let findings = earlier.judge(None, options, progress);
        Ok::<_, ReadError>((earlier, findings))
    });
    let before = before.transpose()?;
    if progress.cancelled() {
        return Err(cancelled());
    }
    let subject = opened.subject(beside.reference);
    let mut check = Check::new(file_name, &opened.prepared, opened.bounds.corners(), &subject, &found, Some(opened.times));
    check.revision = before.map(|(earlier, findings)| {
        let was = earlier.subject(None);
        let all =
            carried(&Judged { subject: &was, findings: &findings }, &Judged { subject: &subject, findings: &found }, &options.yardstick);
        RevisionRecord::new(&earlier.name, &findings, &all)
    });
    Ok((opened, check))
}

/// Joins classed and findings ranked by the limits of `options`; nothing is measured again. Takes time the first time only that
/// a `memo` is given for the same joins and the same reference.
pub fn judged(
    prepared: &Prepared,
    graph: &mut JoinGraph,
    memo: &Memo,
    reference: Option<&Reference>,
    options: &Options,
    progress: &mut dyn Progress,
) -> Vec<Finding> {
    let sheets = prepared.sheets();
    if graph.reclass(&sheets, &held_to(&options.joins.reach, &options.yardstick, options.zone)) {
        memo.creases_changed();
    }
    let subject = Subject { sheets, areas: &prepared.areas, graph, memo, reference };
    found(&subject, Judge { yardstick: &options.yardstick, zone: options.zone }, progress)
}

/// How far an order may be off and still count as reached: by the strictest limit of the zone, and as in `usual` where the
/// zone has none.
fn held_to(usual: &Reach, yardstick: &Yardstick, zone: Zone) -> Reach {
    let limit = |measure, usual| yardstick.limits(measure, zone).and_then(Limits::strictest).unwrap_or(usual);
    Reach {
        gap: limit(MeasureId::JoinPosition, usual.gap),
        angle: limit(MeasureId::JoinTangent, usual.angle),
        curvature: limit(MeasureId::JoinCurvature, usual.curvature),
        slope: limit(MeasureId::JoinCurvatureSlope, usual.slope),
        ..*usual
    }
}

/// All findings, ranked, with joins classed as they are.
pub fn findings(prepared: &Prepared, graph: &JoinGraph, yardstick: &Yardstick, zone: Zone, progress: &mut dyn Progress) -> Vec<Finding> {
    let memo = Memo::default();
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph, memo: &memo, reference: None };
    found(&subject, Judge { yardstick, zone }, progress)
}

fn found(subject: &Subject<'_>, judge: Judge<'_>, progress: &mut dyn Progress) -> Vec<Finding> {
    ranked(measure::run(subject, &judge, progress), judge.yardstick)
}

pub(super) fn cancelled() -> ReadError {
    ReadError { kind: ReadErrorKind::Cancelled, entity: None, line: None, message: "the check was cancelled".into() }
}
