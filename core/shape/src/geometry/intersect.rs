//! Where a line of sight meets a surface, from a nearby guess.

use super::Surface;
use crate::math::{Point2, Point3, Vec3, real};

/// A point of a surface on a ray.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayHit {
    /// Parameters.
    pub uv: Point2,
    /// Position on the surface, mm.
    pub point: Point3,
    /// Distance along the direction from the ray's origin, mm; negative behind it.
    pub along: f64,
}

/// Most Newton steps; a seed from a mesh needs three.
const STEPS: usize = 30;

/// The point of the surface on the line through `origin` in unit `direction`, near the seed: Newton's method on the
/// two components of S(u, v) − origin across the direction, halving steps that do not come closer.
///
/// A patch is searched inside its domain. None where the line misses the surface near the seed, or touches it
/// edge-on so that the crossing is undetermined.
pub fn ray_on_surface(surface: &Surface, origin: Point3, direction: Vec3, seed: Point2) -> Option<RayHit> {
    let direction = direction.try_normalize()?;
    let (x, y) = direction.any_orthonormal_pair();
    let limits = surface.limits();
    let inside = |uv: Point2| limits.map_or(uv, |(du, dv)| Point2::new(du.clamp(uv.u), dv.clamp(uv.v)));
    let mut uv = inside(seed);
    let mut d = surface.derivs(uv.u, uv.v, 1);
    let miss = |s: Point3| real::hypot((s - origin).dot(x), (s - origin).dot(y));
    let scale = 1.0 + d.s.to_vec().abs().max_element() + origin.to_vec().abs().max_element();
    for _ in 0..STEPS {
        let r = d.s - origin;
        let (f, g) = (r.dot(x), r.dot(y));
        let (a, b, c, e) = (d.su.dot(x), d.sv.dot(x), d.su.dot(y), d.sv.dot(y));
        let det = a * e - b * c;
        // The normal's share along the ray: below 1e-9 the surface is seen edge-on.
        if det.abs() <= 1e-9 * d.su.cross(d.sv).length().max(f64::MIN_POSITIVE) {
            return None;
        }
        let (step_u, step_v) = ((b * g - e * f) / det, (c * f - a * g) / det);
        let mut share = 1.0;
        let before = miss(d.s);
        let mut taken = None;
        for _ in 0..12 {
            let next = inside(Point2::new(uv.u + share * step_u, uv.v + share * step_v));
            let n = surface.derivs(next.u, next.v, 1);
            if miss(n.s) < before {
                taken = Some((next, n));
                break;
            }
            share *= 0.5;
        }
        let Some((next, n)) = taken else { break };
        (uv, d) = (next, n);
        if miss(d.s) <= 1e-15 * scale {
            break;
        }
    }
    // Not met: the nearest place still misses by more than rounding leaves.
    (miss(d.s) <= 1e-11 * scale).then(|| RayHit { uv, point: d.s, along: (d.s - origin).dot(direction) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Cylinder, Plane, Sphere, Torus};
    use crate::math::Frame;
    use crate::nurbs::{self, KnotVector};
    use proptest::prelude::*;

    fn surfaces(bumps: &[f64], degree: usize) -> Vec<Surface> {
        let frame = Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)));
        let (ku, kv) = (KnotVector::uniform(degree, 2).unwrap(), KnotVector::uniform(3, 3).unwrap());
        let (nu, nv) = (ku.point_count(), kv.point_count());
        let at = |k: usize| bumps[k % bumps.len()];
        let points = (0..nu * nv)
            .map(|k| Point3::new(1.0 + 10.0 * (k / nv) as f64 / (nu - 1) as f64, 8.0 * (k % nv) as f64 / (nv - 1) as f64, 0.6 * at(k)))
            .collect();
        let weights = Some((0..nu * nv).map(|k| 1.0 + 0.3 * at(k + 5)).collect());
        vec![
            Surface::Plane(Plane { frame }),
            Surface::Cylinder(Cylinder { frame, radius: 7.0 }),
            Surface::Cone(Cone { frame, radius: 40.0, half_angle: 0.35 }),
            Surface::Sphere(Sphere { frame, radius: 9.0 }),
            Surface::Torus(Torus { frame, major: 20.0, minor: 6.0 }),
            Surface::Nurbs(nurbs::Surface::new(ku, kv, points, weights).unwrap()),
        ]
    }

    proptest! {
        #[test]
        fn meets_the_point_the_ray_was_aimed_at(
            u in 0.05f64..0.95, v in 0.05f64..0.95, tilt in -0.6f64..0.6, side in -0.6f64..0.6, away in 5.0f64..400.0,
            bumps in proptest::collection::vec(-1.0f64..1.0, 29), degree in 1usize..=6,
        ) {
            for s in surfaces(&bumps, degree) {
                let d = s.derivs(u, v, 1);
                let n = d.su.cross(d.sv).normalize();
                let direction = (n + d.su.normalize() * tilt + d.sv.normalize() * side).normalize();
                let hit = ray_on_surface(&s, d.s - direction * away, direction, Point2::new(u + 0.01, v - 0.01)).unwrap();
                prop_assert!(hit.point.distance(d.s) < 1e-9, "{:?}: {} off", s.kind(), hit.point.distance(d.s));
                prop_assert!((hit.along - away).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_miss_and_an_edge_on_view_give_nothing() {
        for s in surfaces(&[0.1, 0.4, -0.2], 3) {
            let d = s.derivs(0.4, 0.5, 1);
            assert_eq!(ray_on_surface(&s, d.s + d.su * 0.1, Vec3::ZERO, Point2::new(0.4, 0.5)), None);
        }
        let s = &surfaces(&[0.1], 3)[3];
        let far = s.derivs(0.0, 0.0, 1);
        let n = far.su.cross(far.sv).normalize();
        // Twice a radius off the centre, square to it: passes the sphere by.
        let aside = far.s + n * 9.0;
        assert_eq!(ray_on_surface(s, aside, far.sv.normalize(), Point2::new(0.1, real::FRAC_PI_2 * 0.1)), None);
    }
}
