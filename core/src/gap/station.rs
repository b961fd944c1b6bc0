//! A gap with its stations.

use super::brink::BrinkKind;
use super::brinks::WIDEST;
use super::shores::Shores;
use super::side::{Edge, Met, height, outermost, surface_of};
use crate::math::{Point3, Vec3, real};
use crate::model::FaceId;

/// One side of a gap at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapSide {
    /// The panel.
    pub face: FaceId,
    /// What its edge is.
    pub kind: BrinkKind,
    /// The face behind the edge: the rounding, or a flange without one.
    pub behind: Option<FaceId>,
    /// Where the panel ends: on its own border, mm.
    pub border: Point3,
    /// Outermost point of the edge, mm; the border's where it is not rounded.
    pub point: Point3,
    /// Smallest radius of the rounding up to its outermost point, in the plane of the section, mm; 0 of an edge without one.
    pub radius: f64,
}

/// What is measured at one place along a gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapStation {
    /// Arc length along the gap's mid-curve, mm.
    pub along: f64,
    /// Half way between the two outermost points, mm.
    pub middle: Point3,
    /// Master and slave.
    pub sides: [GapSide; 2],
    /// Unit viewing direction, from the viewer's side: the mean of both panels' normals, in the plane of the section.
    pub view: Vec3,
    /// Distance between the outermost points across the viewing direction, mm.
    pub width: f64,
    /// Signed height, mm, of the slave's surface over the master's, both run on to the middle of the gap; None where one of them does
    /// not get there.
    pub flush: Option<f64>,
    /// Angle between the panels, degrees.
    pub fold: f64,
}

/// A gap between two panels.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Faces of the master and of the slave whose edges take part, rising.
    pub faces: [Vec<FaceId>; 2],
    /// Stations along, rising; two at least.
    pub stations: Vec<GapStation>,
    /// Length of the mid-curve, mm.
    pub length: f64,
    /// True when it runs back into itself; the first station then comes again at the end.
    pub closed: bool,
}

/// Length over which a change of width is taken, mm. Larger: a gap that opens within a hand's breadth reads too even; smaller: what
/// trims are off by (0.01 mm) reads as a change of more than a tenth of a
/// millimetre per 100 mm. Common practice, no source.
const BASE: f64 = 10.0;

impl Gap {
    /// Change of width, mm per 100 mm, at each station: over the 10 mm about it (at an end, beside it), the whole of a shorter gap.
    pub fn changes(&self) -> Vec<f64> {
        let base = BASE.min(self.length);
        let slope = |s: &GapStation| {
            let low = if self.closed { s.along - 0.5 * base } else { (s.along - 0.5 * base).clamp(0.0, self.length - base) };
            100.0 * (self.width_at(low + base) - self.width_at(low)) / base
        };
        self.stations.iter().map(slope).collect()
    }

    /// Width at an arc length, straight between stations; round and round on a closed gap.
    fn width_at(&self, along: f64) -> f64 {
        let at = if self.closed { along - (along / self.length).floor() * self.length } else { along };
        let above = self.stations.partition_point(|s| s.along < at).clamp(1, self.stations.len().max(2) - 1);
        let (Some(a), Some(b)) = (self.stations.get(above - 1), self.stations.get(above)) else { return 0.0 };
        let share = ((at - a.along) / (b.along - a.along)).clamp(0.0, 1.0);
        a.width + (b.width - a.width) * share
    }
}

/// The station in the plane through `middle` square to unit `along`; its own arc length is left 0. None where an edge is not met, or
/// the two do not face each other there.
pub(super) fn station(shores: &Shores<'_>, edges: &[Edge<'_>; 2], middle: Point3, along: Vec3) -> Option<GapStation> {
    let [a, b] = edges.each_ref().map(|e| e.met(shores.sheets, middle, along));
    let (a, b) = (a?, b?);
    let (n, m) = normals(&a, &b);
    let view = n + m;
    let view = (view - along * along.dot(view)).try_normalize()?;
    let across = view.cross(along);
    let across = if across.dot(b.spot.point - a.spot.point) < 0.0 { -across } else { across };
    let (p, first) = outermost(shores, &a, along, across)?;
    let (q, second) = outermost(shores, &b, along, -across)?;
    let width = (q - p).dot(across);
    if !(width > 0.0 && width <= WIDEST) {
        return None;
    }
    let centre = p.lerp(q, 0.5);
    let over = |m: &Met<'_>| height(surface_of(shores.sheets, m.brink.panel)?, m.uv, centre, view).filter(|h| h.abs() <= WIDEST);
    let flush = over(&a).zip(over(&b)).map(|(a, b)| b - a);
    let side = |m: &Met<'_>, point, radius| GapSide {
        face: m.brink.panel,
        kind: m.brink.kind,
        behind: m.brink.behind.map(|b| b.face),
        border: m.spot.point,
        point,
        radius,
    };
    let fold = real::angle_between(n, m).to_degrees();
    let sides = [side(&a, p, first), side(&b, q, second)];
    Some(GapStation { along: 0.0, middle: centre, sides, view, width, flush, fold })
}

/// Normals of both panels on one side: a rounding tells which; outlines go by their skins, the master's first.
fn normals(a: &Met<'_>, b: &Met<'_>) -> (Vec3, Vec3) {
    let (n, m) = (a.spot.normal, b.spot.normal);
    match n.dot(m) < 0.0 {
        true if a.brink.kind == BrinkKind::Bare => (-n, m),
        true => (n, -m),
        false => (n, m),
    }
}
