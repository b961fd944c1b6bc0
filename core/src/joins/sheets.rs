//! The faces with their borders, looked up by index.

use super::Border;
use crate::geometry::{Domain, DomainSide, SideOrigin, Surface};
use crate::math::{Interval, Vec2};
use crate::model::{Face, FaceId, Model};
use crate::nurbs::{KnotVector, Side, SurfaceDerivs};

/// A model with the domain of each face, in the order of its faces; faces without a domain, or shown untrimmed, have
/// no borders.
#[derive(Debug, Clone, Copy)]
pub struct Sheets<'a> {
    /// The model.
    pub model: &'a Model,
    /// One entry a face.
    pub domains: &'a [Option<Domain>],
}

/// Names one side of one loop of a face's domain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SideRef {
    /// The face.
    pub face: FaceId,
    /// Index among the loops of its domain.
    pub loop_index: usize,
    /// Index among that loop's sides.
    pub side_index: usize,
}

/// A side of a domain with the surface it lies on.
#[derive(Debug, Clone, Copy)]
pub struct Rim<'a> {
    /// The surface.
    pub surface: &'a Surface,
    /// The side.
    pub side: &'a DomainSide,
}

/// Share of a knot vector's range within which a parameter counts as standing on a knot. Larger: borders close to a
/// knot take derivatives beyond it; smaller: rounding of a trim picks the wrong side of a knot it runs along.
const ON_KNOT: f64 = 1e-9;

impl<'a> Sheets<'a> {
    /// A face.
    pub fn face(&self, id: FaceId) -> Option<&'a Face> {
        self.model.faces.get(id.index())
    }

    /// The domain of a face; None where its own loops could not be used.
    pub fn domain(&self, id: FaceId) -> Option<&'a Domain> {
        self.domains.get(id.index())?.as_ref().filter(|d| d.untrimmed.is_none())
    }

    /// A side; None for a reference into another model.
    pub fn rim(&self, at: SideRef) -> Option<Rim<'a>> {
        let side = self.domain(at.face)?.loops.get(at.loop_index)?.sides.get(at.side_index)?;
        Some(Rim { surface: &self.face(at.face)?.surface, side })
    }

    /// All sides that are borders in space, in order: edges, the borders of untrimmed patches, and the seams of spline
    /// patches, where nothing but their control points makes the two ends meet. (Surfaces of revolution close smoothly.)
    pub fn sides(&self) -> Vec<SideRef> {
        let mut all = Vec::new();
        for (id, face) in self.model.faces() {
            let Some(domain) = self.domain(id) else { continue };
            // The seam of a closed curve, swept or not, may be a crease; where the parameter runs on it is none.
            let periodic = face.surface.periods();
            let creased = |side: &DomainSide| {
                let (a, b) = (side.start(), side.end());
                // A seam of constant u closes u; which one it is shows in its ends.
                let of_u = (b.u - a.u).abs() <= (b.v - a.v).abs();
                if of_u { periodic.0.is_none() } else { periodic.1.is_none() }
            };
            for (loop_index, l) in domain.loops.iter().enumerate() {
                for (side_index, side) in l.sides.iter().enumerate() {
                    let border = matches!(side.origin, SideOrigin::Edge { .. } | SideOrigin::Natural);
                    if border || (side.origin == SideOrigin::Seam && creased(side)) {
                        all.push(SideRef { face: id, loop_index, side_index });
                    }
                }
            }
        }
        all
    }
}

impl Rim<'_> {
    /// +1 where the loop runs with rising share, −1 where against.
    pub fn sign(&self) -> f64 {
        if self.side.forward { 1.0 } else { -1.0 }
    }

    /// Lowest and highest share.
    pub fn shares(&self) -> (f64, f64) {
        (self.side.from.min(self.side.to), self.side.from.max(self.side.to))
    }

    /// The border at a share: derivatives from the inside of the face, direction that of the loop.
    pub fn border(&self, share: f64) -> Border {
        let p = self.side.at(self.surface, share);
        let run = p.duv * self.sign();
        let inside = Vec2::new(-run.y, run.x);
        Border { derivs: one_sided(self.surface, p.uv.u, p.uv.v, inside), along: p.tangent * self.sign() }
    }
}

/// Derivatives to order three at (u, v) as the limit from the direction `inside` of the parameter plane.
pub fn one_sided(surface: &Surface, u: f64, v: f64, inside: Vec2) -> SurfaceDerivs {
    let Surface::Nurbs(patch) = surface else {
        let (domain, breaks) = (surface.domain(), surface.breaks());
        let (u, v) = (beside(&breaks.0, domain.0, u, inside.x), beside(&breaks.1, domain.1, v, inside.y));
        return surface.derivs(u, v, 3);
    };
    let side = |x: f64| if x < 0.0 { Side::Left } else { Side::Right };
    patch.derivs_from(on_knot(patch.knots_u(), u), on_knot(patch.knots_v(), v), 3, side(inside.x), side(inside.y))
}

/// Share of the range by which a parameter on a break of a swept surface is moved to the side asked for. Larger: seen
/// in positions; smaller: lost in the rounding of the break itself.
const BESIDE: f64 = 1e-11;

/// `t`, or, on a break, a parameter just off it towards `inside`.
fn beside(breaks: &[f64], domain: Interval, t: f64, inside: f64) -> f64 {
    let length = if domain.is_bounded() { domain.length() } else { 1.0 + t.abs() };
    let slack = ON_KNOT * length;
    match breaks.iter().find(|&&b| (b - t).abs() <= slack) {
        Some(b) if inside < 0.0 => b - BESIDE * length,
        Some(b) => b + BESIDE * length,
        None => t,
    }
}

/// The knot `t` stands on to rounding, else `t`.
fn on_knot(knots: &KnotVector, t: f64) -> f64 {
    let all = knots.knots();
    let slack = ON_KNOT * knots.domain().length();
    let above = all.partition_point(|&k| k < t);
    let near = |i: Option<usize>| i.and_then(|i| all.get(i)).copied().filter(|k| (k - t).abs() <= slack);
    near(Some(above)).or_else(|| near(above.checked_sub(1))).unwrap_or(t)
}
