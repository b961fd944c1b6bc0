//! All gaps of a model, and those between two panels picked.

use super::brink::Brink;
use super::brinks::brinks;
use super::pairs::{Pair, runs};
use super::shores::Shores;
use super::side::Edge;
use super::station::{Gap, GapStation, station};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;

/// Least length of a gap as a multiple of its mean width. Larger: short gaps go unseen; smaller: corners that come near each other
/// count as gaps.
const LEAST: f64 = 2.0;

/// Fewest stations, largest distance between them in mm or as a share of the gap's length (as for joins).
const FEWEST: usize = 17;
const SPACING: f64 = 2.0;
const SHARE: f64 = 1.0 / 256.0;

/// The mid-curve is found first from stations so many times as far apart, and its direction taken over as many of the others. Larger: it
/// cuts the corners of a gap; smaller: slower.
const COARSE: usize = 4;

/// Gaps between skins, the master being the larger one. `areas` in mm², one a face. What belongs to one skin makes no gap: slots and
/// grooves are form. Two closed skins make none either: between solids a gap cannot be told from a fit; it can be picked.
pub fn gaps(sheets: &Sheets<'_>, graph: &JoinGraph, areas: &[f64]) -> Vec<Gap> {
    let mut skin_of: Vec<Option<usize>> = vec![None; sheets.model.faces.len()];
    let mut sizes = Vec::new();
    for (n, skin) in graph.orientation.skins.iter().enumerate() {
        sizes.push(skin.faces.iter().filter_map(|f| areas.get(f.index())).sum::<f64>());
        for f in &skin.faces {
            if let Some(s) = skin_of.get_mut(f.index()) {
                *s = Some(n);
            }
        }
    }
    let size = |n: usize| sizes.get(n).copied().unwrap_or(0.0);
    let is_closed = |n: usize| graph.orientation.skins.get(n).is_none_or(|s| s.closed);
    if (0..sizes.len()).all(is_closed) {
        return Vec::new();
    }
    let larger = |a: usize, b: usize| {
        let second = size(b) > size(a) || (size(a) == size(b) && b < a);
        (!(is_closed(a) && is_closed(b))).then_some(if second { b } else { a })
    };
    find(sheets, graph, &|f| skin_of.get(f.index()).copied().flatten(), &larger)
}

/// Gaps between two faces picked, the first being the master.
pub fn between(sheets: &Sheets<'_>, graph: &JoinGraph, master: FaceId, slave: FaceId) -> Vec<Gap> {
    let group = |f: FaceId| [master, slave].iter().position(|p| *p == f);
    find(sheets, graph, &group, &|a, b| Some(a.min(b)))
}

fn find(
    sheets: &Sheets<'_>,
    graph: &JoinGraph,
    group: &dyn Fn(FaceId) -> Option<usize>,
    larger: &dyn Fn(usize, usize) -> Option<usize>,
) -> Vec<Gap> {
    let shores = Shores::new(sheets, graph);
    let brinks = brinks(&shores, graph, group, false);
    let all = runs(sheets, &brinks, larger);
    all.iter().filter_map(|(pairs, closed)| gap(&shores, &brinks, pairs, *closed, graph.search)).collect()
}

fn gap(shores: &Shores<'_>, brinks: &[Brink], pairs: &[Pair], closed: bool, touching: f64) -> Option<Gap> {
    let edges = [Edge { brinks, spots: pairs.iter().map(|p| p.a).collect() }, Edge { brinks, spots: pairs.iter().map(|p| p.b).collect() }];
    let half = |p: &Pair| p.a.1.point.lerp(p.b.1.point, 0.5);
    let mut line: Vec<Point3> = pairs.iter().map(half).collect();
    if let (true, Some(first)) = (closed, line.first().copied()) {
        line.push(first);
    }
    let mut stations = Vec::new();
    for (coarse, reach) in [(COARSE, 1), (1, COARSE)] {
        let places = spaced(&line, closed, coarse, reach);
        stations = places.iter().filter_map(|&(p, along)| station(shores, &edges, p, along)).collect();
        line = stations.iter().map(|s: &GapStation| s.middle).collect();
        if !closed {
            lengthened(&mut line);
        }
    }
    let whole = closed && stations.len() > FEWEST;
    let mut along = 0.0;
    for i in 1..stations.len() {
        along += stations[i].middle.distance(stations[i - 1].middle);
        stations[i].along = along;
    }
    let mean = stations.iter().map(|s| s.width).sum::<f64>() / stations.len().max(1) as f64;
    // Panels that touch have no gap.
    if stations.len() < 2 || along < LEAST * mean || mean <= touching {
        return None;
    }
    let faces = [0, 1].map(|n| {
        let mut all: Vec<FaceId> = stations.iter().filter_map(|s: &GapStation| s.sides.get(n)).map(|s| s.face).collect();
        all.sort_unstable();
        all.dedup();
        all
    });
    Some(Gap { faces, stations, length: along, closed: whole })
}

/// The polyline run straight on by a step at both ends: where edges end obliquely the first stations found lie within.
fn lengthened(line: &mut Vec<Point3>) {
    if let [first, second, ..] = line.as_slice() {
        let before = *first + (*first - *second);
        line.insert(0, before);
    }
    if let [.., last, end] = line.as_slice() {
        let after = *end + (*end - *last);
        line.push(after);
    }
}

/// Places evenly along a polyline, `coarse` times as far apart as stations, with its direction there taken over `reach` of them to either side.
fn spaced(line: &[Point3], closed: bool, coarse: usize, reach: usize) -> Vec<(Point3, Vec3)> {
    let mut along = vec![0.0];
    for w in line.windows(2) {
        along.push(along.last().copied().unwrap_or(0.0) + w[0].distance(w[1]));
    }
    let Some(&length) = along.last().filter(|l| **l > 0.0) else { return Vec::new() };
    let steps = (length / (coarse as f64 * SPACING.max(SHARE * length))).ceil().max((FEWEST - 1) as f64) as usize;
    let at = |s: f64| {
        let above = along.partition_point(|a| *a < s).clamp(1, line.len() - 1);
        let (low, high) = (along[above - 1], along[above]);
        let share = if high > low { ((s - low) / (high - low)).clamp(0.0, 1.0) } else { 0.0 };
        line[above - 1].lerp(line[above], share)
    };
    let step = length / steps as f64;
    let place = |i: usize| {
        let s = step * i as f64;
        let reach = step * reach as f64;
        let (low, high) = if closed {
            let round = |s: f64| s - (s / length).floor() * length;
            (at(round(s - reach)), at(round(s + reach)))
        } else {
            (at((s - reach).max(0.0)), at((s + reach).min(length)))
        };
        Some((at(s), (high - low).try_normalize()?))
    };
    (0..=steps).filter_map(place).collect()
}
