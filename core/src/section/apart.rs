//! How far the cuts of two models by one plane lie apart.

use super::SectionLine;
use crate::layout::{Boxes, Item};
use crate::math::{Point3, Vec3};

/// Largest distance, mm, from a point of one set of sections to the nearest place of the other set, whichever way it is larger, and that
/// point; None where either set has no line. Lines count as straight between their points, so the distance is off by no more than they
/// were traced with.
pub fn apart(a: &[SectionLine], b: &[SectionLine]) -> Option<(f64, Point3)> {
    let (on, back) = (farthest(a, b)?, farthest(b, a)?);
    Some(if back.0 > on.0 { back } else { on })
}

/// The point of `from` that is farthest from `to`.
fn farthest(from: &[SectionLine], to: &[SectionLine]) -> Option<(f64, Point3)> {
    let ends = |w: &[super::SectionPoint]| Some((w.first()?.point.to_vec(), w.last()?.point.to_vec()));
    let all: Vec<(Vec3, Vec3)> = to.iter().flat_map(|l| l.points.windows(2)).filter_map(ends).collect();
    if all.is_empty() {
        return None;
    }
    let boxes = Boxes::new(all.iter().enumerate().map(|(id, (p, q))| Item { low: p.min(*q), high: p.max(*q), id }).collect());
    let mut worst: Option<(f64, Point3)> = None;
    for p in from.iter().flat_map(|l| &l.points).map(|p| p.point) {
        let beaten = worst.map_or(-1.0, |w| w.0);
        let mut least = f64::INFINITY;
        boxes.nearest(p, f64::INFINITY, |id, _| {
            least = all.get(id).map_or(least, |s| least.min(square_to(p.to_vec(), *s)));
            // A place this near makes the point no matter: nothing nearer is looked for.
            if least <= beaten { 0.0 } else { least }
        });
        if least > beaten {
            worst = Some((least, p));
        }
    }
    worst.map(|(square, p)| (square.sqrt(), p))
}

/// Square of the distance of a point from a straight line between two others.
fn square_to(p: Vec3, (a, b): (Vec3, Vec3)) -> f64 {
    let along = b - a;
    let length = along.length_squared();
    let t = if length > 0.0 { ((p - a).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
    p.distance_squared(a + along * t)
}
