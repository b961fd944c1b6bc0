//! Trials seen only near what they change: quick enough to answer while somebody drags.

use super::joins_changed::{JoinChange, joins_changed};
use crate::geometry::Domain;
use crate::joins::{JoinGraph, Options, Sheets};
use crate::math::distinct;
use crate::model::FaceId;
use crate::review::Prepared;
use crate::tessellate::{FaceMesh, Tessellator, Tolerance};
use crate::trial::{Applied, Trials};

/// The faces that trials change, with the joins they have now.
#[derive(Debug)]
pub struct Tried {
    /// The model with the trials made.
    pub applied: Applied,
    /// The joins of changed faces.
    pub graph: JoinGraph,
    /// What became of the joins that changed faces had.
    pub joins: Vec<JoinChange>,
    /// Of changed faces and those beside them; None of all others, which take no part in the joins here.
    domains: Vec<Option<Domain>>,
}

impl Tried {
    /// Makes trials over a model whose joins are `before`.
    pub fn new(prepared: &Prepared, before: &JoinGraph, trials: &Trials, options: &Options) -> Self {
        let applied = trials.apply_over(&prepared.import.model, &prepared.domains);
        let changed = |id: &FaceId| applied.changed.binary_search(id).is_ok();
        let beside = before.joins.iter().filter(|j| j.faces.iter().any(changed)).flat_map(|j| j.faces.iter().copied());
        let near = distinct(beside.chain(applied.changed.iter().copied()));
        let domain = |(place, id): (usize, &FaceId)| {
            if changed(id) {
                applied.model.domain(FaceId::new(place)).ok()
            } else {
                near.binary_search(id).ok().and_then(|_| prepared.domains.get(id.index()).cloned().flatten())
            }
        };
        let domains: Vec<Option<Domain>> = applied.origin.iter().enumerate().map(domain).collect();
        let areas: Vec<f64> = applied.origin.iter().map(|id| prepared.areas.get(id.index()).copied().unwrap_or(0.0)).collect();
        let sheets = Sheets { model: &applied.model, domains: &domains };
        let places: Vec<FaceId> = applied.changed.iter().filter_map(|id| applied.face(*id)).collect();
        let graph = before.again(&sheets, &applied.origin, &places, &areas, options);
        let joins = joins_changed(before, &graph, &applied.origin, &applied.changed);
        Self { applied, graph, joins, domains }
    }

    /// A changed face, its borders within `chord` mm; None of one that trials do not change, or that is no more.
    pub fn mesh(&self, id: FaceId, tolerance: &Tolerance, chord: f64) -> Option<FaceMesh> {
        self.applied.changed.binary_search(&id).ok()?;
        let place = self.applied.face(id)?;
        Tessellator::sharp(&self.applied.model, &self.domains, tolerance, chord, &[place]).face(place).ok()
    }

    /// The index, among the joins now, of one of the joins before.
    pub fn join_now(&self, before: usize) -> Option<usize> {
        self.joins.iter().find(|j| j.was == Some(before))?.index
    }
}
