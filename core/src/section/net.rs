//! The triangles of a face that its sections are searched on.

use crate::geometry::{Domain, DomainSide, Surface};
use crate::math::{Point2, Point3};
use crate::tessellate::FaceMesh;
use std::collections::BTreeMap;

/// A side between two vertices, lower number first.
pub(super) type Side = (u32, u32);

/// A face made ready to be cut by many planes.
#[derive(Debug, Clone)]
pub struct SectionFace<'a> {
    pub(super) surface: &'a Surface,
    domain: &'a Domain,
    pub(super) uv: Vec<Point2>,
    /// Points of the surface itself at the vertices: those of the mesh lie on shared edges.
    pub(super) on: Vec<Point3>,
    pub(super) triangles: Vec<[u32; 3]>,
    /// One number for all vertices of a pole: triangles without area between them are left out of the mesh.
    same: Vec<u32>,
    /// Loop, side and the shares of that trim at the lower and the higher vertex.
    borders: BTreeMap<Side, (usize, usize, f64, f64)>,
}

impl<'a> SectionFace<'a> {
    /// Takes over a face's mesh; `domain` is the one it was made with.
    pub fn new(surface: &'a Surface, domain: &'a Domain, mesh: &FaceMesh) -> Self {
        let on = mesh.uv.iter().map(|p| surface.point(p.u, p.v)).collect();
        let mut face = Self {
            surface,
            domain,
            uv: mesh.uv.clone(),
            on,
            triangles: mesh.triangles.clone(),
            same: Vec::new(),
            borders: BTreeMap::new(),
        };
        face.same = (0..face.on.len() as u32).collect();
        for border in &mesh.borders {
            let first = border.vertices.first().copied().unwrap_or_default();
            let at = |n: u32| face.on.get(n as usize).copied();
            if border.vertices.len() > 1
                && border.vertices.iter().all(|&n| at(n).zip(at(first)).is_some_and(|(p, q)| p.distance(q) < 1e-12))
            {
                for &n in &border.vertices {
                    if let Some(s) = face.same.get_mut(n as usize) {
                        *s = first;
                    }
                }
            }
            let (l, s) = border.side;
            let Some(trim) = face.trim(l, s) else { continue };
            let nodes = trim.nodes();
            let share = |n: &u32| face.uv.get(*n as usize).and_then(|&uv| crate::flow::share_of(&nodes, uv));
            let shares: Vec<Option<f64>> = border.vertices.iter().map(share).collect();
            for (pair, at) in border.vertices.windows(2).zip(shares.windows(2)) {
                if let ([a, b], [Some(sa), Some(sb)]) = (pair, at) {
                    let (low, high) = if a < b { (*sa, *sb) } else { (*sb, *sa) };
                    face.borders.insert(((*a).min(*b), (*a).max(*b)), (l, s, low, high));
                }
            }
        }
        face
    }

    /// The side by the numbers that stand for its vertices.
    pub(super) fn named(&self, (a, b): Side) -> Side {
        let name = |n: u32| self.same.get(n as usize).copied().unwrap_or(n);
        (name(a).min(name(b)), name(a).max(name(b)))
    }

    /// True for a piece of border.
    pub(super) fn is_border(&self, side: Side) -> bool {
        self.borders.contains_key(&side)
    }

    fn trim(&self, l: usize, s: usize) -> Option<&'a DomainSide> {
        self.domain.loops.get(l)?.sides.get(s)
    }

    /// The parameters at a share of the way along a side: on the trim where the side is a piece of border.
    pub(super) fn between(&self, side: Side, t: f64) -> Option<Point2> {
        if let Some(&(l, s, low, high)) = self.borders.get(&side) {
            return Some(self.trim(l, s)?.uv(self.surface, low + (high - low) * t));
        }
        let (a, b) = (self.uv.get(side.0 as usize)?, self.uv.get(side.1 as usize)?);
        Some(Point2::new(a.u + (b.u - a.u) * t, a.v + (b.v - a.v) * t))
    }
}
