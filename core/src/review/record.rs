//! The records of `check --json`, field by field as the published schema names them. Lengths mm, angles degrees,
//! curvatures 1/mm, shares 1 = 100 %.

use super::number::Number;
use crate::finding::Finding;
use crate::joins::{EdgeShare, Join, Peak, Skin, Summary};
use crate::layout::{Mirror, Overlap};
use crate::math::Point3;
use crate::model::FaceId;
use serde::Serialize;

/// A position.
pub type PointRecord = [Number; 3];
/// Least and greatest corner.
pub type BoxRecord = [PointRecord; 2];

/// How long each step took, milliseconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(missing_docs)] // one a step
pub struct Times {
    pub import_ms: f64,
    pub tessellate_ms: f64,
    pub joins_ms: f64,
}

/// What there is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counts {
    /// Faces by kind of surface.
    pub faces: FaceCounts,
    /// Spline patches.
    pub patches: usize,
    /// Entries of the list of what was not read.
    pub unread: usize,
}

/// Faces by kind of surface.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[allow(missing_docs)] // one a kind
pub struct FaceCounts {
    pub plane: usize,
    pub cylinder: usize,
    pub cone: usize,
    pub sphere: usize,
    pub torus: usize,
    pub nurbs: usize,
    pub revolution: usize,
    pub extrusion: usize,
    pub ruled: usize,
    pub offset: usize,
}

/// Something with shape that is not in the model.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnreadRecord {
    /// Entity id.
    pub id: u64,
    /// Entity type.
    #[serde(rename = "type")]
    pub kind: String,
    /// Line, from 1.
    pub line: u32,
    /// Why.
    pub reason: String,
}

/// A face. Degrees and spans only of spline patches.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FaceRecord {
    pub id: usize,
    pub name: String,
    #[serde(rename = "type")]
    pub kind: &'static str,
    pub degree_u: Option<usize>,
    pub degree_v: Option<usize>,
    pub spans_u: Option<usize>,
    pub spans_v: Option<usize>,
    pub rational: bool,
    pub trimmed: bool,
    pub area: Option<Number>,
    pub zone: &'static str,
}

/// A measure along a join.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct MeasuredRecord {
    pub max: Number,
    pub mean: Number,
    pub mid: Option<Number>,
    pub at: PointRecord,
}

/// A measure along a join with its relative maximum.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct SharedRecord {
    pub max: Number,
    pub mean: Number,
    pub mid: Option<Number>,
    pub at: PointRecord,
    pub max_rel: Option<Number>,
}

/// The edge of a face that a join lies on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct EdgeRecord {
    pub face: usize,
    pub length: Number,
    pub share: Number,
}

/// A join.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct JoinRecord {
    pub id: usize,
    pub faces: Vec<usize>,
    pub length: Number,
    pub start: PointRecord,
    pub end: PointRecord,
    pub mid: PointRecord,
    pub class: &'static str,
    pub required: &'static str,
    pub mirrored: bool,
    pub centre: bool,
    pub larger: Option<usize>,
    pub edges: Vec<EdgeRecord>,
    pub g0: Option<MeasuredRecord>,
    pub g1: Option<MeasuredRecord>,
    pub g2: Option<SharedRecord>,
    pub g3: Option<SharedRecord>,
}

/// Where a finding is.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct PlaceRecord {
    pub point: PointRecord,
    pub face: Option<usize>,
    pub uv: Option<[Number; 2]>,
    pub along: Option<Number>,
}

/// A finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct FindingRecord {
    pub measure: &'static str,
    pub value: Number,
    pub limit: Number,
    pub severity: &'static str,
    pub faces: Vec<usize>,
    pub join: Option<usize>,
    pub also: Vec<usize>,
    pub place: PlaceRecord,
    pub remedy: String,
}

/// Two faces on one region.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct OverlapRecord {
    pub faces: [usize; 2],
    pub cover: &'static str,
    pub inner: usize,
    pub opposed: bool,
    pub area: Number,
    pub distance: Number,
    pub at: PointRecord,
    pub joins_aside: bool,
}

/// Faces joined to each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct SkinRecord {
    pub faces: Vec<usize>,
    pub closed: bool,
    pub turned: Vec<usize>,
    pub inside_out: bool,
    pub one_sided: Vec<usize>,
}

/// How a model lies to its centre plane.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(missing_docs)] // as the schema tells
pub struct MirrorRecord {
    pub plane: &'static str,
    pub normal: [Number; 3],
    pub offset: Number,
    pub extent: &'static str,
    pub share: Number,
    pub pairs: Vec<[usize; 2]>,
    pub own: Vec<usize>,
    pub deviation: Option<Number>,
}

/// A point as it is written.
pub fn point(p: Point3) -> PointRecord {
    p.to_array().map(Number)
}

impl EdgeRecord {
    fn new(edge: &EdgeShare) -> Self {
        Self { face: edge.face.index(), length: Number(edge.length), share: Number(edge.share) }
    }
}

impl JoinRecord {
    /// The record of join `id`.
    pub fn new(id: usize, join: &Join) -> Self {
        let s = &join.summaries;
        Self {
            id,
            faces: join.faces.iter().map(|f| f.index()).collect(),
            length: Number(join.length),
            start: point(join.start()),
            end: point(join.end()),
            mid: point(join.mid),
            class: join.class.text(),
            required: join.required.text(),
            mirrored: join.mirrored,
            centre: join.centre,
            larger: join.larger.map(|f| f.index()),
            edges: join.edges.iter().map(EdgeRecord::new).collect(),
            g0: s.gap.map(|s| measured(&s)),
            g1: s.angle.map(|s| measured(&s)),
            g2: s.curvature.map(|x| shared(&x, s.curvature_share)),
            g3: s.slope.map(|x| shared(&x, s.slope_share)),
        }
    }
}

impl OverlapRecord {
    /// The record of an overlap; `copy` when its inner face's joins are laid aside.
    pub fn new(o: &Overlap, copy: bool) -> Self {
        Self {
            faces: o.faces.map(FaceId::index),
            cover: o.cover.text(),
            inner: o.inner.index(),
            opposed: o.opposed,
            area: Number(o.area),
            distance: Number(o.distance),
            at: point(o.point),
            joins_aside: copy,
        }
    }
}

impl SkinRecord {
    /// The record of a skin.
    pub fn new(s: &Skin) -> Self {
        let ids = |faces: &[FaceId]| faces.iter().map(|f| f.index()).collect();
        Self { faces: ids(&s.faces), closed: s.closed, turned: ids(&s.turned), inside_out: s.inside_out, one_sided: s.one_sided.clone() }
    }
}

impl MirrorRecord {
    /// The record of a centre plane.
    pub fn new(m: &Mirror) -> Self {
        Self {
            plane: m.plane.text(),
            normal: m.plane.normal().to_array().map(Number),
            offset: Number(m.plane.offset()),
            extent: m.extent.text(),
            share: Number(m.share),
            pairs: m.pairs.iter().map(|p| p.map(FaceId::index)).collect(),
            own: m.own.iter().map(|f| f.index()).collect(),
            deviation: m.deviations.iter().map(|d| d.distance).reduce(f64::max).map(Number),
        }
    }
}

impl FindingRecord {
    /// The record of a finding.
    pub fn new(f: &Finding) -> Self {
        Self {
            measure: f.measure.text(),
            value: Number(f.value),
            limit: Number(f.limit),
            severity: f.severity.text(),
            faces: f.faces.iter().map(|f| f.index()).collect(),
            join: f.join,
            also: f.also.clone(),
            place: PlaceRecord {
                point: point(f.place.point),
                face: f.place.face.map(|f| f.index()),
                uv: f.place.uv.map(|p| [Number(p.u), Number(p.v)]),
                along: f.place.along.map(Number),
            },
            remedy: f.remedy.clone(),
        }
    }
}

fn measured(s: &Summary) -> MeasuredRecord {
    MeasuredRecord { max: Number(s.max.value), mean: Number(s.mean), mid: s.mid.map(Number), at: point(s.max.point) }
}

fn shared(s: &Summary, share: Option<Peak>) -> SharedRecord {
    let MeasuredRecord { max, mean, mid, at } = measured(s);
    SharedRecord { max, mean, mid, at, max_rel: share.map(|p| Number(p.value)) }
}
