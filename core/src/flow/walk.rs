//! A stripe edge walked from end to end, over all its faces.

use super::reading::Reading;
use super::stripes::{Line, Stripes};
use crate::highlight::LampRig;
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point3, Vec3};
use crate::model::FaceId;

/// A place on a stripe edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Length from the start, mm.
    pub along: f64,
    /// Position.
    pub point: Point3,
    /// The face.
    pub face: FaceId,
    /// Unit tangent, in the direction of the walk.
    pub tangent: Vec3,
    /// Unit normal, on the skin's one side.
    pub normal: Vec3,
    /// Distance to the next stripe, to first order: lamp spacing over the slope of the stripe function, mm.
    pub spacing: f64,
}

/// The stops of a line. Points at which the stripe has no tangent, or the function no slope, are left out.
pub fn walk(rig: &LampRig, sheets: &Sheets<'_>, graph: &JoinGraph, stripes: &Stripes, line: &Line) -> Vec<Stop> {
    let mut stops: Vec<Stop> = Vec::new();
    let (mut along, mut last) = (0.0, None::<Point3>);
    for &(index, back) in &line.pieces {
        let Some((id, piece)) = stripes.pieces.get(index) else { continue };
        let Some(face) = sheets.face(*id) else { continue };
        let side = graph.orientation.sign(*id);
        let count = piece.uv.len();
        for k in 0..count {
            let at = if back { count - 1 - k } else { k };
            let (Some(uv), Some(&point)) = (piece.uv.get(at), piece.points.get(at)) else { continue };
            along += last.map_or(0.0, |p| p.distance(point));
            last = Some(point);
            let derivs = face.surface.derivs(uv.u, uv.v, 3);
            let Some(reading) = Reading::at(rig, &derivs) else { continue };
            let (Some(stripe), Some(gradient)) = (reading.stripe(), reading.gradient()) else { continue };
            let Some(normal) = derivs.su.cross(derivs.sv).try_normalize() else { continue };
            stops.push(Stop {
                along,
                point,
                face: *id,
                tangent: if back { -stripe.tangent } else { stripe.tangent },
                normal: normal * side,
                spacing: rig.spacing / gradient.length(),
            });
        }
    }
    stops
}
