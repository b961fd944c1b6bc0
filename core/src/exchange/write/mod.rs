//! Models to files.

mod attributes;
mod emit;
mod geometry;
mod product;
mod topology;

use crate::model::Model;
use emit::Emit;

/// What a written file says beside the model.
#[derive(Debug, Clone, PartialEq)]
pub struct StepOptions {
    /// Name of the file, for its header.
    pub file_name: String,
    /// ISO 8601 time for its header. The core has no clock; the default keeps the bytes the same every time.
    pub time_stamp: String,
    /// Points nearer than this are the same, mm.
    pub uncertainty: f64,
    /// Write the model's curves in the surfaces' parameters too.
    pub pcurves: bool,
}

impl Default for StepOptions {
    fn default() -> Self {
        Self { file_name: String::new(), time_stamp: "1970-01-01T00:00:00".into(), uncertainty: 1e-5, pcurves: true }
    }
}

/// The model as a STEP file of schema AP242, in mm and radians: one product, its parts as shells by name.
///
/// The same model gives the same bytes. Faces without loops (untrimmed patches) become a geometric set. What reading
/// cannot give back: splitting into products and instances, and ids.
pub fn step(model: &Model, options: &StepOptions) -> String {
    let mut emit = Emit::new();
    emit.header(&model.name, options);
    let context = emit.context(options.uncertainty);
    let surfaces = emit.surfaces(model);
    let edges = emit.edges(model, &surfaces, options.pcurves);
    let faces = emit.faces(model, &surfaces, &edges);
    emit.product(model, &surfaces, &faces, context);
    emit.attributes(model, &surfaces, &faces, context);
    emit.finish()
}

#[cfg(test)]
mod tests;
