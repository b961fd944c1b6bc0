//! Corners and feature lines as `check --json` tells them. Lengths mm, angles degrees, curvatures 1/mm.

use super::number::Number;
use super::record::{PointRecord, point};
use crate::joins::{Corner, FeatureLine};
use crate::math::Vec3;
use serde::Serialize;

/// A place where three or more patches meet.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct CornerRecord {
    pub at: PointRecord,
    pub joins: Vec<usize>,
    pub faces: Vec<usize>,
    pub normals: Option<Number>,
    pub tangents: Option<Number>,
    pub curvature: Option<Number>,
    pub peak: Option<Number>,
    pub flips: usize,
}

/// A stretch of a feature line against its prevailing sign.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FlipRecord {
    pub zeros: Vec<PointRecord>,
    pub peak: Number,
    pub at: PointRecord,
    pub length: Number,
}

/// A place where a feature line fades out.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FadeRecord {
    pub at: PointRecord,
    pub length: Number,
}

/// A feature line.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FeatureRecord {
    pub kind: &'static str,
    pub faces: Vec<usize>,
    pub joins: Vec<usize>,
    pub length: Number,
    pub closed: bool,
    pub start: PointRecord,
    pub end: PointRecord,
    pub least_angle: Number,
    pub largest_angle: Number,
    pub flips: Vec<FlipRecord>,
    pub fades: Vec<FadeRecord>,
    pub plan_inflections: Vec<PointRecord>,
    pub side_inflections: Vec<PointRecord>,
}

impl CornerRecord {
    /// The record of a corner.
    pub fn new(c: &Corner) -> Self {
        Self {
            at: point(c.point),
            joins: c.joins.clone(),
            faces: c.faces.iter().map(|f| f.index()).collect(),
            normals: c.normals.map(Number),
            tangents: c.tangents.map(Number),
            curvature: c.curvature.map(Number),
            peak: c.peak.map(Number),
            flips: c.flips,
        }
    }
}

impl FeatureRecord {
    /// The record of a feature line; `search` is the search distance of its joins, mm. None of one without stations. Plan is seen
    /// along z, side along y, as a model stands whose centre plane is y = 0.
    pub fn new(line: &FeatureLine, search: f64) -> Option<Self> {
        let (first, last) = (line.stops.first()?, line.stops.last()?);
        let angles = || line.stops.iter().map(|s| s.angle);
        let points = |view| line.inflections(view).into_iter().map(point).collect();
        let flips = line.flips();
        let flip = |f: &crate::joins::Flip| FlipRecord {
            zeros: f.zeros.iter().map(|z| point(z.point)).collect(),
            peak: Number(f.peak.angle),
            at: point(f.peak.point),
            length: Number(f.length),
        };
        let fades = line.fades(search);
        Some(Self {
            kind: line.kind.text(),
            faces: line.faces.iter().map(|f| f.index()).collect(),
            joins: line.joins.clone(),
            length: Number(last.along),
            closed: line.closed,
            start: point(first.point),
            end: point(last.point),
            least_angle: Number(angles().fold(f64::INFINITY, f64::min)),
            largest_angle: Number(angles().fold(f64::NEG_INFINITY, f64::max)),
            flips: flips.iter().map(flip).collect(),
            fades: fades.iter().map(|f| FadeRecord { at: point(f.at.point), length: Number(f.length) }).collect(),
            plan_inflections: points(Vec3::Z),
            side_inflections: points(Vec3::Y),
        })
    }
}
