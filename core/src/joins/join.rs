//! A join with its stations and what they add up to.

use super::{Class, EdgeShare, Measures, Order};
use crate::math::Point3;
use crate::model::FaceId;

/// A place along a join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Arc length from the start, mm.
    pub along: f64,
    /// Point on the first face's own border.
    pub p: Point3,
    /// Facing point on the second face's own border; equal to `p` on an outline.
    pub q: Point3,
    /// What is measured there.
    pub measures: Measures,
}

/// Where and how large the maximum of a measure is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// The value.
    pub value: f64,
    /// Where, on the first face.
    pub point: Point3,
    /// Arc length from the start, mm.
    pub along: f64,
}

/// One measure over a whole join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// The maximum, refined between stations.
    pub max: Peak,
    /// The mean by arc length over the stations where it applies.
    pub mean: f64,
    /// The value half way by arc length; None where the measure does not apply there.
    pub mid: Option<f64>,
}

/// The measures of a join. None: applies at no station.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Summaries {
    /// Gap, mm.
    pub gap: Option<Summary>,
    /// Angle, degrees.
    pub angle: Option<Summary>,
    /// Curvature jump, 1/mm.
    pub curvature: Option<Summary>,
    /// Largest relative curvature jump where the absolute one counts too (0 where none does), 1 = 100 %.
    pub curvature_share: Option<Peak>,
    /// Curvature-slope jump, 1/mm².
    pub slope: Option<Summary>,
    /// Largest relative curvature-slope jump where the absolute one counts too (0 where none does), 1 = 100 %.
    pub slope_share: Option<Peak>,
}

/// A maximal stretch along which boundaries run together, or a stretch of outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The two faces (the same twice for a patch that meets itself); one for an outline or before a mirror image.
    pub faces: Vec<FaceId>,
    /// Stations from start to end, rising arc length; at least 17 except for an outline.
    pub stations: Vec<Station>,
    /// Arc length on the first face's border, mm.
    pub length: f64,
    /// The point half way by arc length.
    pub mid: Point3,
    /// What it is.
    pub class: Class,
    /// The order asked of it.
    pub required: Order,
    /// The face of larger area; None where there is one face only.
    pub larger: Option<FaceId>,
    /// How much of each face's edge it takes up, in the order of the faces; none of an outline and inside a patch. Less than all of a
    /// long edge that meets several short ones, or of edges that lie past each other.
    pub edges: Vec<EdgeShare>,
    /// The measures.
    pub summaries: Summaries,
    /// True when it runs along a knot line inside one patch.
    pub interior: bool,
    /// True when one face meets its own mirror image on the centre plane.
    pub mirrored: bool,
    /// True when it lies on the centre plane: mirrored, or between two faces.
    pub centre: bool,
}

impl Join {
    /// Where it starts.
    pub fn start(&self) -> Point3 {
        self.stations.first().map_or(self.mid, |s| s.p)
    }

    /// Where it ends; the start again on a closed join.
    pub fn end(&self) -> Point3 {
        self.stations.last().map_or(self.mid, |s| s.p)
    }
}
