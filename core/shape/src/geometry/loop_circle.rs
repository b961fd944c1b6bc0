//! One of the closed curves that come of reconnecting loops, and how much of it hung over.

use super::domain::{DomainSide, SideOrigin};
use crate::math::{Point2, Point3};

/// A closed curve that came of reconnecting.
pub(super) struct Circle {
    pub sides: Vec<DomainSide>,
    /// Loops it has parts of.
    pub owners: Vec<usize>,
    /// Indices of sides that start at a crossing; the first is 0 where there is one.
    pub nodes: Vec<usize>,
    /// It has a corner in common with another one.
    pub touches: bool,
    /// Points along each side, mm, last one left out.
    pub points: Vec<Vec<Point3>>,
    pub polygon: Vec<Point2>,
    pub area: f64,
}

impl Circle {
    /// Length, mm.
    pub fn perimeter(&self) -> f64 {
        let all = || self.points.iter().flatten();
        all().zip(all().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
    }

    /// How much hung over, mm: the width between two crossings; at a single one how far the strands miss each other, by
    /// the gap between their ends or the width between them, but no more than they reach.
    pub fn size(&self) -> f64 {
        let Some(&first) = self.points.first().and_then(|l| l.first()) else { return 0.0 };
        let far = |i: &usize| self.points.get(*i).and_then(|l| l.first()).map_or(0.0, |p| p.distance(first));
        let bridge = self.sides.iter().position(|s| s.origin == SideOrigin::Bridge);
        let farthest = (1..self.points.len()).max_by(|a, b| far(a).total_cmp(&far(b)));
        match (self.nodes.get(1), bridge.or(farthest)) {
            (Some(&second), _) => self.width(second),
            (None, Some(corner)) => {
                let reach = self.points.iter().flatten().map(|p| p.distance(first)).fold(0.0, f64::max);
                let gap = bridge.and_then(|b| self.sides.get(b)).map_or(0.0, |s| s.trim.node_length());
                reach.min(gap.max(self.width(corner)))
            }
            (None, None) => self.points.iter().flatten().map(|p| p.distance(first)).fold(0.0, f64::max),
        }
    }

    /// Largest distance of the points before side `corner` from the line after it, mm.
    fn width(&self, corner: usize) -> f64 {
        let one: Vec<Point3> = self.points.iter().take(corner).flatten().copied().collect();
        let mut other: Vec<Point3> = self.points.iter().skip(corner).flatten().copied().collect();
        other.extend(one.first());
        if one.len().saturating_mul(other.len()) > 4_000_000 {
            return 0.5 * self.perimeter();
        }
        let to_line = |p: Point3| {
            let piece = |w: &[Point3]| match w {
                [a, b] => {
                    let (d, r) = (*b - *a, p - *a);
                    let t = if d.length_squared() > 0.0 { (r.dot(d) / d.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
                    (r - d * t).length()
                }
                _ => f64::INFINITY,
            };
            other.windows(2).map(piece).fold(f64::INFINITY, f64::min)
        };
        one.into_iter().map(to_line).filter(|d| d.is_finite()).fold(0.0, f64::max)
    }

    /// The first edge in it, by loop and use.
    pub fn edge(&self) -> Option<(usize, usize)> {
        self.sides.iter().find_map(|s| match s.origin {
            SideOrigin::Edge { loop_index, use_index } => Some((loop_index, use_index)),
            _ => None,
        })
    }
}
