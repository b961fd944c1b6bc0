//! The whole check at once.

use super::record::Times;
use super::{Bounds, Check, Prepared, ranked};
use crate::exchange::{self, ReadError, ReadErrorKind};
use crate::finding::{Finding, Limits, MeasureId, Yardstick, Zone};
use crate::joins::{self, JoinGraph, Reach};
use crate::measure::{self, Judge, Memo, Subject};
use crate::progress::Progress;
use crate::reference::Reference;
use crate::tessellate::{Tolerance, tessellate};

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
    run_against(bytes, file_name, None, options, progress, clock)
}

/// The same, held against a reference where there is one.
///
/// # Errors
/// As [`run`].
pub fn run_against(
    bytes: &[u8],
    file_name: &str,
    reference: Option<&Reference>,
    options: &Options,
    progress: &mut dyn Progress,
    clock: &mut dyn FnMut() -> f64,
) -> Result<Check, ReadError> {
    let start = clock();
    let prepared = Prepared::new(exchange::read(bytes, file_name, &options.limits, progress)?);
    let read = clock();
    let model = &prepared.import.model;
    let meshes = tessellate(model, &prepared.domains, &Tolerance::for_model(model), progress);
    let mut bounds = Bounds::default();
    for ((mesh, face), domain) in meshes.faces.iter().zip(&model.faces).zip(&prepared.domains) {
        if let Some(mesh) = mesh {
            bounds.add(mesh, face, domain.as_ref());
        }
    }
    model.curves.iter().for_each(|c| bounds.add_curve(c));
    bounds.add_references(model);
    let meshed = clock();
    let mut graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, progress).map_err(|_| cancelled())?;
    let joined = clock();
    let memo = Memo::default();
    let found = judged(&prepared, &mut graph, &memo, reference, options, progress);
    if progress.cancelled() {
        return Err(cancelled());
    }
    let times = Times { import_ms: read - start, tessellate_ms: meshed - read, joins_ms: joined - meshed };
    let subject = Subject { sheets: prepared.sheets(), areas: &prepared.areas, graph: &graph, memo: &memo, reference };
    Ok(Check::new(file_name, &prepared, bounds.corners(), &subject, &found, Some(times)))
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

fn cancelled() -> ReadError {
    ReadError { kind: ReadErrorKind::Cancelled, entity: None, line: None, message: "the check was cancelled".into() }
}
