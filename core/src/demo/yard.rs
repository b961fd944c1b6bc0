//! A yard full of cowls: the demo model again and again in rows, each a little larger than the last, for files of any
//! size.

use super::bramble::{self, Revision};
use crate::exchange::write;
use crate::math::{Similarity, Vec3};
use crate::model::{Edge, EdgeId, EdgeUse, Face, Loop, Model, PartId, TrimCurve, Vertex, VertexId};

/// Cowls in a row.
const ROW: usize = 10;

/// Distance between neighbours, mm: a cowl is below 1 m long and wide, and grows by at most a half in a yard of 500.
const PITCH: f64 = 2000.0;

/// Growth from one cowl to the next: no two patches of the yard are the same.
const GROWTH: f64 = 1e-3;

/// A STEP file (AP242) of so many cowls with all seeded faults; the same bytes each time. About 0.57 MB and 54 faces a
/// cowl.
pub fn step(cowls: usize) -> String {
    let options = write::StepOptions { file_name: "yard.step".into(), ..write::StepOptions::default() };
    write::step(&model(cowls), &options).text
}

/// The model of so many cowls, mm.
pub fn model(cowls: usize) -> Model {
    let one = bramble::model(Revision::A);
    let mut yard = Model { name: "Yard of cowls".into(), ..Model::default() };
    for i in 0..cowls {
        let shift = Vec3::new((i % ROW) as f64 * PITCH, (i / ROW) as f64 * PITCH, 0.0);
        park(&mut yard, &one, &Similarity { scale: 1.0 + GROWTH * i as f64, shift, ..Similarity::IDENTITY });
    }
    yard
}

/// Adds a copy as a part of its own.
fn park(yard: &mut Model, one: &Model, by: &Similarity) {
    let (first_vertex, first_edge) = (yard.vertices.len(), yard.edges.len());
    let part = PartId::new(yard.parts.len());
    yard.parts.push(format!("{} {}", one.name, part.index() + 1));
    let vertex = |id: VertexId| VertexId::new(first_vertex + id.index());
    yard.vertices.extend(one.vertices.iter().map(|v| Vertex { point: by.point(v.point), ..*v }));
    yard.edges.extend(one.edges.iter().map(|e| Edge {
        curve: e.curve.transformed(by),
        start: vertex(e.start),
        end: vertex(e.end),
        ..e.clone()
    }));
    for face in &one.faces {
        let (surface, (scale_u, scale_v)) = face.surface.transformed(by);
        let moved = |u: &EdgeUse| EdgeUse {
            edge: EdgeId::new(first_edge + u.edge.index()),
            forward: u.forward,
            pcurve: u.pcurve.as_ref().map(|p| TrimCurve { curve: p.curve.scaled(scale_u, scale_v), ..p.clone() }),
        };
        let loops = face.loops.iter().map(|l| match l {
            Loop::Edges(uses) => Loop::Edges(uses.iter().map(moved).collect()),
            Loop::Vertex(p) => Loop::Vertex(by.point(*p)),
        });
        yard.faces.push(Face { surface, loops: loops.collect(), part, ..face.clone() });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::{Limits, read};
    use crate::progress::Silent;

    #[test]
    fn cowls_stand_apart_and_are_read_back() {
        let (one, three) = (bramble::model(Revision::A), model(3));
        assert_eq!((three.faces.len(), three.edges.len()), (3 * one.faces.len(), 3 * one.edges.len()));
        let import = read(step(3).as_bytes(), "yard.step", &Limits::default(), &mut Silent).expect("sound");
        assert_eq!((import.model.faces.len(), import.report.unread.len()), (three.faces.len(), 0));
        let middle = |m: &Model, from: usize| {
            let edges = &m.edges[from..from + one.edges.len()];
            edges.iter().fold(Vec3::ZERO, |sum, e| sum + e.point(0.5).to_vec()) / edges.len() as f64
        };
        let (first, last) = (middle(&three, 0), middle(&three, 2 * one.edges.len()));
        assert!((last - first * (1.0 + 2.0 * GROWTH)).distance(Vec3::new(2.0 * PITCH, 0.0, 0.0)) < 1e-6);
    }
}
