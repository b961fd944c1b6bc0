//! Borders of changed faces.

use super::bench::{Bench, Sheet};
use super::change::shares;
use crate::geometry::{Curve, DomainSide, Pcurve, SideOrigin, Surface};
use crate::math::Point2;
use crate::model::{Edge, EdgeId, EdgeUse, Face, FaceId, Loop, Model, TrimCurve, Vertex, VertexId};
use crate::nurbs::fit::{CurveSample, fit_curve};
use crate::nurbs::{self, KnotVector};

/// Degree of curves fitted along trims; and spans they may have at most.
const DEGREE: usize = 5;
const SPANS: usize = 64;

/// How near a fitted curve comes to its trim: in parameters, as a share of their range, and in space, mm. Larger: borders wander;
/// smaller: curves of many spans.
const NEAR_UV: f64 = 1e-9;
const NEAR: f64 = 1e-6;

/// The face with its new patch. A whole one needs no boundary; a trimmed one keeps its trims in (u, v), and gets edges of its own,
/// put into `made`, since those of the import lie where the surface was. What cannot be kept makes the boundary lost, in words.
pub(super) fn rebordered(bench: &Bench<'_>, id: FaceId, face: &Face, sheet: &Sheet, made: &mut Model) -> Face {
    let surface = Surface::Nurbs(sheet.patch.clone());
    let bare = Face { surface, loops: Vec::new(), boundary_lost: None, ..face.clone() };
    if sheet.whole {
        return bare;
    }
    match loops(bench, id, face, &sheet.patch, made) {
        Some(loops) => Face { loops, ..bare },
        None => Face { boundary_lost: Some("the trims could not be laid on the changed patch".into()), ..bare },
    }
}

fn loops(bench: &Bench<'_>, id: FaceId, face: &Face, patch: &nurbs::Surface, made: &mut Model) -> Option<Vec<Loop>> {
    let domain = bench.domain(id).ok()?;
    let mut all = Vec::new();
    for l in &domain.loops {
        let mut uses = Vec::new();
        let first = made.vertices.len();
        let count = l.sides.len();
        for side in &l.sides {
            // A side that is one point in space makes no edge.
            if side.origin == SideOrigin::Pole {
                return None;
            }
            let p = side.start();
            made.vertices.push(Vertex { point: patch.derivs(p.u, p.v, 0).s, source: face.source });
        }
        for (i, side) in l.sides.iter().enumerate() {
            let trim = parameter_curve(side, &face.surface)?;
            let curve = space_curve(&trim, patch)?;
            let over = trim.domain();
            let vertex = |k: usize| VertexId::new(first + k % count);
            let edge =
                Edge { curve: Curve::Nurbs(curve), t0: over.low, t1: over.high, start: vertex(i), end: vertex(i + 1), source: face.source };
            made.edges.push(edge);
            let pcurve = Some(TrimCurve { curve: Pcurve::Nurbs(trim), t0: over.low, t1: over.high });
            uses.push(EdgeUse { edge: EdgeId::new(made.edges.len() - 1), forward: true, pcurve });
        }
        let mut one = Loop::Edges(uses);
        // A domain's loop keeps the region on its left against Su × Sv, a face's against the face's own normal.
        if !face.same_sense {
            one.turn_over();
        }
        all.push(one);
    }
    Some(all)
}

/// The side as a curve in (u, v) over 0 to 1, running as the loop does.
fn parameter_curve(side: &DomainSide, surface: &Surface) -> Option<nurbs::Curve<2>> {
    let at = |t: f64| -> Point2 { side.uv(surface, side.from + (side.to - side.from) * t) };
    let range = side.polyline().iter().fold(0.0f64, |r, p| r.max(p.u.abs()).max(p.v.abs())).max(1e-300);
    fitted(|t| [at(t).u, at(t).v], NEAR_UV * range)
}

fn space_curve(trim: &nurbs::Curve<2>, patch: &nurbs::Surface) -> Option<nurbs::Curve<3>> {
    let at = |t: f64| {
        let [u, v] = trim.derivs(t, 0)[0];
        patch.derivs(u, v, 0).s.to_array()
    };
    fitted(at, NEAR)
}

/// A curve over 0 to 1 with the ends kept; of the most spans if none is near enough.
fn fitted<const D: usize>(at: impl Fn(f64) -> [f64; D], near: f64) -> Option<nurbs::Curve<D>> {
    let mut best = None;
    let mut spans = 1;
    while spans <= SPANS {
        let knots = KnotVector::uniform(DEGREE, spans).ok()?;
        let samples: Vec<CurveSample<D>> =
            shares(&knots, 3 * (DEGREE + 1)).into_iter().map(|t| CurveSample { t, point: at(t), weight: 1.0 }).collect();
        let ends = [0.0, 1.0].map(|t| nurbs::fit::Constraint::on_curve(&knots, t, 0, at(t)));
        let curve = fit_curve(&knots, &samples, None, &ends).ok()?;
        let off = nurbs::fit::curve_deviation(&curve, &samples)?.max;
        best = Some(curve);
        if off <= near {
            break;
        }
        spans *= 2;
    }
    best
}
