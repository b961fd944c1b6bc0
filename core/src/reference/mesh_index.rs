//! Triangle meshes, prepared for questions after their nearest point.

use super::nearest::Nearest;
use super::triangle::{Feature, OnTriangle, nearest_on_triangle};
use crate::layout::{Boxes, Item};
use crate::math::{Point3, Vec3, real};
use crate::model::Mesh;

/// A mesh with a tree over its triangles and a normal for every face, side and corner.
#[derive(Debug, Clone)]
pub struct MeshIndex {
    points: Vec<Point3>,
    triangles: Vec<[u32; 3]>,
    boxes: Boxes,
    faces: Vec<Vec3>,
    /// For each triangle, which sides its three are.
    sides: Vec<[u32; 3]>,
    on_side: Vec<Normal>,
    on_corner: Vec<Normal>,
}

/// The normal of a side or corner.
#[derive(Debug, Clone, Copy)]
struct Normal {
    sum: Vec3,
    is_border: bool,
}

impl MeshIndex {
    /// Prepares the triangles of some meshes as one. Those without area, or with corners that are missing or no numbers, are left
    /// out; None when nothing is left, or more than an index can name.
    pub fn new(meshes: &[Mesh]) -> Option<Self> {
        let (mut points, mut triangles): (Vec<Point3>, Vec<[u32; 3]>) = (Vec::new(), Vec::new());
        for mesh in meshes {
            let first = u32::try_from(points.len()).ok()?;
            u32::try_from(points.len() + mesh.points.len()).ok()?;
            points.extend(&mesh.points);
            let known = |n: &u32| (*n as usize) < mesh.points.len();
            triangles.extend(mesh.triangles.iter().filter(|t| t.iter().all(known)).map(|t| t.map(|n| n + first)));
        }
        let corner = |n: u32| points.get(n as usize).copied().unwrap_or_default();
        let normal = |t: &[u32; 3]| {
            let [a, b, c] = t.map(corner);
            (b - a).cross(c - a).try_normalize().filter(|n| n.is_finite())
        };
        triangles.retain(|t| t.iter().all(|n| corner(*n).is_finite()) && normal(t).is_some());
        let faces: Vec<Vec3> = triangles.iter().filter_map(normal).collect();
        if triangles.is_empty() {
            return None;
        }
        let item = |(id, t): (usize, &[u32; 3])| {
            let [a, b, c] = t.map(|n| corner(n).to_vec());
            Item { low: a.min(b).min(c), high: a.max(b).max(c), id }
        };
        let boxes = Boxes::new(triangles.iter().enumerate().map(item).collect());
        let mut mesh = Self { points, triangles, boxes, faces, sides: Vec::new(), on_side: Vec::new(), on_corner: Vec::new() };
        mesh.add_sides();
        mesh.add_corners();
        Some(mesh)
    }

    /// Corners of each triangle.
    pub fn corners(&self) -> impl Iterator<Item = [Point3; 3]> + '_ {
        self.triangles.iter().map(|t| self.at(t))
    }

    /// Number of triangles.
    pub fn triangle_count(&self) -> usize {
        self.triangles.len()
    }

    /// Points and triangles by corner.
    pub fn parts(&self) -> (&[Point3], &[[u32; 3]]) {
        (&self.points, &self.triangles)
    }

    /// The nearest point; None of a point that is no number.
    pub fn nearest(&self, p: Point3) -> Option<Nearest> {
        if !p.is_finite() {
            return None;
        }
        let mut best: Option<(f64, usize, OnTriangle)> = None;
        self.boxes.nearest(p, f64::INFINITY, |id, square| {
            let Some(t) = self.triangles.get(id) else { return square };
            let on = nearest_on_triangle(p, self.at(t));
            let d = (on.point - p).length_squared();
            // Of equal ones the first, in whatever order the tree gives them.
            if best.is_none_or(|b| d < b.0 || (d == b.0 && id < b.1)) {
                best = Some((d, id, on));
            }
            best.map_or(square, |b| b.0)
        });
        let (_, id, on) = best?;
        let (normal, border) = self.normal(id, on.feature);
        Some(Nearest { point: on.point, distance: on.point.distance(p), normal, border, face: None, uv: None })
    }

    fn at(&self, t: &[u32; 3]) -> [Point3; 3] {
        t.map(|n| self.points.get(n as usize).copied().unwrap_or_default())
    }

    /// Unit normal at a feature of a triangle, and whether it is a border.
    fn normal(&self, id: usize, feature: Feature) -> (Vec3, bool) {
        let own = || (self.faces.get(id).copied().unwrap_or(Vec3::ZERO), false);
        let found = match feature {
            Feature::Inside => None,
            Feature::Side(i) => self.sides.get(id).and_then(|s| self.on_side.get(*s.get(i)? as usize)),
            Feature::Corner(i) => self.triangles.get(id).and_then(|t| self.on_corner.get(*t.get(i)? as usize)),
        };
        // Where faces fold back on each other their sum may vanish.
        found.map_or_else(own, |n| (n.sum.try_normalize().unwrap_or(own().0), n.is_border))
    }

    fn add_sides(&mut self) {
        let mut all: Vec<([u32; 2], u32, u8)> = Vec::with_capacity(3 * self.triangles.len());
        for (id, &[a, b, c]) in self.triangles.iter().enumerate() {
            for (i, (x, y)) in [(a, b), (b, c), (c, a)].into_iter().enumerate() {
                all.push(([x.min(y), x.max(y)], u32::try_from(id).unwrap_or(u32::MAX), i as u8));
            }
        }
        all.sort_unstable();
        self.sides = vec![[0; 3]; self.triangles.len()];
        for same in all.chunk_by(|a, b| a.0 == b.0) {
            let number = u32::try_from(self.on_side.len()).unwrap_or(u32::MAX);
            let mut sum = Vec3::ZERO;
            for &(_, id, i) in same {
                sum += self.faces.get(id as usize).copied().unwrap_or(Vec3::ZERO);
                if let Some(s) = self.sides.get_mut(id as usize).and_then(|s| s.get_mut(usize::from(i))) {
                    *s = number;
                }
            }
            self.on_side.push(Normal { sum, is_border: same.len() == 1 });
        }
    }

    fn add_corners(&mut self) {
        self.on_corner = vec![Normal { sum: Vec3::ZERO, is_border: false }; self.points.len()];
        for ((t, n), sides) in self.triangles.iter().zip(&self.faces).zip(&self.sides) {
            let at = t.map(|n| self.points.get(n as usize).copied().unwrap_or_default());
            for (i, &corner) in t.iter().enumerate() {
                let (here, next, last) = (at[i], at[(i + 1) % 3], at[(i + 2) % 3]);
                let angle = real::angle_between(next - here, last - here);
                let border = [sides[i], sides[(i + 2) % 3]].into_iter().any(|s| self.on_side.get(s as usize).is_some_and(|n| n.is_border));
                if let Some(c) = self.on_corner.get_mut(corner as usize) {
                    c.sum += *n * angle;
                    c.is_border |= border;
                }
            }
        }
    }
}
