//! Loops cut where they meet, and joined anew so that they no longer cross.

use super::Surface;
use super::domain::{DomainSide, polygon_area};
use super::loop_circle::Circle;
use super::loop_contact::{Contact, Ring, Spot};
use super::loop_cut::insert;
use super::trim::TrimNode;
use crate::math::{Arrange, Point2, Point3};

/// Sides cut at the contacts, with what follows what.
pub(super) struct Parts {
    sides: Vec<DomainSide>,
    pub owner: Vec<usize>,
    next: Vec<usize>,
    /// Where a part starts at a contact: the point, and whether it is a crossing.
    node: Vec<Option<(Point2, bool)>>,
    /// First part of each side.
    first: Vec<usize>,
    /// Shares at which the parts of each side start.
    starts: Vec<Vec<f64>>,
    /// Groups in which something was reconnected.
    pub tied: Vec<usize>,
}

impl Parts {
    pub fn split(surface: &Surface, ring: &Ring, found: &[Contact]) -> Self {
        let mut cuts: Vec<Vec<(f64, Point2)>> = vec![Vec::new(); ring.sides.len()];
        for contact in found {
            for spot in contact.spots {
                cuts.get_mut(spot.side).into_iter().for_each(|own| own.push((spot.share, contact.uv)));
            }
        }
        let mut parts = Parts {
            sides: Vec::new(),
            owner: Vec::new(),
            next: Vec::new(),
            node: Vec::new(),
            first: Vec::new(),
            starts: Vec::new(),
            tied: Vec::new(),
        };
        for ((index, side), mut own) in ring.sides.iter().enumerate().zip(cuts) {
            let mut side = (*side).clone();
            let mut stops: Vec<f64> = vec![side.from];
            let rising = side.to >= side.from;
            own.arrange_by(|a, b| if rising { a.0.total_cmp(&b.0) } else { b.0.total_cmp(&a.0) });
            for (share, uv) in own {
                if stops.last().is_some_and(|l| (share - l).abs() > 1e-9) && share != side.to {
                    let point = surface.point(uv.u, uv.v);
                    let node = TrimNode { s: share, uv: uv + (-side.shift), point };
                    insert(&mut side, node);
                    stops.push(share);
                }
            }
            parts.first.push(parts.sides.len());
            for (i, &from) in stops.iter().enumerate() {
                let to = stops.get(i + 1).copied().unwrap_or(side.to);
                parts.sides.push(DomainSide { from, to, ..side.clone() });
                parts.owner.push(ring.owner.get(index).copied().unwrap_or(0));
                parts.node.push(None);
            }
            parts.starts.push(stops);
        }
        for (index, stops) in parts.starts.iter().enumerate() {
            let first = parts.first.get(index).copied().unwrap_or(0);
            for i in 0..stops.len() {
                let after = ring.next.get(index).and_then(|&n| parts.first.get(n)).copied().unwrap_or(first);
                parts.next.push(if i + 1 < stops.len() { first + i + 1 } else { after });
            }
        }
        parts
    }

    /// The part that starts at a spot.
    fn at(&self, spot: Spot) -> Option<usize> {
        let stops = self.starts.get(spot.side)?;
        let nearest = (0..stops.len()).min_by(|&a, &b| {
            let off = |i: usize| stops.get(i).map_or(f64::INFINITY, |s| (s - spot.share).abs());
            off(a).total_cmp(&off(b))
        })?;
        Some(self.first.get(spot.side)? + nearest)
    }

    /// Reconnects the strands at every contact; gives each loop the group of loops it crosses.
    pub fn cross(&mut self, ring: &Ring, found: &[Contact], loops: usize) -> Vec<usize> {
        let mut group: Vec<usize> = (0..loops).collect();
        let mut before = vec![0usize; self.next.len()];
        for (i, &n) in self.next.iter().enumerate() {
            if let Some(b) = before.get_mut(n) {
                *b = i;
            }
        }
        let mut reconnected = Vec::new();
        for contact in found {
            let [a, b] = contact.spots;
            let (Some(x), Some(y)) = (self.at(a), self.at(b)) else { continue };
            if x == y {
                continue;
            }
            for i in [x, y] {
                if let Some(n) = self.node.get_mut(i) {
                    *n = Some((contact.uv, contact.is_crossing || n.is_some_and(|n| n.1)));
                }
            }
            let (Some(&p), Some(&q)) = (before.get(x), before.get(y)) else { continue };
            if let Some(n) = self.next.get_mut(p) {
                *n = y;
            }
            if let Some(n) = self.next.get_mut(q) {
                *n = x;
            }
            before.swap(x, y);
            let of = |s: Spot| ring.owner.get(s.side).copied().unwrap_or(0);
            let (g, h) = (group.get(of(a)).copied().unwrap_or(0), group.get(of(b)).copied().unwrap_or(0));
            let (low, high) = (g.min(h), g.max(h));
            if low != high {
                group.iter_mut().filter(|x| **x == high).for_each(|x| *x = low);
            }
            reconnected.push(of(a));
        }
        self.tied = reconnected.into_iter().filter_map(|o| group.get(o).copied()).collect();
        self.tied.arrange();
        self.tied.dedup();
        group
    }

    pub fn circles(&self) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.next.len()];
        let mut all = Vec::new();
        for start in 0..self.next.len() {
            let mut circle = Vec::new();
            let mut here = start;
            while let Some(s) = seen.get_mut(here)
                && !*s
            {
                *s = true;
                circle.push(here);
                here = self.next.get(here).copied().unwrap_or(start);
            }
            if !circle.is_empty() {
                all.push(circle);
            }
        }
        all
    }

    pub fn circle(&self, surface: &Surface, parts: &[usize]) -> Circle {
        let mut sides: Vec<DomainSide> = parts.iter().filter_map(|&i| self.sides.get(i)).cloned().collect();
        let node = |i: &usize| self.node.get(*i).copied().flatten();
        let mut owners: Vec<usize> = parts.iter().filter_map(|&i| self.owner.get(i)).copied().collect();
        owners.arrange();
        owners.dedup();
        // Start at a crossing, so that runs between crossings are whole.
        let crossings: Vec<usize> = (0..parts.len()).filter(|&k| parts.get(k).and_then(node).is_some_and(|n| n.1)).collect();
        let first = crossings.first().copied().unwrap_or(0).min(sides.len());
        sides.rotate_left(first);
        let mut points = Vec::new();
        let mut polygon = Vec::new();
        for s in &sides {
            let mut line = s.polyline();
            line.pop();
            points.push(line.iter().map(|p| surface.point(p.u, p.v)).collect::<Vec<Point3>>());
            polygon.extend(line);
        }
        let touches = parts.iter().any(|i| node(i).is_some());
        let nodes = crossings.into_iter().map(|k| k - first).collect();
        Circle { area: polygon_area(&polygon), sides, owners, nodes, touches, points, polygon }
    }
}
