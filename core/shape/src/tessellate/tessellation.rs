//! All faces of a model as triangles.

use super::borders::Borders;
use super::{FaceMesh, FillError, Tolerance};
use crate::geometry::Domain;
use crate::math::distinct;
use crate::model::{EdgeId, Face, FaceId, Model};
use crate::progress::{Progress, Stage};
use core::fmt;

/// The meshes of a model's faces.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tessellation {
    /// By face number; none where it failed or work was cancelled before it.
    pub faces: Vec<Option<FaceMesh>>,
    /// Faces that could not be meshed, and why.
    pub failures: Vec<(FaceId, MeshError)>,
}

/// Why a face has no mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum MeshError {
    /// The model has no such face.
    UnknownFace,
    /// The face has no domain: its loops do not bound a part of its surface.
    NoDomain,
    /// Its border has points that are not finite numbers.
    Border,
    /// Its border cannot be filled.
    Fill(FillError),
}

impl fmt::Display for MeshError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownFace => f.write_str("the face is not in this model"),
            Self::NoDomain => f.write_str("its loops do not bound a part of its surface"),
            Self::Border => f.write_str("its border has points that are not finite numbers"),
            Self::Fill(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for MeshError {}

/// Meshes faces one at a time, in any order, with the same result: borders are sampled for the whole model first.
pub struct Tessellator<'a> {
    model: &'a Model,
    domains: &'a [Option<Domain>],
    tolerance: Tolerance,
    borders: Borders<'a>,
}

impl<'a> Tessellator<'a> {
    /// Samples all borders. `domains` holds one domain a face, in face order; faces without one get no mesh.
    pub fn new(model: &'a Model, domains: &'a [Option<Domain>], tolerance: &Tolerance) -> Self {
        Self { model, domains, tolerance: *tolerance, borders: Borders::new(model, domains, tolerance, |_| true) }
    }

    /// Samples the borders of some faces only (given in rising order), within `chord` (mm) of their edges, and leaves their insides to `tolerance`: trims that
    /// are seen near need more points than a picture that is exact inside faces anyway. Faces that share an edge with them are sampled
    /// too, since an edge is for all that use it: a face's mesh is the same whatever faces are asked for with it.
    pub fn sharp(model: &'a Model, domains: &'a [Option<Domain>], tolerance: &Tolerance, chord: f64, faces: &[FaceId]) -> Self {
        let edges = distinct(faces.iter().filter_map(|id| model.face(*id)).flat_map(edges_of));
        let beside = |id| model.face(id).is_some_and(|face| edges_of(face).any(|edge| edges.binary_search(&edge).is_ok()));
        let asked = |id| faces.binary_search(&id).is_ok() || beside(id);
        let borders = Borders::new(model, domains, &Tolerance { chord, ..*tolerance }, asked);
        Self { model, domains, tolerance: *tolerance, borders }
    }

    /// Meshes one face.
    ///
    /// # Errors
    /// When the face has no domain, or one whose border is degenerate.
    pub fn face(&self, id: FaceId) -> Result<FaceMesh, MeshError> {
        let face = self.model.face(id).ok_or(MeshError::UnknownFace)?;
        self.domains.get(id.index()).and_then(Option::as_ref).ok_or(MeshError::NoDomain)?;
        let region = self.borders.region(id).ok_or(MeshError::Border)?;
        FaceMesh::new(id, &face.surface, face.same_sense, &region, &self.tolerance).map_err(MeshError::Fill)
    }
}

fn edges_of(face: &Face) -> impl Iterator<Item = EdgeId> + '_ {
    face.loops.iter().flat_map(|one| one.uses()).map(|one| one.edge)
}

/// Meshes every face, in face order. Cancelling leaves the rest out.
pub fn tessellate(model: &Model, domains: &[Option<Domain>], tolerance: &Tolerance, progress: &mut dyn Progress) -> Tessellation {
    let mut result = Tessellation { faces: Vec::with_capacity(model.faces.len()), failures: Vec::new() };
    stream(model, domains, tolerance, progress, |id, mesh| match mesh {
        Ok(mesh) => result.faces.push(Some(mesh)),
        Err(error) => {
            result.faces.push(None);
            result.failures.push((id, error));
        }
    });
    result.faces.resize(model.faces.len(), None);
    result
}

/// Meshes every face, in face order, and hands each on as soon as it is done. Cancelling stops before the next face.
pub fn stream(
    model: &Model,
    domains: &[Option<Domain>],
    tolerance: &Tolerance,
    progress: &mut dyn Progress,
    mut take: impl FnMut(FaceId, Result<FaceMesh, MeshError>),
) {
    let total = model.faces.len();
    progress.report(Stage::Tessellate, 0, total);
    let tessellator = Tessellator::new(model, domains, tolerance);
    for (done, (id, _)) in model.faces().enumerate() {
        if progress.cancelled() {
            return;
        }
        take(id, tessellator.face(id));
        progress.report(Stage::Tessellate, done + 1, total);
    }
}

#[cfg(test)]
mod tests;
