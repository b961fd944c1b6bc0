//! The model with the trials made.

use super::bench::Bench;
use super::border::rebordered;
use super::{Change, TrialError, Trials};
use crate::exchange::write::{self, StepOptions, Written};
use crate::geometry::{Domain, Surface};
use crate::model::{FaceId, Model};
use crate::nurbs;

/// A trial that could not be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    /// Index of the trial.
    pub trial: usize,
    /// Why. What it would have changed is as it was before it.
    pub error: TrialError,
}

/// The model with the trials that are on.
#[derive(Debug, Clone)]
pub struct Applied {
    /// The model. Faces that no trial touches are those of the import; changed ones have borders of their own.
    pub model: Model,
    /// For each face of it, the id it has in the imported model.
    pub origin: Vec<FaceId>,
    /// Ids, in the imported model, of faces that differ from it or are part of another now, rising.
    pub changed: Vec<FaceId>,
    /// What each trial did, in order.
    pub changes: Vec<Change>,
    /// Trials that could not be made.
    pub failures: Vec<Failure>,
}

impl Trials {
    /// Makes the trials that are on, one upon the other. One that cannot be made is left out and listed; those after it are made.
    pub fn apply(&self, model: &Model) -> Applied {
        self.apply_over(model, &[])
    }

    /// The same where the domains of the faces are known already; `domains`: one a face, or none at all.
    pub fn apply_over(&self, model: &Model, domains: &[Option<Domain>]) -> Applied {
        let mut bench = Bench::with(model, domains);
        let (mut changes, mut failures) = (Vec::new(), Vec::new());
        for (trial, t) in self.list().iter().enumerate().filter(|(_, t)| t.on) {
            let outcome = match t.edit.made(&bench) {
                Ok(outcome) => outcome,
                Err(error) => {
                    failures.push(Failure { trial, error });
                    continue;
                }
            };
            let mut faces: Vec<FaceId> = outcome.set.iter().map(|s| s.0).collect();
            faces.extend(&outcome.gone);
            // As the edits see them: cut to the box of a face that is bounded so, and splines all.
            let before = faces.iter().filter_map(|&id| bench.sheet(id).ok()).map(|s| Surface::Nurbs(s.patch)).collect();
            bench.take(&outcome);
            let after = outcome.set.into_iter().map(|(_, s)| Surface::Nurbs(s.patch)).collect();
            changes.push(Change { trial, faces, before, after, moved: outcome.moved });
        }
        let mut made = Model {
            name: model.name.clone(),
            schema: model.schema.clone(),
            unit: model.unit.clone(),
            faces: Vec::with_capacity(model.faces.len()),
            edges: model.edges.clone(),
            vertices: model.vertices.clone(),
            curves: model.curves.clone(),
            meshes: model.meshes.clone(),
            parts: model.parts.clone(),
        };
        let (mut origin, mut changed) = (Vec::new(), Vec::new());
        for (id, face) in model.faces() {
            let face = match bench.changed().iter().find(|c| c.0 == id) {
                None => face.clone(),
                Some((_, now)) => {
                    changed.push(id);
                    let Some(sheet) = now else { continue };
                    rebordered(&bench, id, face, sheet, &mut made)
                }
            };
            made.faces.push(face);
            origin.push(id);
        }
        Applied { model: made, origin, changed, changes, failures }
    }
}

impl Applied {
    /// The whole model as a STEP file.
    pub fn step(&self, options: &StepOptions) -> Written {
        write::step(&self.model, options)
    }

    /// Only the faces that trials have changed, as a STEP file.
    pub fn step_of_changed(&self, options: &StepOptions) -> Written {
        let kept = self.origin.iter().zip(&self.model.faces).filter(|(id, _)| self.changed.contains(id));
        let faces = kept.map(|(_, f)| f.clone()).collect();
        write::step(&Model { faces, curves: Vec::new(), meshes: Vec::new(), ..self.model.clone() }, options)
    }

    /// The place that a face of the imported model has in this one; None where it is part of another now.
    pub fn face(&self, imported: FaceId) -> Option<FaceId> {
        self.origin.iter().position(|&id| id == imported).map(FaceId::new)
    }

    /// A face's patch as an edit after these trials sees it: clamped, a spline whatever the surface is, cut to the box of a face that is
    /// bounded so. `model`: the imported one.
    ///
    /// # Errors
    /// As the edit would say.
    pub fn patch(&self, model: &Model, imported: FaceId) -> Result<nurbs::Surface, TrialError> {
        if self.changed.binary_search(&imported).is_err() {
            return Ok(Bench::new(model).sheet(imported)?.patch);
        }
        let place = self.face(imported).ok_or(TrialError::Gone(imported))?;
        match self.model.face(place).map(|f| &f.surface) {
            Some(Surface::Nurbs(patch)) => Ok(patch.clone()),
            _ => Err(TrialError::NoFace(imported)),
        }
    }
}
