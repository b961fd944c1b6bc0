//! A file read, meshed and joined, ready to be judged.

use super::record::Times;
use super::run::{Options, cancelled, judged};
use super::{Bounds, Prepared};
use crate::exchange::{self, ReadError};
use crate::finding::{Finding, Zones};
use crate::joins::JoinGraph;
use crate::measure::{Memo, Subject};
use crate::progress::Progress;
use crate::reference::Reference;
use crate::tessellate::{Tolerance, tessellate};

/// What a judgement needs of a file.
#[derive(Debug)]
pub struct Opened {
    /// Base name of the file.
    pub name: String,
    /// The model.
    pub prepared: Prepared,
    /// Its box.
    pub bounds: Bounds,
    /// Its joins.
    pub graph: JoinGraph,
    /// What no limit changes.
    pub memo: Memo,
    /// How long the steps took.
    pub times: Times,
}

impl Opened {
    /// Reads, meshes and joins the bytes of a file. `clock` answers milliseconds; only differences count.
    ///
    /// # Errors
    /// When no model can be made, or when cancelled.
    pub fn read(
        bytes: &[u8],
        name: &str,
        options: &Options,
        progress: &mut dyn Progress,
        clock: &mut dyn FnMut() -> f64,
    ) -> Result<Self, ReadError> {
        let start = clock();
        let prepared = Prepared::new(exchange::read(bytes, name, &options.limits, progress)?);
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
        let graph = JoinGraph::find(&prepared.sheets(), &prepared.areas, &options.joins, progress).map_err(|_| cancelled())?;
        let times = Times { import_ms: read - start, tessellate_ms: meshed - read, joins_ms: clock() - meshed };
        Ok(Self { name: name.into(), prepared, bounds, graph, memo: Memo::default(), times })
    }

    /// Findings, ranked.
    pub fn judge(&mut self, reference: Option<&Reference>, options: &Options, progress: &mut dyn Progress) -> Vec<Finding> {
        judged(&self.prepared, &mut self.graph, &self.memo, reference, options, progress)
    }

    /// The zones of its faces.
    pub fn zones(&self, options: &Options) -> Zones {
        options.zones.of(&self.prepared.import.model)
    }

    /// What measures are told of it.
    pub fn subject<'a>(&'a self, reference: Option<&'a Reference>) -> Subject<'a> {
        Subject { sheets: self.prepared.sheets(), areas: &self.prepared.areas, graph: &self.graph, memo: &self.memo, reference }
    }
}
