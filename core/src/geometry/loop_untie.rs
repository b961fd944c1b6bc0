//! Loops that touch or cross themselves or one another, taken apart into simple ones.
//!
//! At every crossing each of the two strands goes on along the other one. What comes of it are closed curves that no
//! longer cross (Seifert's circles; Seifert, *Über das Geschlecht von Knoten*, Math. Ann. 110, 1934): the region itself,
//! and what hung over: the ends of edges that overran each other, the part of a hole outside its face.

use super::domain::{DomainSide, SideOrigin, encloses, polygon_area};
use super::loop_contact::{Contact, Ring, contacts};
use super::loop_cut::insert;
use super::loop_gap::worth_noting;
use super::trim::TrimNode;
use super::{DomainFault, DomainRepair, Surface};
use crate::math::{Point2, Point3};
use std::collections::BTreeMap;

/// A loop with its number in the face, where it has one.
pub(super) type Numbered = (Option<usize>, Vec<DomainSide>);

/// A circle shorter than this share of all edges it came from, and smaller than [`SCRAP_AREA`] of their largest, is what
/// hung over at a crossing. Larger: narrow parts of a face behind a crossing are lost; smaller: scraps stay as faces.
const SCRAP: f64 = 0.2;

/// See [`SCRAP`]: a share of the area in the parameter plane.
const SCRAP_AREA: f64 = 0.02;

/// A circle whose area is below this share of the largest one's bounds nothing: a slit.
const SLIT: f64 = 1e-9;

/// Takes loops apart where they meet. Loops that meet nothing come back as they are.
///
/// # Errors
/// When they meet too often to be sorted out.
pub(super) fn untied(surface: &Surface, loops: Vec<Numbered>, repairs: &mut Vec<DomainRepair>) -> Result<Vec<Numbered>, DomainFault> {
    let (numbers, loops): (Vec<Option<usize>>, Vec<Vec<DomainSide>>) = loops.into_iter().unzip();
    let ring = Ring::new(&loops);
    let found = contacts(surface, &ring).ok_or(DomainFault::Tangled)?;
    if found.is_empty() {
        return Ok(numbers.into_iter().zip(loops).collect());
    }
    let mut parts = Parts::split(surface, &ring, &found);
    let groups = parts.cross(&ring, &found, loops.len());
    let circles = parts.circles();
    let mut out: Vec<Numbered> = Vec::new();
    let mut touched: BTreeMap<usize, Vec<Circle>> = BTreeMap::new();
    for circle in circles {
        let group = circle.first().and_then(|&i| parts.owner.get(i)).and_then(|&o| groups.get(o)).copied();
        let Some(group) = group else { continue };
        let circle = parts.circle(surface, &circle);
        match circle.nodes.is_empty() && circle.owners.len() == 1 {
            true if groups.iter().filter(|g| **g == group).count() == 1 && !parts.tied.contains(&group) => {
                let number = circle.owners.first().and_then(|&o| numbers.get(o)).copied().flatten();
                out.push((number, circle.sides));
            }
            _ => touched.entry(group).or_default().push(circle),
        }
    }
    for circles in touched.into_values() {
        out.extend(sorted_out(circles, &numbers, repairs));
    }
    Ok(out)
}

/// Sides cut at the contacts, with what follows what.
struct Parts {
    sides: Vec<DomainSide>,
    owner: Vec<usize>,
    next: Vec<usize>,
    /// Where a part starts at a contact: the point, and whether it is a crossing.
    node: Vec<Option<(Point2, bool)>>,
    /// First part of each side.
    first: Vec<usize>,
    /// Shares at which the parts of each side start.
    starts: Vec<Vec<f64>>,
    /// Groups in which something was reconnected.
    tied: Vec<usize>,
}

impl Parts {
    fn split(surface: &Surface, ring: &Ring, found: &[Contact]) -> Self {
        let mut cuts: BTreeMap<usize, Vec<(f64, Point2)>> = BTreeMap::new();
        for contact in found {
            for spot in contact.spots {
                cuts.entry(spot.side).or_default().push((spot.share, contact.uv));
            }
        }
        let empty = Vec::new();
        let mut parts = Parts {
            sides: Vec::new(),
            owner: Vec::new(),
            next: Vec::new(),
            node: Vec::new(),
            first: Vec::new(),
            starts: Vec::new(),
            tied: Vec::new(),
        };
        for (index, side) in ring.sides.iter().enumerate() {
            let mut side = (*side).clone();
            let mut stops: Vec<f64> = vec![side.from];
            let rising = side.to >= side.from;
            let mut own: Vec<(f64, Point2)> = cuts.get(&index).unwrap_or(&empty).clone();
            own.sort_by(|a, b| if rising { a.0.total_cmp(&b.0) } else { b.0.total_cmp(&a.0) });
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
    fn at(&self, spot: super::loop_contact::Spot) -> Option<usize> {
        let stops = self.starts.get(spot.side)?;
        let nearest = (0..stops.len()).min_by(|&a, &b| {
            let off = |i: usize| stops.get(i).map_or(f64::INFINITY, |s| (s - spot.share).abs());
            off(a).total_cmp(&off(b))
        })?;
        Some(self.first.get(spot.side)? + nearest)
    }

    /// Reconnects the strands at every contact; gives each loop the group of loops it crosses.
    fn cross(&mut self, ring: &Ring, found: &[Contact], loops: usize) -> Vec<usize> {
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
            let of = |s: super::loop_contact::Spot| ring.owner.get(s.side).copied().unwrap_or(0);
            let (g, h) = (group.get(of(a)).copied().unwrap_or(0), group.get(of(b)).copied().unwrap_or(0));
            let (low, high) = (g.min(h), g.max(h));
            if low != high {
                group.iter_mut().filter(|x| **x == high).for_each(|x| *x = low);
            }
            reconnected.push(of(a));
        }
        self.tied = reconnected.into_iter().filter_map(|o| group.get(o).copied()).collect();
        self.tied.sort_unstable();
        self.tied.dedup();
        group
    }

    fn circles(&self) -> Vec<Vec<usize>> {
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

    fn circle(&self, surface: &Surface, parts: &[usize]) -> Circle {
        let mut sides: Vec<DomainSide> = parts.iter().filter_map(|&i| self.sides.get(i)).cloned().collect();
        let node = |i: &usize| self.node.get(*i).copied().flatten();
        let mut owners: Vec<usize> = parts.iter().filter_map(|&i| self.owner.get(i)).copied().collect();
        owners.sort_unstable();
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

/// A closed curve that came of reconnecting.
struct Circle {
    sides: Vec<DomainSide>,
    /// Loops it has parts of.
    owners: Vec<usize>,
    /// Indices of sides that start at a crossing; the first is 0 where there is one.
    nodes: Vec<usize>,
    /// It has a corner in common with another one.
    touches: bool,
    /// Points along each side, mm, last one left out.
    points: Vec<Vec<Point3>>,
    polygon: Vec<Point2>,
    area: f64,
}

impl Circle {
    fn perimeter(&self) -> f64 {
        let all = || self.points.iter().flatten();
        all().zip(all().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
    }

    /// How much hung over, mm: the width between two crossings; at a single one how far the strands miss each other, by
    /// the gap between their ends or the width between them, but no more than they reach.
    fn size(&self) -> f64 {
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
    fn edge(&self) -> Option<(usize, usize)> {
        self.sides.iter().find_map(|s| match s.origin {
            SideOrigin::Edge { loop_index, use_index } => Some((loop_index, use_index)),
            _ => None,
        })
    }
}

/// What is kept of the circles of loops that met: the largest; others unless they hung over or bound nothing.
fn sorted_out(mut circles: Vec<Circle>, numbers: &[Option<usize>], repairs: &mut Vec<DomainRepair>) -> Vec<Numbered> {
    circles.sort_by(|a, b| b.area.abs().total_cmp(&a.area.abs()));
    let total: f64 = circles.iter().map(Circle::perimeter).sum();
    let crossed = circles.iter().any(|c| !c.nodes.is_empty());
    let Some(main) = circles.first().map(|c| (c.area, c.polygon.clone())) else { return Vec::new() };
    let mut kept: Vec<Circle> = Vec::new();
    for circle in circles {
        if kept.is_empty() {
            kept.push(circle);
            continue;
        }
        let (loop_index, use_index) = circle.edge().unwrap_or_default();
        let share = circle.area.abs() / main.0.abs();
        if share <= SLIT && (circle.nodes.is_empty() || circle.perimeter() > SCRAP * total) {
            repairs.push(DomainRepair::Spur { loop_index, use_index, length: 0.5 * circle.perimeter() });
            continue;
        }
        let is_scrap = circle.perimeter() <= SCRAP * total && share <= SCRAP_AREA;
        let inside = || circle.polygon.iter().filter(|p| encloses(&main.1, **p)).count() * 2 > circle.polygon.len();
        let hangs_over = circle.owners.len() > 1 && circle.area * main.0 < 0.0 && !inside();
        if !circle.nodes.is_empty() && (is_scrap || hangs_over) {
            forget_bridges(&circle, repairs);
            let size = circle.size();
            repairs.extend((size > worth_noting(total)).then_some(DomainRepair::Cut { loop_index, use_index, size }));
            continue;
        }
        kept.push(circle);
    }
    let loop_index = kept.first().and_then(Circle::edge).map_or(0, |e| e.0);
    let several = kept.len() > 1 && (crossed || kept.iter().any(|c| c.touches));
    if several && kept.iter().all(|c| c.owners == kept[0].owners) && kept[0].owners.len() == 1 {
        repairs.push(DomainRepair::Untied { loop_index, count: kept.len() });
    }
    let number = |c: &Circle| c.owners.first().and_then(|&o| numbers.get(o)).copied().flatten();
    kept.into_iter().map(|c| (number(&c), c.sides)).collect()
}

/// A gap between two edges that cross was no gap.
fn forget_bridges(circle: &Circle, repairs: &mut Vec<DomainRepair>) {
    for (bridge, after) in circle.sides.iter().zip(circle.sides.iter().cycle().skip(1)) {
        let SideOrigin::Edge { loop_index: l, use_index: u } = after.origin else { continue };
        if bridge.origin == SideOrigin::Bridge {
            repairs.retain(|r| !matches!(*r, DomainRepair::Bridged { loop_index, use_index, .. } if (loop_index, use_index) == (l, u)));
        }
    }
}
