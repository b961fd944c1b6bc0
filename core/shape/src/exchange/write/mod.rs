//! Models to files.

mod attributes;
mod context;
mod emit;
mod free;
mod geometry;
mod product;
mod ruled;
mod topology;

use crate::math::Similarity;
use crate::model::{LengthUnit, Model};
use emit::Emit;
use std::borrow::Cow;

/// What a written file says beside the model.
#[derive(Debug, Clone, PartialEq)]
pub struct StepOptions {
    /// Name of the file, for its header.
    pub file_name: String,
    /// ISO 8601 time for its header. The core has no clock; the default keeps the bytes the same every time.
    pub time_stamp: String,
    /// Points nearer than this are the same, mm.
    pub uncertainty: f64,
    /// The unit of length to write in.
    pub unit: LengthUnit,
    /// Write the model's curves in the surfaces' parameters too.
    pub pcurves: bool,
}

impl Default for StepOptions {
    fn default() -> Self {
        Self {
            file_name: String::new(),
            time_stamp: "1970-01-01T00:00:00".into(),
            uncertainty: 1e-5,
            unit: LengthUnit::default(),
            pcurves: true,
        }
    }
}

/// A file written, and where it is not the model.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// The whole file.
    pub text: String,
    /// What is coarser than the model or left out, in the order of writing. Empty: nothing is.
    pub remarks: Vec<WriteRemark>,
}

/// Something written otherwise than the model has it.
#[derive(Debug, Clone, PartialEq)]
pub struct WriteRemark {
    /// Its entity in the file written; None for what is not in it.
    pub entity: Option<u64>,
    /// What, in words for the user.
    pub text: String,
    /// How far off it may lie, mm, where that is a length.
    pub size: Option<f64>,
}

/// The model as a STEP file of schema AP242, in radians and the unit asked for: one product, its parts as shells by name.
///
/// The same model gives the same bytes. In mm every number is written as it is; in another unit each is rounded once.
/// Faces without loops (untrimmed patches) and free curves become geometric sets; a ruled surface, which the standard
/// does not know, becomes a spline over the same (u, v), with a remark where that is not exact to nine digits. What reading cannot give back: splitting into products and
/// instances, ids, and meshes, which are not written.
pub fn step(model: &Model, options: &StepOptions) -> Written {
    let mut emit = Emit::new(options.unit.in_mm);
    emit.header(&model.name, options);
    let context = emit.context(options.uncertainty, &options.unit);
    let scaled = if options.unit.in_mm == 1.0 {
        Cow::Borrowed(model)
    } else {
        Cow::Owned(model.transformed(&Similarity::scaling(1.0 / options.unit.in_mm)))
    };
    let model = scaled.as_ref();
    let surfaces = emit.surfaces(model);
    let edges = emit.edges(model, &surfaces, options.pcurves);
    let faces = emit.faces(model, &surfaces, &edges);
    let curves = emit.free_curves(model);
    let items: Vec<_> = faces.iter().zip(&surfaces).map(|(id, s)| id.unwrap_or(s.id)).collect();
    emit.product(model, &surfaces, &faces, &curves, context);
    emit.attributes(model, &items, &curves, context);
    for mesh in &model.meshes {
        emit.remark(None, format!("a mesh of {} triangles is not written", mesh.triangles.len()), None);
    }
    emit.finish()
}

#[cfg(test)]
mod tests;
