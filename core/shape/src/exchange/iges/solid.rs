//! Solids by their boundaries: shells of faces that share edges. IGES 5.3, 4.45 (186), 4.75 to 4.79 (502 to 514).

use super::curve::Piece;
use super::draft::add_vertex;
use super::lists::entry;
use super::look::Look;
use super::reader::{Reader, Stop};
use super::record::Record;
use super::shapes::Place;
use super::surface::Ground;
use crate::exchange::report::{Fault, Reason};
use crate::math::Point3;
use crate::model::{Edge, EdgeId, EdgeUse, Face, Loop, Model, TrimCurve, VertexId};
use std::collections::BTreeMap;

/// What the entries of lists have become in the model, for one placement of them.
#[derive(Debug, Default)]
pub(super) struct Shared {
    edges: BTreeMap<(u32, usize), EdgeId>,
    vertices: BTreeMap<(u32, usize), VertexId>,
}

impl Reader<'_, '_> {
    /// Adds the faces of a solid or shell, turned over when `flipped`.
    pub(super) fn add_shell(
        &mut self,
        number: u32,
        place: &Place,
        flipped: bool,
        shared: &mut Shared,
        model: &mut Model,
    ) -> Result<(), Stop> {
        self.within(number, |reader, record| {
            reader.met.insert(number);
            let look = reader.look(record, &place.look);
            let motion = place.motion.after(&reader.own_motion(record)?);
            let inner = Place { look, motion, ..place.clone() };
            match record.kind() {
                186 => {
                    let voids = record.count(2, 2)?;
                    let name = reader.name(record, 3 + 2 * voids);
                    let inner = Place { name: if name.is_empty() { inner.name.clone() } else { name }, ..inner };
                    let mut shells = vec![(record.pointer(0)?, record.integer_or(1, 1)? != 0)];
                    for i in 0..voids {
                        shells.push((record.pointer(3 + 2 * i)?, record.integer_or(4 + 2 * i, 1)? != 0));
                    }
                    for (shell, agrees) in shells {
                        // A damaged shell must not cost the others.
                        match reader.add_shell(shell, &inner, flipped == agrees, shared, model) {
                            Err(Stop::Fault(fault)) => {
                                let at = reader.source(shell);
                                reader.unread(at, 514, &fault, 1)?;
                            }
                            other => other?,
                        }
                    }
                    Ok(())
                }
                514 => {
                    let count = record.count(0, 2)?;
                    let name = reader.name(record, 1 + 2 * count);
                    let inner = Place { name: if name.is_empty() { inner.name.clone() } else { name }, ..inner };
                    for i in 0..count {
                        let (face, agrees) = (record.pointer(1 + 2 * i)?, record.integer_or(2 + 2 * i, 1)? != 0);
                        reader.add_solid_face(face, &inner, flipped == agrees, shared, model)?;
                    }
                    Ok(())
                }
                _ => Err(record.geometry("a shell was expected").into()),
            }
        })
    }

    /// Adds one face of a shell, or lists it as unread.
    pub(super) fn add_solid_face(
        &mut self,
        number: u32,
        place: &Place,
        flipped: bool,
        shared: &mut Shared,
        model: &mut Model,
    ) -> Result<(), Stop> {
        self.met.insert(number);
        let at = self.source(number);
        if place.hidden {
            self.hidden(1);
            return Ok(());
        }
        self.budget.placed(1, at)?;
        let read = self.within(number, |reader, record| {
            if record.kind() != 510 {
                return Err(record.geometry("a face was expected"));
            }
            reader.solid_face(record, place, shared, model)
        });
        match read {
            Ok(mut face) => {
                // A reflection turns the normal of every surface round, against the solid it bounds.
                if flipped != place.motion.is_reflection() {
                    face.same_sense = !face.same_sense;
                    face.loops.iter_mut().for_each(Loop::turn_over);
                }
                model.faces.push(face);
                Ok(())
            }
            Err(fault) => Ok(self.unread(at, 510, &fault, 1)?),
        }
    }

    fn solid_face(&mut self, record: &Record, place: &Place, shared: &mut Shared, model: &mut Model) -> Result<Face, Fault> {
        let count = record.count(1, 1)?;
        let name = self.name(record, 3 + count);
        let look = self.look(record, &place.look);
        let number = record.pointer(0)?;
        let look = if look.colour.is_some() {
            look
        } else {
            let surface = self.get(number)?;
            Look { layers: look.layers, ..self.look(&surface, &Look::default()) }
        };
        let motion = place.motion.after(&self.own_motion(record)?);
        let ground = self.surface(number, true)?.transformed(&motion);
        let same_sense = ground.map.keeps_normal();
        let has_outer = record.integer_or(2, 0)? != 0;
        let mut loops = Vec::new();
        let mut lost = None;
        for (i, number) in record.pointers(3, count)?.into_iter().enumerate() {
            match self.solid_loop(number, &ground, &Place { motion, ..place.clone() }, shared, model) {
                Ok(one) if has_outer && i == 0 => loops.insert(0, one),
                Ok(one) => loops.push(one),
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
                Err(fault) => lost = lost.or(Some(fault.to_string())),
            }
        }
        Ok(Face {
            name: if name.is_empty() { place.name.clone() } else { name },
            surface: ground.surface,
            same_sense,
            loops,
            boundary_lost: lost,
            colour: look.colour,
            layers: look.layers,
            part: place.part,
            source: record.at(),
        })
    }

    /// The uses of edges, and of points where a pole lies on the loop.
    fn solid_loop(&mut self, number: u32, ground: &Ground, place: &Place, shared: &mut Shared, model: &mut Model) -> Result<Loop, Fault> {
        self.within(number, |reader, record| {
            if record.kind() != 508 {
                return Err(record.geometry("a loop was expected"));
            }
            let count = record.count(0, 5)?;
            let mut uses = Vec::new();
            let mut point = None;
            let mut at = 1;
            for _ in 0..count {
                let is_vertex = record.integer_or(at, 0)? == 1;
                let entry = entry(record, at + 1)?;
                let forward = record.integer_or(at + 3, 1)? != 0;
                let curves = record.count(at + 4, 2)?;
                let planes = (0..curves).map(|i| record.pointer(at + 6 + 2 * i)).collect::<Result<Vec<_>, _>>()?;
                at += 5 + 2 * curves;
                if is_vertex {
                    let vertex = reader.vertex(entry, place, shared, model)?;
                    point = model.vertices.get(vertex.index()).map(|v| v.point);
                    continue;
                }
                let Some(edge) = reader.edge(entry, place, shared, model)? else { continue };
                let pcurve = model.edges.get(edge.index()).cloned();
                let pcurve = match pcurve {
                    Some(e) => reader.use_pcurve(&e, &planes, ground)?,
                    None => None,
                };
                uses.push(EdgeUse { edge, forward, pcurve });
            }
            match (uses.is_empty(), point) {
                (false, _) => Ok(Loop::Edges(uses)),
                (true, Some(point)) => Ok(Loop::Vertex(point)),
                (true, None) => Err(record.geometry("the loop has no edge")),
            }
        })
    }

    /// The curve in the parameter plane for one use of an edge: the one among those listed that follows the edge.
    fn use_pcurve(&mut self, edge: &Edge, planes: &[u32], ground: &Ground) -> Result<Option<TrimCurve>, Fault> {
        // Several pieces for one edge cannot be one curve here: the edge's own feet then stand for it.
        let &[number] = planes else { return Ok(None) };
        let pieces = match self.plane_curve(number, &ground.map) {
            Ok(pieces) => pieces,
            Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
            Err(fault) => {
                self.remark(edge.source, format!("a curve in its surface's parameters is left out: {fault}"));
                return Ok(None);
            }
        };
        let Ok([piece]) = <[_; 1]>::try_from(pieces) else { return Ok(None) };
        let at = |s: f64| {
            let uv = piece.at(s);
            ground.surface.point(uv.u, uv.v)
        };
        let miss = |a: f64, b: f64| at(a).distance(edge.point(0.0)).max(at(b).distance(edge.point(1.0)));
        let piece = if miss(1.0, 0.0) < miss(0.0, 1.0) { piece.reversed() } else { piece };
        Ok(Some(TrimCurve { curve: piece.curve, t0: piece.t0, t1: piece.t1 }))
    }

    /// The edge an entry of an edge list has become; None where it has shrunk to a point.
    fn edge(&mut self, entry: (u32, usize), place: &Place, shared: &mut Shared, model: &mut Model) -> Result<Option<EdgeId>, Fault> {
        if let Some(&known) = shared.edges.get(&entry) {
            return Ok(Some(known));
        }
        let list = self.edge_list(entry.0)?;
        let at = self.source(entry.0);
        let link = entry.1.checked_sub(1).and_then(|i| list.get(i).copied());
        let link = link.ok_or_else(|| Fault::new(at, "504 edge list", Reason::Geometry("it has no edge of the number asked for")))?;
        let piece = self.one_curve(link.curve)?.transformed(&place.motion);
        if piece.rough_length() == 0.0 {
            return Ok(None);
        }
        let (start, end) = (self.vertex(link.start, place, shared, model)?, self.vertex(link.end, place, shared, model)?);
        let piece = self.directed(piece, start, end, model);
        self.budget.placed(1, at)?;
        let edge = EdgeId::new(model.edges.len());
        model.edges.push(Edge { curve: piece.curve, t0: piece.t0, t1: piece.t1, start, end, source: piece.source });
        shared.edges.insert(entry, edge);
        Ok(Some(edge))
    }

    /// The piece turned where its vertices say so.
    fn directed(&mut self, piece: Piece, start: VertexId, end: VertexId, model: &Model) -> Piece {
        let point = |v: VertexId| model.vertices.get(v.index()).map_or(Point3::ORIGIN, |v| v.point);
        let (a, b) = (point(start), point(end));
        let miss = |p: &Piece| p.start().distance(a).max(p.end().distance(b));
        let reversed = piece.clone().reversed();
        let piece = if miss(&reversed) < miss(&piece) {
            self.repair(piece.source, "the edge's curve runs against its vertices; turned", None);
            reversed
        } else {
            piece
        };
        let miss = miss(&piece);
        if miss > (0.01 * piece.rough_length()).max(10.0 * self.tolerance() * self.unit()) {
            self.remark(piece.source, format!("a vertex lies {miss:.3} mm off the end of its curve"));
        }
        piece
    }

    fn vertex(&mut self, entry: (u32, usize), place: &Place, shared: &mut Shared, model: &mut Model) -> Result<VertexId, Fault> {
        if let Some(&known) = shared.vertices.get(&entry) {
            return Ok(known);
        }
        let list = self.vertex_list(entry.0)?;
        let at = self.source(entry.0);
        let point = entry.1.checked_sub(1).and_then(|i| list.get(i).copied());
        let point = point.ok_or_else(|| Fault::new(at, "502 vertex list", Reason::Geometry("it has no vertex of the number asked for")))?;
        let vertex = add_vertex(model, place.motion.point(point), at);
        shared.vertices.insert(entry, vertex);
        Ok(vertex)
    }
}
