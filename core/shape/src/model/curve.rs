//! Curves without faces.

use super::{Colour, PartId, Source};
use crate::geometry::Curve;

/// A bounded piece of a curve that bounds no face.
#[derive(Debug, Clone)]
pub struct FreeCurve {
    /// Name from the file, often empty.
    pub name: String,
    /// The curve.
    pub curve: Curve,
    /// Parameter at the start; may exceed `t1` when the piece runs against its curve.
    pub t0: f64,
    /// Parameter at the end.
    pub t1: f64,
    /// Colour from the file.
    pub colour: Option<Colour>,
    /// Names of the layers it lies on.
    pub layers: Vec<String>,
    /// The part (instance) it belongs to.
    pub part: PartId,
    /// Where it was written.
    pub source: Source,
}
