//! The domain of a face: its loops' edges laid on its own surface.

use super::trim_choice::choose;
use super::{Face, FaceId, Loop, Model, Source};
use crate::geometry::domain_of::{BoundaryUse, assemble, natural, untrimmed};
use crate::geometry::{Domain, DomainFault, DomainRepair, SurfaceSearch};
use crate::math::Point3;
use core::fmt;

/// An edge farther off the surface than this share of its loop's length belongs to another surface. Larger: loops of
/// nonsense are projected into slivers; smaller: coarse edges on small faces are given up.
const ASTRAY: f64 = 0.1;

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
            let (mut off, mut length) = (Vec::new(), 0.0);
            for (use_index, u) in uses.iter().enumerate() {
                let edge = self.edge(u.edge).ok_or(DomainFault::MissingEdge { loop_index, use_index })?;
                if edge.t0 == edge.t1 && u.pcurve.is_none() {
                    // At a pole that is how a collapsed side is written; elsewhere it bounds nothing.
                    let at = edge.point(0.0);
                    if !search.poles().iter().any(|p| p.point.distance(at) <= 1e-6 * (1.0 + at.to_vec().abs().max_element())) {
                        repairs.push(DomainRepair::NoLength { loop_index, use_index });
                    }
                    continue;
                }
                let at = (loop_index, use_index);
                let ends = [edge.start, edge.end].map(|v| self.vertices.get(v.index()).map(|v| v.point));
                let chosen = choose(&face.surface, search, u.pcurve.as_ref(), edge, ends, at)?;
                repairs.extend(chosen.repair);
                off.extend(chosen.off_surface.map(|distance| (at, distance)));
                length += chosen.trim.node_length();
                boundary.push(BoundaryUse { trim: chosen.trim, forward: u.forward == face.same_sense, loop_index, use_index });
            }
            if let Some(&((loop_index, use_index), distance)) = off.iter().find(|o| o.1 > ASTRAY * length) {
                return Err(DomainFault::OffSurface { loop_index, use_index, distance });
            }
            // A loop keeps the face on its left against the face's normal; against Su × Sv it runs the other way.
            if !face.same_sense {
                boundary.reverse();
            }
            loops.push(boundary);
        }
        if loops.is_empty() {
            return natural(&face.surface, search);
        }
        match assemble(&face.surface, search, loops, repairs) {
            Ok(mut domain) => {
                domain.repairs.iter_mut().for_each(|r| as_listed(face, r));
                Ok(domain)
            }
            Err(mut fault) => {
                if let DomainFault::Open { loop_index, use_index, .. } = &mut fault {
                    before(face, *loop_index, use_index);
                }
                Err(fault)
            }
        }
    }
}

/// Gaps are named by the edge they come before in the face's own list, whichever way the loop was run.
fn as_listed(face: &Face, repair: &mut DomainRepair) {
    if let DomainRepair::Bridged { loop_index, use_index, .. }
    | DomainRepair::BorderTaken { loop_index, use_index, .. }
    | DomainRepair::SeamAdded { loop_index, use_index, .. } = repair
    {
        before(face, *loop_index, use_index);
    }
}

fn before(face: &Face, loop_index: usize, use_index: &mut usize) {
    let count = face.loops.get(loop_index).map_or(1, |l| l.uses().len()).max(1);
    if !face.same_sense {
        *use_index = (*use_index + 1) % count;
    }
}
