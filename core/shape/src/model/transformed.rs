//! A whole model turned, scaled, shifted or mirrored.

use super::{Edge, EdgeUse, Face, FreeCurve, Loop, Mesh, Model, TrimCurve, Vertex};
use crate::math::{Point3, Similarity};

impl Model {
    /// The image under a similarity. Parameters of points keep their meaning where they can: those that are lengths
    /// scale with the model. Outsides stay outside under a reflection, so loops and senses turn round with Su × Sv.
    pub fn transformed(&self, by: &Similarity) -> Model {
        let all = |points: &[Point3]| points.iter().map(|&p| by.point(p)).collect();
        Model {
            name: self.name.clone(),
            schema: self.schema.clone(),
            unit: self.unit.clone(),
            faces: self.faces.iter().map(|f| f.transformed(by)).collect(),
            edges: self.edges.iter().map(|e| Edge { curve: e.curve.transformed(by), ..e.clone() }).collect(),
            vertices: self.vertices.iter().map(|v| Vertex { point: by.point(v.point), ..*v }).collect(),
            curves: self.curves.iter().map(|c| FreeCurve { curve: c.curve.transformed(by), ..c.clone() }).collect(),
            meshes: self.meshes.iter().map(|m| mesh(m, all(&m.points), by)).collect(),
            parts: self.parts.clone(),
        }
    }
}

impl Face {
    /// The image under a similarity, its edges being those of the image.
    pub fn transformed(&self, by: &Similarity) -> Face {
        let (surface, (scale_u, scale_v)) = self.surface.transformed(by);
        let mirrored = by.is_reflection();
        let pcurve = |p: &TrimCurve| TrimCurve { curve: p.curve.scaled(scale_u, scale_v), ..p.clone() };
        let moved = |one: &Loop| {
            let mut one = match one {
                Loop::Vertex(p) => Loop::Vertex(by.point(*p)),
                Loop::Edges(uses) => Loop::Edges(uses.iter().map(|u| EdgeUse { pcurve: u.pcurve.as_ref().map(pcurve), ..*u }).collect()),
            };
            if mirrored {
                one.turn_over();
            }
            one
        };
        Face { surface, same_sense: self.same_sense != mirrored, loops: self.loops.iter().map(moved).collect(), ..self.clone() }
    }
}

fn mesh(mesh: &Mesh, points: Vec<Point3>, by: &Similarity) -> Mesh {
    let mut triangles = mesh.triangles.clone();
    if by.is_reflection() {
        triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    Mesh { name: mesh.name.clone(), points, triangles }
}
