//! From loose sheets to a model: sides that are the same curve become one edge, corners one vertex.

use super::sheet::{Border, Sheet};
use crate::geometry::Curve;
use crate::math::Point3;
use crate::model::{Colour, Edge, EdgeId, EdgeUse, Face, Loop, Model, PartId, Source, TrimCurve, Vertex, VertexId};

/// Sides closer than this everywhere are one edge, mm. Larger would hide a seeded gap in the topology; smaller than
/// the rounding of the fitted rows would leave the cowl in loose faces.
const SAME: f64 = 1e-6;

/// Shares of a side at which it is compared.
const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Sews the sheets into a model, faces in the order given.
pub(in crate::demo) fn model(name: &str, sheets: &[Sheet]) -> Model {
    let mut made = Sewing { model: Model { name: name.into(), ..Model::default() }, points: Vec::new() };
    made.model.parts.push(name.into());
    for sheet in sheets {
        let loops = sheet.loops.iter().map(|l| made.run(l, sheet.outward)).collect();
        made.model.faces.push(Face {
            name: sheet.name.clone(),
            surface: sheet.surface.clone(),
            same_sense: sheet.outward,
            loops,
            boundary_lost: None,
            colour: Some(colour(sheet.layer)),
            layers: vec![sheet.layer.into()],
            part: PartId::new(0),
            source: Source::default(),
        });
    }
    made.model
}

struct Sewing {
    model: Model,
    /// Sample points of every edge, in its own direction.
    points: Vec<[Point3; 5]>,
}

impl Sewing {
    /// A loop with the face on its left seen against the face's own normal.
    fn run(&mut self, borders: &[Border], outward: bool) -> Loop {
        let uses = if outward {
            borders.iter().map(|b| self.edge_use(b)).collect()
        } else {
            borders.iter().rev().map(|b| self.edge_use(&b.reversed())).collect()
        };
        Loop::Edges(uses)
    }

    fn edge_use(&mut self, border: &Border) -> EdgeUse {
        let here = SHARES.map(|s| border.point(s));
        let same = |p: &[Point3; 5], turned: bool| (0..5).all(|k| p[k].distance(here[if turned { 4 - k } else { k }]) < SAME);
        let found = self
            .points
            .iter()
            .enumerate()
            .find_map(|(i, p)| if same(p, false) { Some((i, true)) } else { same(p, true).then_some((i, false)) });
        let (index, forward) = found.unwrap_or_else(|| {
            let (start, end) = (self.vertex(here[0]), self.vertex(here[4]));
            let (t0, t1) = border.ends;
            self.model.edges.push(Edge { curve: Curve::Nurbs(border.curve.clone()), t0, t1, start, end, source: Source::default() });
            self.points.push(here);
            (self.points.len() - 1, true)
        });
        let (t0, t1) = if forward { border.trim_ends } else { (border.trim_ends.1, border.trim_ends.0) };
        EdgeUse { edge: EdgeId::new(index), forward, pcurve: Some(TrimCurve { curve: border.trim.clone(), t0, t1 }) }
    }

    fn vertex(&mut self, point: Point3) -> VertexId {
        let known = self.model.vertices.iter().position(|v| v.point.distance(point) < SAME);
        VertexId::new(known.unwrap_or_else(|| {
            self.model.vertices.push(Vertex { point, source: Source::default() });
            self.model.vertices.len() - 1
        }))
    }
}

/// Paint by layer.
fn colour(layer: &str) -> Colour {
    let [red, green, blue] = match layer {
        "lamps" => [0.78, 0.79, 0.80],
        "arches" => [0.30, 0.33, 0.36],
        "gaps" => [0.22, 0.25, 0.28],
        _ => [0.45, 0.55, 0.50],
    };
    Colour { red, green, blue }
}
