//! Edges, and the pcurve each use of one has on its face's surface.

use super::pcurve::cover;
use super::range::{Ends, range};
use super::reader::Reader;
use super::shape::Shape;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Curve, Line, Surface};
use crate::math::Vec2;
use crate::model::{Edge, EdgeId, EdgeUse, TrimCurve};

/// The surface a loop lies on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ground<'s> {
    pub id: u64,
    pub surface: &'s Surface,
    /// The face's normal is Su × Sv.
    pub same_sense: bool,
}

impl Reader<'_, '_> {
    /// One oriented_edge of a loop that is itself run `forward` or backward.
    pub(super) fn edge_use(&mut self, id: u64, forward: bool, ground: Ground<'_>, shape: &mut Shape) -> Result<EdgeUse, Fault> {
        self.within(id, |reader, oriented| {
            if oriented.kind() != "ORIENTED_EDGE" {
                return Err(oriented.fault(Reason::Geometry("an ORIENTED_EDGE was expected")));
            }
            let fields = oriented.fields();
            let forward = fields.flag(4)? == forward;
            let edge = reader.edge(fields.id(3)?, shape)?;
            let pcurve = reader.use_pcurve(edge, forward, ground, shape)?;
            Ok(EdgeUse { edge, forward, pcurve })
        })
    }

    /// Edge `id` of the shape, read once.
    fn edge(&mut self, id: u64, shape: &mut Shape) -> Result<EdgeId, Fault> {
        if let Some(&known) = shape.edge_ids.get(&id) {
            return Ok(known);
        }
        let (edge, pcurves) = self.within(id, |reader, instance| {
            if instance.kind() != "EDGE_CURVE" {
                return Err(instance.fault(Reason::Unsupported));
            }
            let fields = instance.fields();
            let (start, end) = (reader.vertex(fields.id(1)?, shape)?, reader.vertex(fields.id(2)?, shape)?);
            let geometry = fields.id(3)?;
            let directed = reader.curve(geometry, &shape.units)?;
            let point = |v: crate::model::VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
            let ends = Ends {
                start: point(start),
                end: point(end),
                closed: start == end,
                forward: fields.flag(4)? == directed.agrees,
                tolerance: shape.units.uncertainty,
            };
            let found = range(directed.curve, ends).ok_or_else(|| instance.fault(Reason::Geometry("the edge has no length")))?;
            if found.contradicted {
                reader.remark(instance.at, "its sense contradicts its vertices; the vertices are followed".into());
            }
            let edge = Edge { curve: found.curve, t0: found.t0, t1: found.t1, start, end, source: instance.at };
            let size = ends.start.distance(ends.end).max(edge.point(0.5).distance(ends.start));
            if !found.gap.is_finite() {
                return Err(instance.fault(Reason::Geometry("its curve runs off to infinity")));
            }
            if found.gap > (0.01 * size).max(10.0 * shape.units.uncertainty) {
                let mm = found.gap * shape.units.length;
                reader.remark(instance.at, format!("a vertex lies {mm:.3} mm off the end of its curve"));
            }
            Ok((edge, reader.associated(geometry)?))
        })?;
        let new = EdgeId::new(shape.edges.len());
        shape.edges.push(edge);
        shape.edge_ids.insert(id, new);
        shape.pcurves.insert(new, pcurves);
        Ok(new)
    }

    /// What a curve on surfaces lists beside its curve in space.
    fn associated(&mut self, geometry: u64) -> Result<Vec<u64>, Fault> {
        let instance = self.file.get(geometry)?;
        super::curve::on_surface(&instance).map_or(Ok(Vec::new()), |f| f.ids(1))
    }

    /// The straight edge between two points, for loops given by points alone, and whether it runs from `a` to `b`.
    pub(super) fn straight_edge(&mut self, a: u64, b: u64, shape: &mut Shape) -> Result<Option<(EdgeId, bool)>, Fault> {
        let key = (a.min(b), a.max(b));
        if let Some(&known) = shape.straight_ids.get(&key) {
            return Ok(Some((known, a < b)));
        }
        let (start, end) = (self.vertex(key.0, shape)?, self.vertex(key.1, shape)?);
        let point = |v: crate::model::VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
        let origin = point(start);
        let direction = point(end) - origin;
        if direction.length_squared() == 0.0 {
            return Ok(None);
        }
        let new = EdgeId::new(shape.edges.len());
        let curve = Curve::Line(Line { origin, direction });
        shape.edges.push(Edge { curve, t0: 0.0, t1: 1.0, start, end, source: self.file.source(key.0) });
        shape.straight_ids.insert(key, new);
        Ok(Some((new, a < b)))
    }

    /// The file's own curve in (u, v) for one use of an edge. What is unusable is left out with a remark: the edge in
    /// space then stands for it.
    fn use_pcurve(&mut self, id: EdgeId, forward: bool, ground: Ground<'_>, shape: &Shape) -> Result<Option<TrimCurve>, Fault> {
        let (Some(edge), Some(listed)) = (shape.edges.get(id.index()), shape.pcurves.get(&id)) else { return Ok(None) };
        let mut found = Vec::new();
        for &pcurve in listed {
            match self.one_pcurve(pcurve, edge, ground, shape) {
                Ok(Some(trim)) => found.push(trim),
                Ok(None) => {}
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
                Err(fault) => self.remark(edge.source, format!("a curve in its surface's parameters is left out: {fault}")),
            }
        }
        if found.len() < 2 {
            return Ok(found.pop());
        }
        // A seam lies on the surface twice: the face is on the left of the use, so its other curve is there too.
        let share = 0.5;
        let middles: Vec<_> = found.iter().map(|t| t.curve.derivs(t.t0 + (t.t1 - t.t0) * share)).collect();
        let (Some(first), Some(second)) = (middles.first(), middles.get(1)) else { return Ok(None) };
        let run = found.first().map_or(0.0, |t| t.t1 - t.t0);
        let turn = if forward == ground.same_sense { run } else { -run };
        let left: Vec2 = (first.1 * turn).perp();
        let first_fits = left.dot(second.0 - first.0) > 0.0;
        Ok(found.into_iter().nth(if first_fits { 0 } else { 1 }))
    }

    fn one_pcurve(&mut self, id: u64, edge: &Edge, ground: Ground<'_>, shape: &Shape) -> Result<Option<TrimCurve>, Fault> {
        let Some(written) = self.written_pcurve(id)? else { return Ok(None) };
        if written.surface != ground.id {
            return Ok(None);
        }
        let pcurve = self.pcurve(written.curve, ground.surface, &shape.units)?;
        let covering = cover(pcurve, ground.surface, edge, &shape.units);
        let far = || Fault::new(self.file.source(id), "PCURVE", Reason::Geometry("it does not follow its edge"));
        covering.ok_or_else(far).map(Some)
    }
}
