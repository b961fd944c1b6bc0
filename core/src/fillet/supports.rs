//! The faces a fillet leads between, run on in a section until they meet: the theoretical edge, and rounds between them.

use super::across::{Step, advance};
use crate::geometry::Surface;
use crate::math::{Point3, Vec3};
use crate::section::Plane;

/// A face beside a fillet in a section: from where the fillet touches it on towards the other one.
#[derive(Debug, Clone, Copy)]
pub struct Support<'a> {
    /// Its surface.
    pub surface: &'a Surface,
    /// Where the fillet touches it, heading into the fillet.
    pub touch: Step,
    /// Unit direction there, in the section, towards the side on which the fillet's centre lies.
    pub inner: Vec3,
}

/// Most rounds of running on. Good pairs need four.
const ROUNDS: usize = 30;
/// Distance left, as a share of the way between the touching points, at which the two have met.
const MET: f64 = 1e-9;
/// Sine of the angle below which two run on beside each other and do not meet.
const PARALLEL: f64 = 0.02;

impl Support<'_> {
    /// Direction towards the centre's side at a place along it: square to the way, on the side it is on at the touching point.
    fn inner_at(&self, plane: &Plane, here: &Step) -> Vec3 {
        let side = plane.normal.cross(self.touch.heading).dot(self.inner).signum();
        plane.normal.cross(here.heading) * side
    }

    /// Curvature at a place, positive where it bends towards the centre's side.
    fn bend(&self, plane: &Plane, here: &Step) -> f64 {
        here.curvature * here.normal.dot(self.inner_at(plane, here)).signum()
    }
}

/// Where the tangent lines at both touching points meet; None where they are parallel.
pub fn tangents_meet(plane: &Plane, [a, b]: [&Step; 2]) -> Option<Point3> {
    let (x, _) = lines_meet(plane, (a.point, a.heading), (b.point, b.heading))?;
    Some(a.point + a.heading * x)
}

/// Distances along both lines to where they meet in the plane.
fn lines_meet(plane: &Plane, (p, d): (Point3, Vec3), (q, e): (Point3, Vec3)) -> Option<(f64, f64)> {
    let cross = |u: Vec3, v: Vec3| plane.normal.dot(u.cross(v));
    let sine = cross(d, e);
    (sine.abs() > PARALLEL).then(|| (cross(q - p, e) / sine, cross(q - p, d) / sine))
}

/// The places on both supports at which a circle of radius `radius` touches both, on the centre's side; with a radius of 0 both
/// are the theoretical edge. Newton's method on the supports' offset curves in the plane. None where they do not meet within
/// four times the distance between the touching points.
pub fn round(plane: &Plane, [a, b]: [&Support<'_>; 2], radius: f64) -> Option<[Step; 2]> {
    let far = 4.0 * a.touch.point.distance(b.touch.point);
    let (mut p, mut q) = (a.touch, b.touch);
    for _ in 0..ROUNDS {
        let (to_a, to_b) = (a.inner_at(plane, &p) * radius, b.inner_at(plane, &q) * radius);
        let (x, y) = lines_meet(plane, (p.point + to_a, p.heading), (q.point + to_b, q.heading))?;
        // An offset curve runs slower than its curve where that bends towards it.
        let (x, y) = (x / (1.0 - radius * a.bend(plane, &p)), y / (1.0 - radius * b.bend(plane, &q)));
        if !(x.abs() < far && y.abs() < far) {
            return None;
        }
        if x.abs().max(y.abs()) <= MET * far {
            return Some([p, q]);
        }
        (p, q) = (on(a.surface, plane, &p, x)?, on(b.surface, plane, &q, y)?);
        if p.along.abs().max(q.along.abs()) > far {
            return None;
        }
    }
    None
}

fn on(surface: &Surface, plane: &Plane, from: &Step, length: f64) -> Option<Step> {
    if length == 0.0 { Some(*from) } else { advance(surface, plane, from, length) }
}
