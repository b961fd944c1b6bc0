//! The shape of one representation, in its own units, before it is placed.

use super::reader::Reader;
use super::style::Look;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance};
use crate::exchange::report::{Fault, ReadError, Reason};
use crate::math::{Point3, Similarity};
use crate::model::{Edge, EdgeId, Face, FreeCurve, Vertex, VertexId};
use std::collections::{BTreeMap, BTreeSet};

/// Faces with their edges and vertices, and other representations placed among them.
#[derive(Debug, Clone, Default)]
pub(super) struct Shape {
    pub units: Units,
    pub vertices: Vec<Vertex>,
    pub edges: Vec<Edge>,
    pub faces: Vec<Face>,
    /// Entities each face is part of, outermost first, ending with its own; empty where no instance looks its own way.
    pub trails: Vec<Vec<u64>>,
    /// Curves that bound no face.
    pub curves: Vec<FreeCurve>,
    /// Faces left out because the file hides them.
    pub hidden: usize,
    /// Items met, and faces met, each with whether it was turned over.
    pub seen_items: BTreeSet<(u64, bool)>,
    pub seen_faces: BTreeSet<(u64, bool)>,
    pub mapped: Vec<Mapped>,
    /// What edge entities have become, so that faces share them.
    pub edge_ids: BTreeMap<u64, EdgeId>,
    /// Edges of loops given by points alone, by their ends.
    pub straight_ids: BTreeMap<(u64, u64), EdgeId>,
    pub vertex_ids: BTreeMap<u64, VertexId>,
    /// The parameter-plane curves each edge comes with.
    pub pcurves: BTreeMap<EdgeId, Vec<u64>>,
}

impl Shape {
    /// Adds a face that looks as `look` says.
    pub(super) fn add(&mut self, face: Face, look: &Look) {
        self.faces.push(face);
        self.trails.push(look.trail.clone());
    }
}

/// Another representation, repeated at a place of its own.
#[derive(Debug, Clone)]
pub(super) struct Mapped {
    pub item: u64,
    pub representation: u64,
    /// From its mm to this shape's mm.
    pub motion: Similarity,
    pub look: Look,
}

/// Name, items and context of a representation.
pub(super) fn representation_fields<'i, 'a>(instance: &'i Instance<'a>) -> Fields<'i, 'a> {
    instance.record("REPRESENTATION").unwrap_or_else(|| instance.fields())
}

impl Reader<'_, '_> {
    /// Everything representation `id` holds. What cannot be read is in the report.
    pub(super) fn shape(&mut self, id: u64) -> Result<Shape, ReadError> {
        let mut shape = Shape::default();
        let representation = match self.file.get(id) {
            Ok(r) => r,
            Err(fault) => {
                let at = self.file.source(id);
                self.unread(at, "SHAPE_REPRESENTATION", &fault, 0)?;
                return Ok(shape);
            }
        };
        shape.units = self.representation_units(&representation);
        let look = self.looks.of(id, &Look::default());
        match representation_fields(&representation).ids(1) {
            Ok(items) => {
                for item in items {
                    self.item(item, &look, false, &mut shape)?;
                }
            }
            // A representation may be empty.
            Err(fault) => self.unread(representation.at, representation.kind(), &fault, 0)?,
        }
        Ok(shape)
    }

    /// Vertex `id` of the shape, read once.
    pub(super) fn vertex(&mut self, id: u64, shape: &mut Shape) -> Result<VertexId, Fault> {
        if let Some(&known) = shape.vertex_ids.get(&id) {
            return Ok(known);
        }
        let vertex = Vertex { point: self.position(id)?, source: self.file.source(id) };
        let new = VertexId::new(shape.vertices.len());
        shape.vertices.push(vertex);
        shape.vertex_ids.insert(id, new);
        Ok(new)
    }

    /// Where a vertex, or a bare point, lies.
    pub(super) fn position(&mut self, id: u64) -> Result<Point3, Fault> {
        let instance = self.file.get(id)?;
        let point = if instance.is("CARTESIAN_POINT") { id } else { vertex_point(&instance)? };
        self.point(point)
    }
}

fn vertex_point(instance: &Instance<'_>) -> Result<u64, Fault> {
    match instance.record("VERTEX_POINT") {
        Some(fields) => fields.id(if instance.is_simple() { 1 } else { 0 }),
        None => Err(instance.fault(Reason::Geometry("a VERTEX_POINT was expected"))),
    }
}
