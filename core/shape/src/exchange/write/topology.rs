//! Vertices, edges, loops and faces as entities. ISO 10303-42, 5.4.

use super::emit::{Emit, Id, flag, ids};
use super::geometry::righted;
use crate::exchange::part21::encode;
use crate::geometry::{Pcurve, Surface};
use crate::math::{Point3, real};
use crate::model::{Edge, EdgeId, Face, Loop, Model, TrimCurve};

/// A surface written for a face.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surfaced {
    pub id: Id,
    /// u has changed its sign, so that the frame is right-handed.
    pub turned: bool,
}

impl Emit {
    /// The surface of each face, in the faces' order.
    pub(super) fn surfaces(&mut self, model: &Model) -> Vec<Surfaced> {
        let write = |face: &Face| {
            let (surface, turned) = righted(&face.surface);
            // An untrimmed patch is its surface alone, so that bears the name.
            let name = if written_loops(face).is_empty() { face.name.as_str() } else { "" };
            let written = Surfaced { id: self.surface(&surface, name), turned };
            if face.boundary_lost.is_some() {
                self.remark(Some(written.id), "the boundary of a face was lost in reading; its whole surface is written".into(), None);
            }
            written
        };
        model.faces.iter().map(write).collect()
    }

    /// Each edge, in the model's order, with its vertices.
    pub(super) fn edges(&mut self, model: &Model, surfaces: &[Surfaced], pcurves: bool) -> Vec<Id> {
        let mut vertices = Vec::new();
        for vertex in &model.vertices {
            let point = self.point(vertex.point);
            vertices.push(self.put(&format!("VERTEX_POINT('',#{point})")));
        }
        // Up to two curves in surfaces' parameters a edge: more do not fit the entity.
        let mut on_surface: Vec<Vec<(Surfaced, &TrimCurve)>> = vec![Vec::new(); model.edges.len()];
        if pcurves {
            for (face, &surface) in model.faces.iter().zip(surfaces) {
                for u in face.loops.iter().flat_map(Loop::uses) {
                    if let (Some(pcurve), Some(list)) = (&u.pcurve, on_surface.get_mut(u.edge.index()))
                        && list.len() < 2
                    {
                        list.push((surface, pcurve));
                    }
                }
            }
        }
        let mut written = Vec::new();
        for (edge, on) in model.edges.iter().zip(&on_surface) {
            let mut curve = self.curve(&edge.curve);
            let all: Vec<(Id, Id)> = on.iter().filter_map(|(s, p)| self.pcurve(*s, p).map(|id| (s.id, id))).collect();
            let list: Vec<Id> = all.iter().map(|&(_, id)| id).collect();
            match all.as_slice() {
                [] => {}
                [a, b] if a.0 == b.0 => curve = self.put(&format!("SEAM_CURVE('',#{curve},{},.CURVE_3D.)", ids(&list))),
                _ => curve = self.put(&format!("SURFACE_CURVE('',#{curve},{},.CURVE_3D.)", ids(&list))),
            }
            let vertex = |id: crate::model::VertexId| vertices.get(id.index()).copied().unwrap_or(0);
            written.push(self.edge(edge, curve, vertex(edge.start), vertex(edge.end)));
        }
        written
    }

    fn edge(&mut self, edge: &Edge, curve: Id, start: Id, end: Id) -> Id {
        self.put(&format!("EDGE_CURVE('',#{start},#{end},#{curve},{})", flag(edge.t1 > edge.t0)))
    }

    fn pcurve(&mut self, surface: Surfaced, trim: &TrimCurve) -> Option<Id> {
        let turned = if surface.turned { trim.curve.scaled(-1.0, 1.0) } else { trim.curve.clone() };
        let curve = match &turned {
            Pcurve::Conic(c) => Pcurve::Nurbs(c.arc(trim.t0, trim.t1).ok()?),
            _ => turned,
        };
        let curve = self.plane_curve(&curve)?;
        let context = self.put("(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()REPRESENTATION_CONTEXT('',''))");
        let definition = self.put(&format!("DEFINITIONAL_REPRESENTATION('',(#{curve}),#{context})"));
        Some(self.put(&format!("PCURVE('',#{},#{definition})", surface.id)))
    }

    /// Each face, in the model's order; None for an untrimmed patch, which only its surface stands for.
    pub(super) fn faces(&mut self, model: &Model, surfaces: &[Surfaced], edges: &[Id]) -> Vec<Option<Id>> {
        model.faces.iter().zip(surfaces).map(|(face, &surface)| self.face(face, surface, edges)).collect()
    }

    fn face(&mut self, face: &Face, surface: Surfaced, edges: &[Id]) -> Option<Id> {
        let mut bounds = Vec::new();
        for one in written_loops(face) {
            let written = match one {
                Loop::Edges(uses) => {
                    let edge = |id: EdgeId| edges.get(id.index()).copied().unwrap_or(0);
                    let body = |u: &crate::model::EdgeUse| format!("ORIENTED_EDGE('',*,*,#{},{})", edge(u.edge), flag(u.forward));
                    let uses: Vec<Id> = uses.iter().map(|u| self.put(&body(u))).collect();
                    self.put(&format!("EDGE_LOOP('',{})", ids(&uses)))
                }
                Loop::Vertex(p) => self.vertex_loop(*p),
            };
            let kind = if bounds.is_empty() { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
            bounds.push(self.put(&format!("{kind}('',#{written},.T.)")));
        }
        if bounds.is_empty() {
            let pole = closed_pole(&face.surface)?;
            let written = self.vertex_loop(pole);
            bounds.push(self.put(&format!("FACE_BOUND('',#{written},.T.)")));
        }
        let sense = flag(face.same_sense != surface.turned);
        Some(self.put(&format!("ADVANCED_FACE({},{},#{},{sense})", encode(&face.name), ids(&bounds), surface.id)))
    }

    fn vertex_loop(&mut self, p: Point3) -> Id {
        let point = self.point(p);
        let vertex = self.put(&format!("VERTEX_POINT('',#{point})"));
        self.put(&format!("VERTEX_LOOP('',#{vertex})"))
    }
}

/// The loops of a face; of one whose boundary was lost only the surface is certain.
fn written_loops(face: &Face) -> &[Loop] {
    if face.boundary_lost.is_some() { &[] } else { &face.loops }
}

/// A point to stand for the boundary of a whole closed surface; None when the surface is not closed.
fn closed_pole(surface: &Surface) -> Option<Point3> {
    match surface {
        Surface::Sphere(_) => Some(surface.point(0.0, -real::FRAC_PI_2)),
        Surface::Torus(_) => Some(surface.point(0.0, 0.0)),
        _ => None,
    }
}
