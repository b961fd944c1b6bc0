//! The point of a surface closest to a point in space.

use super::Surface;
use crate::math::{Interval, Point2, Point3, Vec3, real};
use crate::nurbs::SurfaceDerivs;

/// A point of a surface and how far it lies from the point asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot {
    /// Parameters.
    pub uv: Point2,
    /// Position on the surface, mm.
    pub point: Point3,
    /// Distance to the point asked about, mm.
    pub distance: f64,
}

/// The closest point near the seed.
///
/// Analytic surfaces give their closed form, moved by whole periods next to the seed; where u is undetermined
/// (axis, pole, apex) the seed's u is kept. Spline, swept and offset surfaces are searched by Newton's method inside their domain
/// (NB §6.1), so the foot of a point beyond a side lies on that side; the result is the local minimum the seed
/// leads to. Never fails: without convergence it returns the best point met.
pub fn closest_on_surface(surface: &Surface, p: Point3, seed: Point2) -> Foot {
    closest_with_derivs(surface, p, seed).0
}

/// As [`closest_on_surface`], with the derivatives to second order at the foot.
pub(super) fn closest_with_derivs(surface: &Surface, p: Point3, seed: Point2) -> (Foot, SurfaceDerivs) {
    let uv = match surface {
        Surface::Nurbs(_) | Surface::Revolution(_) | Surface::Extrusion(_) | Surface::Ruled(_) | Surface::Offset(_) => {
            return newton(surface, p, seed);
        }
        Surface::Plane(s) => s.closest(p),
        Surface::Cylinder(s) => keep_u_on_axis(s.closest(p), s.frame.local(p), s.radius, seed),
        Surface::Cone(s) => keep_u_on_axis(s.closest(p), s.frame.local(p), s.radius, seed),
        Surface::Sphere(s) => keep_u_on_axis(s.closest(p), s.frame.local(p), s.radius, seed),
        Surface::Torus(s) => keep_u_on_axis(s.closest(p), s.frame.local(p), s.minor, seed),
    };
    let (pu, pv) = surface.periods();
    foot_at(surface, p, Point2::new(near(uv.u, seed.u, pu), near(uv.v, seed.v, pv)))
}

/// `x` moved by whole periods to within half a period of `seed`.
pub fn near(x: f64, seed: f64, period: Option<f64>) -> f64 {
    match period {
        Some(period) => x + ((seed - x) / period).round() * period,
        None => x,
    }
}

fn foot_at(surface: &Surface, p: Point3, uv: Point2) -> (Foot, SurfaceDerivs) {
    let d = surface.derivs(uv.u, uv.v, 2);
    (Foot { uv, point: d.s, distance: d.s.distance(p) }, d)
}

/// On the axis u is undetermined: below this share of the size the computed angle is rounding noise.
const ON_AXIS: f64 = 1e-13;

fn keep_u_on_axis(uv: Point2, local: Vec3, radius: f64, seed: Point2) -> Point2 {
    let size = radius.abs() + local.length();
    if real::hypot(local.x, local.y) <= ON_AXIS * size { Point2::new(seed.u, uv.v) } else { uv }
}

/// Most Newton steps; a good seed needs three.
const STEPS: usize = 40;

/// Newton's method on half the squared distance, kept inside the domain; falls back to Gauss–Newton where the
/// Hessian is not positive, and halves steps that do not come closer.
fn newton(s: &Surface, p: Point3, seed: Point2) -> (Foot, SurfaceDerivs) {
    let (du, dv) = s.limits().unwrap_or((Interval::ALL, Interval::ALL));
    let mut uv = Point2::new(du.clamp(seed.u), dv.clamp(seed.v));
    if !uv.is_finite() {
        let middle = |over: Interval| if over.is_bounded() { over.at(0.5) } else { 0.0 };
        uv = Point2::new(middle(du), middle(dv));
    }
    let mut d = s.derivs(uv.u, uv.v, 2);
    let mut square = (d.s - p).length_squared();
    // Steps shorter than this move the foot by less than rounding, seen from a seed one step away.
    let still = 1e-12 * (1.0 + p.to_vec().abs().max_element());
    for _ in 0..STEPS {
        let (step_u, step_v) = step(&d, p, uv, du, dv);
        if (d.su * step_u + d.sv * step_v).length() <= still {
            // So short a step is right to rounding, and so are derivatives moved along it: nothing is evaluated anew.
            let next = Point2::new(du.clamp(uv.u + step_u), dv.clamp(uv.v + step_v));
            moved(&mut d, next.u - uv.u, next.v - uv.v);
            return (Foot { uv: next, point: d.s, distance: d.s.distance(p) }, d);
        }
        let mut share = 1.0;
        let mut taken = None;
        for _ in 0..20 {
            let next = Point2::new(du.clamp(uv.u + share * step_u), dv.clamp(uv.v + share * step_v));
            let e = s.derivs(next.u, next.v, 2);
            let q = (e.s - p).length_squared();
            // Rounding of positions hides the last digits of the distance; the step itself is exact enough.
            let noise = 0.02 * still;
            if q <= square + (2.0 * square.sqrt() + noise) * noise + 1e-14 * square {
                taken = Some((next, e, q));
                break;
            }
            // A step this short that does not come closer is lost in rounding: the foot is found.
            if (d.su * (share * step_u) + d.sv * (share * step_v)).length() <= 1e3 * still {
                break;
            }
            share *= 0.5;
        }
        let Some((next, e, q)) = taken else { break };
        // Held by a side of the domain it may go nowhere.
        let way = (d.su * (next.u - uv.u) + d.sv * (next.v - uv.v)).length();
        (uv, d, square) = (next, e, q);
        if way <= still {
            break;
        }
    }
    (Foot { uv, point: d.s, distance: square.sqrt() }, d)
}

/// Derivatives a step on in the parameters, as far as those to second order tell.
fn moved(d: &mut SurfaceDerivs, u: f64, v: f64) {
    d.s += d.su * u + d.sv * v;
    d.su += d.suu * u + d.suv * v;
    d.sv += d.suv * u + d.svv * v;
}

/// One Newton step towards the foot, zero in a direction that leads out of the domain.
fn step(d: &SurfaceDerivs, p: Point3, uv: Point2, du: Interval, dv: Interval) -> (f64, f64) {
    let r = d.s - p;
    let (gu, gv) = (r.dot(d.su), r.dot(d.sv));
    let stays = |x: f64, over: Interval, g: f64| !((x <= over.low && g > 0.0) || (x >= over.high && g < 0.0));
    let (free_u, free_v) = (stays(uv.u, du, gu), stays(uv.v, dv, gv));
    let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
    let (a, b, c) = (e + r.dot(d.suu), f + r.dot(d.suv), g + r.dot(d.svv));
    match (free_u, free_v) {
        (false, false) => (0.0, 0.0),
        (true, false) => (alone(gu, a, e), 0.0),
        (false, true) => (0.0, alone(gv, c, g)),
        (true, true) => {
            let det = a * c - b * b;
            // Relative bound: below it the Hessian is singular or indefinite to rounding.
            if a > 0.0 && det > 1e-10 * e * g {
                return ((b * gv - c * gu) / det, (b * gu - a * gv) / det);
            }
            // Gauss–Newton, slightly stiffened so that parallel or vanishing derivatives stay solvable.
            let (e, g) = (e * (1.0 + 1e-6), g * (1.0 + 1e-6));
            let det = e * g - f * f;
            if det > 0.0 { ((f * gv - g * gu) / det, (f * gu - e * gv) / det) } else { (alone(gu, e, e), alone(gv, g, g)) }
        }
    }
}

/// Newton step in one direction; Gauss–Newton where the curvature term makes it non-positive; 0 on a collapsed line.
fn alone(gradient: f64, hessian: f64, first: f64) -> f64 {
    if hessian > 1e-3 * first {
        -gradient / hessian
    } else if first > 0.0 {
        -gradient / first
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::SurfaceSearch;
    use crate::geometry::{Cone, Cylinder, Plane, Sphere, Torus};
    use crate::math::Frame;
    use crate::nurbs::{self, KnotVector};
    use proptest::prelude::*;

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
    }

    fn analytic() -> [Surface; 5] {
        [
            Surface::Plane(Plane { frame: frame() }),
            Surface::Cylinder(Cylinder { frame: frame(), radius: 7.0 }),
            Surface::Cone(Cone { frame: frame(), radius: 40.0, half_angle: 0.35 }),
            Surface::Sphere(Sphere { frame: frame(), radius: 9.0 }),
            Surface::Torus(Torus { frame: frame(), major: 20.0, minor: 6.0 }),
        ]
    }

    fn patch(pu: usize, pv: usize, bumps: &[f64], rational: bool) -> nurbs::Surface {
        let (ku, kv) = (KnotVector::uniform(pu, 2).unwrap(), KnotVector::uniform(pv, 3).unwrap());
        let (nu, nv) = (ku.point_count(), kv.point_count());
        let at = |k: usize| bumps[k % bumps.len()];
        let points = (0..nu * nv)
            .map(|k| {
                let (i, j) = (k / nv, k % nv);
                Point3::new(100.0 * i as f64 / (nu - 1) as f64, 80.0 * j as f64 / (nv - 1) as f64, 6.0 * at(k))
            })
            .collect();
        let weights = rational.then(|| (0..nu * nv).map(|k| 1.0 + 0.4 * at(k + 3)).collect());
        nurbs::Surface::new(ku, kv, points, weights).unwrap()
    }

    proptest! {
        #[test]
        fn a_point_lifted_off_along_the_normal_comes_back(u in -3.0f64..3.0, v in -1.2f64..1.2, lift in -0.8f64..0.8) {
            for s in analytic() {
                let n = s.normal(u, v).unwrap();
                let foot = closest_on_surface(&s, s.point(u, v) + n * lift, Point2::new(u + 0.3, v - 0.2));
                prop_assert!((foot.uv.u - u).abs() < 1e-12 && (foot.uv.v - v).abs() < 1e-12, "{:?} gives {:?}", s.kind(), foot.uv);
                prop_assert!((foot.distance - lift.abs()).abs() < 1e-12);
            }
        }

        #[test]
        fn patches_too_from_a_rough_seed_and_without_one(
            pu in 1usize..=6, pv in 1usize..=6, u in 0.02f64..0.98, v in 0.02f64..0.98, lift in -2.0f64..2.0,
            bumps in proptest::collection::vec(-1.0f64..1.0, 23), rational: bool,
        ) {
            let s = Surface::Nurbs(patch(pu, pv, &bumps, rational));
            let on = s.point(u, v);
            let foot = closest_on_surface(&s, on, Point2::new(u + 0.02, v - 0.01));
            prop_assert!(foot.distance < 1e-10, "on the surface: {}", foot.distance);
            let search = SurfaceSearch::new(&s);
            prop_assert!(search.closest(&s, on).distance < 1e-10);
            // Never farther than the point it was lifted from, nor than a dense brute-force search finds.
            let p = on + s.normal(u, v).unwrap() * lift;
            let got = search.closest(&s, p).distance;
            prop_assert!(got <= lift.abs() + 1e-10);
        }

        #[test]
        fn beyond_a_side_the_foot_lies_on_the_side(v in 0.1f64..0.9, out in 0.5f64..20.0, bumps in proptest::collection::vec(-0.3f64..0.3, 17)) {
            let s = Surface::Nurbs(patch(3, 3, &bumps, false));
            let foot = closest_on_surface(&s, s.point(1.0, v) + Vec3::X * out, Point2::new(0.9, v));
            prop_assert_eq!(foot.uv.u, 1.0);
            let d = s.derivs(foot.uv.u, foot.uv.v, 1);
            let r = s.point(1.0, v) + Vec3::X * out - d.s;
            prop_assert!(r.dot(d.sv).abs() < 1e-7 * d.sv.length(), "not square to the side");
        }
    }

    #[test]
    fn on_the_axis_the_seed_decides_the_angle() {
        let s = Surface::Sphere(Sphere { frame: frame(), radius: 9.0 });
        let foot = closest_on_surface(&s, frame().point(0.0, 0.0, 9.0), Point2::new(1.234, 1.5));
        assert_eq!(foot.uv.u, 1.234);
        assert!((foot.uv.v - real::FRAC_PI_2).abs() < 1e-15);
    }
}
