//! Corners and triangles as a file gives them, to one mesh without doubles and without triangles that have no area.

use crate::exchange::Limits;
use crate::exchange::report::{ReadError, Remark};
use crate::math::{Point3, order};
use crate::model::Mesh;

/// Coordinates beyond this, mm, are damage: their products overflow or lose every digit. Smaller: models in odd units
/// fall; larger: areas and boxes become infinite.
const LARGEST: f64 = 1e15;

/// Collects one mesh.
#[derive(Debug, Default)]
pub(super) struct Gather {
    points: Vec<Point3>,
    triangles: Vec<[u32; 3]>,
}

/// How many, and the number of the first, from 1.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
struct Tally {
    count: usize,
    first: usize,
}

impl Tally {
    fn add(&mut self, number: usize) {
        if self.count == 0 {
            self.first = number;
        }
        self.count += 1;
    }
}

impl Gather {
    /// Room for exactly so many; the caller has checked both against the file's size and the limits.
    pub(super) fn with_room(points: usize, triangles: usize) -> Self {
        Self { points: Vec::with_capacity(points), triangles: Vec::with_capacity(triangles) }
    }

    /// An error when a mesh of `points` corners is beyond the limits or beyond what an index can name.
    pub(super) fn allow(points: usize, limits: &Limits) -> Result<(), ReadError> {
        let most = limits.points.min(u32::MAX as usize);
        if points > most {
            return Err(ReadError::limit(format!("the mesh has more than {most} corners, the limit")));
        }
        Ok(())
    }

    /// The same for triangles: a closed mesh has twice as many as corners.
    pub(super) fn allow_triangles(triangles: usize, limits: &Limits) -> Result<(), ReadError> {
        let most = limits.points.saturating_mul(2);
        if triangles > most {
            return Err(ReadError::limit(format!("the mesh has more than {most} triangles, the limit")));
        }
        Ok(())
    }

    /// Adds a corner; its index is its number so far. The caller has asked [`Gather::allow`].
    pub(super) fn point(&mut self, [x, y, z]: [f64; 3]) -> u32 {
        let index = u32::try_from(self.points.len()).unwrap_or(u32::MAX);
        // Zero with a minus sign is the same place, and would not be merged by its bits.
        self.points.push(Point3::new(x + 0.0, y + 0.0, z + 0.0));
        index
    }

    /// Corners so far.
    pub(super) fn corners(&self) -> usize {
        self.points.len()
    }

    /// Adds a triangle by the indices of its corners, which may come later; one that never comes loses the triangle.
    pub(super) fn triangle(&mut self, corners: [u32; 3]) {
        self.triangles.push(corners);
    }

    /// The mesh: equal corners merged in the order of their first use, triangles without area left out, and what is to
    /// be said of it.
    pub(super) fn finish(mut self, name: String) -> (Mesh, Vec<Remark>) {
        let mut not_finite = Tally::default();
        let mut no_area = Tally::default();
        let mut missing = Tally::default();
        let first_of = merged(&self.points);
        let points = &self.points;
        let mut number = 0;
        self.triangles.retain_mut(|triangle| {
            number += 1;
            let Some(corners) = corners(points, *triangle) else {
                missing.add(number);
                return false;
            };
            if corners.iter().any(|c| !(c.x.abs() <= LARGEST && c.y.abs() <= LARGEST && c.z.abs() <= LARGEST)) {
                not_finite.add(number);
                return false;
            }
            let [a, b, c] = corners;
            if (b - a).cross(c - a).length_squared() == 0.0 && (c - b).cross(a - b).length_squared() == 0.0 {
                no_area.add(number);
                return false;
            }
            for corner in triangle {
                *corner = first_of.get(*corner as usize).copied().unwrap_or(*corner);
            }
            true
        });
        let mesh = Mesh { name, points: self.points, triangles: self.triangles };
        let mut remarks = Vec::new();
        for (tally, what) in [
            (missing, "names a corner that is not in the file"),
            (not_finite, "has a corner that is no finite number or too large to be meant"),
            (no_area, "has no area"),
        ] {
            if tally.count > 0 {
                let text = format!("{} of the triangles left out: each {what}; the first is number {}", tally.count, tally.first);
                remarks.push(Remark { entity: None, line: None, text });
            }
        }
        (compact(mesh, first_of), remarks)
    }
}

/// For each point the index of the first one at exactly the same place.
fn merged(points: &[Point3]) -> Vec<u32> {
    let key = |index: usize| points.get(index).map(|p| p.to_array().map(f64::to_bits));
    // Sorted, not hashed: a file made to collide would take quadratic time. Of equal points the first leads.
    let order = order(points.len(), &mut |a, b| key(a).cmp(&key(b)));
    let mut first_of = vec![0; points.len()];
    let mut leader = None;
    for &index in &order {
        let first = match leader {
            Some(first) if key(first) == key(index) => first,
            _ => index,
        };
        leader = Some(first);
        if let Some(slot) = first_of.get_mut(index) {
            *slot = first as u32;
        }
    }
    first_of
}

fn corners(points: &[Point3], triangle: [u32; 3]) -> Option<[Point3; 3]> {
    let at = |index: u32| points.get(index as usize).copied();
    Some([at(triangle[0])?, at(triangle[1])?, at(triangle[2])?])
}

/// Drops the points that no triangle uses. `scratch` is as long as the points, and overwritten.
fn compact(mut mesh: Mesh, mut scratch: Vec<u32>) -> Mesh {
    const UNUSED: u32 = u32::MAX;
    scratch.fill(UNUSED);
    for &corner in mesh.triangles.iter().flatten() {
        if let Some(slot) = scratch.get_mut(corner as usize) {
            *slot = 0;
        }
    }
    let mut next = 0;
    let mut slots = scratch.iter_mut();
    mesh.points.retain(|_| match slots.next() {
        Some(slot) if *slot != UNUSED => {
            *slot = next;
            next += 1;
            true
        }
        _ => false,
    });
    for corner in mesh.triangles.iter_mut().flatten() {
        *corner = scratch.get(*corner as usize).copied().unwrap_or(0);
    }
    mesh.points.shrink_to_fit();
    mesh.triangles.shrink_to_fit();
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn gather(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> Gather {
        let mut gather = Gather::default();
        points.iter().for_each(|&p| {
            gather.point(p);
        });
        triangles.iter().for_each(|&t| gather.triangle(t));
        gather
    }

    #[test]
    fn merges_equal_corners_and_drops_what_no_triangle_uses() {
        let points =
            [[9.0, 9.0, 9.0], [0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [-0.0, 0.0, -0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let (mesh, remarks) = gather(&points, &[[1, 2, 3], [4, 5, 6]]).finish("two".into());
        assert_eq!(mesh.points, [1, 2, 3, 6].map(|i: usize| Point3::new(points[i][0], points[i][1], points[i][2])));
        assert_eq!((mesh.triangles, mesh.name.as_str(), remarks.len()), (vec![[0, 1, 2], [0, 2, 3]], "two", 0));
    }

    #[test]
    fn leaves_out_triangles_that_are_none_and_says_how_many() {
        let points = [[0.0; 3], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 1.0, 0.0], [f64::NAN, 0.0, 0.0], [1e16, 0.0, 0.0]];
        let (mesh, remarks) = gather(&points, &[[0, 1, 2], [0, 1, 3], [0, 4, 3], [0, 5, 3], [0, 0, 3], [0, 1, 6]]).finish(String::new());
        assert_eq!((mesh.points.len(), mesh.triangles), (3, vec![[0, 1, 2]]));
        let texts: Vec<&str> = remarks.iter().map(|r| r.text.as_str()).collect();
        assert_eq!(texts.len(), 3);
        assert!(texts[0].starts_with("1 of the triangles") && texts[0].ends_with("number 6"), "{texts:?}");
        assert!(texts[1].starts_with("2 of the triangles") && texts[1].ends_with("number 3"), "{texts:?}");
        assert!(texts[2].starts_with("2 of the triangles") && texts[2].ends_with("number 1"), "{texts:?}");
    }

    proptest! {
        /// Against the obvious way: compare every corner with every earlier one.
        #[test]
        fn merging_is_what_comparing_all_pairs_gives(
            points in prop::collection::vec(prop::array::uniform3(prop::sample::select(vec![0.0, -0.0, 1.0, f64::from_bits(1.0f64.to_bits() + 1), -3.5])), 1..40)
        ) {
            let gathered = gather(&points, &[]);
            let naive: Vec<u32> = points
                .iter()
                .map(|p| points.iter().position(|q| p == q).unwrap() as u32)
                .collect();
            prop_assert_eq!(merged(&gathered.points), naive);
        }

        #[test]
        fn triangles_keep_their_places(
            points in prop::collection::vec(prop::array::uniform3(-2i8..3), 3..30),
            triangles in prop::collection::vec(prop::array::uniform3(0u32..30), 0..40)
        ) {
            let points: Vec<[f64; 3]> = points.iter().map(|p| p.map(f64::from)).collect();
            let place = |i: u32| points.get(i as usize).map(|p| Point3::new(p[0], p[1], p[2]));
            let want: Vec<[Point3; 3]> = triangles
                .iter()
                .filter_map(|&[a, b, c]| Some([place(a)?, place(b)?, place(c)?]))
                .filter(|&[a, b, c]| (b - a).cross(c - a).length_squared() > 0.0)
                .collect();
            let (mesh, _) = gather(&points, &triangles).finish(String::new());
            let got: Vec<[Point3; 3]> = mesh.triangles.iter().map(|t| t.map(|i| mesh.points[i as usize])).collect();
            prop_assert_eq!(got, want);
            for (i, p) in mesh.points.iter().enumerate() {
                prop_assert!(!mesh.points[..i].contains(p));
            }
        }
    }
}
