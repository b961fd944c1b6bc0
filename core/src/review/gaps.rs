//! Gaps, exposed edges, flanges and trimmed edges, as `check --json` tells them. Lengths mm, angles degrees.

use super::number::Number;
use super::record::{PointRecord, point};
use crate::gap::{Exposed, Flange, Gap, GapStation, TrimmedEdge};
use crate::measure::Subject;
use crate::model::FaceId;
use serde::Serialize;

/// A station of a gap.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct GapStationRecord {
    pub along: Number,
    pub points: [PointRecord; 2],
    pub width: Number,
    pub flush: Option<Number>,
    pub change: Number,
    pub radii: [Number; 2],
}

/// A gap between two panels, master first.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct GapRecord {
    pub faces: [Vec<usize>; 2],
    pub edges: [Vec<&'static str>; 2],
    pub length: Number,
    pub closed: bool,
    pub stations: Vec<GapStationRecord>,
}

/// Exposed edges of one kind on one skin.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct ExposedRecord {
    pub kind: &'static str,
    pub faces: Vec<usize>,
    pub radius: Number,
    pub at: PointRecord,
    pub length: Number,
    pub lines: Vec<Vec<PointRecord>>,
}

/// A flange or hem.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FlangeRecord {
    pub panel: usize,
    pub faces: Vec<usize>,
    pub width: [Number; 2],
    pub angle: [Number; 2],
    pub radius: Number,
    pub at: PointRecord,
    pub length: Number,
}

/// An edge of a trimmed face.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct TrimRecord {
    pub face: usize,
    pub edge: usize,
    pub at: PointRecord,
    pub distance: Number,
    pub inflections: usize,
    pub spans: usize,
}

/// The gaps and edges of a model.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct GapsRecord {
    /// Gaps between skins.
    pub between: Vec<GapRecord>,
    /// What a sphere of 100 mm diameter can touch.
    pub exposed: Vec<ExposedRecord>,
    /// Flanges and hems.
    pub flanges: Vec<FlangeRecord>,
    /// Edges of trimmed faces that are no straight lines.
    pub trims: Vec<TrimRecord>,
}

impl GapsRecord {
    /// The record of a model.
    pub fn new(subject: &Subject<'_>) -> Self {
        Self {
            between: subject.gaps().iter().map(GapRecord::new).collect(),
            exposed: subject.exposed().iter().map(ExposedRecord::new).collect(),
            flanges: subject.flanges().iter().map(FlangeRecord::new).collect(),
            trims: subject.trimmed_edges().iter().map(TrimRecord::new).collect(),
        }
    }
}

fn indices(faces: &[FaceId]) -> Vec<usize> {
    faces.iter().map(|f| f.index()).collect()
}

impl GapRecord {
    /// The record of a gap.
    pub fn new(g: &Gap) -> Self {
        let kinds = |n: usize| {
            let mut all: Vec<_> = g.stations.iter().filter_map(|s| s.sides.get(n)).map(|s| s.kind).collect();
            all.sort_unstable();
            all.dedup();
            all.into_iter().map(|k| k.text()).collect()
        };
        let station = |(s, change): (&GapStation, f64)| GapStationRecord {
            along: Number(s.along),
            points: s.sides.map(|x| point(x.point)),
            width: Number(s.width),
            flush: s.flush.map(Number),
            change: Number(change),
            radii: s.sides.map(|x| Number(x.radius)),
        };
        let stations = g.stations.iter().zip(g.changes()).map(station).collect();
        let faces = g.faces.each_ref().map(|f| indices(f));
        Self { faces, edges: [kinds(0), kinds(1)], length: Number(g.length), closed: g.closed, stations }
    }
}

impl ExposedRecord {
    fn new(e: &Exposed) -> Self {
        let lines = e.lines.iter().map(|l| l.iter().copied().map(point).collect()).collect();
        let (kind, faces) = (e.kind.text(), indices(&e.faces));
        Self { kind, faces, radius: Number(e.radius), at: point(e.place), length: Number(e.length), lines }
    }
}

impl FlangeRecord {
    fn new(f: &Flange) -> Self {
        Self {
            panel: f.panel.index(),
            faces: indices(&f.faces),
            width: [f.width.0, f.width.1].map(Number),
            angle: [f.angle.0, f.angle.1].map(Number),
            radius: Number(f.radius),
            at: point(f.place),
            length: Number(f.length),
        }
    }
}

impl TrimRecord {
    fn new(t: &TrimmedEdge) -> Self {
        let (face, at, distance) = (t.face.index(), point(t.middle), Number(t.distance));
        Self { face, edge: t.edge, at, distance, inflections: t.inflections, spans: t.spans }
    }
}
