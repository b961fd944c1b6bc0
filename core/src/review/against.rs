//! What holding a model against its reference came to, as `check --json` tells it. Lengths mm, areas mm².

use super::check::base_name;
use super::number::Number;
use super::record::{PointRecord, point};
use crate::finding::{MeasureId, Yardstick, Zone};
use crate::measure::{Against, Subject, against};
use crate::model::FaceId;
use crate::reference::{Extreme, FaceDistances, FarRegion, Statistics};
use serde::Serialize;

/// The place of an extreme distance.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ExtremeRecord {
    pub value: Number,
    pub at: PointRecord,
    pub face: usize,
}

/// Share of the area within a distance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct WithinRecord {
    pub limit: Number,
    pub share: Number,
}

/// A bar of the histogram.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct BarRecord {
    pub from: Number,
    pub to: Number,
    pub share: Number,
}

/// How far highlights differ, degrees.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct TiltRecord {
    pub rms: Number,
    pub most: ExtremeRecord,
}

/// All distances.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct DistancesRecord {
    pub area: Number,
    pub mean: Number,
    pub rms: Number,
    pub least: ExtremeRecord,
    pub most: ExtremeRecord,
    pub within: Vec<WithinRecord>,
    pub quantiles: Vec<Number>,
    pub bars: Vec<BarRecord>,
    pub tilt: Option<TiltRecord>,
    pub faces: Vec<ExtremeRecord>,
}

/// A part of the one without the other near.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FarRecord {
    pub area: Number,
    pub distance: Option<Number>,
    pub at: PointRecord,
    pub faces: Vec<usize>,
}

/// A model against its reference.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ReferenceRecord {
    pub file: String,
    pub kind: &'static str,
    pub count: usize,
    pub far: Number,
    pub turned: usize,
    pub distances: Option<DistancesRecord>,
    pub far_area: Number,
    pub beside_area: Number,
    pub missing: Vec<FarRecord>,
    pub extra: Vec<FarRecord>,
}

impl ReferenceRecord {
    /// Of a model; None of one that was held against nothing.
    pub fn new(subject: &Subject<'_>) -> Option<Self> {
        let reference = subject.reference?;
        let against = against(subject)?;
        let sum = |of: fn(&FaceDistances) -> f64| Number(against.distances.iter().map(of).sum());
        Some(Self {
            file: base_name(&reference.name).into(),
            kind: reference.kind(),
            count: reference.count(),
            far: Number(reference.far),
            turned: against.facing.iter().filter(|f| **f < 0.0).count(),
            distances: against.statistics.as_ref().map(|s| distances(&against, s)),
            far_area: sum(|d| d.far),
            beside_area: sum(|d| d.beside),
            missing: against.missing.iter().map(|(r, face)| far(r, face.as_slice())).collect(),
            extra: against.extra.iter().map(|r| far(r, &r.faces)).collect(),
        })
    }
}

fn distances(against: &Against, s: &Statistics) -> DistancesRecord {
    // The usual limits, whatever the user asks for: shares by other ones can be read off the quantiles.
    let usual = Yardstick::default();
    let limits = usual.limits(MeasureId::ReferenceDistance, Zone::Visible);
    let limits = limits.map_or([None; 3], |l| [l.polish, l.fix, l.serious]);
    let within = |limit: f64| WithinRecord { limit: Number(limit), share: Number(Statistics::within(&against.distances, limit)) };
    let worst = |d: &FaceDistances| {
        let worst = [d.least?, d.most?].into_iter().reduce(|a, b| if b.value.abs() > a.value.abs() { b } else { a })?;
        Some(extreme((d.face, worst)))
    };
    DistancesRecord {
        area: Number(s.area),
        mean: Number(s.mean),
        rms: Number(s.rms),
        least: extreme(s.least),
        most: extreme(s.most),
        within: limits.into_iter().flatten().map(within).collect(),
        quantiles: s.quantiles.iter().copied().map(Number).collect(),
        bars: s.bins.iter().map(|b| BarRecord { from: Number(b.from), to: Number(b.to), share: Number(b.share) }).collect(),
        tilt: s.tilt.map(|t| TiltRecord { rms: Number(t.rms), most: extreme(t.most) }),
        faces: against.distances.iter().filter_map(worst).collect(),
    }
}

fn extreme((face, e): (FaceId, Extreme)) -> ExtremeRecord {
    ExtremeRecord { value: Number(e.value), at: point(e.point), face: face.index() }
}

fn far(r: &FarRegion, faces: &[FaceId]) -> FarRecord {
    let distance = r.distance.is_finite().then_some(Number(r.distance));
    FarRecord { area: Number(r.area), distance, at: point(r.point), faces: faces.iter().map(|f| f.index()).collect() }
}
