//! All edges that could take part in a gap.

use super::brink::{Brink, BrinkKind, Spot};
use super::shores::Shores;
use super::walk::{FALLS_AWAY, roll};
use crate::joins::{Class, Join, JoinGraph, Role, Sheets, SideRef, Track};
use crate::layout::{Boxes, Item};
use crate::math::{Point3, real};
use crate::model::FaceId;

/// Widest gap, mm (measures §7; common practice, no source).
pub(super) const WIDEST: f64 = 12.0;

/// Distance between the borders of two panels, mm, beyond which no gap lies between them, whatever their roundings.
const APART: f64 = WIDEST + 2.0 * super::walk::LARGEST;

/// Edges of faces that `group` gives a number: all of them, or those near one of another number.
pub(super) fn brinks(shores: &Shores<'_>, graph: &JoinGraph, group: &dyn Fn(FaceId) -> Option<usize>, all: bool) -> Vec<Brink> {
    let mut some: Vec<(Candidate, usize)> = Vec::new();
    for (i, join) in graph.joins.iter().enumerate().filter(|(_, j)| !j.interior && !j.mirrored) {
        for candidate in candidates(graph, i, join) {
            some.extend(group(candidate.side.face).map(|g| (candidate, g)));
        }
    }
    let near = if all { vec![true; some.len()] } else { near_others(graph, &some) };
    let some = some.into_iter().zip(near).filter(|x| x.1);
    some.filter_map(|((c, g), _)| brink(shores, graph, &c, g)).collect()
}

/// A piece of a join, seen from one of its faces.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    join: usize,
    kind: BrinkKind,
    side: SideRef,
    on: (f64, f64),
    behind: Option<(SideRef, (f64, f64))>,
}

fn candidates(graph: &JoinGraph, index: usize, join: &Join) -> Vec<Candidate> {
    let role = |f: FaceId| graph.roles.get(f.index()).copied();
    let mut all = Vec::new();
    for track in graph.tracks(index) {
        match *track {
            Track::Alone { a, on_a } if join.class == Class::Outline => {
                all.push(Candidate { join: index, kind: BrinkKind::Bare, side: a, on: on_a, behind: None });
            }
            Track::Facing { a, on_a, b, on_b } if join.class.meets() && a.face != b.face => {
                let sharp = join.summaries.angle.is_some_and(|s| s.mean >= FALLS_AWAY);
                for (own, on, other, on_other) in [(a, on_a, b, on_b), (b, on_b, a, on_a)] {
                    let rolls = role(other.face) == Some(Role::Transition) && role(own.face) != Some(Role::Transition);
                    let kind = if sharp { BrinkKind::Sharp } else { BrinkKind::Rounded };
                    if sharp || rolls {
                        all.push(Candidate { join: index, kind, side: own, on, behind: Some((other, on_other)) });
                    }
                }
            }
            _ => {}
        }
    }
    all
}

/// Which candidates run near one of another group: only those are looked at any further.
fn near_others(graph: &JoinGraph, some: &[(Candidate, usize)]) -> Vec<bool> {
    let mut segments: Vec<(usize, usize, Point3, Point3)> = Vec::new();
    for (n, (c, group)) in some.iter().enumerate() {
        let stations = graph.joins.get(c.join).map_or(&[][..], |j| j.stations.as_slice());
        segments.extend(stations.windows(2).map(|w| (n, *group, w[0].p, w[1].p)));
    }
    let item = |(id, s): (usize, &(usize, usize, Point3, Point3))| {
        let (a, b) = (s.2.to_vec(), s.3.to_vec());
        Item { low: a.min(b), high: a.max(b), id }
    };
    let mut near = vec![false; some.len()];
    if some.iter().all(|s| Some(s.1) == some.first().map(|f| f.1)) {
        return near;
    }
    let boxes = Boxes::new(segments.iter().enumerate().map(item).collect());
    for s in &segments {
        if near[s.0] {
            continue;
        }
        let mut found = false;
        boxes.each_near(s.2.lerp(s.3, 0.5), APART + 0.5 * s.2.distance(s.3), |id| {
            found |= segments.get(id).is_some_and(|t| t.1 != s.1);
        });
        near[s.0] = found;
    }
    near
}

/// The edge of a candidate, where it is one: an outline, or a border behind which the surface falls away far enough.
fn brink(shores: &Shores<'_>, graph: &JoinGraph, c: &Candidate, group: usize) -> Option<Brink> {
    let sheets = shores.sheets;
    let over = (c.on.0.min(c.on.1), c.on.0.max(c.on.1));
    let rim = sheets.rim(c.side)?;
    let length = rim.side.trim.node_length() * (over.1 - over.0);
    let mut brink = Brink {
        kind: c.kind,
        panel: c.side.face,
        side: c.side,
        over,
        behind: c.behind.map(|b| b.0),
        group,
        sign: graph.orientation.sign(c.side.face),
        reach: 0.0,
        length,
    };
    let Some((behind, on_behind)) = c.behind else { return Some(brink) };
    let raw = Brink { sign: 1.0, ..brink.clone() };
    let at = |x: f64| c.on.0 + (c.on.1 - c.on.0) * x;
    let falls = FALLS_AWAY.to_radians();
    if c.kind == BrinkKind::Sharp {
        let spot = raw.spot(sheets, at(0.5))?;
        let other = sheets.rim(behind)?;
        let foot = other.side.trim.closest(other.surface, spot.point, Some(0.5 * (on_behind.0 + on_behind.1)));
        let inward = other.border(foot.s).conormal()?;
        let turn = real::angle_between(spot.out, inward);
        brink.sign = if inward.dot(spot.normal) < 0.0 { 1.0 } else { -1.0 };
        // A sheet folded back on itself is a hem that was pressed flat: it has an edge, too.
        return (turn >= falls).then_some(brink);
    }
    let mut signs = 0.0;
    for x in [0.25, 0.5, 0.75] {
        let spot = raw.spot(sheets, at(x))?;
        let along = Brink::along(&spot);
        let roll = roll(shores, behind, spot.point, (spot.normal, spot.out), along, None)?;
        if roll.turned < falls || !roll.radius.is_finite() || roll.radius > super::walk::LARGEST {
            return None;
        }
        brink.reach = brink.reach.max((roll.outermost - spot.point).dot(spot.out));
        signs += roll.sign;
    }
    brink.sign = if signs < 0.0 { -1.0 } else { 1.0 };
    Some(brink)
}

/// Places along an edge, `spacing` mm apart, both ends included, in the order in which it runs with the panel on its left.
pub(super) fn spots(sheets: &Sheets<'_>, brink: &Brink, spacing: f64) -> Vec<Spot> {
    const MOST: f64 = 400.0;
    let count = (brink.length / spacing).ceil().clamp(4.0, MOST) as usize;
    let at = |i: usize| brink.over.0 + (brink.over.1 - brink.over.0) * i as f64 / count as f64;
    let mut all: Vec<Spot> = (0..=count).filter_map(|i| brink.spot(sheets, at(i))).collect();
    let forward: f64 = all.windows(2).map(|w| (w[1].point - w[0].point).dot(Brink::along(&w[0]))).sum();
    if forward < 0.0 {
        all.reverse();
    }
    all
}
