//! A model made ready to be drawn and measured.

use crate::exchange::Import;
use crate::geometry::Domain;
use crate::joins::Sheets;
use crate::model::DomainError;

/// An import with the domain and area of every face.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// What was read.
    pub import: Import,
    /// One a face; None where its boundary makes no sense.
    pub domains: Vec<Option<Domain>>,
    /// Why those are missing.
    pub faults: Vec<DomainError>,
    /// Area of each face, mm²; 0 without a domain.
    pub areas: Vec<f64>,
}

impl Prepared {
    /// Lays every face's boundary on its surface.
    pub fn new(import: Import) -> Self {
        let mut faults = Vec::new();
        let mut domains = Vec::with_capacity(import.model.faces.len());
        let mut areas = Vec::with_capacity(import.model.faces.len());
        for (id, face) in import.model.faces() {
            let domain = import.model.domain(id).map_err(|e| faults.push(e)).ok();
            let area = domain.as_ref().map_or(0.0, |d| d.area(&face.surface));
            areas.push(if area.is_finite() { area } else { 0.0 });
            domains.push(domain);
        }
        Self { import, domains, faults, areas }
    }

    /// The faces with their borders.
    pub fn sheets(&self) -> Sheets<'_> {
        Sheets { model: &self.import.model, domains: &self.domains }
    }
}
