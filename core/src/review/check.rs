//! The check as one record.

use super::Prepared;
use super::against::ReferenceRecord;
use super::fillets::FilletsRecord;
use super::gaps::GapsRecord;
use super::import::ImportRecord;
use super::layout::LayoutRecord;
use super::lines::{CornerRecord, FeatureRecord};
use super::number::Number;
use super::record::{
    BoxRecord, Counts, FaceCounts, FaceRecord, FindingRecord, JoinRecord, MirrorRecord, OverlapRecord, SkinRecord, Times, UnreadRecord,
    point,
};
use super::revision::RevisionRecord;
use crate::finding::{Finding, Severity, Zone, Zones};
use crate::geometry::{Domain, Surface, SurfaceKind};
use crate::joins::JoinGraph;
use crate::math::{Interval, Point3};
use crate::measure::Subject;
use crate::model::{Face, FaceId};
use core::fmt;
use serde::Serialize;

/// Everything `check` tells about a file. Field order is the order written; the same bytes in give the same text out,
/// times left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// Base name of the file.
    pub file: String,
    /// Schema as the file states it.
    pub schema: String,
    /// The file's own length unit; all values here are mm.
    pub units: String,
    /// How it was read.
    pub import: ImportRecord,
    /// What there is.
    pub counts: Counts,
    /// Box of the model; None of an empty one.
    pub bbox: Option<BoxRecord>,
    /// How long the steps took; left out when not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub times: Option<Times>,
    /// Everything with shape that is not in the model.
    pub unread: Vec<UnreadRecord>,
    /// Faces in file order.
    pub faces: Vec<FaceRecord>,
    /// Joins.
    pub joins: Vec<JoinRecord>,
    /// Where three or more patches meet.
    pub corners: Vec<CornerRecord>,
    /// Creases and tight transitions.
    pub features: Vec<FeatureRecord>,
    /// Faces that lie on one another.
    pub overlaps: Vec<OverlapRecord>,
    /// Connected skins with their sides.
    pub skins: Vec<SkinRecord>,
    /// How it is built of patches.
    pub layout: LayoutRecord,
    /// Fillets.
    pub fillets: FilletsRecord,
    /// Gaps between panels, and edges.
    pub gaps: GapsRecord,
    /// How the model lies to its centre plane; None of a model without faces.
    pub mirror: Option<MirrorRecord>,
    /// What it was held against; None without.
    pub reference: Option<ReferenceRecord>,
    /// What became of an earlier revision's findings; None without one.
    pub revision: Option<RevisionRecord>,
    /// Findings, worst first.
    pub findings: Vec<FindingRecord>,
}

/// Why a check cannot be written: a value came out as no number, which is a defect of this program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckError(String);

impl fmt::Display for CheckError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the check cannot be written: {}", self.0)
    }
}

impl std::error::Error for CheckError {}

impl Check {
    /// The record of a file called `file_name` (its folders are dropped), findings as ranked, with the zones they were graded by; `subject` is
    /// that of `prepared`.
    pub fn new(
        file_name: &str,
        prepared: &Prepared,
        bounds: Option<[Point3; 2]>,
        subject: &Subject<'_>,
        (findings, zones): (&[Finding], &Zones),
        times: Option<Times>,
    ) -> Self {
        let model = &prepared.import.model;
        let graph = subject.graph;
        let face = |(id, f): (FaceId, &Face)| {
            let domain = prepared.domains.get(id.index()).and_then(Option::as_ref);
            face((id, f), domain, prepared.areas.get(id.index()).copied(), zones.of(&[id]))
        };
        Self {
            times,
            faces: model.faces().map(face).collect(),
            joins: graph.joins.iter().enumerate().map(|(i, j)| JoinRecord::new(i, j)).collect(),
            corners: subject.corners().iter().map(CornerRecord::new).collect(),
            features: subject.lines().iter().filter_map(|l| FeatureRecord::new(l, graph.search)).collect(),
            layout: LayoutRecord::new(subject),
            fillets: FilletsRecord::new(subject),
            gaps: GapsRecord::new(subject),
            reference: ReferenceRecord::new(subject),
            findings: findings.iter().map(FindingRecord::new).collect(),
            ..Self::head(file_name, prepared, bounds, graph)
        }
    }

    /// What is told of a model before anything is measured on it: how it was read, what there is, skins, overlaps and the centre
    /// plane. The rest is left empty.
    pub fn head(file_name: &str, prepared: &Prepared, bounds: Option<[Point3; 2]>, graph: &JoinGraph) -> Self {
        let model = &prepared.import.model;
        let mut unread: Vec<UnreadRecord> = prepared
            .import
            .report
            .unread
            .iter()
            .map(|u| UnreadRecord { id: u.entity, kind: u.kind.clone(), line: u.line, reason: u.reason.clone() })
            .collect();
        unread.extend(prepared.faults.iter().map(|e| UnreadRecord {
            id: e.source.entity,
            kind: "face".into(),
            line: e.source.line,
            reason: e.fault.to_string(),
        }));
        let mut by_kind = FaceCounts::default();
        for (_, f) in model.faces() {
            *match f.surface.kind() {
                SurfaceKind::Plane => &mut by_kind.plane,
                SurfaceKind::Cylinder => &mut by_kind.cylinder,
                SurfaceKind::Cone => &mut by_kind.cone,
                SurfaceKind::Sphere => &mut by_kind.sphere,
                SurfaceKind::Torus => &mut by_kind.torus,
                SurfaceKind::Nurbs => &mut by_kind.nurbs,
                SurfaceKind::Revolution => &mut by_kind.revolution,
                SurfaceKind::Extrusion => &mut by_kind.extrusion,
                SurfaceKind::Ruled => &mut by_kind.ruled,
                SurfaceKind::Offset => &mut by_kind.offset,
            } += 1;
        }
        Self {
            file: base_name(file_name).into(),
            schema: model.schema.clone(),
            units: model.unit.name.clone(),
            import: ImportRecord::new(prepared, bounds),
            counts: Counts { faces: by_kind, patches: by_kind.nurbs, unread: unread.len() },
            bbox: bounds.map(|b| b.map(point)),
            times: None,
            unread,
            faces: Vec::new(),
            joins: Vec::new(),
            corners: Vec::new(),
            features: Vec::new(),
            overlaps: graph.overlaps.iter().map(|o| OverlapRecord::new(o, graph.is_copy(o.inner))).collect(),
            skins: graph.orientation.skins.iter().map(SkinRecord::new).collect(),
            layout: LayoutRecord::default(),
            fillets: FilletsRecord::default(),
            gaps: GapsRecord::default(),
            mirror: graph.mirror.as_ref().map(MirrorRecord::new),
            reference: None,
            revision: None,
            findings: Vec::new(),
        }
    }

    /// The record as one line of JSON, numbers with the fewest digits that read back.
    ///
    /// # Errors
    /// When a value is NaN or infinite.
    pub fn to_json(&self) -> Result<String, CheckError> {
        serde_json::to_string(self).map_err(|e| CheckError(e.to_string()))
    }

    /// True when a finding is serious.
    pub fn has_serious(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Serious.text())
    }
}

pub(super) fn base_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

fn face((id, face): (FaceId, &Face), domain: Option<&Domain>, area: Option<f64>, zone: Zone) -> FaceRecord {
    let patch = match &face.surface {
        Surface::Nurbs(s) => Some(s),
        _ => None,
    };
    FaceRecord {
        id: id.index(),
        name: face.name.clone(),
        kind: face.surface.kind().name(),
        degree_u: patch.map(|s| s.knots_u().degree()),
        degree_v: patch.map(|s| s.knots_v().degree()),
        spans_u: patch.map(|s| s.knots_u().span_count()),
        spans_v: patch.map(|s| s.knots_v().span_count()),
        rational: patch.is_some_and(|s| s.weights().is_some()),
        trimmed: domain.is_none_or(|d| is_trimmed(&face.surface, d)),
        area: domain.filter(|d| d.untrimmed.is_none()).and(area).map(Number),
        zone: zone.text(),
    }
}

/// True unless the domain is the whole of a bounded surface.
fn is_trimmed(surface: &Surface, domain: &Domain) -> bool {
    let (u, v) = surface.domain();
    if !u.is_bounded() || !v.is_bounded() {
        return true;
    }
    // Share of the range within which a border counts as the surface's own.
    const NEAR: f64 = 1e-6;
    let on = |x: f64, i: Interval| (x - i.low).abs() <= NEAR * i.length() || (x - i.high).abs() <= NEAR * i.length();
    let full = |got: Interval, all: Interval| (got.length() - all.length()).abs() <= 2.0 * NEAR * all.length();
    let (bu, bv) = domain.bounds();
    let own = |side: &crate::geometry::DomainSide| {
        let line = side.polyline();
        line.iter().all(|p| on(p.u, bu)) || line.iter().all(|p| on(p.v, bv))
    };
    let whole = domain.loops.len() == 1 && full(bu, u) && full(bv, v);
    !(whole && domain.loops.iter().flat_map(|l| &l.sides).all(own))
}

#[cfg(test)]
mod tests {
    use super::base_name;

    #[test]
    fn names_lose_their_folders() {
        for (path, name) in [("a.stp", "a.stp"), ("/x/y/a.stp", "a.stp"), ("C:\\x\\a.stp", "a.stp"), ("x/", ""), ("", "")] {
            assert_eq!(base_name(path), name);
        }
    }
}
