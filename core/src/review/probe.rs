//! One place of a face, measured: the point probe.

use super::Prepared;
use crate::geometry::{Surface, SurfaceSearch, near, principal};
use crate::joins::JoinGraph;
use crate::math::{Point2, Point3, Vec3, real};
use crate::model::FaceId;

/// A place of a face and its form. Lengths mm, curvatures 1/mm with convex, seen from the outward side, as positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Probe {
    /// The face.
    pub face: FaceId,
    /// Where, in its parameters.
    pub uv: Point2,
    /// The point.
    pub point: Point3,
    /// Its curvatures; None where the surface has no tangent plane, as at a pole.
    pub form: Option<ProbeForm>,
}

/// Tangent plane and curvatures at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProbeForm {
    /// Unit normal on the outward side of the skin.
    pub normal: Vec3,
    /// Larger principal curvature.
    pub max: f64,
    /// Smaller principal curvature.
    pub min: f64,
    /// Unit direction of the larger; any one where both are equal.
    pub along: Vec3,
    /// Unit direction of the smaller.
    pub across: Vec3,
}

impl ProbeForm {
    /// Smallest radius of curvature; infinite on a plane.
    pub fn radius(&self) -> f64 {
        1.0 / self.max.abs().max(self.min.abs())
    }

    /// Draft to a pull direction, degrees: the angle between the tangent plane and the pull. 90 faces it, 0 is a wall along it,
    /// less than 0 an undercut. None of a pull without length. (The definition of the trade; common practice, no source.)
    pub fn draft(&self, pull: Vec3) -> Option<f64> {
        let pull = pull.try_normalize()?;
        // Exact to rounding near 90 degrees too, where an arcsine is not.
        Some(real::atan2(self.normal.dot(pull), self.normal.cross(pull).length()).to_degrees())
    }
}

/// Measures a place of a face; None of an unknown face, or where its surface has no point.
pub fn probe(prepared: &Prepared, graph: &JoinGraph, face: FaceId, uv: Point2) -> Option<Probe> {
    let surface = &prepared.import.model.face(face)?.surface;
    let d = surface.derivs(uv.u, uv.v, 2);
    if !d.s.is_finite() {
        return None;
    }
    let side = graph.orientation.sign(face);
    let form = d.su.cross(d.sv).try_normalize().and_then(|n| {
        let normal = n * side;
        // Sections that bend towards the normal given count as positive: given here is the inward one.
        let p = principal(&d, -normal)?;
        Some(ProbeForm { normal, max: p.curvatures.max, min: p.curvatures.min, along: p.along, across: p.across })
    });
    Some(Probe { face, uv, point: d.s, form })
}

/// The nearest point of a face's patch to a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Where on the patch.
    pub uv: Point2,
    /// The point there, mm.
    pub point: Point3,
    /// How far it is, mm, never less than 0.
    pub distance: f64,
    /// The same signed by the outward side: positive outside. None where the patch has no tangent plane.
    pub signed: Option<f64>,
    /// True when that point is part of the face; false when it lies on the patch beyond the face's borders.
    pub inside: bool,
}

/// The nearest point of the whole patch that a face is cut from; None of an unknown face.
pub fn nearest(prepared: &Prepared, graph: &JoinGraph, face: FaceId, p: Point3) -> Option<Nearest> {
    let surface: &Surface = &prepared.import.model.face(face)?.surface;
    let foot = SurfaceSearch::new(surface).closest(surface, p);
    if !foot.distance.is_finite() {
        return None;
    }
    let domain = prepared.domains.get(face.index()).and_then(Option::as_ref);
    let inside = domain.is_some_and(|d| {
        let ((bu, bv), (pu, pv)) = (d.bounds(), surface.periods());
        d.contains(Point2::new(near(foot.uv.u, bu.at(0.5), pu), near(foot.uv.v, bv.at(0.5), pv)))
    });
    let normal = probe(prepared, graph, face, foot.uv).and_then(|at| at.form).map(|f| f.normal);
    let signed = normal.map(|n| if (p - foot.point).dot(n) < 0.0 { -foot.distance } else { foot.distance });
    Some(Nearest { uv: foot.uv, point: foot.point, distance: foot.distance, signed, inside })
}
