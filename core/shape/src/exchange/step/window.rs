//! Faces cut from a surface along its parameter lines, with real edges. ISO 10303-42, rectangular_trimmed_surface.

use super::lifted::lifted;
use super::shape::Shape;
use crate::geometry::{Circle, Curve, Line, Line2, Pcurve, Surface};
use crate::math::{Frame, Interval, Point2, real};
use crate::model::{Edge, EdgeId, EdgeUse, Loop, Source, TrimCurve, Vertex, VertexId};

/// A rectangle in a surface's parameter plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    pub u: Interval,
    pub v: Interval,
}

impl Window {
    /// The rectangle between two parameters each way, those of periodic directions unwrapped to run forward.
    pub(super) fn new(surface: &Surface, (u1, u2): (f64, f64), (v1, v2): (f64, f64)) -> Self {
        let (period_u, period_v) = surface.periods();
        let side = |a: f64, b: f64, period: Option<f64>| match period {
            Some(p) if b <= a => {
                let turns = ((a - b) / p).floor() + 1.0;
                Interval::new(a, b + p * turns)
            }
            _ => Interval::new(a.min(b), a.max(b)),
        };
        Self { u: side(u1, u2, period_u), v: side(v1, v2, period_v) }
    }

    /// The whole of a bounded surface.
    pub(super) fn whole(surface: &Surface) -> Option<Self> {
        let (u, v) = surface.domain();
        (u.is_bounded() && v.is_bounded()).then_some(Self { u, v })
    }

    /// True when it covers a whole turn in u, or in v.
    fn full(&self, surface: &Surface) -> (bool, bool) {
        let (period_u, period_v) = surface.periods();
        let full = |side: Interval, period: Option<f64>| period.is_some_and(|p| side.length() >= p * (1.0 - 1e-9));
        (full(self.u, period_u), full(self.v, period_v))
    }

    /// The loops around it, the face on the left of Su × Sv; their edges and vertices are added to the shape. Sides
    /// that close on themselves or shrink to a point bound nothing; without any loop the surface is whole.
    pub(super) fn loops(&self, surface: &Surface, source: Source, shape: &mut Shape) -> Vec<Loop> {
        let corner = |i: bool, j: bool| Point2::new(if i { self.u.high } else { self.u.low }, if j { self.v.high } else { self.v.low });
        let [a, b, c, d] = [corner(false, false), corner(true, false), corner(true, true), corner(false, true)];
        let (full_u, full_v) = self.full(surface);
        if full_u && full_v {
            return Vec::new();
        }
        let mut sides = Sides { surface, source, shape, corners: Vec::new() };
        if full_u || full_v {
            let rings = if full_u { [(a, b), (c, d)] } else { [(b, c), (d, a)] };
            return rings.into_iter().filter_map(|(p, q)| sides.side(p, q, true)).map(|u| Loop::Edges(vec![u])).collect();
        }
        let uses: Vec<EdgeUse> = [(a, b), (b, c), (c, d), (d, a)].into_iter().filter_map(|(p, q)| sides.side(p, q, false)).collect();
        if uses.is_empty() { Vec::new() } else { vec![Loop::Edges(uses)] }
    }
}

struct Sides<'s> {
    surface: &'s Surface,
    source: Source,
    shape: &'s mut Shape,
    /// Vertices made so far.
    corners: Vec<VertexId>,
}

impl Sides<'_> {
    /// The side from `p` to `q`; None when it has no length.
    fn side(&mut self, p: Point2, q: Point2, ring: bool) -> Option<EdgeUse> {
        let (curve, t0, t1) = parameter_line(self.surface, p, q)?;
        let start = self.vertex(p);
        let end = if ring { start } else { self.vertex(q) };
        let edge = EdgeId::new(self.shape.edges.len());
        self.shape.edges.push(Edge { curve, t0, t1, start, end, source: self.source });
        let trim = TrimCurve { curve: Pcurve::Line(Line2 { origin: p, direction: q - p }), t0: 0.0, t1: 1.0 };
        Some(EdgeUse { edge, forward: true, pcurve: Some(trim) })
    }

    /// The vertex at a corner, shared by the sides that meet there (also over a pole or a seam).
    fn vertex(&mut self, at: Point2) -> VertexId {
        let point = self.surface.point(at.u, at.v);
        let near = 1e-9 * (1.0 + point.to_vec().abs().max_element());
        let same = |id: &&VertexId| self.shape.vertices.get(id.index()).is_some_and(|v| v.point.distance(point) <= near);
        if let Some(&known) = self.corners.iter().find(same) {
            return known;
        }
        let new = VertexId::new(self.shape.vertices.len());
        self.shape.vertices.push(Vertex { point, source: self.source });
        self.corners.push(new);
        new
    }
}

/// The space curve over a parameter line from `p` to `q` with its parameters, exact on the analytic kinds; None when it
/// has no length.
fn parameter_line(surface: &Surface, p: Point2, q: Point2) -> Option<(Curve, f64, f64)> {
    let (from, to) = (surface.point(p.u, p.v), surface.point(q.u, q.v));
    let straight = || {
        let direction = to - from;
        (direction.length() > 1e-12 * (1.0 + from.to_vec().abs().max_element())).then_some((
            Curve::Line(Line { origin: from, direction }),
            0.0,
            1.0,
        ))
    };
    // About z at height h; a negative radius is the other side.
    let ring = |f: &Frame, radius: f64, height: f64| {
        let side = if radius < 0.0 { -1.0 } else { 1.0 };
        let frame = Frame { origin: f.point(0.0, 0.0, height), x: f.x * side, y: f.y * side, z: f.z };
        let small = radius.abs() <= 1e-12 * (1.0 + from.to_vec().abs().max_element());
        (!small).then_some((Curve::Circle(Circle { frame, radius: radius.abs() }), p.u, q.u))
    };
    // In the half-plane of u, its centre `out` from the axis.
    let meridian = |f: &Frame, out: f64, radius: f64| {
        let (sin, cos) = real::sin_cos(p.u);
        let x = f.x * cos + f.y * sin;
        let frame = Frame { origin: f.origin + x * out, x, y: f.z, z: f.x * sin - f.y * cos };
        Some((Curve::Circle(Circle { frame, radius }), p.v, q.v))
    };
    let along_u = p.v == q.v;
    match surface {
        Surface::Plane(_) => straight(),
        Surface::Cylinder(s) if along_u => ring(&s.frame, s.radius, p.v),
        Surface::Cone(s) if along_u => ring(&s.frame, s.radius + p.v * real::tan(s.half_angle), p.v),
        Surface::Cylinder(_) | Surface::Cone(_) => straight(),
        Surface::Sphere(s) if along_u => ring(&s.frame, s.radius * real::cos(p.v), s.radius * real::sin(p.v)),
        Surface::Sphere(s) => meridian(&s.frame, 0.0, s.radius),
        Surface::Torus(s) if along_u => ring(&s.frame, s.major + s.minor * real::cos(p.v), s.minor * real::sin(p.v)),
        Surface::Torus(s) => meridian(&s.frame, s.major, s.minor),
        _ => {
            let line = Pcurve::Line(Line2 { origin: p, direction: q - p });
            Some((Curve::Nurbs(lifted(surface, &line, 0.0, 1.0)?), 0.0, 1.0))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Cylinder, Plane, Sphere, Torus};
    use crate::math::{Point3, Vec3};

    fn surfaces() -> Vec<Surface> {
        let frame = Frame::from_axis(Point3::new(1.0, -2.0, 3.0), Some(Vec3::new(1.0, -1.0, 2.0)), Some(Vec3::new(0.0, 1.0, 0.3)));
        let profile = Box::new(Curve::Circle(Circle { frame, radius: 2.0 }));
        let axis = Frame::from_axis(Point3::new(9.0, 9.0, -4.0), Some(Vec3::new(1.0, 0.5, 0.0)), None);
        vec![
            Surface::Plane(Plane { frame }),
            Surface::Cylinder(Cylinder { frame, radius: 2.5 }),
            Surface::Cone(Cone { frame, radius: 1.5, half_angle: 0.4 }),
            Surface::Sphere(Sphere { frame, radius: 4.0 }),
            Surface::Torus(Torus { frame, major: 5.0, minor: 1.5 }),
            Surface::Revolution(crate::geometry::Revolution { frame: axis, profile, range: Interval::new(0.0, real::TAU) }),
        ]
    }

    #[test]
    fn edges_follow_their_parameter_lines_and_meet_at_corners() {
        for surface in surfaces() {
            let window = Window { u: Interval::new(0.5, 2.5), v: Interval::new(-0.7, 1.1) };
            let mut shape = Shape::default();
            let loops = window.loops(&surface, Source::default(), &mut shape);
            assert_eq!((loops.len(), shape.edges.len(), shape.vertices.len()), (1, 4, 4), "{surface:?}");
            for u in loops[0].uses() {
                let (edge, trim) = (&shape.edges[u.edge.index()], u.pcurve.as_ref().unwrap());
                for i in 0..=10 {
                    let s = f64::from(i) / 10.0;
                    let uv = trim.curve.point(s);
                    let off = surface.point(uv.u, uv.v).distance(edge.point(s));
                    assert!(off < 1e-7, "{surface:?}: {off}");
                }
                let end = shape.vertices[edge.end.index()].point;
                assert!(edge.point(1.0).distance(end) < 1e-12 * 20.0);
            }
        }
    }

    #[test]
    fn whole_turns_and_poles_have_no_sides() {
        let counts = |surface: &Surface, u: (f64, f64), v: (f64, f64)| {
            let mut shape = Shape::default();
            let window = Window::new(surface, u, v);
            let loops = window.loops(surface, Source::default(), &mut shape);
            loops.iter().map(|l| l.uses().len()).collect::<Vec<_>>()
        };
        let all = surfaces();
        let (cylinder, sphere, torus) = (&all[1], &all[3], &all[4]);
        let quarter = real::FRAC_PI_2;
        assert_eq!(counts(cylinder, (0.0, real::TAU), (0.0, 3.0)), [1, 1]);
        assert_eq!(counts(cylinder, (1.0, 1.0), (0.0, 3.0)), [1, 1]);
        assert_eq!(counts(cylinder, (5.0, 1.0), (3.0, 0.0)), [4]);
        assert_eq!(counts(sphere, (0.0, real::TAU), (-quarter, quarter)), [] as [usize; 0]);
        assert_eq!(counts(sphere, (0.0, real::TAU), (0.2, quarter)), [1]);
        assert_eq!(counts(sphere, (0.0, 1.0), (-quarter, quarter)), [2]);
        assert_eq!(counts(torus, (0.0, 1.0), (0.3, 0.3 + real::TAU)), [1, 1]);
        assert_eq!(counts(torus, (0.0, real::TAU), (0.3, 0.3)), [] as [usize; 0]);
        let across = Window::new(cylinder, (5.0, 1.0), (3.0, 0.0));
        assert!((across.u.high - 1.0 - real::TAU).abs() < 1e-12 && across.u.low == 5.0);
    }
}
