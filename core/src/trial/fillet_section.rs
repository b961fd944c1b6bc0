//! Where two faces meet in a plane, and how each comes to that place.

use super::TrialError;
use crate::math::least_squares::LeastSquares;
use crate::math::{Point2, Point3, Vec3, real};
use crate::nurbs::Surface;
use crate::section::Plane;

/// Steps of Newton's method; what it must come down to, as a share of the size of what is looked at.
const STEPS: usize = 40;
const MET: f64 = 1e-12;

/// Openings of the theoretical edge between which it means something, degrees (measures §6).
const OPENINGS: (f64, f64) = (10.0, 170.0);

/// A place on a face in a plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leg {
    pub point: Point3,
    /// Unit, in the plane, towards the theoretical edge.
    pub heading: Vec3,
    /// Curvature vector of the face's section by the plane, 1/mm.
    pub curvature: Vec3,
}

/// Where two faces, run on, meet in a plane, from feet on both; and the interior angle there, radians.
pub(super) fn theoretical_edge(
    faces: [&Surface; 2],
    seeds: [Point2; 2],
    plane: &Plane,
    touch: [Point3; 2],
) -> Result<(Point3, f64), TrialError> {
    let far = touch[0].distance(touch[1]);
    let [mut a, mut b] = seeds;
    let failed = TrialError::Other("the faces, run on, do not meet in a section");
    for _ in 0..STEPS {
        let (p, q) = (faces[0].derivs(a.u, a.v, 1), faces[1].derivs(b.u, b.v, 1));
        let gap = p.s - q.s;
        let height = plane.distance(p.s);
        if gap.length().max(height.abs()) <= MET * (far + p.s.to_vec().length()) {
            let n = plane.normal;
            let towards = |d: &crate::nurbs::SurfaceDerivs, t: Point3| {
                let line = d.su.cross(d.sv).cross(n).normalize_or_zero();
                if line.dot(t - d.s) < 0.0 { -line } else { line }
            };
            let opening = real::angle_between(towards(&p, touch[0]), towards(&q, touch[1]));
            let within = (OPENINGS.0..=OPENINGS.1).contains(&opening.to_degrees());
            return if within {
                Ok((p.s, opening))
            } else {
                Err(TrialError::Other("the theoretical edge is too open or too sharp to mean something"))
            };
        }
        let mut system = LeastSquares::new(4, 1);
        for axis in 0..3 {
            system.add(0, &[p.su[axis], p.sv[axis], -q.su[axis], -q.sv[axis]], &[-gap[axis]]);
        }
        system.add(0, &[p.su.dot(plane.normal), p.sv.dot(plane.normal)], &[-height]);
        let step: Vec<f64> = system.solve().map_err(|_| failed.clone())?.into_iter().flatten().collect();
        let [x, y, z, w] = *step.as_slice() else { return Err(failed) };
        a = Point2::new(a.u + x, a.v + y);
        b = Point2::new(b.u + z, b.v + w);
        if !(a.is_finite() && b.is_finite()) {
            return Err(failed);
        }
    }
    Err(failed)
}

impl Leg {
    /// The place on a face in a plane at a distance from the theoretical edge, near a seed.
    pub fn at(face: &Surface, seed: Point2, plane: &Plane, edge: Point3, distance: f64) -> Result<Self, TrialError> {
        let failed = TrialError::Other("a face does not reach as far from the theoretical edge as the setback");
        let mut uv = seed;
        for _ in 0..STEPS {
            let d = face.derivs(uv.u, uv.v, 2);
            let out = d.s - edge;
            let (height, off) = (plane.distance(d.s), out.length() - distance);
            let size = distance + d.s.to_vec().length();
            if height.abs().max(off.abs()) <= MET * size {
                return Self::of(&d, plane, edge).ok_or(failed);
            }
            let away = out.try_normalize().ok_or(failed.clone())?;
            let (a, b, c, e) = (d.su.dot(plane.normal), d.sv.dot(plane.normal), d.su.dot(away), d.sv.dot(away));
            let det = a * e - b * c;
            if det == 0.0 {
                break;
            }
            uv = Point2::new(uv.u - (e * height - b * off) / det, uv.v - (a * off - c * height) / det);
            if !uv.is_finite() {
                break;
            }
        }
        Err(failed)
    }

    fn of(d: &crate::nurbs::SurfaceDerivs, plane: &Plane, edge: Point3) -> Option<Self> {
        let normal = d.su.cross(d.sv).try_normalize()?;
        let line = normal.cross(plane.normal).try_normalize()?;
        let heading = if line.dot(edge - d.s) < 0.0 { -line } else { line };
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let (p, q) = (heading.dot(d.su), heading.dot(d.sv));
        let (x, y) = ((g * p - f * q) / det, (e * q - f * p) / det);
        let bent = (d.suu * (x * x) + d.suv * (2.0 * x * y) + d.svv * (y * y)).dot(normal);
        // Meusnier: the plane's section bends in the plane, with the normal curvature as its part along the normal.
        let side = plane.normal.cross(heading);
        let share = side.dot(normal);
        let curvature = side * (bent / share);
        (d.s.is_finite() && curvature.is_finite()).then_some(Self { point: d.s, heading, curvature })
    }

    /// Distances along both headings to where they meet; None unless both lie ahead.
    pub fn meets(&self, other: &Leg, plane: &Plane) -> Option<(f64, f64)> {
        let cross = |u: Vec3, v: Vec3| plane.normal.dot(u.cross(v));
        let sine = cross(self.heading, other.heading);
        let way = other.point - self.point;
        let (x, y) = (cross(way, other.heading) / sine, cross(way, self.heading) / sine);
        (x > 0.0 && y > 0.0 && x.is_finite() && y.is_finite()).then_some((x, y))
    }
}
