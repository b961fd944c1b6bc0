//! Edges, and the pcurve each use of one has on its face's surface.

use super::pcurve::cover;
use super::range::{Ends, Range, range};
use super::reader::Reader;
use super::shape::Shape;
use super::units::Units;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Curve, Line, Surface};
use crate::math::{Point3, Vec2};
use crate::model::{Edge, EdgeId, EdgeUse, Source, TrimCurve, VertexId};

/// The surface a loop lies on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ground<'s> {
    /// The entities it is known by.
    pub ids: &'s [u64],
    pub surface: &'s Surface,
    /// The normal that loops keep the face on their left of is Su × Sv.
    pub same_sense: bool,
    /// What one unit of the entity's parameters counts in the surface's own, angles apart.
    pub scale: (f64, f64),
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
        let written = self.written_edge(id)?;
        let (start, end) = (self.vertex(written.start, shape)?, self.vertex(written.end, shape)?);
        let point = |v: VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
        let found = self.edge_range(&written, [point(start), point(end)], start == end, &shape.units)?;
        let pcurves = self.associated(written.geometry)?;
        let new = EdgeId::new(shape.edges.len());
        shape.edges.push(Edge { curve: found.curve, t0: found.t0, t1: found.t1, start, end, source: self.file.source(id) });
        shape.edge_ids.insert(id, new);
        shape.pcurves.insert(new, pcurves);
        Ok(new)
    }

    /// An edge that bounds no face: its curve and parameters.
    pub(super) fn wire(&mut self, id: u64, units: &Units) -> Result<(Curve, f64, f64), Fault> {
        let written = self.written_edge(id)?;
        let ends = [self.position(written.start)?, self.position(written.end)?];
        let found = self.edge_range(&written, ends, written.start == written.end, units)?;
        Ok((found.curve, found.t0, found.t1))
    }

    /// What the file says of edge `id`; a part of another edge lies on that one's curve.
    fn written_edge(&mut self, id: u64) -> Result<WrittenEdge, Fault> {
        self.within(id, |reader, instance| {
            let vertices = instance.record("EDGE").unwrap_or_else(|| instance.fields().after(1));
            let (start, end) = (vertices.id(0)?, vertices.id(1)?);
            if instance.kind() == "SUBEDGE" {
                let parent = reader.written_edge(instance.fields().id(3)?)?;
                return Ok(WrittenEdge { at: instance.at, start, end, ..parent });
            }
            let curve = match instance.record("EDGE_CURVE") {
                Some(fields) if instance.is_simple() => fields.after(3),
                Some(fields) => fields,
                None => return Err(instance.fault(Reason::Unsupported)),
            };
            Ok(WrittenEdge { at: instance.at, start, end, geometry: curve.id(0)?, with_curve: curve.flag(1)? })
        })
    }

    /// The part of its curve that an edge between two points covers.
    fn edge_range(&mut self, edge: &WrittenEdge, ends: [Point3; 2], closed: bool, units: &Units) -> Result<Range, Fault> {
        let fault = |why| Fault::new(edge.at, "EDGE_CURVE", Reason::Geometry(why));
        let directed = self.curve(edge.geometry, units)?;
        let [start, end] = ends;
        let ends = Ends { start, end, closed, forward: edge.with_curve == directed.agrees, tolerance: units.uncertainty };
        let found = range(directed.curve, ends).ok_or_else(|| fault("the edge has no length"))?;
        if found.contradicted {
            self.remark(edge.at, "its sense contradicts its vertices; the vertices are followed".into());
        }
        if !found.gap.is_finite() {
            return Err(fault("its curve runs off to infinity"));
        }
        let size = start.distance(end).max(found.curve.point(0.5 * (found.t0 + found.t1)).distance(start));
        if found.gap > (0.01 * size).max(10.0 * units.uncertainty) {
            let mm = found.gap * units.length;
            self.remark(edge.at, format!("a vertex lies {mm:.3} mm off the end of its curve"));
        }
        Ok(found)
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
        let point = |v: VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
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

    /// The file's own curve in (u, v) for one use of an edge.
    fn use_pcurve(&mut self, id: EdgeId, forward: bool, ground: Ground<'_>, shape: &Shape) -> Result<Option<TrimCurve>, Fault> {
        let (Some(edge), Some(listed)) = (shape.edges.get(id.index()), shape.pcurves.get(&id)) else { return Ok(None) };
        Ok(self.listed_pcurve(edge, listed, forward, ground, shape)?.map(|c| c.trim))
    }

    /// The one of the listed curves in (u, v) that is for this surface and this use of the edge. What is unusable is
    /// left out with a remark: the edge in space then stands for it.
    pub(super) fn listed_pcurve(
        &mut self,
        edge: &Edge,
        listed: &[u64],
        forward: bool,
        ground: Ground<'_>,
        shape: &Shape,
    ) -> Result<Option<Covering>, Fault> {
        let mut found = Vec::new();
        for &pcurve in listed {
            match self.one_pcurve(pcurve, edge, ground, shape) {
                Ok(Some(covering)) => found.push(covering),
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
        let middles: Vec<_> = found.iter().map(|c| &c.trim).map(|t| t.curve.derivs(t.t0 + (t.t1 - t.t0) * share)).collect();
        let (Some(first), Some(second)) = (middles.first(), middles.get(1)) else { return Ok(None) };
        let run = found.first().map_or(0.0, |c| c.trim.t1 - c.trim.t0);
        let turn = if forward == ground.same_sense { run } else { -run };
        let left: Vec2 = (first.1 * turn).perp();
        let first_fits = left.dot(second.0 - first.0) > 0.0;
        Ok(found.into_iter().nth(if first_fits { 0 } else { 1 }))
    }

    fn one_pcurve(&mut self, id: u64, edge: &Edge, ground: Ground<'_>, shape: &Shape) -> Result<Option<Covering>, Fault> {
        let Some(written) = self.written_pcurve(id)? else { return Ok(None) };
        if !ground.ids.contains(&written.surface) {
            return Ok(None);
        }
        let joined = Some([edge.point(0.0), edge.point(1.0)]);
        let (mut pcurve, ends) = self.pcurve(written.curve, ground.surface, &shape.units, joined)?;
        if ground.scale != (1.0, 1.0) {
            pcurve = pcurve.scaled(ground.scale.0, ground.scale.1);
        }
        let trim = match cover(pcurve, ends, ground.surface, edge, &shape.units) {
            Ok(trim) => trim,
            Err(missed) => {
                let text = format!("its curve in its surface's parameters, #{id}, does not follow it; the edge in space is followed");
                let size = (missed * shape.units.length).is_finite().then_some(missed * shape.units.length);
                self.repair(edge.source, text, size);
                return Ok(None);
            }
        };
        // Uncut curves run with their parameter.
        let rising = ends.is_none_or(|(a, b)| b >= a);
        Ok(Some(Covering { against: (trim.t1 >= trim.t0) != rising, trim }))
    }
}

/// A curve in a surface's parameters that covers an edge.
#[derive(Debug, Clone)]
pub(super) struct Covering {
    /// Running along the edge.
    pub trim: TrimCurve,
    /// The edge runs against the curve's own direction.
    pub against: bool,
}

/// What the file says of an edge.
#[derive(Debug, Clone, Copy)]
struct WrittenEdge {
    at: Source,
    start: u64,
    end: u64,
    geometry: u64,
    /// It runs the way its curve does.
    with_curve: bool,
}
