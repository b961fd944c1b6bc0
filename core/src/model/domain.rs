//! The domain of a face: its loops' edges laid on its own surface.

use super::{Edge, EdgeUse, Face, FaceId, Loop, Model, Source};
use crate::geometry::domain_of::{BoundaryUse, assemble, natural, untrimmed};
use crate::geometry::{Domain, DomainFault, DomainRepair, Pcurve, Surface, SurfaceSearch, Trim, TrimError, closest_on_curve};
use crate::math::Point3;
use core::fmt;

/// Why a face has no domain, and which face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DomainError {
    /// The face.
    pub face: FaceId,
    /// Where it was written.
    pub source: Source,
    /// The edge at fault, where it is one.
    pub edge: Option<Source>,
    /// What is wrong.
    pub fault: DomainFault,
}

impl fmt::Display for DomainError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "face #{} (line {}): {}", self.source.entity, self.source.line, self.fault)?;
        match self.edge {
            Some(e) => write!(f, " (edge #{}, line {})", e.entity, e.line),
            None => Ok(()),
        }
    }
}

impl std::error::Error for DomainError {}

impl Model {
    /// The region of its surface a face covers: trims from the file's parameter-plane curves where they follow their
    /// edges, otherwise from the edges' feet on the surface; loops closed, oriented and nested by geometry.
    /// A face without loops covers its whole surface. A collapsed loop (vertex) bounds nothing. Where loops make no
    /// sense the domain is the untrimmed surface, and says so.
    ///
    /// # Errors
    /// When there is nothing to show either; names the face, and the edge where one is at fault.
    pub fn domain(&self, face: FaceId) -> Result<Domain, DomainError> {
        let Some(f) = self.face(face) else {
            return Err(DomainError { face, source: Source::default(), edge: None, fault: DomainFault::UnknownFace });
        };
        let search = SurfaceSearch::new(&f.surface);
        let built = if f.boundary_lost.is_some() { Err(DomainFault::BoundaryLost) } else { self.build(f, &search) };
        let fault = match built {
            Ok(domain) => return Ok(domain),
            Err(fault) => fault,
        };
        untrimmed(&f.surface, &search, &self.seen(f), fault).map_err(|fault| self.domain_error(face, fault))
    }

    /// A fault of a face's domain with the places in the file it comes from.
    pub fn domain_error(&self, face: FaceId, fault: DomainFault) -> DomainError {
        let Some(f) = self.face(face) else { return DomainError { face, source: Source::default(), edge: None, fault } };
        let edge = match fault {
            DomainFault::MissingEdge { loop_index, use_index }
            | DomainFault::Trim { loop_index, use_index, .. }
            | DomainFault::Open { loop_index, use_index, .. } => {
                f.loops.get(loop_index).and_then(|l| l.uses().get(use_index)).and_then(|u| self.edge(u.edge)).map(|e| e.source)
            }
            _ => None,
        };
        DomainError { face, source: f.source, edge, fault }
    }

    /// Points of a face's boundary as far as its edges are known.
    fn seen(&self, face: &Face) -> Vec<Point3> {
        let uses = face.loops.iter().flat_map(Loop::uses).filter_map(|u| self.edge(u.edge));
        uses.flat_map(|e| (0..=8).map(|i| e.point(f64::from(i) / 8.0))).collect()
    }

    fn build(&self, face: &Face, search: &SurfaceSearch) -> Result<Domain, DomainFault> {
        let mut repairs = Vec::new();
        let mut loops = Vec::new();
        for (loop_index, l) in face.loops.iter().enumerate() {
            let Loop::Edges(uses) = l else { continue };
            let mut boundary = Vec::new();
            for (use_index, u) in uses.iter().enumerate() {
                let edge = self.edge(u.edge).ok_or(DomainFault::MissingEdge { loop_index, use_index })?;
                let made = self.trim(&face.surface, search, u, edge, &mut |distance| {
                    repairs.push(DomainRepair::PcurveRefused { loop_index, use_index, distance });
                });
                let trim = made.map_err(|error| DomainFault::Trim { loop_index, use_index, error })?;
                boundary.push(BoundaryUse { trim, forward: u.forward == face.same_sense, loop_index, use_index });
            }
            // A loop keeps the face on its left against the face's normal; against Su × Sv it runs the other way.
            if !face.same_sense {
                boundary.reverse();
            }
            loops.push(boundary);
        }
        if loops.is_empty() { natural(&face.surface, search) } else { assemble(&face.surface, search, loops, repairs) }
    }

    fn trim(
        &self,
        surface: &Surface,
        search: &SurfaceSearch,
        u: &EdgeUse,
        edge: &Edge,
        refused: &mut dyn FnMut(f64),
    ) -> Result<Trim, TrimError> {
        if let Some(c) = &u.pcurve {
            match trusted(surface, &c.curve, c.t0, c.t1, edge) {
                Ok(trim) => return Ok(trim),
                Err(distance) => refused(distance),
            }
        }
        Trim::foot_of(surface, search, &edge.curve, edge.t0, edge.t1)
    }
}

/// A parameter-plane curve may leave its edge by this much, mm, plus [`SLACK`] of the edge's length. Larger: curves
/// of another edge are believed; smaller: exporters' own tolerance is refused and gaps at seams appear.
const ABSOLUTE: f64 = 0.01;

/// See [`ABSOLUTE`].
const SLACK: f64 = 1e-4;

/// The trim of the file's own curve if it follows the edge (run either way), else how far it strays, mm.
fn trusted(surface: &Surface, curve: &Pcurve, t0: f64, t1: f64, edge: &Edge) -> Result<Trim, f64> {
    let at = |t: f64| {
        let uv = curve.point(t);
        surface.point(uv.u, uv.v)
    };
    let samples = 8;
    let length: f64 = (0..samples).map(|i| edge.point(f64::from(i) / 8.0).distance(edge.point(f64::from(i + 1) / 8.0))).sum();
    let allowed = ABSOLUTE.min(0.02 * length) + SLACK * length;
    let ends = |a: f64, b: f64| at(a).distance(edge.point(0.0)).max(at(b).distance(edge.point(1.0)));
    let (t0, t1) = if ends(t0, t1) > allowed && ends(t1, t0) <= allowed { (t1, t0) } else { (t0, t1) };
    let mut worst = ends(t0, t1);
    for i in 1..samples {
        let s = f64::from(i) / 8.0;
        let p = at(t0 * (1.0 - s) + t1 * s);
        let near = closest_on_curve(&edge.curve, edge.t0, edge.t1, p, Some(edge.parameter(s))).distance;
        // A start elsewhere on a winding edge may lead to a farther foot: ask the whole edge before refusing.
        let distance = if near <= allowed { near } else { closest_on_curve(&edge.curve, edge.t0, edge.t1, p, None).distance };
        worst = worst.max(distance);
    }
    if worst.is_nan() || worst > allowed {
        return Err(worst);
    }
    Trim::on_pcurve(surface, curve, t0, t1).map_err(|_| f64::INFINITY)
}
