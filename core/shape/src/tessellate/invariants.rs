//! What must hold for every mesh.

use super::{FaceMesh, Tessellation};
use crate::math::Vec2;
use crate::model::{EdgeId, FaceId, Model};
use core::fmt;
use std::collections::BTreeMap;

/// A broken invariant.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum MeshFault {
    /// Lists of a mesh have different lengths, or a triangle or border names a vertex that is not there.
    Index(FaceId),
    /// A number is not finite, or a normal is not a unit vector.
    Number(FaceId),
    /// A triangle is turned over in (u, v), or has two corners the same; its number.
    Turned(FaceId, usize),
    /// A side is shared by more than two triangles, or run in the same direction by both.
    Manifold(FaceId),
    /// A rim of the triangles is not covered by the borders; the number of sides left over.
    OpenRim(FaceId, usize),
    /// Two faces have different points along an edge they share.
    Leak(EdgeId, FaceId, FaceId),
    /// The triangles' area and the face's own differ; mm².
    Area(FaceId, f64, f64),
}

impl fmt::Display for MeshFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Index(face) => write!(f, "face {}: a vertex number is out of range", face.index()),
            Self::Number(face) => write!(f, "face {}: a number is not finite or a normal not of unit length", face.index()),
            Self::Turned(face, t) => write!(f, "face {}: triangle {t} is turned over or has no area in (u, v)", face.index()),
            Self::Manifold(face) => write!(f, "face {}: a side has more than one triangle to the same hand", face.index()),
            Self::OpenRim(face, n) => write!(f, "face {}: {n} sides at the rim belong to no border", face.index()),
            Self::Leak(edge, a, b) => write!(f, "edge {}: faces {} and {} differ along it", edge.index(), a.index(), b.index()),
            Self::Area(face, got, want) => write!(f, "face {}: the triangles cover {got} mm² of {want}", face.index()),
        }
    }
}

impl FaceMesh {
    /// Checks one mesh by itself; empty when sound. A mesh whose border crosses itself may have open rims.
    pub fn check_invariants(&self, same_sense: bool) -> Vec<MeshFault> {
        let count = self.positions.len();
        let in_range = |n: &u32| (*n as usize) < count;
        let indices = self.triangles.iter().flatten().chain(self.borders.iter().flat_map(|b| &b.vertices)).all(in_range);
        if self.uv.len() != count || self.normals.len() != count || !indices {
            return vec![MeshFault::Index(self.face)];
        }
        let mut faults = Vec::new();
        let finite = self.positions.iter().all(|p| p.is_finite()) && self.uv.iter().all(|p| p.is_finite());
        if !finite || self.normals.iter().any(|n| (n.length() - 1.0).abs() > 1e-9) {
            faults.push(MeshFault::Number(self.face));
        }
        let sign = if same_sense { 1.0 } else { -1.0 };
        let at = |n: u32| self.uv.get(n as usize).map_or(Vec2::ZERO, |p| p.to_vec());
        let mut sides: BTreeMap<(u32, u32), i32> = BTreeMap::new();
        for (number, &[a, b, c]) in self.triangles.iter().enumerate() {
            if sign * (at(b) - at(a)).perp_dot(at(c) - at(a)) <= 0.0 {
                faults.push(MeshFault::Turned(self.face, number));
            }
            for side in [(a, b), (b, c), (c, a)] {
                *sides.entry(side).or_insert(0) += 1;
            }
        }
        if sides.values().any(|&n| n > 1) {
            faults.push(MeshFault::Manifold(self.face));
        }
        let open = self.open_sides(&sides);
        if open > 0 && !self.crossed {
            faults.push(MeshFault::OpenRim(self.face, open));
        }
        faults
    }

    /// Sides with a triangle on one hand only that are no border: neither a step of a border nor, next to triangles left
    /// out at a pole, between vertices at one place.
    fn open_sides(&self, sides: &BTreeMap<(u32, u32), i32>) -> usize {
        let place = |n: u32| self.positions.get(n as usize).map(|p| p.to_array().map(f64::to_bits));
        let parameters = |n: u32| self.uv.get(n as usize).map(|p| [p.u.to_bits(), p.v.to_bits()]);
        // Vertices at one place count as one: corners met twice, and the vertices of a pole. So do those with the same
        // parameters: where edges miss each other by a trifle, one of the two ends stays without a triangle.
        let mut first_at: BTreeMap<[u64; 3], u32> = BTreeMap::new();
        let mut first_with: BTreeMap<[u64; 2], u32> = BTreeMap::new();
        let mut canonical = Vec::with_capacity(self.positions.len());
        for n in 0..self.positions.len() as u32 {
            let at = place(n).map_or(n, |p| *first_at.entry(p).or_insert(n));
            canonical.push(parameters(n).map_or(at, |p| *first_with.entry(p).or_insert(at)));
        }
        let number = |n: u32| canonical.get(n as usize).copied().unwrap_or(n);
        let mut borders: BTreeMap<(u32, u32), ()> = BTreeMap::new();
        for pair in self.borders.iter().flat_map(|b| b.vertices.windows(2)) {
            if let [a, b] = *pair {
                borders.insert((number(a).min(number(b)), number(a).max(number(b))), ());
            }
        }
        let mut balance: BTreeMap<(u32, u32), i32> = BTreeMap::new();
        for (&(a, b), &n) in sides {
            let (a, b) = (number(a), number(b));
            if a != b {
                *balance.entry((a.min(b), a.max(b))).or_insert(0) += if a < b { n } else { -n };
            }
        }
        balance.iter().filter(|(side, n)| **n != 0 && !borders.contains_key(side)).count()
    }
}

impl Tessellation {
    /// Checks every mesh, that faces agree to the bit along shared edges, and areas against those given (one a face,
    /// mm²): they may differ by a relative amount and by the chord limit all along the border. Empty when sound.
    pub fn check_invariants(&self, model: &Model, areas: &[Option<f64>], relative: f64, chord: f64) -> Vec<MeshFault> {
        let mut faults = Vec::new();
        let mut along: BTreeMap<EdgeId, (FaceId, Vec<[u64; 3]>)> = BTreeMap::new();
        for (mesh, (id, face)) in self.faces.iter().zip(model.faces()) {
            let Some(mesh) = mesh else { continue };
            faults.extend(mesh.check_invariants(face.same_sense));
            for border in &mesh.borders {
                let Some(edge) = border.edge else { continue };
                let position = |n: &u32| mesh.positions.get(*n as usize).map(|p| p.to_array().map(f64::to_bits));
                let points: Vec<[u64; 3]> = border.vertices.iter().filter_map(position).collect();
                match along.get(&edge) {
                    Some((other, known)) if !agree(known, &points) => faults.push(MeshFault::Leak(edge, *other, id)),
                    Some(_) => {}
                    None => {
                        along.insert(edge, (id, points));
                    }
                }
            }
            if let Some(Some(want)) = areas.get(id.index()) {
                let got = mesh.area();
                if (got - want).abs() > relative * want + chord * mesh.border_length() {
                    faults.push(MeshFault::Area(id, got, *want));
                }
            }
        }
        faults
    }
}

/// The same points, or one a stretch of the other, or both stretches end to end: an edge that passes a pole or a seam is
/// two sides of its face.
fn agree(a: &[[u64; 3]], b: &[[u64; 3]]) -> bool {
    let (long, short) = if a.len() >= b.len() { (a, b) } else { (b, a) };
    let meet = a.last() == b.first() || b.last() == a.first();
    short.is_empty() || meet || long.windows(short.len()).any(|w| w == short)
}
