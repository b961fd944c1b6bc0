//! What lies beyond each border of a face.

use super::brink::crossing;
use crate::geometry::{Region, TrimPoint};
use crate::joins::{JoinGraph, Sheets, SideRef, Track};
use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;
use core::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Least cosine between a border and the normal of a plane that leaves the face over it. Larger: slanting borders are walked past; smaller:
/// the end of a gap, where borders run along the section, is taken for its edge.
const CROSSES: f64 = 0.2;

/// A stretch of a face's border.
#[derive(Debug, Clone, Copy)]
struct Shore {
    side: SideRef,
    over: (f64, f64),
    /// The side of the face it meets; None on an outline.
    next: Option<SideRef>,
}

/// The borders of all faces, and the regions of those that were walked on.
pub(super) struct Shores<'a> {
    pub sheets: &'a Sheets<'a>,
    of: BTreeMap<FaceId, Vec<Shore>>,
    regions: RefCell<BTreeMap<FaceId, Option<Rc<Region>>>>,
}

impl<'a> Shores<'a> {
    pub fn new(sheets: &'a Sheets<'a>, graph: &JoinGraph) -> Self {
        let mut of: BTreeMap<FaceId, Vec<Shore>> = BTreeMap::new();
        let range = |(a, b): (f64, f64)| (a.min(b), a.max(b));
        for (i, join) in graph.joins.iter().enumerate() {
            for track in graph.tracks(i) {
                match *track {
                    Track::Facing { a, on_a, b, on_b } => {
                        let next = |side| join.class.meets().then_some(side);
                        of.entry(a.face).or_default().push(Shore { side: a, over: range(on_a), next: next(b) });
                        of.entry(b.face).or_default().push(Shore { side: b, over: range(on_b), next: next(a) });
                    }
                    Track::Alone { a, on_a } | Track::Mirrored { a, on_a, .. } => {
                        of.entry(a.face).or_default().push(Shore { side: a, over: range(on_a), next: None });
                    }
                    Track::Knot { .. } => {}
                }
            }
        }
        Self { sheets, of, regions: RefCell::default() }
    }

    /// The region of a face; None where it has no domain.
    pub fn region(&self, face: FaceId) -> Option<Rc<Region>> {
        if let Some(known) = self.regions.borrow().get(&face) {
            return known.clone();
        }
        let made = self.sheets.domain(face).map(|d| Rc::new(Region::new(d)));
        self.regions.borrow_mut().insert(face, made.clone());
        made
    }

    /// Where a plane leaves a face within `reach` mm of `p`, not by the side it was `entered`, and the side of the face beyond. None where it
    /// runs on along a border.
    pub fn leave(&self, entered: SideRef, p: Point3, plane: (Point3, Vec3), reach: f64) -> Option<(TrimPoint, Option<SideRef>)> {
        let foot = |s: &Shore| {
            let rim = self.sheets.rim(s.side)?;
            let foot = rim.side.trim.closest(rim.surface, p, None);
            let share = foot.s.clamp(s.over.0, s.over.1);
            let at = rim.side.at(rim.surface, share);
            let crosses = at.tangent.dot(plane.1).abs() >= CROSSES * at.tangent.length();
            crosses.then(|| (at.point.distance(p), share, *s)).filter(|x| x.0 <= reach)
        };
        let near = self.of.get(&entered.face)?.iter().filter(|s| s.side != entered).filter_map(foot);
        let (_, share, shore) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((crossing(self.sheets, shore.side, shore.over, share, plane)?, shore.next))
    }

    /// Parameters on a face beyond a border, at a point of that border.
    pub fn enter(&self, side: SideRef, p: Point3) -> Option<Point2> {
        let rim = self.sheets.rim(side)?;
        let foot = rim.side.trim.closest(rim.surface, p, None);
        let (low, high) = rim.shares();
        Some(rim.side.uv(rim.surface, foot.s.clamp(low, high)))
    }
}
