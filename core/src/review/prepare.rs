//! A model made ready to be drawn and measured.

use super::repairs::{self, FaceRepair};
use crate::exchange::Import;
use crate::geometry::Domain;
use crate::joins::Sheets;
use crate::model::{DomainError, FaceId, Model};

/// An import with the domain and area of every face.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// What was read.
    pub import: Import,
    /// One a face; None where nothing of it can be shown.
    pub domains: Vec<Option<Domain>>,
    /// Why those are missing.
    pub faults: Vec<DomainError>,
    /// Faces shown without their trims, in file order. They are no part of joins, measures and areas.
    pub untrimmed: Vec<Untrimmed>,
    /// What was mended while reading, in file order, then in the trims, by face; one a face and kind.
    pub repairs: Vec<FaceRepair>,
    /// Area of each face, mm²; 0 without a domain of its own.
    pub areas: Vec<f64>,
}

/// A face whose loops could not be used: its whole surface is shown instead.
#[derive(Debug, Clone, PartialEq)]
pub struct Untrimmed {
    /// The face.
    pub face: FaceId,
    /// Its entity id.
    pub entity: u64,
    /// Its line, from 1; 0 when unknown.
    pub line: u32,
    /// Why, in words for the user.
    pub reason: String,
}

impl Prepared {
    /// Lays every face's boundary on its surface.
    pub fn new(import: Import) -> Self {
        let count = import.model.faces.len();
        let mut repairs = repairs::of_reading(&import);
        let (mut faults, mut untrimmed) = (Vec::new(), Vec::new());
        let (mut domains, mut areas) = (Vec::with_capacity(count), Vec::with_capacity(count));
        for (id, face) in import.model.faces() {
            let domain = import.model.domain(id).map_err(|e| faults.push(e)).ok();
            if let Some(d) = &domain {
                untrimmed.extend(d.untrimmed.map(|fault| shown_whole(&import.model, &import.model.domain_error(id, fault))));
                repairs.extend(repairs::of_domain(id, face.source, &d.repairs));
            }
            let area = domain.as_ref().filter(|d| d.untrimmed.is_none()).map_or(0.0, |d| d.area(&face.surface));
            areas.push(if area.is_finite() { area } else { 0.0 });
            domains.push(domain);
        }
        Self { import, domains, faults, untrimmed, repairs, areas }
    }

    /// The faces with their borders.
    pub fn sheets(&self) -> Sheets<'_> {
        Sheets { model: &self.import.model, domains: &self.domains }
    }
}

fn shown_whole(model: &Model, error: &DomainError) -> Untrimmed {
    let lost = model.face(error.face).and_then(|f| f.boundary_lost.as_deref());
    let mut reason = error.fault.to_string();
    if let Some(edge) = error.edge {
        reason.push_str(&format!(" (edge #{}, line {})", edge.entity, edge.line));
    }
    if let Some(lost) = lost {
        reason.push_str(": ");
        reason.push_str(lost);
    }
    Untrimmed { face: error.face, entity: error.source.entity, line: error.source.line, reason }
}
