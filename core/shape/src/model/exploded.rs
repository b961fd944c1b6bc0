//! The same model as loose patches.

use super::{EdgeId, Face, Loop, Model, VertexId};

impl Model {
    /// The model with its faces taken apart: each face has edges and vertices of its own, so that no two faces share
    /// topology, as in files of loose trimmed patches. Shape, order, names and parts stay; within a face, edges that
    /// follow each other still share their vertex, and both uses of a seam their edge. Uses of edges that the model
    /// does not hold keep pointing at nothing.
    pub fn exploded(&self) -> Model {
        let mut apart = Model { faces: Vec::new(), edges: Vec::new(), vertices: Vec::new(), ..self.clone() };
        for face in &self.faces {
            let loops = Pieces { whole: self, apart: &mut apart, edges: Vec::new(), vertices: Vec::new() }.loops(face);
            apart.faces.push(Face { loops, ..face.clone() });
        }
        apart
    }
}

/// What one face has taken along so far. Faces have few edges, so looking a copy up goes through the list.
struct Pieces<'m> {
    whole: &'m Model,
    apart: &'m mut Model,
    edges: Vec<(EdgeId, EdgeId)>,
    vertices: Vec<(VertexId, VertexId)>,
}

/// Stands for an element that is in no model; larger than any list can be.
const NOWHERE: usize = u32::MAX as usize;

impl Pieces<'_> {
    fn loops(&mut self, face: &Face) -> Vec<Loop> {
        let mut loops = face.loops.clone();
        for l in &mut loops {
            if let Loop::Edges(uses) = l {
                uses.iter_mut().for_each(|u| u.edge = self.edge(u.edge));
            }
        }
        loops
    }

    fn edge(&mut self, of: EdgeId) -> EdgeId {
        if let Some(&(_, copy)) = self.edges.iter().find(|e| e.0 == of) {
            return copy;
        }
        let Some(edge) = self.whole.edge(of) else { return EdgeId::new(NOWHERE) };
        let mut own = edge.clone();
        (own.start, own.end) = (self.vertex(edge.start), self.vertex(edge.end));
        let copy = EdgeId::new(self.apart.edges.len());
        self.apart.edges.push(own);
        self.edges.push((of, copy));
        copy
    }

    fn vertex(&mut self, of: VertexId) -> VertexId {
        if let Some(&(_, copy)) = self.vertices.iter().find(|v| v.0 == of) {
            return copy;
        }
        let Some(&vertex) = self.whole.vertices.get(of.index()) else { return VertexId::new(NOWHERE) };
        let copy = VertexId::new(self.apart.vertices.len());
        self.apart.vertices.push(vertex);
        self.vertices.push((of, copy));
        copy
    }
}
