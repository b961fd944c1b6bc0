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

#[cfg(test)]
mod tests {
    use crate::exchange::{Limits, read};
    use crate::model::{EdgeId, Model, VertexId};
    use crate::progress::Silent;
    use std::collections::BTreeMap;

    /// Which faces use each edge and each vertex.
    fn owners(model: &Model) -> (BTreeMap<EdgeId, Vec<usize>>, BTreeMap<VertexId, Vec<usize>>) {
        let (mut edges, mut vertices) = (BTreeMap::<_, Vec<usize>>::new(), BTreeMap::<_, Vec<usize>>::new());
        for (id, face) in model.faces() {
            for u in face.loops.iter().flat_map(|l| l.uses()) {
                edges.entry(u.edge).or_default().push(id.index());
                let edge = model.edge(u.edge).unwrap();
                vertices.entry(edge.start).or_default().push(id.index());
                vertices.entry(edge.end).or_default().push(id.index());
            }
        }
        edges.values_mut().for_each(Vec::dedup);
        vertices.values_mut().for_each(Vec::dedup);
        (edges, vertices)
    }

    #[test]
    fn faces_share_nothing_and_keep_their_shape() {
        let text = crate::demo::bramble::step(crate::demo::bramble::Revision::A);
        let whole = read(text.as_bytes(), "bramble.step", &Limits::default(), &mut Silent).unwrap().model;
        let shared = owners(&whole);
        assert!(shared.0.values().any(|f| f.len() > 1) && shared.1.values().any(|f| f.len() > 2), "nothing to take apart");
        let apart = whole.exploded();
        let own = owners(&apart);
        assert!(own.0.values().all(|f| f.len() == 1) && own.1.values().all(|f| f.len() == 1));
        // Nothing is left over, and every use runs along the very curve it ran along before.
        assert_eq!((own.0.len(), own.1.len()), (apart.edges.len(), apart.vertices.len()));
        assert_eq!(whole.faces.len(), apart.faces.len());
        for (a, b) in whole.faces.iter().zip(&apart.faces) {
            assert_eq!((&a.name, a.same_sense, a.part, a.loops.len()), (&b.name, b.same_sense, b.part, b.loops.len()));
            let uses = a.loops.iter().flat_map(|l| l.uses()).zip(b.loops.iter().flat_map(|l| l.uses()));
            for (x, y) in uses {
                assert_eq!((x.forward, &x.pcurve), (y.forward, &y.pcurve));
                let (e, f) = (whole.edge(x.edge).unwrap(), apart.edge(y.edge).unwrap());
                assert_eq!((&e.curve, e.t0, e.t1, e.source), (&f.curve, f.t0, f.t1, f.source));
                assert_eq!(whole.vertices[e.start.index()], apart.vertices[f.start.index()]);
                assert_eq!(whole.vertices[e.end.index()], apart.vertices[f.end.index()]);
            }
        }
    }

    #[test]
    fn missing_edges_stay_missing() {
        let text = crate::demo::bramble::step(crate::demo::bramble::Revision::A);
        let mut whole = read(text.as_bytes(), "bramble.step", &Limits::default(), &mut Silent).unwrap().model;
        whole.edges.truncate(3);
        let apart = whole.exploded();
        let lost = |m: &Model| m.faces.iter().flat_map(|f| &f.loops).flat_map(|l| l.uses()).filter(|u| m.edge(u.edge).is_none()).count();
        assert!(lost(&whole) > 0);
        assert_eq!(lost(&whole), lost(&apart));
    }
}
