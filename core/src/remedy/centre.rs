//! The remedy of rows that do not cross the centre plane square to it.

use super::ground::{Ground, order_number};
use super::refit::face_of;
use super::{NoRemedy, Remedy};
use crate::finding::{Finding, MeasureId};
use crate::joins::Order;
use crate::layout::MirrorPlane;
use crate::math::{Vec3, distinct};
use crate::measure::Subject;
use crate::model::FaceId;
use crate::trial::{Drag, Edit, Lock};

/// Part of the patch's size by which a border row may lie off the plane and still be meant to lie on it. Larger: rows beside the plane
/// are pulled onto it; smaller: those that miss it are not mended.
const NEAR: f64 = 1e-2;

/// Moves below this are none, mm.
const STILL: f64 = 1e-9;

/// The legs of the first rows turned along the plane's normal, and the border laid on the plane where that is asked for; on both faces
/// where another meets this one on the plane. Outlines across may slide; joins there keep the order they have at first, then their line.
pub(super) fn squared(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let plane = subject.graph.mirror.as_ref().map_or(MirrorPlane::Y, |m| m.plane);
    let ground = Ground::new(subject, face_of(finding)?)?;
    let side = border(&ground, plane).ok_or_else(|| NoRemedy::new("no side of the patch runs along the centre plane"))?;
    let mut grounds = vec![(ground.clone(), side)];
    for face in beside(subject, &ground, side) {
        let other = Ground::new(subject, face)?;
        grounds.extend(border(&other, plane).map(|side| (other, side)));
    }
    let onto = finding.measure == MeasureId::CentrePosition;
    let mut all: Vec<Remedy> = Vec::new();
    for (order, kept) in [(Order::G3, ""), (Order::G0, ", the borders beside kept in place only")] {
        let edits: Vec<Edit> = grounds.iter().flat_map(|(ground, side)| moves(ground, *side, plane, order, onto)).collect();
        if !edits.is_empty() && all.iter().all(|r| r.edits != edits) {
            all.push(Remedy { name: format!("Turn the first legs square to the centre plane{kept}"), edits });
        }
    }
    if all.is_empty() { Err(NoRemedy::new("the rows that are off lie at sides that must stay")) } else { Ok(all) }
}

/// The side that lies on the plane, or nearly.
fn border(ground: &Ground, plane: MirrorPlane) -> Option<usize> {
    let points = ground.patch.points();
    let size = points.iter().map(|p| p.distance(points[0])).fold(0.0, f64::max);
    let off = |side: usize| row(ground, side, 0).into_iter().map(|k| plane.height(points[index(ground, k)]).abs()).fold(0.0, f64::max);
    let nearest = (0..4).map(|side| (off(side), side)).reduce(|a, b| if b.0 < a.0 { b } else { a })?;
    (nearest.0 <= NEAR * size).then_some(nearest.1)
}

/// The control points of a row, counted from a side.
fn row(ground: &Ground, side: usize, depth: usize) -> Vec<(usize, usize)> {
    let (nu, nv) = ground.patch.size();
    match side {
        0 => (0..nv).map(|j| (depth.min(nu - 1), j)).collect(),
        1 => (0..nv).map(|j| (nu.saturating_sub(1 + depth), j)).collect(),
        2 => (0..nu).map(|i| (i, depth.min(nv - 1))).collect(),
        _ => (0..nu).map(|i| (i, nv.saturating_sub(1 + depth))).collect(),
    }
}

fn index(ground: &Ground, (i, j): (usize, usize)) -> usize {
    i * ground.patch.size().1 + j
}

/// The moves that locks allow, which keep the sides across up to an order at most.
fn moves(ground: &Ground, side: usize, plane: MirrorPlane, most: Order, onto: bool) -> Vec<Edit> {
    let mut locks = ground.locks(None);
    // What the plane asks for is what is mended.
    locks[side] = Lock::Free;
    for (lock, along) in locks.iter_mut().zip(&ground.sides) {
        match lock {
            Lock::Held(_) if along.open => *lock = Lock::Free,
            Lock::Held(order) => *lock = Lock::Held((*order).min(most)),
            _ => {}
        }
    }
    let n = plane.normal();
    let points = ground.patch.points();
    let (nu, nv) = ground.patch.size();
    let held = |i: usize| match locks[i] {
        Lock::Held(order) => order_number(order) + 1,
        _ => 0,
    };
    let free = |(i, j): (usize, usize)| i >= held(0) && i + held(1) < nu && j >= held(2) && j + held(3) < nv;
    let mut all = Vec::new();
    for (first, second) in row(ground, side, 0).into_iter().zip(row(ground, side, 1)) {
        let (p, q) = (points[index(ground, first)], points[index(ground, second)]);
        let down = if onto { n * -plane.height(p) } else { Vec3::ZERO };
        let leg = q - p;
        let square = n * leg.dot(n) - leg;
        all.extend([(first, down), (second, square)].into_iter().filter(|m| m.1.length() > STILL && free(m.0)));
    }
    all.into_iter().map(|(point, by)| Edit::Drag(Drag { face: ground.face, point, by, reach: (0, 0), locks, twin: None })).collect()
}

/// The faces that meet this one on the plane along its border.
fn beside(subject: &Subject<'_>, ground: &Ground, side: usize) -> Vec<FaceId> {
    let joins = ground.sides[side].joins.iter().filter_map(|&j| subject.graph.joins.get(j)).filter(|j| j.centre);
    distinct(joins.flat_map(|j| j.faces.iter().copied()).filter(|&f| f != ground.face))
}
