//! A mesh or a model to hold others against.

use super::{ENDS, MeshIndex, ModelIndex, TOUCHING};
use crate::geometry::{Domain, Surface};
use crate::joins::Sheets;
use crate::model::{Face, FaceId, Model};
use crate::progress::Progress;
use core::fmt;

/// Distance from which on reference and model are not near each other, mm: what of the one lies farther from the other is missing or
/// extra, not off by a distance. Common practice, no source.
pub const FAR: f64 = 5.0;

/// A reference made ready.
#[derive(Debug, Clone)]
pub struct Reference {
    pub(super) shape: Shape,
    /// Name of the file it came from, or what else it is called.
    pub name: String,
    /// Distance from which on reference and model are not near each other, mm, > 0.
    pub far: f64,
    /// True of an ideal flow to look at, such as a sweep: nothing asks that the model follow it, and it covers a part of it only.
    pub ideal: bool,
}

#[derive(Debug, Clone)]
pub(super) enum Shape {
    Mesh(MeshIndex),
    Model(Box<Held>),
}

/// A model that is a reference.
#[derive(Debug, Clone)]
pub(super) struct Held {
    pub(super) model: Model,
    pub(super) domains: Vec<Option<Domain>>,
    pub(super) index: ModelIndex,
}

/// Why there is nothing to hold a model against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReferenceError;

impl fmt::Display for ReferenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the reference has neither a face with a boundary nor a triangle")
    }
}

impl std::error::Error for ReferenceError {}

impl Reference {
    /// Prepares the faces of a model or, of one without, its triangles. What is nearer than `far` > 0, mm, is near ([`FAR`] for
    /// what is no such number).
    ///
    /// # Errors
    /// When it has neither.
    pub fn new(name: &str, model: Model, far: f64, progress: &mut dyn Progress) -> Result<Self, ReferenceError> {
        let far = if far > 0.0 && far.is_finite() { far } else { FAR };
        if model.faces.is_empty() {
            let mesh = MeshIndex::new(&model.meshes).ok_or(ReferenceError)?;
            return Ok(Self { shape: Shape::Mesh(mesh), name: name.into(), far, ideal: false });
        }
        let domains: Vec<Option<Domain>> = model.faces().map(|(id, _)| model.domain(id).ok()).collect();
        Self::of_faces(name, model, domains, far, progress)
    }

    /// Prepares the faces of a model whose domains are known, one a face.
    ///
    /// # Errors
    /// When none of them has one of its own.
    pub fn of_faces(
        name: &str,
        model: Model,
        domains: Vec<Option<Domain>>,
        far: f64,
        progress: &mut dyn Progress,
    ) -> Result<Self, ReferenceError> {
        let far = if far > 0.0 && far.is_finite() { far } else { FAR };
        let sense = |id: FaceId| Some(if model.face(id)?.same_sense { 1.0 } else { -1.0 });
        let index = ModelIndex::new(&Sheets { model: &model, domains: &domains }, sense, progress);
        if index.faces().next().is_none() {
            return Err(ReferenceError);
        }
        Ok(Self { shape: Shape::Model(Box::new(Held { model, domains, index })), name: name.into(), far, ideal: false })
    }

    /// One whole surface as an ideal flow, such as a sweep between rails.
    ///
    /// # Errors
    /// When it has no bounds.
    pub fn of_surface(name: &str, surface: Surface, far: f64, progress: &mut dyn Progress) -> Result<Self, ReferenceError> {
        let model = Model { faces: vec![Face::whole(surface)], parts: vec![String::new()], ..Model::default() };
        Ok(Self { ideal: true, ..Self::new(name, model, far, progress)? })
    }

    /// `mesh`, `model`, or `sweep` of an ideal flow.
    pub fn kind(&self) -> &'static str {
        match self.shape {
            _ if self.ideal => "sweep",
            Shape::Mesh(_) => "mesh",
            Shape::Model(_) => "model",
        }
    }

    /// How far a place may lie past the border and still be over it, mm: a sweep's borders run within some tolerance of the patch's.
    pub fn slack(&self) -> f64 {
        if self.ideal { ENDS } else { TOUCHING }
    }

    /// The surface of an ideal flow; None of a file.
    pub fn surface(&self) -> Option<&Surface> {
        match &self.shape {
            Shape::Model(held) if self.ideal => held.model.faces.first().map(|f| &f.surface),
            _ => None,
        }
    }

    /// Its triangles, or its faces that can be held against.
    pub fn count(&self) -> usize {
        match &self.shape {
            Shape::Mesh(mesh) => mesh.triangle_count(),
            Shape::Model(held) => held.index.faces().count(),
        }
    }
}

impl Held {
    pub(super) fn sheets(&self) -> Sheets<'_> {
        Sheets { model: &self.model, domains: &self.domains }
    }
}
