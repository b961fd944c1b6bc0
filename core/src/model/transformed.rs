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
            faces: self.faces.iter().map(|f| face(f, by)).collect(),
            edges: self.edges.iter().map(|e| Edge { curve: e.curve.transformed(by), ..e.clone() }).collect(),
            vertices: self.vertices.iter().map(|v| Vertex { point: by.point(v.point), ..*v }).collect(),
            curves: self.curves.iter().map(|c| FreeCurve { curve: c.curve.transformed(by), ..c.clone() }).collect(),
            meshes: self.meshes.iter().map(|m| mesh(m, all(&m.points), by)).collect(),
            parts: self.parts.clone(),
        }
    }
}

fn face(face: &Face, by: &Similarity) -> Face {
    let (surface, (scale_u, scale_v)) = face.surface.transformed(by);
    let mirrored = by.is_reflection();
    let moved = |one: &Loop| match one {
        Loop::Vertex(p) => Loop::Vertex(by.point(*p)),
        Loop::Edges(uses) => {
            let mut uses: Vec<EdgeUse> = uses
                .iter()
                .map(|u| EdgeUse {
                    edge: u.edge,
                    forward: u.forward != mirrored,
                    pcurve: u.pcurve.as_ref().map(|p| TrimCurve { curve: p.curve.scaled(scale_u, scale_v), ..p.clone() }),
                })
                .collect();
            if mirrored {
                uses.reverse();
            }
            Loop::Edges(uses)
        }
    };
    Face { surface, same_sense: face.same_sense != mirrored, loops: face.loops.iter().map(moved).collect(), ..face.clone() }
}

fn mesh(mesh: &Mesh, points: Vec<Point3>, by: &Similarity) -> Mesh {
    let mut triangles = mesh.triangles.clone();
    if by.is_reflection() {
        triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    Mesh { name: mesh.name.clone(), points, triangles }
}
