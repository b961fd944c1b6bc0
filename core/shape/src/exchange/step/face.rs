//! Faces and their loops. ISO 10303-42, 5.4.

use super::edge::Ground;
use super::reader::Reader;
use super::shape::Shape;
use super::style::Look;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, ReadError, Reason};
use crate::math::{Arrange, retain};
use crate::model::{EdgeUse, Face, Loop, PartId, Source, VertexId};
use std::collections::BTreeSet;

impl<'a> Reader<'a, '_> {
    /// Adds face `id` to the shape, turned over when `flipped`; or lists it as unread.
    pub(super) fn add_face(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<(), ReadError> {
        self.met.insert(id);
        // Listed again, in the same shell or in another container beside it, it is still one face.
        if !shape.seen_faces.insert((id, flipped)) {
            return self.step();
        }
        let look = self.looks.of(id, look);
        if self.hides(&look) {
            self.meet_inner(id);
            shape.hidden += 1;
            return self.step();
        }
        let (edges, vertices) = (shape.edges.len(), shape.vertices.len());
        match self.face(id, &look, flipped, shape) {
            Ok(Read::Face(face, look)) => shape.add(*face, &look),
            Ok(Read::Composed { patches, agrees, look }) => {
                let why = "its surface is put together from several; its own boundary, which runs over them, is not read";
                let before = shape.faces.len();
                self.add_patches(patches, &look, flipped == agrees, shape)?;
                for face in shape.faces.iter_mut().skip(before) {
                    face.boundary_lost.get_or_insert_with(|| why.into());
                }
            }
            Err(fault) => {
                self.unread(self.file.source(id), "ADVANCED_FACE", &fault, 1)?;
                // Edges made for this face alone would be loose; those with ids may serve the next face.
                forget(shape, edges, vertices);
            }
        }
        self.step()
    }

    /// Marks the face inside an oriented face as met, so that it is not taken for a stray.
    fn meet_inner(&mut self, id: u64) {
        let inner = self.file.get(id).ok().filter(|i| i.kind() == "ORIENTED_FACE");
        self.met.extend(inner.and_then(|i| i.fields().optional_id(2)));
    }

    fn face(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<Read, Fault> {
        self.within(id, |reader, instance| {
            if instance.kind() == "ORIENTED_FACE" {
                let fields = instance.fields();
                let flipped = flipped == fields.flag(3)?;
                let inner = fields.id(2)?;
                let look = reader.looks.of(inner, look);
                reader.met.insert(inner);
                return reader.face(inner, &look, flipped, shape);
            }
            reader.budget.points(super::bounded_surface::FACE_COST, instance.at)?;
            let WrittenFace { name, bounds, surface: surface_id, sense } = written(instance)?;
            let carrier = reader.file.get(surface_id)?;
            // A face's own look counts before its surface's, which counts before the solid's.
            let look = reader.looks.of(id, &reader.looks.of(surface_id, look));
            if carrier.kind() == "RECTANGULAR_COMPOSITE_SURFACE" {
                return Ok(Read::Composed { patches: reader.composed(carrier.fields())?, agrees: sense, look });
            }
            let patch = reader.surface(surface_id, &shape.units)?;
            let outward = sense == patch.agrees;
            let ground = Ground { ids: &patch.ids, surface: &patch.surface, same_sense: outward, scale: patch.scale };
            let (mut loops, boundary_lost) = reader.bounds(&bounds, ground, shape)?;
            if flipped {
                loops.iter_mut().for_each(Loop::turn_over);
            }
            let name = said([name, carrier_name(&carrier), look.name.clone()]);
            let face = Face {
                name,
                surface: patch.surface,
                same_sense: outward != flipped,
                loops,
                boundary_lost,
                colour: look.colour,
                layers: look.layers.clone(),
                part: PartId::new(0),
                source: instance.at,
            };
            Ok(Read::Face(Box::new(face), look))
        })
    }

    /// The loops that can be read, the outer one first, and why one cannot, if one cannot. Only a used-up limit fails.
    fn bounds(&mut self, ids: &[u64], ground: Ground<'_>, shape: &mut Shape) -> Result<(Vec<Loop>, Option<String>), Fault> {
        let (mut loops, mut lost) = (Vec::new(), None);
        let mut seen = BTreeSet::new();
        for &id in ids.iter().filter(|id| seen.insert(**id)) {
            let (outer, one, fault) = match self.bound(id, ground, shape) {
                Ok(bound) => (bound.outer, bound.one, bound.fault),
                Err(fault) => (false, None, Some(fault)),
            };
            if let Some(one) = one {
                loops.insert(if outer { 0 } else { loops.len() }, one);
            }
            match fault {
                Some(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
                Some(fault) => {
                    lost.get_or_insert(fault.to_string());
                }
                None => {}
            }
        }
        Ok((loops, lost))
    }

    /// A loop, run the way its bound says, as far as it can be read.
    fn bound(&mut self, id: u64, ground: Ground<'_>, shape: &mut Shape) -> Result<Bound, Fault> {
        let instance = self.file.get(id)?;
        let fields = match instance.record("FACE_BOUND") {
            Some(fields) if !instance.is_simple() => fields,
            _ if matches!(instance.kind(), "FACE_BOUND" | "FACE_OUTER_BOUND") => instance.fields().after(1),
            _ => return Err(instance.fault(Reason::Geometry("a FACE_BOUND was expected"))),
        };
        let outer = instance.is("FACE_OUTER_BOUND");
        let forward = fields.flag(1)?;
        let inner = self.file.get(fields.id(0)?)?;
        if inner.is("VERTEX_LOOP") {
            let vertex = self.vertex(loop_fields(&inner, "VERTEX_LOOP").id(0)?, shape)?;
            let point = shape.vertices.get(vertex.index()).map(|v| v.point).unwrap_or_default();
            return Ok(Bound { outer, one: Some(Loop::Vertex(point)), fault: None });
        }
        let (uses, fault) = if inner.is("EDGE_LOOP") {
            let mut ids = loop_fields(&inner, "EDGE_LOOP").ids(0)?;
            if most_repeats(&ids) > MOST_USES {
                return Err(inner.fault(Reason::Geometry("the loop runs along one edge more than twice")));
            }
            if !forward {
                ids.reverse();
            }
            let (mut uses, mut first) = (Vec::new(), None);
            for edge in ids {
                match self.edge_use(edge, forward, ground, shape) {
                    Ok(u) => uses.push(u),
                    Err(fault) => {
                        first.get_or_insert(fault);
                    }
                }
            }
            if first.is_none() {
                self.check_closed(inner.at, &uses, shape);
            }
            (uses, first)
        } else if inner.is("POLY_LOOP") {
            let mut ids = loop_fields(&inner, "POLY_LOOP").ids(0)?;
            if !forward {
                ids.reverse();
            }
            (self.straight_uses(&ids, true, shape)?, None)
        } else {
            return Err(inner.fault(Reason::Unsupported));
        };
        let fault = fault.or_else(|| uses.is_empty().then(|| inner.fault(Reason::Geometry("the loop has no edge"))));
        let one = (!uses.is_empty()).then_some(Loop::Edges(uses));
        Ok(Bound { outer, one, fault })
    }

    /// Straight edges from point to point, and back to the first when `closed`; equal neighbours are one point.
    fn straight_uses(&mut self, ids: &[u64], closed: bool, shape: &mut Shape) -> Result<Vec<EdgeUse>, Fault> {
        let mut uses = Vec::new();
        let back = ids.first().filter(|_| closed);
        for (&a, &b) in ids.iter().zip(ids.iter().skip(1).chain(back)) {
            let straight = self.straight_edge(a, b, shape)?;
            uses.extend(straight.map(|(edge, forward)| EdgeUse { edge, forward, pcurve: None }));
        }
        Ok(uses)
    }

    /// Remarks on the first place where a loop does not go on where it stopped.
    pub(super) fn check_closed(&mut self, at: Source, uses: &[EdgeUse], shape: &Shape) {
        let ends = |u: &EdgeUse| shape.edges.get(u.edge.index()).map(|e| if u.forward { (e.start, e.end) } else { (e.end, e.start) });
        let point = |v: VertexId| shape.vertices.get(v.index()).map(|v| v.point).unwrap_or_default();
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

/// A loop runs along an edge at most once a side. Larger: a small file that names one edge over and over takes memory
/// without measure.
const MOST_USES: usize = 2;

/// How often the most frequent id is in the list.
fn most_repeats(ids: &[u64]) -> usize {
    let mut sorted = ids.to_vec();
    sorted.arrange();
    sorted.chunk_by(|a, b| a == b).map(<[u64]>::len).max().unwrap_or(0)
}

/// What a face entity becomes.
enum Read {
    Face(Box<Face>, Look),
    /// Several patches, each with whether it lies with the whole's normal; `agrees` is the face's own sense.
    Composed {
        patches: Vec<(u64, bool)>,
        agrees: bool,
        look: Look,
    },
}

/// A loop as far as it could be read.
struct Bound {
    outer: bool,
    one: Option<Loop>,
    fault: Option<Fault>,
}

/// A face entity's own values.
struct WrittenFace {
    name: String,
    bounds: Vec<u64>,
    surface: u64,
    sense: bool,
}

fn written(instance: &Instance<'_>) -> Result<WrittenFace, Fault> {
    if instance.is_simple() {
        if !matches!(instance.kind(), "ADVANCED_FACE" | "FACE_SURFACE") {
            return Err(instance.fault(Reason::Unsupported));
        }
        let fields = instance.fields();
        return Ok(WrittenFace { name: fields.text(0), bounds: fields.ids(1)?, surface: fields.id(2)?, sense: fields.flag(3)? });
    }
    let (Some(face), Some(surface)) = (instance.record("FACE"), instance.record("FACE_SURFACE")) else {
        return Err(instance.fault(Reason::Unsupported));
    };
    let name = instance.record("REPRESENTATION_ITEM").map(|f| f.text(0)).unwrap_or_default();
    Ok(WrittenFace { name, bounds: face.ids(0)?, surface: surface.id(0)?, sense: surface.flag(1)? })
}

/// The values of a loop behind its name.
pub(super) fn loop_fields<'i, 'a>(instance: &'i Instance<'a>, kind: &'static str) -> crate::exchange::part21::Fields<'i, 'a> {
    match instance.record(kind) {
        Some(fields) if !instance.is_simple() => fields,
        _ => instance.fields().after(1),
    }
}

/// The name of an entity that is written as one record, or as several with one for it.
pub(super) fn carrier_name(instance: &Instance<'_>) -> String {
    if instance.is_simple() {
        return instance.fields().text(0);
    }
    instance.record("REPRESENTATION_ITEM").map(|f| f.text(0)).unwrap_or_default()
}

/// The first name that says something. Writers put NONE where they have no name.
pub(super) fn said<const N: usize>(names: [String; N]) -> String {
    let says = |name: &String| !name.trim().is_empty() && !name.trim().eq_ignore_ascii_case("none");
    names.into_iter().find(says).map(|n| n.trim().into()).unwrap_or_default()
}

/// Drops what a failed face has added.
pub(super) fn forget(shape: &mut Shape, edges: usize, vertices: usize) {
    shape.edges.truncate(edges);
    retain(&mut shape.edge_ids, |_, e| e.index() < edges);
    retain(&mut shape.straight_ids, |_, e| e.index() < edges);
    retain(&mut shape.pcurves, |e, _| e.index() < edges);
    shape.vertices.truncate(vertices);
    retain(&mut shape.vertex_ids, |_, v| v.index() < vertices);
}
