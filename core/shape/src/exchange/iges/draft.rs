//! The model being put together: adding edges, vertices and loops to it.

use super::curve::Piece;
use super::plane_curve::PlanePiece;
use crate::geometry::{Plane, Surface};
use crate::math::{Point2, Point3};
use crate::model::{Edge, EdgeId, EdgeUse, Loop, Model, Source, TrimCurve, Vertex, VertexId};

/// A piece of a boundary: in space (mm), and in the surface's parameters where the file gives that.
#[derive(Debug, Clone)]
pub(super) struct Side {
    pub space: Piece,
    pub plane: Option<PlanePiece>,
}

impl Side {
    pub fn reversed(self) -> Self {
        Self { space: self.space.reversed(), plane: self.plane.map(PlanePiece::reversed) }
    }
}

pub(super) fn add_vertex(model: &mut Model, point: Point3, source: Source) -> VertexId {
    model.vertices.push(Vertex { point, source });
    VertexId::new(model.vertices.len() - 1)
}

/// Adds a loop of edges of its own, each starting where the one before ends.
pub(super) fn add_loop(model: &mut Model, sides: Vec<Side>) -> Loop {
    let first = model.vertices.len();
    for side in &sides {
        add_vertex(model, side.space.start(), side.space.source);
    }
    let count = sides.len();
    let mut uses = Vec::with_capacity(count);
    for (i, side) in sides.into_iter().enumerate() {
        let (start, end) = (VertexId::new(first + i), VertexId::new(first + (i + 1) % count));
        let Piece { curve, t0, t1, source } = side.space;
        model.edges.push(Edge { curve, t0, t1, start, end, source });
        let pcurve = side.plane.map(|p| TrimCurve { curve: p.curve, t0: p.t0, t1: p.t1 });
        uses.push(EdgeUse { edge: EdgeId::new(model.edges.len() - 1), forward: true, pcurve });
    }
    Loop::Edges(uses)
}

/// Twice the area a loop encloses in the parameter plane, positive when it runs counter-clockwise there; None when its
/// parameters are not known or it does not close in the plane (it runs round a closed surface).
pub(super) fn turning(surface: &Surface, sides: &[Side]) -> Option<f64> {
    let mut polygon: Vec<Point2> = Vec::new();
    let mut widest = 0.0f64;
    let mut last_end = None;
    for side in sides {
        let own: Vec<Point2> = (0..=SAMPLES).map(|i| parameters(surface, side, i as f64 / SAMPLES as f64)).collect::<Option<_>>()?;
        if let (Some(a), Some(&b)) = (last_end, own.first()) {
            widest = widest.max(apart(a, b));
        }
        last_end = own.last().copied();
        polygon.extend(own);
    }
    let (&first, last) = (polygon.first()?, last_end?);
    widest = widest.max(apart(last, first));
    let middle = polygon.iter().fold(0.0f64, |m, &p| m.max(apart(first, p)));
    if widest.is_nan() || widest > OPEN * middle {
        return None;
    }
    let next = polygon.iter().skip(1).chain(polygon.first());
    let area: f64 = polygon.iter().zip(next).map(|(a, b)| (a.u - first.u) * (b.v - first.v) - (b.u - first.u) * (a.v - first.v)).sum();
    (area != 0.0).then_some(area)
}

/// Places a side is looked at in. Fewer: a side that winds is taken for its chord.
const SAMPLES: usize = 16;

/// Largest gap, as a share of a loop's size in the plane, at which it still closes there. Larger: a loop around a
/// closed surface seems to enclose something.
const OPEN: f64 = 0.1;

fn apart(a: Point2, b: Point2) -> f64 {
    (a.u - b.u).abs().max((a.v - b.v).abs())
}

fn parameters(surface: &Surface, side: &Side, s: f64) -> Option<Point2> {
    match (&side.plane, surface) {
        (Some(plane), _) => Some(plane.at(s)),
        (None, Surface::Plane(Plane { frame })) => {
            let q = frame.local(side.space.at(s));
            Some(Point2::new(q.x, q.y))
        }
        _ => None,
    }
}
