//! What trials did to the review.

use super::joins_changed::{JoinChange, joins_changed};
use super::sentence::{Helps, told};
use crate::exchange::{Import, Report};
use crate::finding::Finding;
use crate::joins::{Cancelled, JoinGraph};
use crate::measure::Memo;
use crate::model::FaceId;
use crate::progress::Progress;
use crate::reference::Reference;
use crate::review::revision::{Carried, FaceMatches, carried_by};
use crate::review::{Options, Prepared, ZonePlan, judged};
use crate::trial::{Applied, BothWays, Trials};

/// The review of the imported model.
#[derive(Debug, Clone, Copy)]
pub struct Before<'a> {
    /// The model.
    pub prepared: &'a Prepared,
    /// Its joins.
    pub graph: &'a JoinGraph,
    /// What was found on it.
    pub findings: &'a [Finding],
    /// What it is held against, if anything.
    pub reference: Option<&'a Reference>,
    /// The limits and zones it was judged by.
    pub options: &'a Options,
}

/// What trials did.
#[derive(Debug)]
pub struct Outcome {
    /// The model with the trials made, and what each did.
    pub applied: Applied,
    /// That model, ready to be measured.
    pub prepared: Prepared,
    /// Its joins.
    pub graph: JoinGraph,
    /// What is found on it, by its own face ids ([`Applied::origin`]).
    pub findings: Vec<Finding>,
    /// What became of the findings of the import.
    pub carried: Vec<Carried>,
    /// The joins of changed faces.
    pub joins: Vec<JoinChange>,
    /// How far each change lies from what was, one a change.
    pub deviations: Vec<BothWays>,
    /// Whether it helps.
    pub helps: Helps,
    /// The same in a sentence.
    pub sentence: String,
}

/// Makes the trials that are on and judges the whole model again, by the same limits. `about` is the finding of the import that they are
/// to mend; without one the sentence is about all of them.
///
/// # Errors
/// When cancelled.
pub fn outcome(before: &Before<'_>, trials: &Trials, about: Option<usize>, progress: &mut dyn Progress) -> Result<Outcome, Cancelled> {
    let applied = trials.apply(&before.prepared.import.model);
    let prepared = Prepared::new(Import { model: applied.model.clone(), report: Report::default() });
    let mut graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &before.options.joins, progress)?;
    let place = |id: FaceId| applied.face(id).or_else(|| into(&applied, id));
    let options = Options { zones: moved_zones(&before.options.zones, &applied), ..before.options.clone() };
    let findings = judged(&prepared, &mut graph, &Memo::default(), before.reference, &options, progress);
    if progress.cancelled() {
        return Err(Cancelled);
    }
    let count = before.prepared.import.model.faces.len();
    let map = FaceMatches::of_ids((0..count).map(|i| place(FaceId::new(i)).into_iter().collect()).collect());
    let carried = carried_by(&map, before.findings, &findings, true, |_| true, &options.yardstick);
    let joins = joins_changed(before.graph, &graph, &applied.origin, &applied.changed);
    let deviations = applied.changes.iter().map(crate::trial::Change::deviation).collect();
    let (helps, sentence) = told(before.findings, &findings, &carried, about, &applied);
    Ok(Outcome { applied, prepared, graph, findings, carried, joins, deviations, helps, sentence })
}

/// The face that another has become part of.
fn into(applied: &Applied, id: FaceId) -> Option<FaceId> {
    let mut id = id;
    // Merged more than once, a face is part of the last one.
    for change in &applied.changes {
        if let (true, Some(&first)) = (change.faces.contains(&id) && change.after.len() < change.before.len(), change.faces.first()) {
            id = first;
        }
    }
    applied.face(id)
}

/// What is said of single faces, said of those in their places.
fn moved_zones(plan: &ZonePlan, applied: &Applied) -> ZonePlan {
    let picked = plan.picked.iter().filter_map(|&(id, zone)| Some((applied.face(id)?, zone))).collect();
    ZonePlan { picked, ..plan.clone() }
}
