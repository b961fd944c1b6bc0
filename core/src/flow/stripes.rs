//! All stripe edges of a model, followed from face to face.

use super::crossing::{Crossing, crossings};
use super::face_trace::{Piece, Precision, Trace, trace_face};
use super::links::chains;
use crate::highlight::LampRig;
use crate::joins::{JoinGraph, Sheets};
use crate::math::Point3;
use crate::model::FaceId;
use crate::progress::{Progress, Stage};
use crate::tessellate::{FaceMesh, Tessellation};
use std::collections::BTreeMap;

/// A stripe edge across faces.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Value of the stripe function along it.
    pub value: f64,
    /// Its pieces from end to end: index into [`Stripes::pieces`], and whether run backwards.
    pub pieces: Vec<(usize, bool)>,
    /// Between each piece and the next: index into [`Stripes::crossings`].
    pub crossings: Vec<usize>,
}

/// The stripe edges of a model under one rig.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stripes {
    /// What each face holds of them.
    pub pieces: Vec<(FaceId, Piece)>,
    /// Where they pass from face to face, with the join's index in its graph.
    pub crossings: Vec<(usize, Crossing)>,
    /// Whole edges.
    pub lines: Vec<Line>,
    /// Faces on which some may be missing: the cap on points was met.
    pub capped: Vec<FaceId>,
}

/// Distance within which a piece's end is the place where a stripe edge was found on the join, mm. Both lie on one trim;
/// larger: neighbours are taken for it; smaller: rounding of a foot on a flat trim keeps them apart.
const SAME_END: f64 = 1e-3;

/// Traces the stripe edges of all faces and links them over the joins. Faces without mesh or domain have none, nor have
/// copies of other faces. Cancelling leaves the rest out.
pub fn stripes(
    rig: &LampRig,
    sheets: &Sheets<'_>,
    meshes: &Tessellation,
    graph: &JoinGraph,
    precision: &Precision,
    progress: &mut dyn Progress,
) -> Stripes {
    let mut all = Stripes::default();
    let total = sheets.model.faces.len();
    for (id, _) in sheets.model.faces() {
        progress.report(Stage::Flow, id.index(), total);
        if progress.cancelled() {
            return all;
        }
        all.add_face(rig, sheets, graph, id, meshes.faces.get(id.index()).and_then(Option::as_ref), precision);
    }
    (0..graph.joins.len()).for_each(|index| all.add_join(rig, sheets, graph, index));
    all.link();
    progress.report(Stage::Flow, total, total);
    all
}

impl Stripes {
    /// Traces the stripe edges of one face, each face once. Without mesh or domain it has none, nor has a copy of another face.
    pub fn add_face(
        &mut self,
        rig: &LampRig,
        sheets: &Sheets<'_>,
        graph: &JoinGraph,
        id: FaceId,
        mesh: Option<&FaceMesh>,
        precision: &Precision,
    ) {
        let domain = sheets.domain(id).filter(|_| !graph.is_copy(id));
        let (Some(face), Some(domain), Some(mesh)) = (sheets.model.face(id), domain, mesh) else { return };
        let Trace { pieces, capped } = trace_face(rig, &face.surface, domain, mesh, precision);
        self.pieces.extend(pieces.into_iter().map(|p| (id, p)));
        self.capped.extend(capped.then_some(id));
    }

    /// Finds where stripe edges pass over one join, each join once.
    pub fn add_join(&mut self, rig: &LampRig, sheets: &Sheets<'_>, graph: &JoinGraph, index: usize) {
        if graph.joins.get(index).is_none_or(|j| j.faces.len() != 2) {
            return;
        }
        // A knot line inside a patch is crossed by one piece: its crossings are measured, and nothing is linked.
        for track in graph.tracks(index) {
            self.crossings.extend(crossings(rig, sheets, track).into_iter().map(|c| (index, c)));
        }
    }

    /// Joins pieces to lines by their ends, once faces and joins are in.
    pub fn link(&mut self) {
        // Ends by face: piece, which end, value, point.
        let mut ends: BTreeMap<FaceId, Vec<(u32, f64, Point3)>> = BTreeMap::new();
        for (k, (face, piece)) in self.pieces.iter().enumerate().filter(|(_, (_, p))| !p.is_closed()) {
            let mut add = |end: u32, point: Option<&Point3>| {
                if let Some(&p) = point {
                    ends.entry(*face).or_default().push((2 * k as u32 + end, piece.value, p));
                }
            };
            add(0, piece.points.first());
            add(1, piece.points.last());
        }
        let mut taken = vec![false; 2 * self.pieces.len()];
        let find = |face: FaceId, value: f64, point: Point3, taken: &[bool]| {
            let like = ends.get(&face)?.iter().filter(|e| e.1 == value && taken.get(e.0 as usize) == Some(&false));
            let near = like.map(|e| (e.2.distance(point), e.0)).min_by(|x, y| x.0.total_cmp(&y.0))?;
            (near.0 <= SAME_END).then_some(near.1)
        };
        let set = |taken: &mut [bool], end: u32, is: bool| taken.get_mut(end as usize).into_iter().for_each(|t| *t = is);
        let mut over: BTreeMap<(u32, u32), usize> = BTreeMap::new();
        for (k, (_, c)) in self.crossings.iter().enumerate() {
            let Some(x) = find(c.a.face, c.value, c.a.point, &taken) else { continue };
            set(&mut taken, x, true);
            match find(c.b.face, c.value, c.b.point, &taken) {
                Some(y) => {
                    set(&mut taken, y, true);
                    over.insert((x.min(y), x.max(y)), k);
                }
                None => set(&mut taken, x, false),
            }
        }
        // Two ends of one piece belong together, and so do two ends over a crossing.
        let mut pairs: Vec<(u32, u32)> = (0..self.pieces.len() as u32).map(|k| (2 * k, 2 * k + 1)).collect();
        pairs.extend(over.keys().copied());
        self.lines = chains(&pairs).iter().map(|c| self.line(c, &over)).collect();
    }

    fn line(&self, chain: &[u32], over: &BTreeMap<(u32, u32), usize>) -> Line {
        let mut line = Line { value: 0.0, pieces: Vec::new(), crossings: Vec::new() };
        for w in chain.windows(2) {
            let (x, y) = (w[0], w[1]);
            if x / 2 == y / 2 {
                line.pieces.push((x as usize / 2, x > y));
            } else if let Some(&k) = over.get(&(x.min(y), x.max(y))) {
                line.crossings.push(k);
            }
        }
        line.value = line.pieces.first().and_then(|p| self.pieces.get(p.0)).map_or(0.0, |p| p.1.value);
        line
    }
}
