//! Faces and their loops. ISO 10303-42, 5.4.

use super::edge::Ground;
use super::reader::Reader;
use super::shape::Shape;
use super::style::Look;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, ReadError, Reason};
use crate::model::{EdgeUse, Face, Loop, PartId, Source};

/// A face lies between at most two solids, and a loop runs along an edge at most once a side. Larger: a small file that
/// names one thing over and over takes memory without measure.
const MOST_USES: u8 = 2;

/// How often the most frequent id is in the list.
fn most_repeats(ids: &[u64]) -> usize {
    let mut sorted = ids.to_vec();
    sorted.sort_unstable();
    sorted.chunk_by(|a, b| a == b).map(<[u64]>::len).max().unwrap_or(0)
}

impl<'a> Reader<'a, '_> {
    /// Adds face `id` to the shape, turned over when `flipped`; or lists it as unread.
    pub(super) fn add_face(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<(), ReadError> {
        self.met.insert(id);
        let uses = shape.face_uses.entry(id).or_default();
        *uses = uses.saturating_add(1);
        if *uses > MOST_USES {
            // One remark a face, however often it is named.
            if *uses == MOST_USES + 1 {
                self.remark(self.file.source(id), "the face is named more often than faces can be; it is read twice".into());
            }
            return Ok(());
        }
        let (edges, vertices) = (shape.edges.len(), shape.vertices.len());
        match self.face(id, look, flipped, shape) {
            Ok(face) => shape.faces.push(face),
            Err(fault) => {
                self.unread(self.file.source(id), "ADVANCED_FACE", &fault, 1)?;
                // Edges made for this face alone would be loose; those with ids may serve the next face.
                forget(shape, edges, vertices);
            }
        }
        self.step()
    }

    fn face(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<Face, Fault> {
        self.within(id, |reader, instance| {
            if instance.kind() == "ORIENTED_FACE" {
                let fields = instance.fields();
                let flipped = flipped == fields.flag(3)?;
                let look = reader.looks.of(id, look);
                let inner = fields.id(2)?;
                reader.met.insert(inner);
                return reader.face(inner, &look, flipped, shape);
            }
            if !(instance.is_simple() && matches!(instance.kind(), "ADVANCED_FACE" | "FACE_SURFACE")) {
                return Err(instance.fault(Reason::Unsupported));
            }
            let fields = instance.fields();
            let surface_id = fields.id(2)?;
            let surface = reader.surface(surface_id, &shape.units)?;
            let written_sense = fields.flag(3)?;
            let ground = Ground { id: surface_id, surface: &surface, same_sense: written_sense };
            let mut loops = Vec::new();
            let bounds = fields.ids(1)?;
            if most_repeats(&bounds) > 1 {
                return Err(instance.fault(Reason::Geometry("a bound is named twice")));
            }
            for bound in bounds {
                let (outer, one) = reader.bound(bound, ground, shape)?;
                let place = if outer { 0 } else { loops.len() };
                loops.insert(place, one);
            }
            if flipped {
                loops.iter_mut().for_each(turn_over);
            }
            // A face's own look counts before its surface's, which counts before the solid's.
            let look = reader.looks.of(id, &reader.looks.of(surface_id, look));
            let same_sense = written_sense != flipped;
            let name = fields.text(0);
            Ok(Face {
                name,
                surface,
                same_sense,
                loops,
                boundary_lost: None,
                colour: look.colour,
                layers: look.layers,
                part: PartId::new(0),
                source: instance.at,
            })
        })
    }

    /// A face over the whole of a surface that no face trims.
    pub(super) fn add_whole_surface(&mut self, instance: &Instance<'a>, look: &Look, shape: &mut Shape) -> Result<(), ReadError> {
        let id = instance.at.entity;
        match self.surface(id, &shape.units) {
            Ok(surface) => {
                let look = self.looks.of(id, look);
                shape.faces.push(Face {
                    name: instance.fields().text(0),
                    surface,
                    same_sense: true,
                    loops: Vec::new(),
                    boundary_lost: None,
                    colour: look.colour,
                    layers: look.layers,
                    part: PartId::new(0),
                    source: instance.at,
                });
                Ok(())
            }
            Err(fault) => self.unread(instance.at, instance.kind(), &fault, 1),
        }
    }

    /// A loop, run the way its bound says, and whether it is said to be the outer one.
    fn bound(&mut self, id: u64, ground: Ground<'_>, shape: &mut Shape) -> Result<(bool, Loop), Fault> {
        let instance = self.file.get(id)?;
        if !matches!(instance.kind(), "FACE_BOUND" | "FACE_OUTER_BOUND") {
            return Err(instance.fault(Reason::Geometry("a FACE_BOUND was expected")));
        }
        let fields = instance.fields();
        let outer = instance.kind() == "FACE_OUTER_BOUND";
        let forward = fields.flag(2)?;
        let inner = self.file.get(fields.id(1)?)?;
        let read = match inner.kind() {
            "EDGE_LOOP" => {
                let mut ids = inner.fields().ids(1)?;
                if most_repeats(&ids) > usize::from(MOST_USES) {
                    return Err(inner.fault(Reason::Geometry("the loop runs along one edge more than twice")));
                }
                if !forward {
                    ids.reverse();
                }
                let uses = ids.into_iter().map(|edge| self.edge_use(edge, forward, ground, shape)).collect::<Result<Vec<_>, _>>()?;
                self.check_closed(inner.at, &uses, shape);
                Loop::Edges(uses)
            }
            "VERTEX_LOOP" => {
                let vertex = self.vertex(inner.fields().id(1)?, shape)?;
                Loop::Vertex(shape.vertices.get(vertex.index()).map(|v| v.point).unwrap_or_default())
            }
            "POLY_LOOP" => {
                let mut ids = inner.fields().ids(1)?;
                if !forward {
                    ids.reverse();
                }
                let mut uses = Vec::new();
                let next = ids.iter().skip(1).chain(ids.first());
                for (&a, &b) in ids.iter().zip(next) {
                    let straight = self.straight_edge(a, b, shape)?;
                    uses.extend(straight.map(|(edge, forward)| EdgeUse { edge, forward, pcurve: None }));
                }
                Loop::Edges(uses)
            }
            _ => return Err(inner.fault(Reason::Unsupported)),
        };
        match &read {
            Loop::Edges(uses) if uses.is_empty() => Err(inner.fault(Reason::Geometry("the loop has no edge"))),
            _ => Ok((outer, read)),
        }
    }

    /// Remarks on the first place where a loop does not go on where it stopped.
    fn check_closed(&mut self, at: Source, uses: &[EdgeUse], shape: &Shape) {
        let ends = |u: &EdgeUse| shape.edges.get(u.edge.index()).map(|e| if u.forward { (e.start, e.end) } else { (e.end, e.start) });
        let point = |v: crate::model::VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
        let next = uses.iter().skip(1).chain(uses.first());
        for (place, (this, next)) in uses.iter().zip(next).enumerate() {
            let (Some((_, end)), Some((start, _))) = (ends(this), ends(next)) else { continue };
            if end != start && point(end).distance(point(start)) > shape.units.uncertainty {
                let gap = point(end).distance(point(start)) * shape.units.length;
                self.remark(at, format!("the loop is not closed: {gap:.3} mm are missing after edge {} of {}", place + 1, uses.len()));
                return;
            }
        }
    }
}

/// Runs a loop the other way, as a face turned over needs it.
pub(super) fn turn_over(one: &mut Loop) {
    if let Loop::Edges(uses) = one {
        uses.reverse();
        for u in uses {
            u.forward = !u.forward;
        }
    }
}

/// Drops what a failed face has added.
fn forget(shape: &mut Shape, edges: usize, vertices: usize) {
    shape.edges.truncate(edges);
    shape.edge_ids.retain(|_, e| e.index() < edges);
    shape.straight_ids.retain(|_, e| e.index() < edges);
    shape.pcurves.retain(|e, _| e.index() < edges);
    shape.vertices.truncate(vertices);
    shape.vertex_ids.retain(|_, v| v.index() < vertices);
}
