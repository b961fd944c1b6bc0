//! Constrained Delaunay triangulation of numbered points, and which triangles lie inside the border.

use crate::math::Vec2;
use crate::math::outline::Outline;
use spade::handles::{DirectedEdgeHandle, FixedVertexHandle};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, InsertionError, Point2, Triangulation as _};
use std::collections::BTreeMap;

/// A triangulation whose edges include the border, as far as the border does not cross itself.
pub(super) struct Cdt {
    mesh: Mesh,
    outline: Outline,
    nets: BTreeMap<(u32, u32), i32>,
    handles: Vec<Option<FixedVertexHandle>>,
    crossed: bool,
}

/// A triangle by point numbers, counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Triangle {
    /// The corners.
    pub corners: [u32; 3],
    /// Whether side k, from corner k to the next, is a piece of border.
    pub border: [bool; 3],
}

#[derive(Debug, Clone, Copy)]
struct Site {
    at: Point2<f64>,
    number: u32,
}

type Mesh = ConstrainedDelaunayTriangulation<Site, (), (), ()>;
type Directed<'a> = DirectedEdgeHandle<'a, Site, (), spade::CdtEdge<()>, ()>;

impl HasPosition for Site {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Cdt {
    /// Triangulates numbered points, no two at the same place, with the outline's segments (numbered likewise) as edges.
    ///
    /// A segment that would cross an earlier one is left out and [`Cdt::crossed`] says so.
    ///
    /// # Errors
    /// A coordinate that is not finite or out of the range the exact predicates can take.
    pub fn new(points: &[(u32, Vec2)], outline: Outline) -> Result<Self, InsertionError> {
        // Bulk loading with constraints iterates over a hash set in this crate, so its result depends on the run when
        // four points lie on a circle, as on every grid. Loading the points alone does not.
        let sites = points.iter().map(|&(number, p)| Site { at: Point2::new(p.x, p.y), number }).collect();
        let mut mesh = Mesh::bulk_load(sites)?;
        let count = points.iter().map(|p| p.0 as usize + 1).max().unwrap_or(0);
        let mut handles = vec![None; count];
        for vertex in mesh.vertices() {
            if let Some(h) = handles.get_mut(vertex.data().number as usize) {
                *h = Some(vertex.fix());
            }
        }
        let handle = |n: u32| handles.get(n as usize).copied().flatten();
        let mut nets = BTreeMap::new();
        let mut crossed = false;
        for s in outline.segments() {
            let [a, b] = s.ends;
            let (Some(from), Some(to)) = (handle(a), handle(b)) else { continue };
            if mesh.can_add_constraint(from, to) {
                mesh.add_constraint(from, to);
            }
            // A segment through a further point is added in pieces, which the flood below cannot weigh.
            crossed |= !mesh.exists_constraint(from, to);
            *nets.entry((a.min(b), a.max(b))).or_insert(0) += if a < b { s.net } else { -s.net };
        }
        Ok(Self { mesh, outline, nets, handles, crossed })
    }

    /// True when the border crosses or touches itself between its points; insides are then told triangle by triangle.
    pub fn crossed(&self) -> bool {
        self.crossed
    }

    /// The border.
    pub fn outline(&self) -> &Outline {
        &self.outline
    }

    /// Adds a point inside. False when it stands on another one or cannot be taken.
    pub fn insert(&mut self, number: u32, p: Vec2) -> bool {
        let before = self.mesh.num_vertices();
        let Ok(handle) = self.mesh.insert(Site { at: Point2::new(p.x, p.y), number }) else { return false };
        if self.mesh.num_vertices() == before {
            return false;
        }
        let index = number as usize;
        if self.handles.len() <= index {
            self.handles.resize(index + 1, None);
        }
        if let Some(h) = self.handles.get_mut(index) {
            *h = Some(handle);
        }
        true
    }

    /// Triangles of positive winding; of any winding when none has a positive one (a border given clockwise).
    pub fn inside(&self) -> Vec<Triangle> {
        let windings = self.flood().unwrap_or_else(|| self.ask_each());
        let keep_negative = !windings.iter().any(|&w| w > 0);
        let mut triangles = Vec::new();
        for face in self.mesh.inner_faces() {
            let winding = windings.get(face.fix().index()).copied().unwrap_or(0);
            if winding > 0 || (keep_negative && winding != 0) {
                let edges = face.adjacent_edges();
                let border = edges.map(|e| e.as_undirected().is_constraint_edge());
                triangles.push(Triangle { corners: edges.map(|e| e.from().data().number), border });
            }
        }
        triangles
    }

    /// Winding number of every face, spread from the outside across edges; None when the border is not sound.
    fn flood(&self) -> Option<Vec<i32>> {
        if self.crossed {
            return None;
        }
        let mut windings: Vec<Option<i32>> = vec![None; self.mesh.num_all_faces()];
        let mut stack = Vec::new();
        *windings.first_mut()? = Some(0);
        for edge in self.mesh.convex_hull() {
            let outer = if edge.is_outer_edge() { edge } else { edge.rev() };
            stack.push((outer.rev().face().fix(), -self.net(outer)?));
        }
        while let Some((face, winding)) = stack.pop() {
            let slot = windings.get_mut(face.index())?;
            match slot {
                Some(known) if *known == winding => continue,
                Some(_) => return None,
                None => *slot = Some(winding),
            }
            let Some(inner) = face.as_inner() else { continue };
            for edge in self.mesh.face(inner).adjacent_edges() {
                stack.push((edge.rev().face().fix(), winding - self.net(edge)?));
            }
        }
        Some(windings.into_iter().map(|w| w.unwrap_or(0)).collect())
    }

    /// How often the border runs along a directed edge, less how often against it; None for an unknown constraint.
    fn net(&self, edge: Directed<'_>) -> Option<i32> {
        if !edge.as_undirected().is_constraint_edge() {
            return Some(0);
        }
        let (a, b) = (edge.from().data().number, edge.to().data().number);
        let net = self.nets.get(&(a.min(b), a.max(b)))?;
        Some(if a < b { *net } else { -net })
    }

    /// Winding number at every face's centre.
    fn ask_each(&self) -> Vec<i32> {
        let mut windings = vec![0; self.mesh.num_all_faces()];
        for face in self.mesh.inner_faces() {
            let c = face.center();
            if let Some(w) = windings.get_mut(face.fix().index()) {
                *w = self.outline.winding(Vec2::new(c.x, c.y));
            }
        }
        windings
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::outline::Segment;
    use proptest::prelude::*;

    fn rings(rings: &[&[(f64, f64)]]) -> (Vec<(u32, Vec2)>, Outline) {
        let (mut points, mut segments) = (Vec::new(), Vec::new());
        for ring in rings {
            let first = points.len() as u32;
            points.extend(ring.iter().enumerate().map(|(i, &(x, y))| (first + i as u32, Vec2::new(x, y))));
            let n = ring.len() as u32;
            for i in 0..n {
                let ends = [first + i, first + (i + 1) % n];
                segments.push(Segment { a: points[ends[0] as usize].1, b: points[ends[1] as usize].1, ends, net: 1 });
            }
        }
        (points, Outline::new(segments))
    }

    fn area(points: &[(u32, Vec2)], triangles: &[Triangle]) -> f64 {
        let at = |n: u32| points.iter().find(|p| p.0 == n).unwrap().1;
        let twice = |t: &Triangle| (at(t.corners[1]) - at(t.corners[0])).perp_dot(at(t.corners[2]) - at(t.corners[0]));
        triangles.iter().inspect(|t| assert!(twice(t) > 0.0)).map(|t| 0.5 * twice(t)).sum()
    }

    const SQUARE: &[(f64, f64)] = &[(0., 0.), (10., 0.), (10., 6.), (0., 6.)];

    #[test]
    fn holes_islands_slits_and_reversed_borders() {
        let hole: &[(f64, f64)] = &[(2., 1.), (2., 5.), (8., 5.), (8., 1.)];
        let island: &[(f64, f64)] = &[(4., 2.), (6., 2.), (6., 4.), (4., 4.)];
        let back: Vec<_> = SQUARE.iter().rev().copied().collect();
        let slit: &[(f64, f64)] = &[(3., 3.), (7., 3.)];
        for (case, want) in [
            (vec![SQUARE], 60.0),
            (vec![SQUARE, hole], 36.0),
            (vec![SQUARE, hole, island], 40.0),
            (vec![back.as_slice()], 60.0),
            (vec![SQUARE, slit], 60.0),
        ] {
            let (points, outline) = rings(&case);
            let cdt = Cdt::new(&points, outline).unwrap();
            assert!(!cdt.crossed());
            assert!((area(&points, &cdt.inside()) - want).abs() < 1e-12, "{case:?}");
        }
    }

    #[test]
    fn crossing_and_touching_borders_do_not_panic() {
        let bow: &[(f64, f64)] = &[(0., 0.), (10., 6.), (10., 0.), (0., 6.)];
        let through: &[(f64, f64)] = &[(0., 0.), (10., 0.), (10., 6.), (5., 0.), (0., 6.)];
        let flat: &[(f64, f64)] = &[(0., 0.), (10., 0.), (5., 0.)];
        let outside: &[(f64, f64)] = &[(8., 2.), (14., 2.), (14., 4.), (8., 4.)];
        for case in [vec![bow], vec![through], vec![flat], vec![SQUARE, outside], vec![&[][..]], vec![&[(1., 1.)][..]]] {
            let (points, outline) = rings(&case);
            let cdt = Cdt::new(&points, outline).unwrap();
            let _ = cdt.inside();
        }
        let (points, outline) = rings(&[bow]);
        assert!(Cdt::new(&points, outline).unwrap().crossed());
    }

    #[test]
    fn inserted_points_take_part_once() {
        let (points, outline) = rings(&[SQUARE]);
        let mut cdt = Cdt::new(&points, outline).unwrap();
        assert!(cdt.insert(4, Vec2::new(3.0, 2.0)));
        assert!(!cdt.insert(5, Vec2::new(3.0, 2.0)));
        assert!(!cdt.insert(6, Vec2::new(f64::NAN, 2.0)));
        assert_eq!(cdt.inside().len(), 4);
        assert_eq!(cdt.inside().iter().map(|t| t.border.iter().filter(|b| **b).count()).sum::<usize>(), 4);
    }

    proptest! {
        /// Flooding and asking each triangle agree on star-shaped rings with a hole, and fill their exact area.
        #[test]
        fn flood_agrees_with_its_slow_twin(radii in prop::collection::vec(3.0..9.0f64, 3..40), inner in prop::collection::vec(0.5..2.5f64, 3..12)) {
            let star = |radii: &[f64], turn: f64| -> Vec<(f64, f64)> {
                radii.iter().enumerate().map(|(i, r)| {
                    let a = turn * core::f64::consts::TAU * (i as f64 + 0.3) / radii.len() as f64;
                    (r * crate::math::real::cos(a), r * crate::math::real::sin(a))
                }).collect()
            };
            let shoelace = |ring: &[(f64, f64)]| -> f64 {
                (0..ring.len()).map(|i| { let (a, b) = (ring[i], ring[(i + 1) % ring.len()]); 0.5 * (a.0 * b.1 - b.0 * a.1) }).sum()
            };
            let (outer, hole) = (star(&radii, 1.0), star(&inner, -1.0));
            prop_assume!(radii.len() > 6);
            let (points, outline) = rings(&[&outer, &hole]);
            let cdt = Cdt::new(&points, outline).unwrap();
            prop_assume!(!cdt.crossed());
            let want = shoelace(&outer) + shoelace(&hole);
            prop_assert!((area(&points, &cdt.inside()) - want).abs() < 1e-9);
            let flood = cdt.flood().unwrap();
            let asked = cdt.ask_each();
            for face in cdt.mesh.inner_faces() {
                let [a, b, c] = face.positions();
                let twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
                if twice > 1e-9 {
                    prop_assert_eq!(flood[face.fix().index()], asked[face.fix().index()]);
                }
            }
        }
    }
}
