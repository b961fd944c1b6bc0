//! Where a finding is.

use crate::math::{Point2, Point3};
use crate::model::FaceId;

/// A point of the model, on a face or along a join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Position, mm.
    pub point: Point3,
    /// The face it lies on, if one.
    pub face: Option<FaceId>,
    /// Parameters on that face's surface.
    pub uv: Option<Point2>,
    /// Arc length from the start of the finding's join, mm.
    pub along: Option<f64>,
}

impl Place {
    /// A place known only by its position.
    pub fn at(point: Point3) -> Self {
        Self { point, face: None, uv: None, along: None }
    }
}
