//! Edges of trimmed faces: how far their curves lie off the surface, and how they are built.

use crate::geometry::{Curve, SideOrigin};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point3, Vec3};
use crate::model::{Edge, FaceId};
use std::collections::BTreeMap;

/// Places along an edge at which its bend is asked for inflections.
const PLACES: usize = 64;

/// Curvature below which a curve counts as straight, 1/mm. Larger: soft inflections go uncounted; smaller: rounding counts.
const STRAIGHT: f64 = 1e-6;

/// An edge of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrimmedEdge {
    /// The face.
    pub face: FaceId,
    /// Number of the edge in the model.
    pub edge: usize,
    /// Half way along, mm.
    pub middle: Point3,
    /// Largest distance between the edge's curve in space and the face's own border on its surface, mm.
    pub distance: f64,
    /// Where its bend turns round.
    pub inflections: usize,
    /// Spans of its curve.
    pub spans: usize,
}

/// All edges of trimmed faces that are no straight lines, once a face, in the order of the faces. Copies of faces are left out.
pub fn trimmed_edges(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<TrimmedEdge> {
    let mut all = Vec::new();
    for (id, face) in sheets.model.faces().filter(|(id, _)| !graph.is_copy(*id)) {
        let mut of_face: BTreeMap<usize, TrimmedEdge> = BTreeMap::new();
        for side in sheets.domain(id).into_iter().flat_map(|d| &d.loops).flat_map(|l| &l.sides) {
            let SideOrigin::Edge { loop_index, use_index } = side.origin else { continue };
            let Some(number) = face.loops.get(loop_index).and_then(|l| l.uses().get(use_index)).map(|u| u.edge.index()) else { continue };
            let Some(edge) = sheets.model.edges.get(number).filter(|e| !matches!(e.curve, Curve::Line(_))) else { continue };
            let distance =
                if side.trim.is_pcurve() { side.trim.edge_deviation(&edge.curve, edge.t0, edge.t1) } else { side.trim.foot_distance() };
            let new = || TrimmedEdge {
                face: id,
                edge: number,
                middle: edge.point(0.5),
                distance: 0.0,
                inflections: inflections(edge),
                spans: edge.curve.breaks_between(edge.t0, edge.t1).len() + 1,
            };
            let one = of_face.entry(number).or_insert_with(new);
            one.distance = one.distance.max(distance);
        }
        all.extend(of_face.into_values());
    }
    all
}

/// How often the bend of an edge turns to the other side.
fn inflections(edge: &Edge) -> usize {
    let bend = |i: usize| {
        let row = edge.curve.derivs(edge.parameter((i as f64 + 0.5) / PLACES as f64), 2);
        let (d, dd) = (Vec3::from_array(row[1]), Vec3::from_array(row[2]));
        let square = d.length_squared();
        let k = (dd - d * (dd.dot(d) / square)) / square;
        (k.length() > STRAIGHT).then_some(k)
    };
    let bends: Vec<Vec3> = (0..PLACES).filter_map(bend).collect();
    bends.windows(2).filter(|w| w[0].dot(w[1]) < 0.0).count()
}
