//! The borders of all faces of a model, each edge sampled once for all faces that use it.

use super::Tolerance;
use super::crossings::crossings;
use super::region::Region;
use super::ring::{Corner, SidePoints, assemble};
use super::track::{EdgePath, Node, Track, User, same_place};
use crate::geometry::{Domain, SideOrigin};
use crate::math::{Point3, distinct};
use crate::model::{Edge, EdgeId, Face, FaceId, Model};
use std::collections::BTreeMap;

/// Samples of every border.
pub(super) struct Borders<'a> {
    tracks: Vec<Track<'a>>,
    samples: Vec<Vec<Node>>,
    /// By face, loop and side.
    sides: Vec<Vec<Vec<SideRef>>>,
    chord: f64,
}

/// Where a side's samples are.
#[derive(Debug, Clone, Copy)]
struct SideRef {
    track: usize,
    user: usize,
    edge: Option<EdgeId>,
    rank: Corner,
    /// True when the loop runs with rising share of the track.
    forward: bool,
}

/// A piece of a track between two neighbouring samples: track, and number of the earlier sample.
pub(super) type Piece = (usize, usize);

/// Rounds of halving where borders cross. Larger: a border that truly crosses itself is cut ever finer. Smaller: thin
/// faces between two arcs overlap themselves.
const ROUNDS: usize = 6;

impl<'a> Borders<'a> {
    /// Samples the borders of the faces asked for, then halves pieces where a face's border would cross itself.
    pub fn new(model: &'a Model, domains: &'a [Option<Domain>], tolerance: &Tolerance, asked: impl Fn(FaceId) -> bool) -> Self {
        let mut borders = Self { tracks: Vec::new(), samples: Vec::new(), sides: Vec::new(), chord: tolerance.chord };
        let mut of_edge: BTreeMap<EdgeId, usize> = BTreeMap::new();
        for (id, face) in model.faces() {
            let domain = domains.get(id.index()).and_then(Option::as_ref).filter(|_| asked(id));
            let loops = domain.map_or_else(Vec::new, |d| borders.add_face(model, face, d, tolerance, &mut of_edge));
            borders.sides.push(loops);
        }
        borders.samples = borders.tracks.iter().map(|t| t.sample(tolerance)).collect();
        borders.part_crossings();
        borders
    }

    /// The border of one face as polygons; None when a sample is not a finite number.
    pub fn region(&self, face: FaceId) -> Option<Region> {
        self.region_and_pieces(face.index()).map(|(region, _)| region)
    }

    fn add_face(
        &mut self,
        model: &'a Model,
        face: &'a Face,
        domain: &'a Domain,
        tolerance: &Tolerance,
        of_edge: &mut BTreeMap<EdgeId, usize>,
    ) -> Vec<Vec<SideRef>> {
        // Sides without an edge met so far in this face: the other side of a seam joins its mate.
        let mut alone: Vec<(usize, [Point3; 3])> = Vec::new();
        let mut loops = Vec::new();
        for domain_loop in &domain.loops {
            let mut sides = Vec::new();
            for side in &domain_loop.sides {
                let user = User::new(&face.surface, side);
                let edge = edge_of(model, face, side.origin);
                let side = match edge {
                    Some((id, edge)) => {
                        let track = *of_edge.entry(id).or_insert_with(|| {
                            self.tracks.push(Track::new(Some(edge_path(model, edge, tolerance)), Vec::new()));
                            self.tracks.len() - 1
                        });
                        SideRef { track, user: self.join(track, user), edge: Some(id), rank: Corner::Edge, forward: side.forward }
                    }
                    None => self.add_alone(user, &mut alone),
                };
                sides.push(side);
            }
            loops.push(sides);
        }
        loops
    }

    fn add_alone(&mut self, user: User<'a>, alone: &mut Vec<(usize, [Point3; 3])>) -> SideRef {
        let rank = match user.side.origin {
            _ if user.pole => Corner::Pole,
            SideOrigin::Bridge => Corner::Bridge,
            _ => Corner::Free,
        };
        let marks = user.marks();
        let [a, b, c] = marks;
        let mate = alone.iter().find(|(_, [x, y, z])| same_place(a, *z) && same_place(b, *y) && same_place(c, *x));
        if let (Some(&(track, _)), Corner::Free) = (mate, rank) {
            return SideRef { track, user: self.join(track, User { against: true, ..user }), edge: None, rank, forward: false };
        }
        self.tracks.push(Track::new(None, vec![user]));
        let track = self.tracks.len() - 1;
        if rank == Corner::Free {
            alone.push((track, marks));
        }
        SideRef { track, user: 0, edge: None, rank, forward: true }
    }

    fn join(&mut self, track: usize, user: User<'a>) -> usize {
        let Some(track) = self.tracks.get_mut(track) else { return 0 };
        track.users.push(user);
        track.users.len() - 1
    }

    /// The region of a face and, for each ring point, the piece of track that starts there.
    fn region_and_pieces(&self, face: usize) -> Option<(Region, Vec<Option<Piece>>)> {
        let loops: Option<Vec<Vec<SidePoints>>> = self
            .sides
            .get(face)?
            .iter()
            .enumerate()
            .map(|(l, sides)| sides.iter().enumerate().map(|(k, s)| self.side_points(s, (l, k))).collect())
            .collect();
        Some(assemble(loops?, self.chord))
    }

    fn side_points(&self, side: &SideRef, at: (usize, usize)) -> Option<SidePoints> {
        let nodes = self.samples.get(side.track)?;
        let foot = |(k, n): (usize, &Node)| Some((n.feet.get(side.user).copied().flatten()?.uv, n.point, (side.track, k)));
        let mut points: Vec<_> = nodes.iter().enumerate().filter_map(foot).collect();
        if points.len() < 2 {
            return None;
        }
        if !side.forward {
            points.reverse();
            // Run backwards, a piece starts at its later sample.
            points.iter_mut().for_each(|p| p.2.1 = p.2.1.saturating_sub(1));
        }
        Some(SidePoints { edge: side.edge, side: at, forward: side.forward, rank: side.rank, points })
    }

    /// Halves the pieces where a border crosses or folds onto itself, until none does or the rounds are over.
    fn part_crossings(&mut self) {
        let mut users: Vec<Vec<usize>> = vec![Vec::new(); self.tracks.len()];
        for (face, loops) in self.sides.iter().enumerate() {
            for side in loops.iter().flatten() {
                if let Some(u) = users.get_mut(side.track) {
                    u.push(face);
                }
            }
        }
        let mut suspects: Vec<usize> = (0..self.sides.len()).collect();
        for _ in 0..ROUNDS {
            let mut pieces: Vec<Piece> = Vec::new();
            for &face in &suspects {
                if let Some((region, of_point)) = self.region_and_pieces(face) {
                    pieces.extend(crossings(&region, &of_point).into_iter().filter_map(|n| of_point.get(n).copied().flatten()));
                }
            }
            let pieces = distinct(pieces);
            if pieces.is_empty() {
                return;
            }
            suspects = distinct(pieces.iter().filter_map(|p| users.get(p.0)).flatten().copied());
            // From the back, so that numbers of earlier samples stay good.
            for &(track, k) in pieces.iter().rev() {
                self.halve(track, k);
            }
        }
    }

    fn halve(&mut self, track: usize, k: usize) {
        let (Some(path), Some(nodes)) = (self.tracks.get(track), self.samples.get_mut(track)) else { return };
        let (Some(a), Some(b)) = (nodes.get(k), nodes.get(k + 1)) else { return };
        if let Some(middle) = path.halfway(a, b).filter(|m| m.share > a.share && m.share < b.share) {
            nodes.insert(k + 1, middle);
        }
    }
}

fn edge_of<'a>(model: &'a Model, face: &Face, origin: SideOrigin) -> Option<(EdgeId, &'a Edge)> {
    let SideOrigin::Edge { loop_index, use_index } = origin else { return None };
    let id = face.loops.get(loop_index)?.uses().get(use_index)?.edge;
    Some((id, model.edge(id)?))
}

/// The edge with its vertices as ends, so that edges meet there to the bit; a vertex further off than half the chord
/// limit is not where its edge ends and is left aside (halving cannot mend a chord that ends beside its curve).
fn edge_path<'a>(model: &Model, edge: &'a Edge, tolerance: &Tolerance) -> EdgePath<'a> {
    let end = |vertex: crate::model::VertexId, s: f64| {
        let on_curve = edge.point(s);
        let vertex = model.vertices.get(vertex.index()).map(|v| v.point);
        vertex.filter(|p| p.distance(on_curve) <= 0.5 * tolerance.chord).unwrap_or(on_curve)
    };
    EdgePath { edge, start: end(edge.start, 0.0), end: end(edge.end, 1.0) }
}
