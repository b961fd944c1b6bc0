//! Which stretches of edges face each other, linked end to end.

use super::brink::{Brink, Spot};
use super::brinks::{WIDEST, spots};
use crate::joins::Sheets;
use crate::layout::{Boxes, Item};
use crate::math::real;
use std::collections::BTreeMap;

/// Distance between places at which edges are asked what faces them, mm. Larger: short gaps are missed; smaller: slower.
const SPACING: f64 = 3.0;

/// Least cosine between edges that face each other, between the ways their panels end (opposite), and between a panel's end and the way
/// over the gap. Larger: gaps that open, or that step, go unseen; smaller: edges that cross at a corner count. Common practice, no
/// source.
const PARALLEL: f64 = 0.7;
const OPPOSED: f64 = 0.5;
const HEADING: f64 = 0.3;

/// Largest turn at which a gap runs on from one piece to the next, degrees. Larger: gaps run round the corners of a panel, where their
/// middle has no direction; smaller: gaps fall into pieces. Common practice, no source.
const TURN: f64 = 30.0;

/// A place on the master's edge with what faces it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    /// Edge and place on the master.
    pub a: (usize, Spot),
    /// The same on the slave.
    pub b: (usize, Spot),
}

/// Stretches along which two groups face each other, master first: of two groups the one that `larger` picks, None where they make no gap.
pub(super) fn runs(sheets: &Sheets<'_>, brinks: &[Brink], larger: &dyn Fn(usize, usize) -> Option<usize>) -> Vec<(Vec<Pair>, bool)> {
    let mut all: Vec<(usize, Spot)> = Vec::new();
    for (n, brink) in brinks.iter().enumerate() {
        all.extend(spots(sheets, brink, SPACING).into_iter().map(|s| (n, s)));
    }
    let item = |(id, x): (usize, &(usize, Spot))| Item { low: x.1.point.to_vec(), high: x.1.point.to_vec(), id };
    let boxes = Boxes::new(all.iter().enumerate().map(item).collect());
    let most = brinks.iter().map(|b| b.reach).fold(0.0, f64::max);
    let nearest = |i: usize| -> Option<usize> {
        let x = all.get(i)?;
        let own = brinks.get(x.0)?;
        let mut best: Option<(f64, usize)> = None;
        boxes.each_near(x.1.point, WIDEST + own.reach + most, |j| {
            let (Some(y), true) = (all.get(j), i != j) else { return };
            let Some(other) = brinks.get(y.0).filter(|o| o.group != own.group && larger(own.group, o.group).is_some()) else { return };
            let distance = y.1.point.distance(x.1.point);
            if distance <= WIDEST + own.reach + other.reach && facing(&x.1, &y.1) && best.is_none_or(|b| (distance, j) < b) {
                best = Some((distance, j));
            }
        });
        best.map(|b| b.1)
    };
    let found: Vec<Option<usize>> = (0..all.len()).map(nearest).collect();
    let mut pieces: Vec<Vec<Pair>> = Vec::new();
    let mut last: Option<(usize, usize)> = None;
    for (i, x) in all.iter().enumerate() {
        let pair = found.get(i).copied().flatten().and_then(|j| {
            let y = all.get(j)?;
            let groups = (brinks.get(x.0)?.group, brinks.get(y.0)?.group);
            // What faces the place must look back at about the same place: of two edges in a row only the nearer one.
            let back = all.get(found.get(j).copied().flatten()?)?;
            let mutual = back.1.point.distance(x.1.point) <= 2.0 * SPACING + 0.1 * x.1.point.distance(y.1.point);
            (mutual && larger(groups.0, groups.1) == Some(groups.0)).then_some((Pair { a: *x, b: *y }, groups.1))
        });
        let Some((pair, slave)) = pair else {
            last = None;
            continue;
        };
        match (pieces.last_mut(), last) {
            (Some(piece), Some(l)) if l == (x.0, slave) => piece.push(pair),
            _ => pieces.push(vec![pair]),
        }
        last = Some((x.0, slave));
    }
    pieces.retain(|p| p.len() > 1);
    linked(brinks, pieces)
}

fn facing(x: &Spot, y: &Spot) -> bool {
    let way = y.point - x.point;
    let heads = |out: crate::math::Vec3, way: crate::math::Vec3| way.length() < 1e-9 || out.dot(way) >= HEADING * way.length();
    let (s, t) = (Brink::along(x), Brink::along(y));
    s.dot(t).abs() >= PARALLEL
        && x.out.dot(y.out) <= -OPPOSED
        && heads(x.out, way)
        && heads(y.out, -way)
        && x.normal.dot(y.normal).abs() >= OPPOSED
}

/// Pieces that follow each other put together, with whether the whole runs back into itself.
fn linked(brinks: &[Brink], pieces: Vec<Vec<Pair>>) -> Vec<(Vec<Pair>, bool)> {
    let groups = |p: &Pair| (brinks.get(p.a.0).map(|b| b.group), brinks.get(p.b.0).map(|b| b.group));
    let mut near: Vec<(f64, usize, usize)> = Vec::new();
    for (i, p) in pieces.iter().enumerate() {
        for (j, q) in pieces.iter().enumerate() {
            if let (Some(end), Some(start)) = (p.last(), q.first())
                && groups(end) == groups(start)
            {
                let distance = end.a.1.point.distance(start.a.1.point);
                let turn = real::angle_between(Brink::along(&end.a.1), Brink::along(&start.a.1)).to_degrees();
                let itself = i == j && p.len() < 6;
                if distance <= 2.0 * SPACING && turn <= TURN && !itself {
                    near.push((distance, i, j));
                }
            }
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let (mut next, mut before): (BTreeMap<usize, usize>, BTreeMap<usize, usize>) = (BTreeMap::new(), BTreeMap::new());
    for (_, i, j) in near {
        if !next.contains_key(&i) && !before.contains_key(&j) {
            next.insert(i, j);
            before.insert(j, i);
        }
    }
    let mut used = vec![false; pieces.len()];
    let heads: Vec<usize> = (0..pieces.len()).filter(|i| !before.contains_key(i)).chain(0..pieces.len()).collect();
    let mut all = Vec::new();
    for head in heads {
        let (mut run, mut at, mut end) = (Vec::new(), Some(head), head);
        while let Some(i) = at.filter(|&i| !used[i]) {
            used[i] = true;
            end = i;
            run.extend(pieces[i].iter().copied());
            at = next.get(&i).copied();
        }
        if !run.is_empty() {
            all.push((run, next.get(&end) == Some(&head)));
        }
    }
    all
}
