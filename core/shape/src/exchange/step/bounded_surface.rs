//! Faces that surfaces make by themselves, without topology: whole ones, and those with bounds of their own.
//! ISO 10303-42, curve_bounded_surface, rectangular_trimmed_surface and rectangular_composite_surface.

use super::composite::reverse;
use super::curve::{composite, on_surface};
use super::edge::Ground;
use super::face::said;
use super::reader::Reader;
use super::shape::Shape;
use super::style::Look;
use super::surface::{Patch, angular};
use super::window::Window;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, ReadError, Reason};
use crate::model::{Edge, EdgeId, EdgeUse, Face, Loop, PartId, Vertex, VertexId};

impl<'a> Reader<'a, '_> {
    /// Adds the faces that surface `id` makes, turned over when `flipped`. A surface without bounds is listed: it has
    /// no region to be shown.
    pub(super) fn add_surface(&mut self, id: u64, look: &Look, flipped: bool, shape: &mut Shape) -> Result<(), ReadError> {
        let look = self.looks.of(id, look);
        if self.hides(&look) {
            shape.hidden += 1;
            return Ok(());
        }
        let (edges, vertices, at) = (shape.edges.len(), shape.vertices.len(), self.file.source(id));
        let made = self.within(id, |reader, instance| {
            reader.budget.points(FACE_COST, instance.at)?;
            if instance.kind() == "RECTANGULAR_COMPOSITE_SURFACE" {
                let patches = reader.composed(instance.fields())?;
                return Ok(Made::Several(reader.add_patches(patches, &look, flipped, shape)));
            }
            reader.bounded_surface(instance, &look, flipped, shape).map(|face| face.map_or(Made::Nothing, |f| Made::Face(Box::new(f))))
        });
        match made {
            Ok(Made::Face(face)) => shape.add(*face, &look),
            Ok(Made::Several(outcome)) => outcome?,
            Ok(Made::Nothing) => {
                let kind = self.file.get(id).map(|i| i.kind()).unwrap_or_default();
                self.unread_item(at, kind, "a surface without bounds has no region to be shown", 0);
            }
            Err(fault) => {
                self.unread(at, "surface", &fault, 1)?;
                super::face::forget(shape, edges, vertices);
            }
        }
        Ok(())
    }

    /// Adds the patches of a composite surface, each with whether it lies with the whole's normal.
    pub(super) fn add_patches(
        &mut self,
        patches: Vec<(u64, bool)>,
        look: &Look,
        flipped: bool,
        shape: &mut Shape,
    ) -> Result<(), ReadError> {
        for (patch, agrees) in patches {
            self.add_surface(patch, look, flipped == agrees, shape)?;
        }
        Ok(())
    }

    /// The patches of a rectangular composite surface, and whether each lies with the whole's normal.
    pub(super) fn composed(&mut self, fields: Fields<'_, 'a>) -> Result<Vec<(u64, bool)>, Fault> {
        let (ids, _) = fields.grid(1, "a net of references", crate::exchange::part21::reference)?;
        let mut patches = Vec::new();
        for id in ids {
            let patch = self.file.get(id)?;
            let f = patch.record("SURFACE_PATCH").unwrap_or_else(|| patch.fields());
            // Surface, two transition codes, two senses.
            let parent = f.id(0)?;
            // Each level could double the work of the one above.
            if self.file.get(parent)?.kind() == "RECTANGULAR_COMPOSITE_SURFACE" {
                return Err(patch.fault(Reason::Geometry("a composite inside a composite is not read")));
            }
            patches.push((parent, f.flag(3)? == f.flag(4)?));
        }
        Ok(patches)
    }

    /// None for a surface without bounds.
    fn bounded_surface(&mut self, instance: &Instance<'a>, look: &Look, flipped: bool, shape: &mut Shape) -> Result<Option<Face>, Fault> {
        let id = instance.at.entity;
        let patch = self.outside(|reader| reader.surface(id, &shape.units))?;
        let fields = instance.fields();
        let (mut loops, mut lost) = (Vec::new(), None);
        match instance.kind() {
            "RECTANGULAR_TRIMMED_SURFACE" => {
                loops = self.window(fields, &patch, shape)?.loops(&patch.surface, instance.at, shape);
                if !patch.agrees {
                    loops.iter_mut().for_each(Loop::turn_over);
                }
            }
            "CURVE_BOUNDED_SURFACE" => lost = self.curve_bounds(instance, &patch, shape, &mut loops)?,
            _ if Window::whole(&patch.surface).is_none() => return Ok(None),
            _ => {}
        }
        // So far loops keep the face on their left seen against the entity's own normal.
        let same_sense = patch.agrees != flipped;
        if flipped {
            loops.iter_mut().for_each(Loop::turn_over);
        }
        Ok(Some(Face {
            name: said([fields.text(0), look.name.clone()]),
            surface: patch.surface,
            same_sense,
            loops,
            boundary_lost: lost,
            colour: look.colour,
            layers: look.layers.clone(),
            part: PartId::new(0),
            source: instance.at,
        }))
    }

    /// The rectangle of a rectangular_trimmed_surface, in the parameters of its patch.
    fn window(&mut self, fields: Fields<'_, 'a>, patch: &Patch, shape: &Shape) -> Result<Window, Fault> {
        let (turns_u, turns_v) = angular(&patch.surface);
        let angle = |turns| if turns { shape.units.angle } else { 1.0 };
        let side = |first: usize, sense: usize, factor: f64| -> Result<(f64, f64), Fault> {
            let (a, b) = (fields.real(first)? * factor, fields.real(first + 1)? * factor);
            if a == b && !(turns_u || turns_v) {
                return Err(fields.fault(Reason::Geometry("its two bounds are the same")));
            }
            Ok(if fields.flag(sense)? { (a, b) } else { (b, a) })
        };
        let u = side(2, 6, angle(turns_u) * patch.scale.0)?;
        let v = side(4, 7, angle(turns_v) * patch.scale.1)?;
        let mut window = Window::new(&patch.surface, u, v);
        // Bounds a rounding error beyond the ends of a spline mean those ends.
        let (own_u, own_v) = patch.surface.domain();
        let (period_u, period_v) = patch.surface.periods();
        if period_u.is_none() {
            (window.u.low, window.u.high) = (own_u.clamp(window.u.low), own_u.clamp(window.u.high));
        }
        if period_v.is_none() {
            (window.v.low, window.v.high) = (own_v.clamp(window.v.low), own_v.clamp(window.v.high));
        }
        let sound = window.u.is_bounded() && window.v.is_bounded() && window.u.length() > 0.0 && window.v.length() > 0.0;
        if sound { Ok(window) } else { Err(fields.fault(Reason::Geometry("its bounds enclose nothing"))) }
    }

    /// The loops of a curve_bounded_surface, outer first, into `loops`; why one of them is lost, if one is.
    fn curve_bounds(
        &mut self,
        instance: &Instance<'a>,
        patch: &Patch,
        shape: &mut Shape,
        loops: &mut Vec<Loop>,
    ) -> Result<Option<String>, Fault> {
        let fields = instance.fields();
        let mut lost = None;
        if fields.flag(3)? {
            match self.natural_window(fields.id(1)?, patch, shape)? {
                Some(window) => {
                    let mut outer = window.loops(&patch.surface, instance.at, shape);
                    if !patch.agrees {
                        outer.iter_mut().for_each(Loop::turn_over);
                    }
                    loops.append(&mut outer);
                }
                None => lost = Some("its outer boundary is said to be that of its basis surface, which has none".into()),
            }
        }
        let ground = Ground { ids: &patch.ids, surface: &patch.surface, same_sense: patch.agrees, scale: patch.scale };
        for id in fields.ids(2)? {
            match self.boundary(id, ground, shape) {
                Ok((outer, one)) => loops.insert(if outer { 0 } else { loops.len() }, one),
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) => return Err(fault),
                Err(fault) => {
                    lost.get_or_insert(fault.to_string());
                }
            }
        }
        Ok(lost)
    }

    /// The natural bounds of the surface that a curve_bounded_surface is cut from.
    fn natural_window(&mut self, basis: u64, patch: &Patch, shape: &Shape) -> Result<Option<Window>, Fault> {
        let instance = self.file.get(basis)?;
        if instance.kind() == "RECTANGULAR_TRIMMED_SURFACE" {
            return self.window(instance.fields(), patch, shape).map(Some);
        }
        Ok(Window::whole(&patch.surface))
    }

    /// One boundary curve as a loop, and whether it is said to be the outer one.
    fn boundary(&mut self, id: u64, ground: Ground<'_>, shape: &mut Shape) -> Result<(bool, Loop), Fault> {
        self.within(id, |reader, instance| {
            let outer = instance.is("OUTER_BOUNDARY_CURVE");
            let mut uses = Vec::new();
            if composite(instance).is_some() {
                reader.segments(instance, true, ground, shape, &mut uses)?;
            } else {
                reader.outside(|reader| reader.bounding(id, true, ground, shape, &mut uses))?;
            }
            if uses.is_empty() {
                return Err(instance.fault(Reason::Geometry("the loop has no edge")));
            }
            reader.check_closed(instance.at, &uses, shape);
            Ok((outer, Loop::Edges(uses)))
        })
    }

    /// The segments of a composite curve as edge uses, in its direction or against it.
    fn segments(
        &mut self,
        instance: &Instance<'a>,
        forward: bool,
        ground: Ground<'_>,
        shape: &mut Shape,
        uses: &mut Vec<EdgeUse>,
    ) -> Result<(), Fault> {
        let fields = composite(instance).ok_or_else(|| instance.fault(Reason::Unsupported))?;
        let mut ids = fields.ids(0)?;
        if !forward {
            ids.reverse();
        }
        for id in ids {
            let segment = self.segment(id)?;
            self.bounding(segment.curve, segment.forward == forward, ground, shape, uses)?;
        }
        Ok(())
    }

    /// One curve of a boundary as edge uses.
    fn bounding(&mut self, id: u64, forward: bool, ground: Ground<'_>, shape: &mut Shape, uses: &mut Vec<EdgeUse>) -> Result<(), Fault> {
        self.within(id, |reader, instance| {
            if composite(instance).is_some() {
                return reader.segments(instance, forward, ground, shape, uses);
            }
            let mut pieces = reader.outside(|reader| reader.bounded(id, &shape.units))?;
            let listed = match on_surface(instance) {
                Some(fields) => fields.ids(1)?,
                None if instance.is("PCURVE") => vec![id],
                None => Vec::new(),
            };
            if !forward {
                reverse(&mut pieces);
            }
            // Curves in parameters stand for the whole curve: they can be given to its pieces only where it has one.
            let listed = if pieces.len() == 1 { listed } else { Vec::new() };
            let leads = on_surface(instance).is_some_and(|f| f.enumeration(2).is_ok_and(|m| m.starts_with("PCURVE")));
            // Vertices are known only once the direction is.
            let nowhere = VertexId::new(usize::MAX);
            for piece in pieces {
                let mut edge =
                    Edge { curve: *piece.curve, t0: piece.start, t1: piece.end, start: nowhere, end: nowhere, source: instance.at };
                let mut covering = reader.listed_pcurve(&edge, &listed, true, ground, shape)?;
                if let Some(c) = covering.as_mut().filter(|c| leads && c.against == forward) {
                    (edge.t0, edge.t1) = (edge.t1, edge.t0);
                    (c.trim.t0, c.trim.t1) = (c.trim.t1, c.trim.t0);
                    let text = "its curve in space runs against the one in its surface's parameters, which leads and is followed";
                    reader.repair(instance.at, text.into(), None);
                }
                join_vertices(&mut edge, uses.last(), shape);
                let new = EdgeId::new(shape.edges.len());
                shape.edges.push(edge);
                uses.push(EdgeUse { edge: new, forward: true, pcurve: covering.map(|c| c.trim) });
            }
            Ok(())
        })
    }
}

/// Control points that reading a face counts as. Smaller: a small file that names the same faces in many places asks for
/// more memory; larger: models of simple faces meet the limit sooner.
pub(super) const FACE_COST: usize = 16;

enum Made {
    Face(Box<Face>),
    /// Several, added already.
    Several(Result<(), ReadError>),
    Nothing,
}

/// Gives an edge of a boundary its vertices: the end of the use before it where it starts there, else new ones.
fn join_vertices(edge: &mut Edge, before: Option<&EdgeUse>, shape: &mut Shape) {
    let (first, last) = (edge.point(0.0), edge.point(1.0));
    let known = before.and_then(|u| shape.edges.get(u.edge.index())).map(|e| e.end);
    let tolerance = shape.units.uncertainty;
    let met = known.filter(|v| shape.vertices.get(v.index()).is_some_and(|v| v.point.distance(first) <= tolerance));
    let mut vertex = |point| {
        shape.vertices.push(Vertex { point, source: edge.source });
        VertexId::new(shape.vertices.len() - 1)
    };
    edge.start = met.unwrap_or_else(|| vertex(first));
    edge.end = if first.distance(last) <= tolerance { edge.start } else { vertex(last) };
}
