//! The border of a region in the plane: winding number, nearness and crossings, by bins.

use super::Vec2;
use crate::math::Arrange;
use robust::{Coord, orient2d};

/// A set of directed segments with a grid of bins over it.
#[derive(Debug)]
pub struct Outline {
    segments: Vec<Segment>,
    low: Vec2,
    cell: Vec2,
    columns: usize,
    rows: usize,
    /// Segments by cell, row after row; sorted and compressed: cell c holds `members[starts[c]..starts[c + 1]]`.
    starts: Vec<u32>,
    members: Vec<u32>,
    /// Segments by row of cells, likewise.
    row_starts: Vec<u32>,
    row_members: Vec<u32>,
}

/// A directed segment between two numbered points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Where it starts.
    pub a: Vec2,
    /// Where it ends.
    pub b: Vec2,
    /// Numbers of the two points; segments with a point in common do not cross there.
    pub ends: [u32; 2],
    /// How often the border runs along it, less how often against it.
    pub net: i32,
}

/// Entries of the bins for each segment. Larger: a border of nothing but long segments fills the memory; smaller:
/// fewer bins, slower answers.
const MEMBERS: f64 = 12.0;

impl Outline {
    /// Takes the segments and sorts them into about as many bins as there are segments.
    pub fn new(segments: Vec<Segment>) -> Self {
        let mut low = Vec2::INFINITY;
        let mut high = Vec2::NEG_INFINITY;
        for s in &segments {
            low = low.min(s.a).min(s.b);
            high = high.max(s.a).max(s.b);
        }
        if segments.is_empty() {
            (low, high) = (Vec2::ZERO, Vec2::ZERO);
        }
        let span = (high - low).max(Vec2::splat(f64::MIN_POSITIVE));
        // Lines of cells all segments pass together, were there one cell a unit of the box; three a line are listed.
        let passed: f64 = segments.iter().map(|s| ((s.a - s.b).abs() / span).element_sum()).sum();
        let most = (MEMBERS * segments.len() as f64 + 1e5) / (3.0 * passed.max(1.0));
        let side = ((segments.len() as f64).sqrt().min(most).ceil() as usize).clamp(1, 1024);
        let cell = ((high - low) / side as f64).max(Vec2::splat(f64::MIN_POSITIVE));
        let mut outline = Self {
            segments,
            low,
            cell,
            columns: side,
            rows: side,
            starts: Vec::new(),
            members: Vec::new(),
            row_starts: Vec::new(),
            row_members: Vec::new(),
        };
        outline.fill_bins();
        outline
    }

    /// The segments, as given.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Winding number of the border about a point (not on it): crossings of the ray to the right, upward counting +1.
    pub fn winding(&self, p: Vec2) -> i32 {
        let Some(row) = self.row(p.y) else { return 0 };
        let list = slice(&self.row_starts, &self.row_members, row);
        list.iter().filter_map(|&i| self.segments.get(i as usize)).map(|s| crossing(s, p)).sum()
    }

    /// True when some segment is nearer to `p` than `reach`.
    pub fn is_near(&self, p: Vec2, reach: f64) -> bool {
        let column = |x: f64| (((x - self.low.x) / self.cell.x).max(0.0) as usize).min(self.columns - 1);
        let row = |y: f64| (((y - self.low.y) / self.cell.y).max(0.0) as usize).min(self.rows - 1);
        let (left, right) = (column(p.x - reach), column(p.x + reach));
        (row(p.y - reach)..=row(p.y + reach)).any(|r| {
            (left..=right).any(|c| {
                let list = slice(&self.starts, &self.members, r * self.columns + c);
                list.iter().filter_map(|&i| self.segments.get(i as usize)).any(|s| distance_squared(s, p) < reach * reach)
            })
        })
    }

    /// Pairs of segments that cross or touch without sharing a numbered point, by index, in rising order.
    pub fn crossings(&self) -> Vec<(usize, usize)> {
        self.crossings_within(usize::MAX).unwrap_or_default()
    }

    /// The same, or None when more than `budget` pairs would have to be compared.
    pub fn crossings_within(&self, budget: usize) -> Option<Vec<(usize, usize)>> {
        let mut found = Vec::new();
        let mut left = budget;
        for cell in 0..self.rows * self.columns {
            let list = slice(&self.starts, &self.members, cell);
            left = left.checked_sub(list.len().saturating_mul(list.len()) / 2)?;
            for (k, &i) in list.iter().enumerate() {
                for &j in list.iter().skip(k + 1) {
                    let (Some(s), Some(t)) = (self.segments.get(i as usize), self.segments.get(j as usize)) else { continue };
                    if meet(s, t) {
                        found.push((i.min(j) as usize, i.max(j) as usize));
                    }
                }
            }
        }
        found.arrange();
        found.dedup();
        Some(found)
    }

    fn row(&self, y: f64) -> Option<usize> {
        let r = (y - self.low.y) / self.cell.y;
        (r >= 0.0 && r <= self.rows as f64).then(|| (r as usize).min(self.rows - 1))
    }

    /// Every cell a segment passes, found row by row, widened by one cell against rounding.
    fn fill_bins(&mut self) {
        let mut cells: Vec<(u32, u32)> = Vec::new();
        let mut rows: Vec<(u32, u32)> = Vec::new();
        for (index, s) in self.segments.iter().enumerate() {
            let index = index as u32;
            let (bottom, top) = if s.a.y <= s.b.y { (s.a, s.b) } else { (s.b, s.a) };
            let to_row = |y: f64| (((y - self.low.y) / self.cell.y).max(0.0) as usize).min(self.rows - 1);
            let (first, last) = (to_row(bottom.y).saturating_sub(1), (to_row(top.y) + 1).min(self.rows - 1));
            for row in first..=last {
                rows.push((row as u32, index));
                let y0 = self.low.y + row as f64 * self.cell.y;
                let x_at = |y: f64| {
                    let rise = top.y - bottom.y;
                    let t = if rise > 0.0 { ((y - bottom.y) / rise).clamp(0.0, 1.0) } else { 0.0 };
                    bottom.x + (top.x - bottom.x) * t
                };
                // A nearly level segment has its whole run inside one row.
                let (mut left, mut right) = (x_at(y0 - self.cell.y), x_at(y0 + 2.0 * self.cell.y));
                if left > right {
                    core::mem::swap(&mut left, &mut right);
                }
                if top.y - bottom.y < self.cell.y {
                    (left, right) = (s.a.x.min(s.b.x), s.a.x.max(s.b.x));
                }
                let to_column = |x: f64| (((x - self.low.x) / self.cell.x).max(0.0) as usize).min(self.columns - 1);
                let (c0, c1) = (to_column(left).saturating_sub(1), (to_column(right) + 1).min(self.columns - 1));
                cells.extend((c0..=c1).map(|c| ((row * self.columns + c) as u32, index)));
            }
        }
        (self.starts, self.members) = compress(cells, self.rows * self.columns);
        (self.row_starts, self.row_members) = compress(rows, self.rows);
    }
}

/// Sorted lists by key, laid end to end.
fn compress(mut pairs: Vec<(u32, u32)>, keys: usize) -> (Vec<u32>, Vec<u32>) {
    pairs.arrange();
    pairs.dedup();
    let mut starts = vec![0u32; keys + 1];
    for &(key, _) in &pairs {
        if let Some(n) = starts.get_mut(key as usize + 1) {
            *n += 1;
        }
    }
    let mut sum = 0;
    for n in &mut starts {
        sum += *n;
        *n = sum;
    }
    (starts, pairs.into_iter().map(|(_, member)| member).collect())
}

fn slice<'a>(starts: &[u32], members: &'a [u32], key: usize) -> &'a [u32] {
    match (starts.get(key), starts.get(key + 1)) {
        (Some(&a), Some(&b)) => members.get(a as usize..b as usize).unwrap_or(&[]),
        _ => &[],
    }
}

/// What one segment adds to the winding number about `p`. Half-open in y, so that a shared end counts once.
fn crossing(s: &Segment, p: Vec2) -> i32 {
    let upward = s.a.y <= p.y && s.b.y > p.y;
    let downward = s.b.y <= p.y && s.a.y > p.y;
    if !(upward || downward) {
        return 0;
    }
    let side = orient(s.a, s.b, p);
    if upward && side > 0.0 {
        s.net
    } else if downward && side < 0.0 {
        -s.net
    } else {
        0
    }
}

fn distance_squared(s: &Segment, p: Vec2) -> f64 {
    let (d, r) = (s.b - s.a, p - s.a);
    let length = d.length_squared();
    let t = if length > 0.0 { (r.dot(d) / length).clamp(0.0, 1.0) } else { 0.0 };
    (r - d * t).length_squared()
}

/// True when two segments meet in a point that is not a common numbered end, touching included.
fn meet(s: &Segment, t: &Segment) -> bool {
    let shared = s.ends.iter().filter(|e| t.ends.contains(e)).count();
    if shared == 2 {
        return false;
    }
    let (d1, d2) = (orient(s.a, s.b, t.a), orient(s.a, s.b, t.b));
    let (d3, d4) = (orient(t.a, t.b, s.a), orient(t.a, t.b, s.b));
    if shared == 1 {
        // They meet elsewhere only when one lies along the other from the common end.
        if d1 != 0.0 || d2 != 0.0 {
            return false;
        }
        let (from, s_end) = if t.ends.contains(&s.ends[0]) { (s.a, s.b) } else { (s.b, s.a) };
        let t_end = if s.ends.contains(&t.ends[0]) { t.b } else { t.a };
        return (s_end - from).dot(t_end - from) > 0.0;
    }
    if d1 == 0.0 && d2 == 0.0 {
        let overlap = |a0: f64, a1: f64, b0: f64, b1: f64| a0.max(a1) >= b0.min(b1) && b0.max(b1) >= a0.min(a1);
        return overlap(s.a.x, s.b.x, t.a.x, t.b.x) && overlap(s.a.y, s.b.y, t.a.y, t.b.y);
    }
    let apart = |a: f64, b: f64| (a > 0.0 && b > 0.0) || (a < 0.0 && b < 0.0);
    !apart(d1, d2) && !apart(d3, d4)
}

/// Twice the signed area of a triangle, exact in sign (Shewchuk, *Adaptive precision floating-point arithmetic*, 1997).
pub fn orient(a: Vec2, b: Vec2, c: Vec2) -> f64 {
    let coord = |p: Vec2| Coord { x: p.x, y: p.y };
    orient2d(coord(a), coord(b), coord(c))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ring(points: &[Vec2]) -> Vec<Segment> {
        let n = points.len();
        (0..n).map(|i| Segment { a: points[i], b: points[(i + 1) % n], ends: [i as u32, ((i + 1) % n) as u32], net: 1 }).collect()
    }

    /// Slow twin: every segment asked, the turn of the view summed as an angle.
    fn winding_by_angle(segments: &[Segment], p: Vec2) -> i32 {
        let turn: f64 = segments
            .iter()
            .map(|s| {
                let (a, b) = (s.a - p, s.b - p);
                crate::math::real::atan2(a.perp_dot(b), a.dot(b))
            })
            .sum();
        (turn / core::f64::consts::TAU).round() as i32
    }

    fn nearest(segments: &[Segment], p: Vec2) -> f64 {
        segments.iter().map(|s| distance_squared(s, p)).fold(f64::INFINITY, f64::min).sqrt()
    }

    proptest! {
        #[test]
        fn bins_agree_with_asking_every_segment(
            points in prop::collection::vec((-7.0..9.0f64, -300.0..100.0f64), 3..60),
            probes in prop::collection::vec((-9.0..11.0f64, -400.0..200.0f64, 0.01..60.0f64), 40),
        ) {
            let points: Vec<Vec2> = points.into_iter().map(|(x, y)| Vec2::new(x, y)).collect();
            let segments = ring(&points);
            let outline = Outline::new(segments.clone());
            for (x, y, reach) in probes {
                let p = Vec2::new(x, y);
                let near = nearest(&segments, p);
                if near > 1e-9 {
                    prop_assert_eq!(outline.winding(p), winding_by_angle(&segments, p));
                }
                if (near - reach).abs() > 1e-9 {
                    prop_assert_eq!(outline.is_near(p, reach), near < reach);
                }
            }
            let mut want = Vec::new();
            for i in 0..segments.len() {
                for j in i + 1..segments.len() {
                    if meet(&segments[i], &segments[j]) { want.push((i, j)); }
                }
            }
            prop_assert_eq!(outline.crossings(), want);
        }
    }

    #[test]
    fn touching_overlapping_and_neighbouring_segments() {
        let s = |ax: f64, ay: f64, bx: f64, by: f64, ends| Segment { a: Vec2::new(ax, ay), b: Vec2::new(bx, by), ends, net: 1 };
        let base = s(0., 0., 4., 0., [0, 1]);
        for (other, want) in [
            (s(2., -1., 2., 1., [2, 3]), true),
            (s(2., 0., 2., 1., [2, 3]), true),
            (s(1., 0., 9., 0., [2, 3]), true),
            (s(5., 0., 9., 0., [2, 3]), false),
            (s(4., 0., 9., 0., [1, 3]), false),
            (s(4., 0., 2., 0., [1, 3]), true),
            (s(4., 0., 2., 1., [1, 3]), false),
            (s(4., 0., 0., 0., [1, 0]), false),
            (s(0., 1e-300, 4., 1., [2, 3]), false),
        ] {
            assert_eq!(meet(&base, &other), want, "{other:?}");
            assert_eq!(meet(&other, &base), want, "{other:?}");
        }
        assert_eq!(Outline::new(Vec::new()).winding(Vec2::ZERO), 0);
        assert!(!Outline::new(Vec::new()).is_near(Vec2::ZERO, 1.0));
    }
}
