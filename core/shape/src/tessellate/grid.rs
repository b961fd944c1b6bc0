//! Mesh points inside a region: a grid along parameter lines, as dense as the surface turns, thinned where it does not.

use super::Tolerance;
use super::lattice::{Axis, Lattice};
use crate::geometry::Surface;
use crate::math::{Interval, Point2, Vec2};

/// Candidate points over the box of a region, and the scales that make the plane of triangulation.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    /// Corners of the cells, row by row.
    pub nodes: Vec<Node>,
    /// Plane coordinates of (u, v) are (u · scale.x, v · scale.y): a cell is about as wide as high there.
    pub scale: Vec2,
    /// True when steps were widened to stay below the cap on triangles.
    pub capped: bool,
}

/// A cell corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Where it stands.
    pub uv: Point2,
    /// Shorter side of the smallest cell that meets there, in plane units.
    pub reach: f64,
}

/// How much longer in space than wide a cell may count when the plane is scaled. Larger: a border bent in the plane by
/// noise is stretched into needles. Smaller: long cells of straight generators are cut across in the wrong direction.
const MAX_ASPECT: f64 = 16.0;

/// Grid lines in one direction. Larger: tables of line × line outgrow memory. Smaller: long finely ribbed faces are
/// capped though their cells are few.
const MAX_LINES: usize = 2000;

/// Slack on "one cell is enough", against rounding of sums. Larger: cells exceed the limits by as much.
const SLACK: f64 = 1e-6;

/// The grid over a box in (u, v). Flat surfaces have no nodes.
pub(super) fn grid(surface: &Surface, u: Interval, v: Interval, tolerance: &Tolerance) -> Grid {
    if matches!(surface, Surface::Plane(_)) {
        return Grid { nodes: Vec::new(), scale: Vec2::ONE, capped: false };
    }
    let lattice = Lattice::new(surface, u, v, tolerance);
    let scale = plane_scale(&lattice, u, v);
    let limit = tolerance.max_triangles / 2;
    let mut thinning = 1.0;
    let mut capped = false;
    // Each round shrinks the count towards the limit; eight rounds reach it from any start the line cap allows.
    for _ in 0..8 {
        let (blocks, cells) = Blocks::new(&lattice, thinning);
        let Some(leaves) = blocks.leaves(limit) else {
            thinning *= 0.7;
            capped = true;
            continue;
        };
        capped |= cells;
        return Grid { nodes: blocks.nodes(&leaves, scale), scale, capped };
    }
    Grid { nodes: Vec::new(), scale, capped: true }
}

/// Scales that give a mean cell equal sides, within [`MAX_ASPECT`] of true lengths in space.
fn plane_scale(lattice: &Lattice, u: Interval, v: Interval) -> Vec2 {
    let sound = |x: f64, range: Interval| if x.is_finite() && x > 0.0 { x } else { 1.0 / range.length().max(f64::MIN_POSITIVE) };
    let (speed_u, speed_v) = (sound(lattice.speed.x, u), sound(lattice.speed.y, v));
    let (fine_u, fine_v) = (lattice.mean.u / speed_u, lattice.mean.v / speed_v);
    // Ratio of cell lengths in space, u over v.
    let ratio = if fine_u <= 0.0 && fine_v <= 0.0 { 1.0 } else { (fine_v / fine_u).clamp(1.0 / MAX_ASPECT, MAX_ASPECT) };
    Vec2::new(speed_u, speed_v * ratio)
}

/// Grid lines and, between any two of them, the cells wanted along each row or column of the lattice.
struct Blocks<'a> {
    lattice: &'a Lattice,
    u: Lines,
    v: Lines,
}

/// Lines of one direction.
struct Lines {
    /// Parameters, rising, both ends of the box included.
    at: Vec<f64>,
    /// True where a block may not pass over the line: the surface has a crease there.
    crease: Vec<bool>,
    /// Cells wanted from the first line to line i in lattice strip j: `sums[i * strips + j]`.
    sums: Vec<f64>,
    strips: usize,
}

/// A rectangle of grid cells: line numbers from and to, in u and in v.
#[derive(Debug, Clone, Copy)]
struct Block {
    u: [usize; 2],
    v: [usize; 2],
}

impl<'a> Blocks<'a> {
    /// Lines for the lattice's densities times `thinning`; also tells whether the line cap bit.
    fn new(lattice: &'a Lattice, thinning: f64) -> (Self, bool) {
        let (u, over_u) = Lines::new(&lattice.u, lattice.v.cells(), |i, j| lattice.density(i, j).u * thinning);
        let (v, over_v) = Lines::new(&lattice.v, lattice.u.cells(), |j, i| lattice.density(i, j).v * thinning);
        (Self { lattice, u, v }, over_u || over_v)
    }

    /// Rectangles that each need no more than one cell, by halving the whole; None when more than `limit`.
    fn leaves(&self, limit: usize) -> Option<Vec<Block>> {
        let whole = Block { u: [0, self.u.at.len() - 1], v: [0, self.v.at.len() - 1] };
        let mut stack = vec![whole];
        let mut leaves = Vec::new();
        while let Some(b) = stack.pop() {
            let need_u = self.u.need(b.u, self.strips(&self.lattice.v, &self.v, b.v));
            let need_v = self.v.need(b.v, self.strips(&self.lattice.u, &self.u, b.u));
            let (cut_u, cut_v) = (self.u.cut(b.u), self.v.cut(b.v));
            let split_u = cut_u.filter(|&(_, crease)| crease || need_u > 1.0 + SLACK);
            let split_v = cut_v.filter(|&(_, crease)| crease || need_v > 1.0 + SLACK);
            match (split_u, split_v) {
                (Some((i, _)), other) if other.is_none() || need_u >= need_v => {
                    stack.push(Block { u: [i, b.u[1]], v: b.v });
                    stack.push(Block { u: [b.u[0], i], v: b.v });
                }
                (_, Some((j, _))) => {
                    stack.push(Block { u: b.u, v: [j, b.v[1]] });
                    stack.push(Block { u: b.u, v: [b.v[0], j] });
                }
                _ => leaves.push(b),
            }
            if leaves.len() + stack.len() > limit {
                return None;
            }
        }
        Some(leaves)
    }

    /// Corners of the leaves, each once, with the smallest cell side met there.
    fn nodes(&self, leaves: &[Block], scale: Vec2) -> Vec<Node> {
        let columns = self.u.at.len();
        let mut reach = vec![f64::INFINITY; columns * self.v.at.len()];
        for b in leaves {
            let width = (self.u.at[b.u[1]] - self.u.at[b.u[0]]) * scale.x;
            let height = (self.v.at[b.v[1]] - self.v.at[b.v[0]]) * scale.y;
            for i in b.u {
                for j in b.v {
                    let r = &mut reach[j * columns + i];
                    *r = r.min(width.min(height));
                }
            }
        }
        let stand = |(k, &reach): (usize, &f64)| {
            let uv = Point2::new(self.u.at[k % columns], self.v.at[k / columns]);
            reach.is_finite().then_some(Node { uv, reach })
        };
        reach.iter().enumerate().filter_map(stand).collect()
    }

    /// Lattice cells of one axis that the lines from and to span.
    fn strips(&self, axis: &Axis, lines: &Lines, span: [usize; 2]) -> core::ops::RangeInclusive<usize> {
        let (low, high) = (lines.at[span[0]], lines.at[span[1]]);
        // The upper line's own cell starts at it, so look just below.
        axis.cell(low)..=axis.cell(high - 1e-9 * (high - low)).max(axis.cell(low))
    }
}

impl Lines {
    fn new(axis: &Axis, strips: usize, density: impl Fn(usize, usize) -> f64) -> (Self, bool) {
        let peak: Vec<f64> = (0..axis.cells()).map(|i| (0..strips).map(|j| density(i, j)).fold(0.0, f64::max)).collect();
        let mut over = false;
        let mut at = vec![axis.low()];
        let mut crease = vec![true];
        let total: f64 = (0..axis.cells()).map(|i| peak[i] * axis.width(i)).sum();
        let shrink = if total > MAX_LINES as f64 { MAX_LINES as f64 / total } else { 1.0 };
        over |= shrink < 1.0;
        for piece in axis.pieces() {
            let wanted: f64 = piece.clone().map(|i| peak[i] * axis.width(i) * shrink).sum();
            let count = (wanted - SLACK).ceil().max(1.0) as usize;
            let mut sum = 0.0;
            let mut next = 1;
            for i in piece.clone() {
                let here = if wanted > 0.0 { peak[i] * axis.width(i) * shrink } else { 0.0 };
                while next < count {
                    let target = wanted * next as f64 / count as f64;
                    if here <= 0.0 || sum + here < target {
                        break;
                    }
                    at.push(axis.start(i) + axis.width(i) * ((target - sum) / here));
                    crease.push(false);
                    next += 1;
                }
                sum += here;
            }
            at.push(axis.start(piece.end));
            crease.push(true);
        }
        let mut lines = Self { at, crease, sums: Vec::new(), strips };
        lines.sum(axis, density);
        (lines, over)
    }

    /// Fills `sums` by walking lines and lattice cells together.
    fn sum(&mut self, axis: &Axis, density: impl Fn(usize, usize) -> f64) {
        let mut sums = vec![0.0; self.at.len() * self.strips];
        for k in 1..self.at.len() {
            let (from, to) = (self.at[k - 1], self.at[k]);
            for j in 0..self.strips {
                let mut need = sums[(k - 1) * self.strips + j];
                let mut i = axis.cell(from);
                while i < axis.cells() && axis.start(i) < to {
                    let overlap = to.min(axis.start(i + 1)) - from.max(axis.start(i));
                    need += overlap.max(0.0) * density(i, j);
                    i += 1;
                }
                sums[k * self.strips + j] = need;
            }
        }
        self.sums = sums;
    }

    /// Most cells wanted between two lines in any of the strips.
    fn need(&self, span: [usize; 2], strips: core::ops::RangeInclusive<usize>) -> f64 {
        let sum = |line: usize, j: usize| self.sums.get(line * self.strips + j).copied().unwrap_or(0.0);
        strips.map(|j| sum(span[1], j) - sum(span[0], j)).fold(0.0, f64::max)
    }

    /// Line to halve a span at, and whether a crease forces it: the middle crease if there is one inside.
    fn cut(&self, span: [usize; 2]) -> Option<(usize, bool)> {
        let [from, to] = span;
        if to < from + 2 {
            return None;
        }
        let middle = (from + to) / 2;
        let nearest = (from + 1..to).filter(|&i| self.crease[i]).min_by_key(|&i| i.abs_diff(middle));
        Some(nearest.map_or((middle, false), |i| (i, true)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cylinder, Plane, Sphere};
    use crate::math::{Frame, Point3, Vec3, real};
    use crate::nurbs::{KnotVector, Surface as Nurbs};

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(-3.0, 18.0, 1.0), Some(Vec3::new(1.0, -3.0, 2.0)), Some(Vec3::Y))
    }

    fn tolerance(chord: f64, angle: f64) -> Tolerance {
        Tolerance { chord, angle, max_triangles: 100_000 }
    }

    #[test]
    fn planes_need_nothing_and_cylinders_only_generators() {
        let (u, v) = (Interval::new(0.3, 2.1), Interval::new(-40.0, 300.0));
        assert!(grid(&Surface::Plane(Plane { frame: frame() }), u, v, &tolerance(0.1, 0.2)).nodes.is_empty());
        for radius in [0.5, 20.0, 3000.0] {
            let g = grid(&Surface::Cylinder(Cylinder { frame: frame(), radius }), u, v, &tolerance(0.01 * radius, 0.2));
            assert_eq!(g.nodes.len(), 2 * 10, "1.8 rad in steps of at most 0.2 rad, on the two rims");
            assert!(!g.capped);
        }
    }

    #[test]
    fn a_sphere_is_thinned_at_its_poles_only_and_its_box_covered() {
        let (u, v) = (Interval::new(0.0, real::TAU), Interval::new(-1.5, 1.5));
        let g = grid(&Surface::Sphere(Sphere { frame: frame(), radius: 8.0 }), u, v, &tolerance(0.05, 0.1));
        for corner in [Point2::new(0.0, -1.5), Point2::new(real::TAU, 1.5)] {
            assert!(g.nodes.iter().any(|n| (n.uv - corner).length() < 1e-12));
        }
        // Ideal: the solid angle 4π sin 1.5 in cells of 0.1 rad square.
        assert!(g.nodes.len() > 1250 && g.nodes.len() < 64 * 32, "{}", g.nodes.len());
        let at = |low: f64, high: f64| g.nodes.iter().filter(|n| n.uv.v.abs() >= low && n.uv.v.abs() < high).count();
        assert!(3 * at(0.0, 0.2) > 5 * at(1.3, 1.6), "{} {}", at(0.0, 0.2), at(1.3, 1.6));
    }

    /// A flat sheet with one bump: nodes crowd at the bump only.
    #[test]
    fn flat_parts_of_a_bumpy_sheet_are_thinned() {
        let knots = KnotVector::uniform(3, 32).unwrap();
        let n = knots.point_count();
        let mut points = Vec::new();
        for i in 0..n {
            for j in 0..n {
                let bump = if (6..9).contains(&i) && (6..9).contains(&j) { 12.0 } else { 0.0 };
                points.push(Point3::new(i as f64 * 10.0, j as f64 * 10.0, bump));
            }
        }
        let s = Surface::Nurbs(Nurbs::new(knots.clone(), knots, points, None).unwrap());
        let (u, v) = s.domain();
        let g = grid(&s, u, v, &tolerance(0.05, 0.1));
        let inside = g.nodes.iter().filter(|n| n.uv.u < 0.4 && n.uv.v < 0.4).count();
        assert!(inside * 10 > g.nodes.len() * 9, "{inside} of {}", g.nodes.len());
    }

    #[test]
    fn creases_are_kept_and_the_cap_is_said() {
        // Degree 1 in u: a folded strip, its fold on a line of the grid.
        let ku = KnotVector::new(1, vec![0.0, 0.0, 0.37, 1.0, 1.0]).unwrap();
        let kv = KnotVector::bezier(2).unwrap();
        let rows = [(0.0, 0.0), (10.0, 4.0), (20.0, -3.0)];
        let points = rows.iter().flat_map(|&(x, z)| [0.0, 5.0, 10.0].map(|y| Point3::new(x, y, z + 0.1 * y * y))).collect();
        let s = Surface::Nurbs(Nurbs::new(ku, kv, points, None).unwrap());
        let (u, v) = s.domain();
        let g = grid(&s, u, v, &tolerance(0.01, 0.2));
        assert!(g.nodes.iter().filter(|n| n.uv.u == 0.37).count() >= 3);
        let few = Tolerance { max_triangles: 40, ..tolerance(1e-5, 0.01) };
        let g = grid(&s, u, v, &few);
        assert!(g.capped && g.nodes.len() <= 80);
    }
}
