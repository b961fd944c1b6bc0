//! Flanges and hems: what hangs behind a panel's edge and ends in an outline.

use super::brink::{Brink, Spot};
use super::brinks::brinks;
use super::shores::Shores;
use super::walk::{BORDER, Cut, LARGEST, TURN};
use crate::joins::{Class, JoinGraph, Sheets, SideRef};
use crate::math::{Point3, real};
use crate::model::FaceId;
use std::collections::BTreeSet;

/// Widest flange, mm. Larger: the sides of boxes count as flanges; smaller: deep ones go unseen. Common practice, no source.
const DEEPEST: f64 = 60.0;

/// Longest step, mm. Larger: small returns are stepped over; smaller: slower.
const LONG: f64 = 2.0;

/// Most steps over one face: a whole turn and the widest flange. Fewer: tight returns are left early; more: slower round tubes.
const STEPS: usize = 200;

/// Faces one behind the other, and places along an edge.
const FACES: usize = 5;
const PLACES: [f64; 3] = [0.15, 0.5, 0.85];

/// A flange or a hem along one edge of a panel, read at three places.
#[derive(Debug, Clone, PartialEq)]
pub struct Flange {
    /// The panel.
    pub panel: FaceId,
    /// The faces behind its edge as far as the outline, rising.
    pub faces: Vec<FaceId>,
    /// Least and greatest length, mm, of its section from the end of the rounding to the outline.
    pub width: (f64, f64),
    /// Least and greatest angle, degrees, by which it is turned out of the panel: 90 of a flange square to it, 180 of a hem.
    pub angle: (f64, f64),
    /// Smallest radius of the return, mm; 0 where it is sharp.
    pub radius: f64,
    /// On the panel's edge where it is narrowest, mm.
    pub place: Point3,
    /// Length of the panel's edge, mm.
    pub length: f64,
}

struct Fall {
    width: f64,
    angle: f64,
    radius: f64,
    faces: Vec<FaceId>,
}

/// All flanges. Skins without an outline have none.
pub fn flanges(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<Flange> {
    let mut open = vec![false; sheets.model.faces.len()];
    let outlined: BTreeSet<FaceId> =
        graph.joins.iter().filter(|j| j.class == Class::Outline).filter_map(|j| j.faces.first().copied()).collect();
    for skin in graph.orientation.skins.iter().filter(|s| s.faces.len() > 1 && s.faces.iter().any(|f| outlined.contains(f))) {
        for f in &skin.faces {
            if let Some(o) = open.get_mut(f.index()) {
                *o = true;
            }
        }
    }
    let shores = Shores::new(sheets, graph);
    let all = brinks(&shores, graph, &|f| open.get(f.index()).copied().unwrap_or(false).then_some(0), true);
    all.iter().filter_map(|b| flange(&shores, b)).collect()
}

fn flange(shores: &Shores<'_>, brink: &Brink) -> Option<Flange> {
    let behind = brink.behind?;
    let mut read: Vec<(Spot, Fall)> = Vec::new();
    for x in PLACES {
        let spot = brink.spot(shores.sheets, brink.over.0 + (brink.over.1 - brink.over.0) * x)?;
        read.extend(fall(shores, behind, &spot).map(|f| (spot, f)));
    }
    // Beside its ends a flange may be cut off.
    if read.len() < PLACES.len() - 1 {
        return None;
    }
    let over = |of: &dyn Fn(&Fall) -> f64| read.iter().map(|r| of(&r.1)).fold((f64::INFINITY, 0.0f64), |(l, h), x| (l.min(x), h.max(x)));
    let narrow = read.iter().min_by(|a, b| a.1.width.total_cmp(&b.1.width))?;
    let mut faces: Vec<FaceId> = read.iter().flat_map(|r| r.1.faces.iter().copied()).collect();
    faces.sort_unstable();
    faces.dedup();
    let radius = over(&|f| f.radius).0;
    Some(Flange {
        panel: brink.panel,
        faces,
        width: over(&|f| f.width),
        angle: over(&|f| f.angle),
        radius: if brink.kind == super::BrinkKind::Sharp || !radius.is_finite() { 0.0 } else { radius },
        place: narrow.0.point,
        length: brink.length,
    })
}

/// Follows the section behind an edge down to an outline.
fn fall(shores: &Shores<'_>, behind: SideRef, from: &Spot) -> Option<Fall> {
    let along = Brink::along(from);
    let turn = if along.cross(from.out).dot(from.normal) < 0.0 { -1.0 } else { 1.0 };
    let (mut side, mut at, mut ahead) = (behind, from.point, None);
    let mut fall = Fall { width: 0.0, angle: 0.0, radius: f64::INFINITY, faces: Vec::new() };
    for _ in 0..FACES {
        let face = shores.sheets.face(side.face)?;
        let region = shores.region(side.face)?;
        fall.faces.push(side.face);
        let cut = Cut { surface: &face.surface, middle: from.point, along, turn };
        let uv = shores.enter(side, at)?;
        // Behind a sharp edge the way leads into the face, not on in the panel's direction.
        let inward = || {
            let rim = shores.sheets.rim(side)?;
            rim.border(rim.side.trim.closest(rim.surface, at, None).s).conormal()
        };
        let mut here = cut.stop(uv, ahead.or_else(inward)?)?;
        let mut left = STEPS;
        loop {
            // Round a tube the way would never end: what rolls counts for no width.
            left = left.checked_sub(1)?;
            let rolls = here.curvature.abs() * LARGEST >= 1.0;
            if rolls {
                (fall.width, fall.radius) = (0.0, fall.radius.min(1.0 / here.curvature.abs()));
            }
            let step = (TURN / here.curvature.abs()).min(LONG);
            let next = cut.on(&here, step)?;
            if !region.contains(next.uv)
                && let Some((edge, beyond)) = shores.leave(side, next.point, (from.point, along), BORDER + 2.0 * step)
            {
                let last = cut.stop(edge.uv, here.tangent)?;
                if !(rolls && last.curvature.abs() * LARGEST >= 1.0) {
                    fall.width += last.point.distance(here.point);
                }
                fall.angle = real::angle_between(from.out, last.tangent).to_degrees();
                let Some(beyond) = beyond else { return (fall.width > 0.0).then_some(fall) };
                (side, at, ahead) = (beyond, last.point, Some(last.tangent));
                break;
            }
            fall.width += step;
            if fall.width > DEEPEST {
                return None;
            }
            here = next;
        }
    }
    None
}
