//! The surface at a distance from another one.

use super::series::{ORDER, Series3};
use super::{Cone, Cylinder, Plane, Sphere, Surface, Torus};
use crate::math::{Point3, Vec3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v) = B(u, v) + d N, B the basis and N its unit normal Bu × Bv. ISO 10303-42, offset_surface.
/// Parameters, domain and periods are the basis's own.
///
/// Derivatives are exact: they follow from those of the basis one order higher. At a pole of the basis, where
/// Bu × Bv vanishes along a whole parameter line, N is its limit from inside. Where no limit exists S is not finite.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset {
    /// The surface it runs along.
    pub basis: Box<Surface>,
    /// Distance d, mm, either sign.
    pub distance: f64,
}

impl Offset {
    /// The offset of a basis as the simplest surface it is, with the same parameters: offsets of planes, cylinders,
    /// cones, spheres and tori are such surfaces again while their radii stay positive. An offset of an offset keeps
    /// both. Of a cone the nappe with ρ > 0 is meant: beyond its apex Bu × Bv points inwards. None when the distance is not finite.
    pub fn of(basis: Surface, distance: f64) -> Option<Surface> {
        if !distance.is_finite() {
            return None;
        }
        // Left-handed frames, which reflections leave, turn Su × Sv inwards.
        let sided = |f: &crate::math::Frame| if f.x.cross(f.y).dot(f.z) < 0.0 { -distance } else { distance };
        Some(match basis {
            Surface::Plane(s) => {
                let mut frame = s.frame;
                frame.origin += frame.x.cross(frame.y) * distance;
                Surface::Plane(Plane { frame })
            }
            Surface::Cylinder(s) if s.radius + sided(&s.frame) > 0.0 => {
                Surface::Cylinder(Cylinder { radius: s.radius + sided(&s.frame), ..s })
            }
            Surface::Sphere(s) if s.radius + sided(&s.frame) > 0.0 => Surface::Sphere(Sphere { radius: s.radius + sided(&s.frame), ..s }),
            Surface::Torus(s) if s.minor + sided(&s.frame) > 0.0 && s.major >= s.minor.max(s.minor + sided(&s.frame)) => {
                Surface::Torus(Torus { minor: s.minor + sided(&s.frame), ..s })
            }
            Surface::Cone(s) => Surface::Cone(offset_cone(&s, sided(&s.frame))),
            basis => Surface::Offset(Offset { basis: Box::new(basis), distance }),
        })
    }

    /// Position and partial derivatives up to total `order` ≤ 3.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        let s = self.series(u, v, order.min(3));
        SurfaceDerivs {
            s: Point3::from_vec(s.partial(0, 0)),
            su: s.partial(1, 0),
            sv: s.partial(0, 1),
            suu: s.partial(2, 0),
            suv: s.partial(1, 1),
            svv: s.partial(0, 2),
            suuu: s.partial(3, 0),
            suuv: s.partial(2, 1),
            suvv: s.partial(1, 2),
            svvv: s.partial(0, 3),
        }
    }

    /// The Taylor series of S to total order `order` ≤ 3.
    fn series(&self, u: f64, v: f64, order: usize) -> Series3 {
        let (basis, distance) = self.flat(u, v);
        let b = Series3::of(basis, u, v, (order + 1).max(2));
        let mut n = b.by_u().cross(&b.by_v());
        if n.partial(0, 0).length() <= SINGULAR * usual(basis, &b) {
            let b = Series3::of(basis, u, v, (order + 2).min(ORDER));
            if let Some(limit) = limit_normal(basis, &b, u, v) {
                n = limit;
            }
        }
        b.plus(&n.unit().times(distance))
    }

    /// The surface below all nested offsets, and the distance from it at (u, v): the normal of an offset is that of
    /// its basis, or the opposite where the offset has passed a centre of curvature.
    fn flat(&self, u: f64, v: f64) -> (&Surface, f64) {
        let Surface::Offset(inner) = &*self.basis else { return (&self.basis, self.distance) };
        let (basis, distance) = inner.flat(u, v);
        let d = basis.derivs(u, v, 2);
        let turned = d.su.cross(d.sv).try_normalize().and_then(|n| super::curvatures(&d, n)).is_some_and(|k| {
            // Area of the offset over that of the basis: 1 − 2 H d + K d² (do Carmo §3.5, exercise 11).
            1.0 - 2.0 * k.mean() * distance + k.gaussian() * distance * distance < 0.0
        });
        (basis, distance + if turned { -self.distance } else { self.distance })
    }
}

/// |Bu × Bv| over what it may be elsewhere on the surface, below which the normal is taken as a limit. Larger: the
/// limit, exact on the shrunk line only, is used beside it; smaller: rounding noise becomes a direction.
const SINGULAR: f64 = 1e-11;

/// How large |Bu × Bv| may be a good way off, judged by second derivatives.
fn usual(basis: &Surface, b: &Series3) -> f64 {
    let (u, v) = basis.domain();
    let reach = |over: crate::math::Interval| if over.is_bounded() { over.length() } else { 1.0 };
    let size = |i, j| b.partial(i, j).length();
    let (first, second) =
        (size(1, 0) + size(2, 0) * reach(u) + size(1, 1) * reach(v), size(0, 1) + size(1, 1) * reach(u) + size(0, 2) * reach(v));
    first * second
}

/// The series of Bu × Bv divided by the distance from the shrunk line, pointing as it does inside.
fn limit_normal(basis: &Surface, b: &Series3, u: f64, v: f64) -> Option<Series3> {
    let n = b.by_u().cross(&b.by_v());
    let (du, dv) = basis.domain();
    // Inside lies towards the middle of the domain; without one, towards larger parameters.
    let inside = |x: f64, over: crate::math::Interval| if over.is_bounded() && x > over.at(0.5) { -1.0 } else { 1.0 };
    let (first, second) = (b.partial(1, 0).length(), b.partial(0, 1).length());
    if first <= second { Some(n.over_v()?.times(inside(v, dv))) } else { Some(n.over_u()?.times(inside(u, du))) }
}

/// The offset of a cone keeps its half angle; its origin slides along the axis so that parameters stay.
pub(super) fn offset_cone(s: &Cone, distance: f64) -> Cone {
    let (sin, cos) = real::sin_cos(s.half_angle);
    let mut frame = s.frame;
    frame.origin += frame.z * (-distance * sin);
    Cone { frame, radius: s.radius + distance * cos, half_angle: s.half_angle }
}

impl Surface {
    /// Partial derivatives up to total `order` ≤ K − 1 ≤ 5 of a surface that is no offset: entry `[k][l]` is k times
    /// by u and l times by v.
    pub(super) fn partials<const K: usize>(&self, u: f64, v: f64, order: usize) -> [[Vec3; K]; K] {
        use crate::nurbs::Side;
        let ring = |frame: &crate::math::Frame, radial: [f64; K], axial: [f64; K]| {
            let (sin, cos) = real::sin_cos(u);
            let (e, turned) = (frame.x * cos + frame.y * sin, frame.y * cos - frame.x * sin);
            let quarter = [e, turned, -e, -turned];
            let mut s = [[Vec3::ZERO; K]; K];
            for l in 0..K {
                for (k, row) in s.iter_mut().enumerate().take(K - l) {
                    row[l] = quarter[k % 4] * radial[l];
                }
                s[0][l] += frame.z * axial[l];
            }
            s[0][0] += frame.origin.to_vec();
            s
        };
        let straight = |at: f64, slope: f64| core::array::from_fn(|k| [at, slope].get(k).copied().unwrap_or(0.0));
        // Sine-like rows: value and derivatives of a sin v or a cos v, each a quarter turn on.
        let round = |value: f64, next: f64| core::array::from_fn(|k| [value, next, -value, -next][k % 4]);
        match self {
            Surface::Plane(s) => {
                let mut p = [[Vec3::ZERO; K]; K];
                (p[0][0], p[1][0], p[0][1]) = (s.frame.point(u, v, 0.0).to_vec(), s.frame.x, s.frame.y);
                p
            }
            Surface::Cylinder(s) => ring(&s.frame, straight(s.radius, 0.0), straight(v, 1.0)),
            Surface::Cone(s) => {
                let slope = real::tan(s.half_angle);
                ring(&s.frame, straight(s.radius + v * slope, slope), straight(v, 1.0))
            }
            Surface::Sphere(s) => {
                let (sin, cos) = real::sin_cos(v);
                ring(&s.frame, round(s.radius * cos, -s.radius * sin), round(s.radius * sin, s.radius * cos))
            }
            Surface::Torus(s) => {
                let (sin, cos) = real::sin_cos(v);
                let mut radial = round(s.minor * cos, -s.minor * sin);
                radial[0] += s.major;
                ring(&s.frame, radial, round(s.minor * sin, s.minor * cos))
            }
            Surface::Nurbs(s) => s.partials(u, v, order, Side::Right, Side::Right),
            Surface::Revolution(s) => s.partials(u, v, order),
            Surface::Extrusion(s) => s.partials(u, v, order),
            Surface::Ruled(s) => s.partials(u, v, order),
            // Flattened before; one level answers to order three.
            Surface::Offset(s) => {
                let d = s.series(u, v, order.min(3));
                let mut p = [[Vec3::ZERO; K]; K];
                for (k, row) in p.iter_mut().enumerate() {
                    for (l, x) in row.iter_mut().enumerate().take((order.min(3) + 1).saturating_sub(k)) {
                        *x = d.partial(k, l);
                    }
                }
                p
            }
        }
    }
}
