//! A face as edits see it, and what runs along the sides of its patch.

use super::NoRemedy;
use crate::joins::{Class, Order, SideRef, Track};
use crate::layout::MirrorPlane;
use crate::math::{Interval, Point2};
use crate::measure::Subject;
use crate::model::FaceId;
use crate::nurbs::Surface;
use crate::trial::{Lock, sheet};

/// What runs along a side of a patch.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Along {
    /// Joins, outlines among them.
    pub joins: Vec<usize>,
    /// The best order reached by any of them; None where no border of the face lies there.
    pub order: Option<Order>,
    /// The centre plane, where the face meets its own image.
    pub centre: Option<MirrorPlane>,
    /// True where nothing lies beside it.
    pub open: bool,
}

/// A face in question.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    pub face: FaceId,
    pub patch: Surface,
    pub whole: bool,
    /// Least u, greatest u, least v, greatest v.
    pub sides: [Along; 4],
}

/// Part of a patch's range within which a border runs along its side.
const NEAR: f64 = 1e-6;

/// Places looked at along a piece of a border.
const LOOKS: usize = 5;

impl Ground {
    pub fn new(subject: &Subject<'_>, face: FaceId) -> Result<Self, NoRemedy> {
        let (patch, whole) = sheet(subject.sheets.model, face).map_err(|e| NoRemedy::new(e.to_string()))?;
        let mut sides: [Along; 4] = Default::default();
        for (index, join) in subject.graph.joins.iter().enumerate().filter(|(_, j)| !j.interior && j.faces.contains(&face)) {
            for track in subject.graph.tracks(index) {
                let (stretches, plane): (Vec<(SideRef, (f64, f64))>, _) = match *track {
                    Track::Facing { a, on_a, b, on_b } => (vec![(a, on_a), (b, on_b)], None),
                    Track::Alone { a, on_a } => (vec![(a, on_a)], None),
                    Track::Mirrored { a, on_a, plane, .. } => (vec![(a, on_a)], Some(plane)),
                    Track::Knot { .. } => continue,
                };
                for (at, shares) in stretches.into_iter().filter(|s| s.0.face == face) {
                    let Some(side) = side_of(subject, &patch, at, shares) else { continue };
                    let along = &mut sides[side];
                    along.order = along.order.max(Some(join.class.order()));
                    along.centre = along.centre.or(plane);
                    if !along.joins.contains(&index) {
                        along.open = (along.joins.is_empty() || along.open) && matches!(join.class, Class::Outline | Class::Open);
                        along.joins.push(index);
                    }
                }
            }
        }
        Ok(Self { face, patch, whole, sides })
    }

    /// The side of the patch along which a join runs.
    pub fn side_on(&self, join: usize) -> Option<usize> {
        self.sides.iter().position(|s| s.joins.contains(&join))
    }

    /// The orders that a refit keeps.
    pub fn keep(&self) -> [Option<Order>; 4] {
        [0, 1, 2, 3].map(|i| self.sides[i].order)
    }

    /// The locks under which control points move: every side keeps the order it has, but `free` only its line.
    pub fn locks(&self, free: Option<usize>) -> [Lock; 4] {
        [0, 1, 2, 3].map(|i| {
            let along = &self.sides[i];
            match (along.order, along.centre) {
                (None, _) => Lock::Free,
                (Some(_), None) if free == Some(i) => Lock::Held(Order::G0),
                (Some(order), Some(plane)) => Lock::Centre(order, plane),
                (Some(order), None) => Lock::Held(order),
            }
        })
    }

    /// Rows at a side that its lock keeps still.
    pub fn held(&self, side: usize) -> usize {
        self.sides[side].order.map_or(0, |o| order_number(o) + 1)
    }

    /// True where locks let a control point move, `free` as in [`Ground::locks`].
    pub fn moves(&self, (row, column): (usize, usize), free: Option<usize>) -> bool {
        let (nu, nv) = self.patch.size();
        let held = |i: usize| if free == Some(i) { self.held(i).min(1) } else { self.held(i) };
        row >= held(0) && row + held(1) < nu && column >= held(2) && column + held(3) < nv
    }
}

/// 0 for G0 to 3.
pub(super) fn order_number(order: Order) -> usize {
    match order {
        Order::G0 => 0,
        Order::G1 => 1,
        Order::G2 => 2,
        Order::G3 => 3,
    }
}

/// Which side of a patch a stretch of a border runs along.
fn side_of(subject: &Subject<'_>, patch: &Surface, at: SideRef, (from, to): (f64, f64)) -> Option<usize> {
    let rim = subject.sheets.rim(at)?;
    let share = |i: usize| from + (to - from) * i as f64 / (LOOKS - 1) as f64;
    let places: Vec<Point2> = (0..LOOKS).map(|i| rim.side.at(rim.surface, share(i)).uv).collect();
    let (u, v) = patch.domain();
    let on = |x: fn(&Point2) -> f64, over: Interval, end: f64| places.iter().all(|p| (x(p) - end).abs() <= NEAR * over.length());
    let all = [on(|p| p.u, u, u.low), on(|p| p.u, u, u.high), on(|p| p.v, v, v.low), on(|p| p.v, v, v.high)];
    all.iter().position(|on| *on)
}
