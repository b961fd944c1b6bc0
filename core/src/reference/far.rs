//! Parts of one shape that lie farther from another than they should: what is missing of a reference, or extra on a model.

use super::triangle::nearest_on_triangle;
use super::whole::Shape;
use super::{ModelIndex, Reference};
use crate::layout::{Boxes, Item};
use crate::math::sets::{groups, unite};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;
use crate::progress::Progress;

/// Longest side of a piece through which the border of a part is drawn straight, as a share of the limit: above 1, a corner may lie on
/// the other shape, where the distance runs straight no longer; and its least and greatest share of the whole size. Larger: round
/// borders lose area; smaller: slower.
const PIECE: f64 = 0.8;
const PIECES: (f64, f64) = (2e-5, 0.01);

/// Size of the least hole that is found where it is smaller than `far`, as a share of the whole size. Larger: small holes go unseen;
/// smaller: slower.
const HOLE: f64 = 1.0 / 150.0;

/// Distances asked for beyond one a triangle, at most; then borders are drawn through larger pieces. Larger: a ragged scan costs
/// seconds.
const MOST: usize = 500_000;

/// Times a triangle may be quartered. Smaller: huge triangles keep coarse borders.
const DEPTH: u32 = 14;

/// Pieces within this share of the finest piece's size touch.
const TOUCH: f64 = 0.25;

/// Triangles, each of a face or of none.
#[derive(Debug, Clone, Default)]
pub struct Soup {
    /// Corners.
    pub triangles: Vec<[Point3; 3]>,
    /// The face of each, where it is of one; empty for none.
    pub faces: Vec<FaceId>,
}

/// A connected part.
#[derive(Debug, Clone, PartialEq)]
pub struct FarRegion {
    /// Area, mm².
    pub area: f64,
    /// The farthest distance, mm.
    pub distance: f64,
    /// Where that is.
    pub point: Point3,
    /// The faces it is on, rising; none of a mesh.
    pub faces: Vec<FaceId>,
    /// What it is made of; at its border pieces reach over it.
    pub pieces: Vec<[Point3; 3]>,
}

impl Soup {
    /// The triangles of a reference.
    pub fn of_reference(reference: &Reference) -> Self {
        match &reference.shape {
            Shape::Mesh(mesh) => Self { triangles: mesh.corners().collect(), faces: Vec::new() },
            Shape::Model(held) => Self::of_model(&held.index),
        }
    }

    /// Those of a model.
    pub fn of_model(index: &ModelIndex) -> Self {
        let mut soup = Self::default();
        for face in index.faces() {
            let (points, triangles) = index.mesh(face);
            let at = |n: u32| points.get(n as usize).copied().unwrap_or_default();
            soup.triangles.extend(triangles.iter().map(|t| t.map(at)));
            soup.faces.resize(soup.triangles.len(), face);
        }
        soup
    }

    pub(super) fn size(&self) -> f64 {
        let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
        for p in self.triangles.iter().flatten() {
            (low, high) = (low.min(p.to_vec()), high.max(p.to_vec()));
        }
        (high - low).length()
    }
}

/// Hatching lines over the square root of a part's area. Larger: fewer lines show its shape.
const HATCH: f64 = 0.08;

/// Hatching lines of a part at most.
const LINES: usize = 600;

impl FarRegion {
    /// Short straight lines over it, slanting, to be drawn: how far it goes shows whatever its colour.
    pub fn hatch(&self) -> Vec<Vec<Point3>> {
        let normal = self.pieces.iter().fold(Vec3::ZERO, |sum, [a, b, c]| sum + (*b - *a).cross(*c - *a));
        let (Some(n), true) = (normal.try_normalize().or(Some(Vec3::Z)), self.area > 0.0) else { return Vec::new() };
        let (x, y) = n.any_orthonormal_pair();
        let across = (x + y).normalize();
        let spacing = HATCH * self.area.sqrt();
        let mut lines = Vec::new();
        for t in &self.pieces {
            let at = t.map(|p| p.to_vec().dot(across) / spacing);
            let (low, high) = (at[0].min(at[1]).min(at[2]), at[0].max(at[1]).max(at[2]));
            let mut k = low.ceil();
            while k <= high && lines.len() < LINES {
                let on = |i: usize, j: usize| {
                    let s = (k - at[i]) / (at[j] - at[i]);
                    ((at[i] <= k) != (at[j] <= k)).then(|| t[i].lerp(t[j], s))
                };
                let line: Vec<Point3> = [on(0, 1), on(1, 2), on(2, 0)].into_iter().flatten().collect();
                if line.len() == 2 {
                    lines.push(line);
                }
                k += 1.0;
            }
        }
        lines
    }
}

#[derive(Debug, Clone, Copy)]
struct Piece {
    corners: [Point3; 3],
    of: usize,
    area: f64,
    distance: f64,
}

/// The connected parts of some triangles that lie farther than `far` mm by `distance` (none: farther than anything), the largest
/// first. A distance changes by no more than the way between two places, so a triangle is cut only where the border may pass it,
/// down to pieces smaller than `far`, and there the border is drawn straight. Where `far` is small against the whole, holes of less
/// than a 150th of it may be missed. Stops early when cancelled.
pub fn far_regions(soup: &Soup, far: f64, distance: impl Fn(Point3) -> Option<f64>, progress: &dyn Progress) -> Vec<FarRegion> {
    let size = soup.size();
    if !(size > 0.0 && size.is_finite() && far >= 0.0) {
        return Vec::new();
    }
    let fine = (PIECE * far).clamp(PIECES.0 * size, PIECES.1 * size);
    let hole = HOLE * size;
    let off = |p: Point3| distance(p).unwrap_or(f64::INFINITY) - far;
    let mut open: Vec<([Point3; 3], usize)> = soup.triangles.iter().copied().zip(0..).collect();
    let (mut pieces, mut asked): (Vec<Piece>, usize) = (Vec::new(), 0);
    for depth in (0..=DEPTH).rev() {
        let mut next = Vec::new();
        let last = depth == 0 || asked > MOST;
        for (k, (t, of)) in open.into_iter().enumerate() {
            if k.is_multiple_of(1024) && progress.cancelled() {
                return Vec::new();
            }
            asked += usize::from(depth < DEPTH);
            let middle = Point3::from_vec((t[0].to_vec() + t[1].to_vec() + t[2].to_vec()) / 3.0);
            let reach = t.iter().map(|c| c.distance(middle)).fold(0.0, f64::max);
            let here = off(middle);
            let area = 0.5 * (t[1] - t[0]).cross(t[2] - t[0]).length();
            if here < -reach {
                continue;
            }
            if here > reach {
                pieces.push(Piece { corners: t, of, area, distance: here + far });
            } else if depth > 0 && longest(&t) <= hole && spots(&t).into_iter().all(|p| off(p) <= 0.0) && here <= 0.0 {
                // On the other shape a distance of nothing says nothing about the next place: it is looked at as closely as holes are.
                continue;
            } else if last || longest(&t) <= fine {
                let part = above(t.map(&off));
                if part > 0.0 {
                    pieces.push(Piece { corners: t, of, area: area * part, distance: here + far });
                }
            } else {
                next.extend(quarters(t).map(|q| (q, of)));
            }
        }
        open = next;
        if open.is_empty() {
            break;
        }
    }
    regions(soup, &pieces, TOUCH * fine, &off, far)
}

/// Pieces that may hold a part's farthest place which are looked into, and times one of them is quartered. Larger: slower; smaller: the
/// place told is rougher.
const HEADS: usize = 16;
const ROUNDS: usize = 60;

/// The farthest place of some pieces and its distance: of those that may reach farthest the best is quartered again and again.
fn farthest(pieces: &[&Piece], off: &impl Fn(Point3) -> f64, far: f64) -> Option<(Point3, f64)> {
    let middle = |t: &[Point3; 3]| Point3::from_vec((t[0].to_vec() + t[1].to_vec() + t[2].to_vec()) / 3.0);
    let reach = |t: &[Point3; 3]| t.iter().map(|c| c.distance(middle(t))).fold(0.0, f64::max);
    let mut heads: Vec<([Point3; 3], f64)> = pieces.iter().map(|p| (p.corners, p.distance)).collect();
    heads.sort_by(|a, b| (b.1 + reach(&b.0)).total_cmp(&(a.1 + reach(&a.0))));
    let most = pieces.iter().map(|p| (p.distance, middle(&p.corners))).reduce(|a, b| if b.0 > a.0 { b } else { a })?;
    heads.truncate(HEADS);
    let mut best = most;
    for _ in 0..ROUNDS {
        let bound = |h: &([Point3; 3], f64)| h.1 + reach(&h.0);
        let next = heads.iter().enumerate().reduce(|a, b| if bound(b.1) > bound(a.1) { b } else { a }).map(|(i, _)| i)?;
        let (t, d) = heads.swap_remove(next);
        // Nothing is to be gained any more.
        if !d.is_finite() || d + reach(&t) <= best.0 * 1.001 {
            break;
        }
        for q in quarters(t) {
            let d = off(middle(&q)) + far;
            if d > best.0 {
                best = (d, middle(&q));
            }
            heads.push((q, d));
        }
    }
    Some((best.1, best.0))
}

fn longest([a, b, c]: &[Point3; 3]) -> f64 {
    a.distance(*b).max(b.distance(*c)).max(c.distance(*a))
}

/// Its corners and the middles of its sides.
fn spots(&[a, b, c]: &[Point3; 3]) -> [Point3; 6] {
    [a, b, c, a.lerp(b, 0.5), b.lerp(c, 0.5), c.lerp(a, 0.5)]
}

fn quarters([a, b, c]: [Point3; 3]) -> [[Point3; 3]; 4] {
    let (ab, bc, ca) = (a.lerp(b, 0.5), b.lerp(c, 0.5), c.lerp(a, 0.5));
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
}

/// Part of a triangle in which a value, straight between its corners, is positive.
fn above(values: [f64; 3]) -> f64 {
    let count = values.iter().filter(|x| **x > 0.0).count();
    let tip = |i: usize| {
        let (a, b, c) = (values[i], values[(i + 1) % 3], values[(i + 2) % 3]);
        let part = (a / (a - b)) * (a / (a - c));
        if part.is_finite() { part.clamp(0.0, 1.0) } else { 1.0 }
    };
    let only = |is_above: bool| (0..3).find(|&i| (values[i] > 0.0) == is_above).map_or(0.0, tip);
    match count {
        0 => 0.0,
        1 => only(true),
        2 => 1.0 - only(false),
        _ => 1.0,
    }
}

/// Pieces put together where they touch.
fn regions(soup: &Soup, pieces: &[Piece], touch: f64, off: &impl Fn(Point3) -> f64, far: f64) -> Vec<FarRegion> {
    let item = |(id, p): (usize, &Piece)| {
        let [a, b, c] = p.corners.map(Point3::to_vec);
        let slack = Vec3::splat(touch);
        Item { low: a.min(b).min(c) - slack, high: a.max(b).max(c) + slack, id }
    };
    let tree = Boxes::new(pieces.iter().enumerate().map(item).collect());
    let mut sets: Vec<usize> = (0..pieces.len()).collect();
    // A corner of the one on the other: the smaller of two neighbours has one there.
    for (i, p) in pieces.iter().enumerate() {
        for corner in p.corners {
            tree.each_near(corner, 0.0, |j| {
                let there = pieces.get(j).filter(|_| j != i).map(|q| nearest_on_triangle(corner, q.corners).point.distance(corner));
                if there.is_some_and(|d| d <= touch) {
                    unite(&mut sets, i, j);
                }
            });
        }
    }
    let region = |of: Vec<usize>| {
        let own: Vec<&Piece> = of.iter().filter_map(|&i| pieces.get(i)).collect();
        let (point, distance) = farthest(&own, off, far)?;
        let mut faces: Vec<FaceId> = own.iter().filter_map(|p| soup.faces.get(p.of)).copied().collect();
        faces.sort_unstable();
        faces.dedup();
        Some(FarRegion { area: own.iter().map(|p| p.area).sum(), distance, point, faces, pieces: own.iter().map(|p| p.corners).collect() })
    };
    let mut all: Vec<FarRegion> = groups(&mut sets).into_iter().filter_map(region).collect();
    all.sort_by(|a, b| b.area.total_cmp(&a.area));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real;
    use crate::progress::Silent;

    fn plate(x: f64, y: f64) -> Soup {
        let (a, b, c, d) = (Point3::ORIGIN, Point3::new(x, 0.0, 0.0), Point3::new(x, y, 0.0), Point3::new(0.0, y, 0.0));
        Soup { triangles: vec![[a, b, c], [a, c, d]], faces: Vec::new() }
    }

    /// Discs in two large triangles, from the distance to everything but them.
    #[test]
    fn discs_in_two_triangles_have_their_areas_and_places() {
        let discs = [(Point3::new(60.0, 70.0, 0.0), 20.0), (Point3::new(210.0, 100.0, 0.0), 31.0), (Point3::new(110.0, 130.0, 0.0), 4.0)];
        let inside = |p: Point3| discs.iter().map(|(c, r)| r - p.distance(*c)).fold(0.0, f64::max);
        for far in [0.05, 1.0, 5.0] {
            let found = far_regions(&plate(300.0, 200.0), far, |p| Some(inside(p)), &Silent);
            let mut want: Vec<(f64, Point3)> =
                discs.iter().filter(|d| d.1 > far).map(|(c, r)| (real::PI * (r - far) * (r - far), *c)).collect();
            want.sort_by(|a, b| b.0.total_cmp(&a.0));
            assert_eq!(found.len(), want.len());
            for (got, (area, centre)) in found.iter().zip(want) {
                assert!((got.area - area).abs() < 0.005 * area, "{} against {area} at {far}", got.area);
                assert!(got.point.distance(centre) < 3.0, "{:?}", got.point);
                // Lines over the whole of it, all in it, a round number of times its width apart.
                let hatch = got.hatch();
                let fits = |p: &Point3| p.distance(centre) < 1.2 * (area / real::PI).sqrt() + 3.0;
                assert!(hatch.len() > 10 && hatch.iter().all(|l| l.len() == 2 && l.iter().all(fits)));
            }
        }
    }

    #[test]
    fn all_or_nothing() {
        let soup = plate(30.0, 20.0);
        let found = far_regions(&soup, 1.0, |_| None, &Silent);
        assert_eq!((found.len(), found[0].area), (1, 600.0));
        assert!(far_regions(&soup, 1.0, |_| Some(0.5), &Silent).is_empty());
        assert!(far_regions(&Soup::default(), 1.0, |_| None, &Silent).is_empty());
        let bad = Soup { triangles: vec![[Point3::new(f64::NAN, 0.0, 0.0); 3]], faces: Vec::new() };
        assert!(far_regions(&bad, 1.0, |_| Some(3.0), &Silent).is_empty());
    }

    #[test]
    fn part_of_a_triangle_above_nothing() {
        assert_eq!([above([1.0; 3]), above([-1.0; 3]), above([0.0; 3])], [1.0, 0.0, 0.0]);
        assert_eq!(above([1.0, -1.0, -1.0]), 0.25);
        assert_eq!(above([1.0, 1.0, -1.0]), 0.75);
        assert_eq!(above([f64::INFINITY, 1.0, 1.0]), 1.0);
    }
}
