//! The edges of all stripes on one face.

use super::links::chains;
use super::net::{Net, Side, side};
use super::smooth::{Node, between};
use crate::geometry::{Domain, Surface};
use crate::highlight::{LampRig, edges};
use crate::math::{Point2, Point3, root};
use crate::tessellate::FaceMesh;
use std::collections::BTreeMap;

/// How finely stripes are traced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Largest distance of a stripe from the straight lines between its points, mm, > 0. The points themselves lie on the
    /// stripe.
    pub sag: f64,
    /// Most points on one face; the rest is left out, and said.
    pub points: usize,
}

impl Default for Precision {
    fn default() -> Self {
        Self { sag: 0.01, points: 400_000 }
    }
}

/// Value error accepted, as a share of the lamp spacing. Larger: points leave the stripe by more than 1e-6 mm on gentle
/// panels; smaller: rounding is chased.
const SMALL: f64 = 1e-12;

/// One edge of a stripe on one face, from border to border or closed.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Value of the stripe function along it.
    pub value: f64,
    /// Parameters of its points; the first again at the end of a closed one. Values rise on its left, seen against
    /// Su × Sv.
    pub uv: Vec<Point2>,
    /// Their positions, mm.
    pub points: Vec<Point3>,
    /// The side of the face's domain on which it begins, and ends: loop and side index. None inside, where the function
    /// ends (a silhouette) or the piece is closed.
    pub ends: [Option<(usize, usize)>; 2],
}

impl Piece {
    /// True when it runs back into itself.
    pub fn is_closed(&self) -> bool {
        self.uv.len() > 2 && self.uv.first() == self.uv.last()
    }

    /// Length of the straight lines between its points, mm.
    pub fn length(&self) -> f64 {
        self.points.windows(2).map(|w| w[0].distance(w[1])).sum()
    }
}

/// The stripes of one face.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    /// By rising value, then in the order found.
    pub pieces: Vec<Piece>,
    /// True when the cap on points or triangles was met, so that some may be missing.
    pub capped: bool,
}

/// Traces all stripe edges on a face: where the rig's stripes begin and end.
///
/// They are searched on the triangles of the face's mesh, halved where the stripe function bends, so a closed stripe
/// smaller than a triangle may be missed; where one is found, its points lie on it to 1e-12 of the lamp spacing, and
/// it ends on the trim itself. `domain` is the one the mesh was made with.
pub fn trace_face(rig: &LampRig, surface: &Surface, domain: &Domain, mesh: &FaceMesh, precision: &Precision) -> Trace {
    let net = Net::new(rig, surface, domain, mesh);
    let mut search = Search { small: SMALL * rig.spacing, crossings: BTreeMap::new(), nodes: Vec::new(), pairs: BTreeMap::new() };
    for &t in &net.triangles {
        search.triangle(&net, t);
    }
    let mut trace = Trace { pieces: Vec::new(), capped: net.capped };
    let read = |uv: Point2| net.sample(uv).reading;
    let mut left = precision.points;
    for (value, pairs) in &search.pairs {
        let value = value.0;
        for chain in chains(pairs) {
            let found: Vec<Option<&Found>> = chain.iter().map(|&n| search.nodes.get(n as usize).filter(|f| f.node.is_some())).collect();
            let closed = chain.first() == chain.last() && found.iter().all(Option::is_some);
            // Beyond the horizon a mirrored sight line never meets the lamps: the chain is cut there.
            for run in found.split(Option::is_none).filter(|r| r.len() > 1) {
                let nodes: Vec<(&Node, Option<(usize, usize)>)> =
                    run.iter().flatten().filter_map(|f| f.node.as_ref().map(|n| (n, f.on))).collect();
                let (Some(first), Some(last)) = (nodes.first(), nodes.last()) else { continue };
                let mut line = vec![*first.0];
                for pair in nodes.windows(2) {
                    if line.len() < left {
                        line.extend(between(pair[0].0, pair[1].0, value, precision.sag, search.small, &read));
                    }
                }
                trace.capped |= line.len() >= left;
                left = left.saturating_sub(line.len());
                let ends = if closed { [None; 2] } else { [first.1, last.1] };
                trace.pieces.push(piece(value, line, ends));
            }
        }
    }
    trace
}

/// A crossing of a stripe edge with a side of a triangle.
struct Found {
    /// None where it is the edge's continuation beyond the horizon, which carries no stripe.
    node: Option<Node>,
    on: Option<(usize, usize)>,
}

/// A value in the order of numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Value(f64);

impl Eq for Value {}
impl PartialOrd for Value {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Value {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

struct Search {
    small: f64,
    crossings: BTreeMap<(Side, Value), Option<u32>>,
    nodes: Vec<Found>,
    pairs: BTreeMap<Value, Vec<(u32, u32)>>,
}

impl Search {
    /// Finds what crosses a triangle. Values at a vertex itself count as above, so that every line has two ends.
    fn triangle(&mut self, net: &Net<'_>, t: [u32; 3]) {
        let corner = |n: u32| net.vertices.get(n as usize).map(|v| v.sample);
        let [Some(a), Some(b), Some(c)] = t.map(corner) else { return };
        let corners = [a, b, c];
        let one_side = corners.iter().all(|s| s.reading.is_some() && s.is_facing() == a.is_facing());
        let values = || corners.iter().filter_map(|s| s.reading.map(|r| r.f.f));
        // Over the horizon values run through infinity: any may be met.
        let (low, high) = if one_side {
            (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
        } else {
            net.range().unwrap_or((0.0, 0.0))
        };
        for value in edges(net.rig, low, high) {
            let [Some(a), Some(b), Some(c)] = corners.map(|s| s.excess(value)) else { return };
            let above = [a >= 0.0, b >= 0.0, c >= 0.0];
            let mut found = [None; 2];
            let mut count = 0;
            for k in 0..3 {
                let next = (k + 1) % 3;
                if above[k] != above[next]
                    && let Some(slot) = found.get_mut(count)
                {
                    *slot = self.crossing(net, side(t[k], t[next]), value);
                    count += 1;
                }
            }
            if let [Some(x), Some(y)] = found {
                self.pairs.entry(Value(value)).or_default().push((x, y));
            }
        }
    }

    fn crossing(&mut self, net: &Net<'_>, s: Side, value: f64) -> Option<u32> {
        if let Some(known) = self.crossings.get(&(s, Value(value))) {
            return *known;
        }
        let found = self.cross(net, s, value);
        let number = found.map(|f| {
            self.nodes.push(f);
            self.nodes.len() as u32 - 1
        });
        self.crossings.insert((s, Value(value)), number);
        number
    }

    /// Solves for the crossing: on the trim where the side is a piece of it, else on the straight line in (u, v).
    fn cross(&self, net: &Net<'_>, s: Side, value: f64) -> Option<Found> {
        let (a, b) = (net.vertices.get(s.0 as usize)?, net.vertices.get(s.1 as usize)?);
        let straight = |x: f64| Point2::new(a.uv.u * (1.0 - x) + b.uv.u * x, a.uv.v * (1.0 - x) + b.uv.v * x);
        if let Some(on) = net.borders.get(&s)
            && let Some(trim) = net.trim(on)
        {
            let along = |x: f64| trim.uv(net.surface, on.shares.0 * (1.0 - x) + on.shares.1 * x);
            if let Some(found) = self.solve(net, &along, value, Some((on.loop_index, on.side_index))) {
                return Some(found);
            }
        }
        self.solve(net, &straight, value, None)
    }

    /// Where the value lies between x = 0 and 1 of a path. None where it does not.
    fn solve(&self, net: &Net<'_>, place: &dyn Fn(f64) -> Point2, value: f64, on: Option<(usize, usize)>) -> Option<Found> {
        let f = |x: f64| net.sample(place(x)).excess(value);
        let (low, high) = (f(0.0)?, f(1.0)?);
        if (low > 0.0) == (high > 0.0) && low.abs() > self.small && high.abs() > self.small {
            return None;
        }
        let x = root((0.0, low), (1.0, high), 1e-4 * self.small, f)?;
        let uv = place(x);
        let node = net.sample(uv).reading.map(|reading| Node { uv, reading });
        Some(Found { node, on })
    }
}

/// A piece from its points, turned so that values rise on its left.
fn piece(value: f64, mut line: Vec<Node>, mut ends: [Option<(usize, usize)>; 2]) -> Piece {
    let votes = line.windows(2).filter_map(|w| {
        let way = w[1].uv - w[0].uv;
        let (u, v) = (w[0].reading.f.u, w[0].reading.f.v);
        let left = v * way.x - u * way.y;
        (left != 0.0).then_some(if left > 0.0 { 1i64 } else { -1 })
    });
    if votes.sum::<i64>() < 0 {
        line.reverse();
        ends.reverse();
    }
    Piece { value, uv: line.iter().map(|n| n.uv).collect(), points: line.iter().map(|n| n.reading.derivs.s).collect(), ends }
}
