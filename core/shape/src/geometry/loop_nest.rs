//! Which loop lies in which: outer loops and holes, told apart by how deep they lie.

use super::domain::{DomainLoop, encloses};
use super::loop_chain::reversed_side;
use super::loop_untie::Numbered;
use super::{DomainRepair, Surface};
use crate::math::{Arrange, Interval, Point2, Vec2};

/// Outer loops counter-clockwise, holes clockwise and within their outer loop's period; loops that ran the wrong
/// way are turned.
pub(super) fn nested(surface: &Surface, closed: Vec<Numbered>, repairs: &mut Vec<DomainRepair>) -> Vec<DomainLoop> {
    let mut loops: Vec<(Option<usize>, DomainLoop, f64)> = closed
        .into_iter()
        .map(|(index, sides)| {
            let l = DomainLoop { sides };
            let area = l.signed_area();
            (index, l, area)
        })
        .collect();
    loops.arrange_by(|a, b| b.2.abs().total_cmp(&a.2.abs()));
    let periods = surface.periods();
    let shifts = |period: Option<f64>| period.map_or(vec![0.0], |p| [0.0, -1.0, 1.0, -2.0, 2.0].map(|k| k * p).to_vec());
    let (shifts_u, shifts_v) = (shifts(periods.0), shifts(periods.1));
    let mut done: Vec<(DomainLoop, usize)> = Vec::new();
    let mut outer = 0;
    let mut outlines: Vec<Outline> = Vec::new();
    for (index, mut l, area) in loops {
        let sampled = samples(&l.polygon());
        let mut best = (0usize, 0.0, 0.0);
        if !outlines.is_empty() {
            for &a in &shifts_u {
                for &b in &shifts_v {
                    let count = outlines.iter().filter(|o| o.holds_most(&sampled, Vec2::new(a, b))).count();
                    if count > best.0 {
                        best = (count, a, b);
                    }
                }
            }
            l.sides.iter_mut().for_each(|s| s.shift += Vec2::new(best.1, best.2));
        }
        let depth = best.0;
        let is_outer = depth % 2 == 0;
        if is_outer != (area > 0.0) {
            l.sides = l.sides.into_iter().rev().map(reversed_side).collect();
            if let Some(loop_index) = index {
                repairs.push(DomainRepair::Reversed { loop_index });
            }
        }
        // Loops cut at a seam may lie in several parts without fault.
        outer += usize::from(depth == 0 && index.is_some());
        outlines.push(Outline::new(l.polygon()));
        done.push((l, depth));
    }
    if outer > 1 {
        repairs.push(DomainRepair::SeveralOuter { count: outer });
    }
    done.arrange_by_key(|(_, depth)| *depth);
    done.into_iter().map(|(l, _)| l).collect()
}

/// A loop's polygon with its box, so that far loops are told apart at once.
pub(super) struct Outline {
    polygon: Vec<Point2>,
    u: Interval,
    v: Interval,
}

impl Outline {
    pub fn new(polygon: Vec<Point2>) -> Self {
        let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
        let (u, v) = polygon.iter().fold((none, none), |(u, v), p| (u.including(p.u), v.including(p.v)));
        Self { polygon, u, v }
    }

    /// More than half of the points, moved, lie inside: holes may touch their outer loop at corners.
    pub fn holds_most(&self, points: &[Point2], shift: Vec2) -> bool {
        let inside = |p: Point2| self.u.contains(p.u, 0.0) && self.v.contains(p.v, 0.0) && encloses(&self.polygon, p);
        2 * points.iter().filter(|&&p| inside(p + shift)).count() > points.len()
    }
}

/// Up to about ten points of a polygon.
pub(super) fn samples(polygon: &[Point2]) -> Vec<Point2> {
    polygon.iter().step_by((polygon.len() / 8).max(1)).copied().collect()
}
