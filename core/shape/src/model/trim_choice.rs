//! Which of an edge's two descriptions bounds the face: the curve in space or the one in the parameter plane.

use super::{Edge, TrimCurve};
use crate::geometry::{DomainFault, DomainRepair, Pcurve, Surface, SurfaceSearch, Trim, closest_on_curve};
use crate::math::{Point2, Point3};

/// The trim an edge makes on a surface.
pub(super) struct Choice {
    pub trim: Trim,
    /// What was wrong with the edge.
    pub repair: Option<DomainRepair>,
    /// How far the edge lies off the surface where its projection was taken in spite of that, mm.
    pub off_surface: Option<f64>,
}

/// The parameter-plane curve where it follows the edge. Where the two disagree: the one that meets the vertices (`ends`,
/// where known) and lies on the surface, the edge before the other. `at` is the edge's loop and use.
///
/// # Errors
/// When neither makes a trim.
pub(super) fn choose(
    surface: &Surface,
    search: &SurfaceSearch,
    pcurve: Option<&TrimCurve>,
    edge: &Edge,
    ends: [Option<Point3>; 2],
    at: (usize, usize),
) -> Result<Choice, DomainFault> {
    let (loop_index, use_index) = at;
    let allowed = allowed(edge);
    let mut refused = None;
    if let Some(c) = pcurve {
        match trusted(surface, &c.curve, c.t0, c.t1, edge, allowed) {
            Ok(trim) => {
                let beyond = beyond(surface, &trim);
                if beyond <= SETTLED * (1.0 + trim.node_length()) {
                    return Ok(Choice { trim, repair: None, off_surface: None });
                }
                // The edge's feet are held to the border, the curve is not.
                refused = (beyond > allowed).then_some(beyond);
            }
            Err(distance) => refused = Some(distance),
        }
    }
    let foot = Trim::foot_of(surface, search, &edge.curve, edge.t0, edge.t1);
    let off = foot.as_ref().map_or(f64::INFINITY, |t| t.foot_distance());
    if let (Some(_), Some(c)) = (refused, pcurve)
        && let ends_off = missed(edge.point(0.0), edge.point(1.0), ends)
        && (off > allowed || ends_off > allowed)
        && let Some(trim) = meeting_vertices(surface, c, ends, allowed)
    {
        let distance = if off.is_finite() { off.max(ends_off) } else { ends_off };
        return Ok(Choice { trim, repair: Some(DomainRepair::EdgeRefused { loop_index, use_index, distance }), off_surface: None });
    }
    let trim = foot.map_err(|error| DomainFault::Trim { loop_index, use_index, error })?;
    let strays = off > allowed.max(NOTED);
    let repair = if let Some(distance) = refused {
        Some(DomainRepair::PcurveRefused { loop_index, use_index, distance })
    } else if strays && trim.is_held(surface) {
        Some(DomainRepair::Outside { loop_index, use_index, distance: off })
    } else {
        strays.then_some(DomainRepair::OffSurface { loop_index, use_index, distance: off })
    };
    Ok(Choice { trim, repair, off_surface: strays.then_some(off) })
}

/// Distances up to this, mm, are what exchange leaves everywhere (common practice, no source). Larger: faults are
/// hidden; smaller: tiny edges are listed for nothing.
const NOTED: f64 = 1e-3;

/// A trim may leave the domain of a patch by this share of its length. Larger: the patch is continued where it is not
/// defined; smaller: rounding sends sound curves to their edges' feet.
const SETTLED: f64 = 1e-9;

/// How far the trim runs beyond the domain of a patch, mm.
fn beyond(surface: &Surface, trim: &Trim) -> f64 {
    let Some((u, v)) = surface.limits() else { return 0.0 };
    let over = |p: Point2| {
        let held = Point2::new(u.clamp(p.u), v.clamp(p.v));
        if held == p { 0.0 } else { surface.point(held.u, held.v).distance(surface.point(p.u, p.v)) }
    };
    trim.nodes().map(|n| over(n.uv)).fold(0.0, f64::max)
}

/// Largest distance of two ends from the vertices they should meet; 0 where those are not known.
fn missed(start: Point3, end: Point3, ends: [Option<Point3>; 2]) -> f64 {
    let off = |p: Point3, v: Option<Point3>| v.map_or(0.0, |v| v.distance(p));
    off(start, ends[0]).max(off(end, ends[1]))
}

/// The trim of a parameter-plane curve that runs inside the surface's domain from one vertex to the other.
fn meeting_vertices(surface: &Surface, c: &TrimCurve, ends: [Option<Point3>; 2], allowed: f64) -> Option<Trim> {
    let known = [ends[0]?, ends[1]?].map(Some);
    let at = |t: f64| {
        let uv = c.curve.point(t);
        surface.point(uv.u, uv.v)
    };
    let (t0, t1) = if missed(at(c.t0), at(c.t1), known) <= allowed {
        (c.t0, c.t1)
    } else if missed(at(c.t1), at(c.t0), known) <= allowed {
        (c.t1, c.t0)
    } else {
        return None;
    };
    let trim = Trim::on_pcurve(surface, &c.curve, t0, t1).ok()?;
    (beyond(surface, &trim) <= SETTLED * (1.0 + trim.node_length())).then_some(trim)
}

/// A parameter-plane curve may leave its edge, and an edge its surface, by this much, mm, plus [`SLACK`] of the edge's length. Larger: curves
/// of another edge are believed; smaller: exporters' own tolerance is refused and gaps at seams appear.
const ABSOLUTE: f64 = 0.01;

/// See [`ABSOLUTE`].
const SLACK: f64 = 1e-4;

fn allowed(edge: &Edge) -> f64 {
    let length: f64 = (0..SAMPLES).map(|i| edge.point(f64::from(i) / 8.0).distance(edge.point(f64::from(i + 1) / 8.0))).sum();
    ABSOLUTE.min(0.02 * length) + SLACK * length
}

/// Steps in which an edge and its parameter-plane curve are compared.
const SAMPLES: i32 = 8;

/// The trim of the file's own curve if it follows the edge (run either way), else how far it strays, mm.
fn trusted(surface: &Surface, curve: &Pcurve, t0: f64, t1: f64, edge: &Edge, allowed: f64) -> Result<Trim, f64> {
    let at = |t: f64| {
        let uv = curve.point(t);
        surface.point(uv.u, uv.v)
    };
    let ends = |a: f64, b: f64| at(a).distance(edge.point(0.0)).max(at(b).distance(edge.point(1.0)));
    let (t0, t1) = if ends(t0, t1) > allowed && ends(t1, t0) <= allowed { (t1, t0) } else { (t0, t1) };
    let mut worst = ends(t0, t1);
    for i in 1..SAMPLES {
        let s = f64::from(i) / 8.0;
        let p = at(t0 * (1.0 - s) + t1 * s);
        let near = closest_on_curve(&edge.curve, edge.t0, edge.t1, p, Some(edge.parameter(s))).distance;
        // A start elsewhere on a winding edge may lead to a farther foot: ask the whole edge before refusing.
        let distance = if near <= allowed { near } else { closest_on_curve(&edge.curve, edge.t0, edge.t1, p, None).distance };
        worst = worst.max(distance);
    }
    if worst.is_nan() || worst > allowed {
        return Err(apart(surface, curve, (t0, t1), edge).max(allowed));
    }
    Trim::on_pcurve(surface, curve, t0, t1).map_err(|_| f64::INFINITY)
}

/// How far the curve, held to where the surface is defined, lies from the edge, mm.
fn apart(surface: &Surface, curve: &Pcurve, (t0, t1): (f64, f64), edge: &Edge) -> f64 {
    let off = |i: i32| {
        let s = f64::from(i) / f64::from(SAMPLES);
        let uv = curve.point(t0 * (1.0 - s) + t1 * s);
        closest_on_curve(&edge.curve, edge.t0, edge.t1, surface.held_point(uv.u, uv.v), None).distance
    };
    let ends = |i: i32, s: f64| {
        let uv = curve.point(if i == 0 { t0 } else { t1 });
        surface.held_point(uv.u, uv.v).distance(edge.point(s))
    };
    (1..SAMPLES).map(off).fold(ends(0, 0.0).max(ends(1, 1.0)), f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::test_patch::lifted_side;
    use crate::geometry::{Curve, Line};
    use crate::math::Vec3;
    use crate::model::{Source, VertexId};
    use crate::nurbs::{self, KnotVector};

    #[test]
    fn a_curve_beyond_its_patch_is_refused_by_a_true_distance() {
        let surface = lifted_side();
        // Along the patch's side u = 0.
        let edge = Edge {
            curve: Curve::Line(Line { origin: Point3::ORIGIN, direction: Vec3::new(0.0, 1.0, 0.0) }),
            t0: 0.0,
            t1: 10.0,
            start: VertexId::new(0),
            end: VertexId::new(1),
            source: Source::default(),
        };
        for beyond in [2.0, 20.0, 1e4] {
            let line = KnotVector::new(1, vec![0., 0., 1., 1.]).unwrap();
            let curve = Pcurve::Nurbs(nurbs::Curve::new(line, vec![[beyond, 0.0], [beyond, 1.0]], None).unwrap());
            let pcurve = TrimCurve { curve, t0: 0.0, t1: 1.0 };
            let choice = choose(&surface, &SurfaceSearch::new(&surface), Some(&pcurve), &edge, [None, None], (0, 2)).unwrap();
            let Some(DomainRepair::PcurveRefused { loop_index: 0, use_index: 2, distance }) = choice.repair else {
                panic!("{beyond}: {:?}", choice.repair)
            };
            // The side u = 1, to which the curve is held, lies 10 across and 5 up.
            assert!((distance - 125.0_f64.sqrt()).abs() < 1e-9, "{beyond}: {distance}");
        }
    }
}
