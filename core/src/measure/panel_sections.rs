//! Sections along and across each panel: what ramps, crowns and flat spots are read from.

use super::Subject;
use super::panels::panels as groups;
use crate::math::{Point3, Vec3, real};
use crate::model::FaceId;
use crate::section::{Plane, Precision, SectionFace, SectionLine, section};
use crate::tessellate::{FaceMesh, Tessellator, Tolerance};

/// Planes each way, at these shares of the panel's extent. More: slower; fewer: what lies between two planes is not seen.
const SHARES: [f64; 7] = [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95];

/// Points along a section, about. Larger: slower; smaller: short flat spots are read too high.
const POINTS: f64 = 150.0;

/// Least length of a section, as a share of the longest of its way: bits between a trim and the border are left out.
const LONG: f64 = 0.3;

/// Times the usual tolerance that the panels' triangles may stray: sections are solved for on the surface itself, and only searched for
/// on triangles. Larger: ends of sections beside a curved trim are missed; smaller: slower.
const COARSE: f64 = 10.0;

/// A section of a panel.
#[derive(Debug, Clone)]
pub struct PanelSection {
    /// True for one along the panel's longer extent.
    pub is_along: bool,
    /// Unit normal of its plane.
    pub normal: Vec3,
    /// The curve.
    pub line: SectionLine,
}

/// A panel with its sections, those along it first.
#[derive(Debug, Clone)]
pub struct Panel {
    /// Its faces, rising.
    pub faces: Vec<FaceId>,
    /// At seven places each way.
    pub sections: Vec<PanelSection>,
}

/// All panels with their sections by planes square to the panel: parallel to its mean normal, and along or across the direction in
/// which it reaches farthest (that of the largest variance of its area, as a whole panel of its length sees it).
pub fn panels(subject: &Subject<'_>) -> Vec<Panel> {
    let usual = Tolerance::for_model(subject.sheets.model);
    let tolerance = Tolerance { chord: COARSE * usual.chord, angle: 2.0 * usual.angle, ..usual };
    let tessellator = Tessellator::new(subject.sheets.model, subject.sheets.domains, &tolerance);
    groups(subject).into_iter().filter_map(|faces| panel(subject, &tessellator, faces)).collect()
}

fn panel(subject: &Subject<'_>, tessellator: &Tessellator<'_>, faces: Vec<FaceId>) -> Option<Panel> {
    let meshes: Vec<FaceMesh> = faces.iter().filter_map(|f| tessellator.face(*f).ok()).collect();
    let mut cut: Vec<(FaceId, SectionFace<'_>)> = Vec::new();
    for mesh in &meshes {
        let (face, domain) = (subject.sheets.face(mesh.face)?, subject.sheets.domain(mesh.face)?);
        cut.push((mesh.face, SectionFace::new(&face.surface, domain, mesh)));
    }
    let axes = Axes::of(subject, &meshes)?;
    let mut sections = Vec::new();
    for (is_along, normal, length) in [(true, axes.across, axes.length), (false, axes.along, axes.width)] {
        let step = (length / POINTS).max(1e-3);
        let precision = Precision { step, ..Precision::default() };
        let (low, high) = reach(&meshes, normal);
        let mut all: Vec<SectionLine> = Vec::new();
        for share in SHARES {
            let plane = Plane { normal, offset: low + (high - low) * share };
            all.extend(section(&plane, &cut, subject.graph, &precision));
        }
        let length = |l: &SectionLine| l.points.last().map_or(0.0, |p| p.along);
        let longest = all.iter().map(length).fold(0.0, f64::max);
        let long = all.into_iter().filter(|l| length(l) >= LONG * longest);
        sections.extend(long.map(|line| PanelSection { is_along, normal, line }));
    }
    Some(Panel { faces, sections })
}

/// Least and greatest height of meshes over a normal, mm.
fn reach(meshes: &[FaceMesh], normal: Vec3) -> (f64, f64) {
    let heights = meshes.iter().flat_map(|m| &m.positions).map(|p| p.to_vec().dot(normal));
    heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)))
}

/// How a panel lies.
struct Axes {
    along: Vec3,
    across: Vec3,
    length: f64,
    width: f64,
}

impl Axes {
    /// None of a panel that has no mean normal: a closed one.
    fn of(subject: &Subject<'_>, meshes: &[FaceMesh]) -> Option<Self> {
        let (mut area, mut middle, mut facing) = (0.0, Vec3::ZERO, Vec3::ZERO);
        let mut parts: Vec<(Vec3, f64)> = Vec::new();
        for mesh in meshes {
            let stated = if subject.sheets.face(mesh.face)?.same_sense { 1.0 } else { -1.0 };
            let side = subject.graph.orientation.sign(mesh.face) * stated;
            for [a, b, c] in mesh.corners() {
                let twice = (b - a).cross(c - a);
                let (own, centre) = (0.5 * twice.length(), third(a, b, c));
                area += own;
                middle += centre * own;
                facing += twice * (0.5 * side);
                parts.push((centre, own));
            }
        }
        let normal = facing.try_normalize().filter(|_| facing.length() > 1e-3 * area)?;
        let middle = middle / area;
        let (x, y) = normal.any_orthonormal_pair();
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (p, own) in parts {
            let (a, b) = ((p - middle).dot(x), (p - middle).dot(y));
            (xx, xy, yy) = (xx + a * a * own, xy + a * b * own, yy + b * b * own);
        }
        let turn = 0.5 * real::atan2(2.0 * xy, xx - yy);
        let (sin, cos) = real::sin_cos(turn);
        let (along, across) = (x * cos + y * sin, y * cos - x * sin);
        let size = |way: Vec3| {
            let (low, high) = reach(meshes, way);
            high - low
        };
        Some(Self { along, across, length: size(along), width: size(across) })
    }
}

fn third(a: Point3, b: Point3, c: Point3) -> Vec3 {
    (a.to_vec() + b.to_vec() + c.to_vec()) / 3.0
}
