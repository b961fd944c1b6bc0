//! Between the core's surfaces and the packet's records.

use crate::packet::{BezierGrid, Frame, SurfaceRecord};
use rakelight_core::geometry::{Cone, Cylinder, Plane, Sphere, Surface, Torus, spline_form};
use rakelight_core::math::{self, Interval, Point3, Vec3};
use rakelight_core::nurbs::{self, KnotVector};

/// How far the drawn form of a swept or offset surface may leave it, as a share of the face's size. Larger: stripes
/// differ by a pixel; smaller: more cells, whose control points single precision cannot tell apart.
const FORM: f64 = 1e-7;

/// How far beyond the face's own box of parameters that form reaches, as a share of it: a pixel's search for its
/// parameters passes over the border.
const MARGIN: f64 = 0.02;

/// The record of a surface, relative to `origin` (mm), for a face with its parameters in `uv_box` (u from, to, v from,
/// to) and of `size` mm across. Swept and offset surfaces become splines over the same parameters.
pub fn record(surface: &Surface, origin: Vec3, uv_box: [f64; 4], size: f64) -> SurfaceRecord {
    let frame = |f: &math::Frame| Frame {
        origin: (f.origin.to_vec() - origin).to_array(),
        x: f.x.to_array(),
        y: f.y.to_array(),
        z: f.z.to_array(),
    };
    match surface {
        Surface::Plane(s) => SurfaceRecord::Plane(frame(&s.frame)),
        Surface::Cylinder(s) => SurfaceRecord::Cylinder { frame: frame(&s.frame), radius: s.radius },
        Surface::Cone(s) => SurfaceRecord::Cone { frame: frame(&s.frame), radius: s.radius, half_angle: s.half_angle },
        Surface::Sphere(s) => SurfaceRecord::Sphere { frame: frame(&s.frame), radius: s.radius },
        Surface::Torus(s) => SurfaceRecord::Torus { frame: frame(&s.frame), major: s.major, minor: s.minor },
        Surface::Nurbs(s) => SurfaceRecord::Bezier(cut(s, origin)),
        Surface::Revolution(_) | Surface::Extrusion(_) | Surface::Ruled(_) | Surface::Offset(_) => {
            let ((du, dv), (pu, pv)) = (surface.domain(), surface.periods());
            let over = |low: f64, high: f64, domain: Interval, period: Option<f64>| {
                let room = MARGIN * (high - low);
                let wide = Interval::new(low - room, high + room);
                if period.is_some() { wide } else { Interval::new(domain.clamp(wide.low), domain.clamp(wide.high)) }
            };
            let [u0, u1, v0, v1] = uv_box;
            match spline_form(surface, over(u0, u1, du, pu), over(v0, v1, dv, pv), FORM * size) {
                Ok(form) => SurfaceRecord::Bezier(cut(&form, origin)),
                // Drawn by vertex normals.
                Err(_) => SurfaceRecord::Bezier(BezierGrid { degree: [1, 1], breaks_u: vec![], breaks_v: vec![], points: vec![] }),
            }
        }
    }
}

/// The surface of a record whose packet has `origin` (mm); `None` when the record breaks an
/// invariant of the core's surfaces, which a packet of our own never does.
pub fn surface(record: &SurfaceRecord, origin: Vec3) -> Option<Surface> {
    let frame = |f: &Frame| math::Frame {
        origin: Point3::from_vec(Vec3::from_array(f.origin) + origin),
        x: Vec3::from_array(f.x),
        y: Vec3::from_array(f.y),
        z: Vec3::from_array(f.z),
    };
    Some(match record {
        SurfaceRecord::None => return None,
        SurfaceRecord::Plane(f) => Surface::Plane(Plane { frame: frame(f) }),
        SurfaceRecord::Cylinder { frame: f, radius } => Surface::Cylinder(Cylinder { frame: frame(f), radius: *radius }),
        SurfaceRecord::Cone { frame: f, radius, half_angle } => {
            Surface::Cone(Cone { frame: frame(f), radius: *radius, half_angle: *half_angle })
        }
        SurfaceRecord::Sphere { frame: f, radius } => Surface::Sphere(Sphere { frame: frame(f), radius: *radius }),
        SurfaceRecord::Torus { frame: f, major, minor } => Surface::Torus(Torus { frame: frame(f), major: *major, minor: *minor }),
        SurfaceRecord::Bezier(grid) => Surface::Nurbs(joined(grid, origin)?),
    })
}

/// Cuts a spline surface at its knots. A surface the core cannot cut (none in practice) gives a
/// grid without spans, which is drawn by vertex normals.
pub(crate) fn cut(s: &nurbs::Surface, origin: Vec3) -> BezierGrid {
    let degree = [s.knots_u().degree(), s.knots_v().degree()];
    let [p, q] = degree;
    let Ok(patches) = s.bezier_patches() else {
        return BezierGrid { degree, breaks_u: Vec::new(), breaks_v: Vec::new(), points: Vec::new() };
    };
    let (breaks_u, breaks_v) = (s.knots_u().breaks(), s.knots_v().breaks());
    let (su, sv) = (breaks_u.len() - 1, breaks_v.len() - 1);
    let mut points = Vec::with_capacity(patches.len() * (p + 1) * (q + 1));
    for j in 0..sv {
        for i in 0..su {
            let Some(patch) = patches.get(i * sv + j).map(|patch| &patch.surface) else { continue };
            for b in 0..=q {
                for a in 0..=p {
                    let at = a * (q + 1) + b;
                    let w = patch.weights().map_or(1.0, |w| w[at]);
                    let d = (patch.points()[at].to_vec() - origin) * w;
                    points.push([d.x, d.y, d.z, w]);
                }
            }
        }
    }
    BezierGrid { degree, breaks_u, breaks_v, points }
}

/// The spans of a grid put together again, with knots as many as the degree at each cut.
pub(crate) fn joined(grid: &BezierGrid, origin: Vec3) -> Option<nurbs::Surface> {
    let [p, q] = grid.degree;
    let [su, sv] = grid.spans();
    if su == 0 || sv == 0 {
        return None;
    }
    let knots = |breaks: &[f64], degree: usize| {
        let mut full: Vec<f64> = breaks.iter().flat_map(|b| std::iter::repeat_n(*b, degree)).collect();
        full.insert(0, *breaks.first()?);
        full.push(*breaks.last()?);
        KnotVector::new(degree, full).ok()
    };
    let (nu, nv) = (su * p + 1, sv * q + 1);
    let mut points = Vec::with_capacity(nu * nv);
    let mut weights = Vec::with_capacity(nu * nv);
    for i in 0..nu {
        for j in 0..nv {
            let (span_u, span_v) = ((i / p.max(1)).min(su - 1), (j / q.max(1)).min(sv - 1));
            let at = (span_v * su + span_u) * grid.block() + (j - span_v * q) * (p + 1) + (i - span_u * p);
            let [x, y, z, w] = *grid.points.get(at)?;
            points.push(Point3::from_vec(Vec3::new(x, y, z) / w + origin));
            weights.push(w);
        }
    }
    let rational = weights.iter().any(|w| *w != 1.0);
    nurbs::Surface::new(knots(&grid.breaks_u, p)?, knots(&grid.breaks_v, q)?, points, rational.then_some(weights)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rakelight_core::geometry::{Curve, Extrusion, Offset, Revolution, convexity};

    /// A fixed sequence of numbers in 0..1, so that a failure can be repeated.
    fn numbers(mut state: u32) -> impl FnMut() -> f64 {
        move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        }
    }

    fn knots(degree: usize, spans: usize, clamped: bool, next: &mut impl FnMut() -> f64) -> KnotVector {
        let mut t = vec![-0.7];
        for i in 0..spans {
            let last = t[t.len() - 1];
            t.push(last + 0.3 + next());
            // A double knot where the degree allows one.
            if i == 0 && spans > 2 && degree > 1 {
                t.push(t[t.len() - 1]);
            }
        }
        for i in 0..degree {
            let d = if clamped { 0.0 } else { 0.1 * (i + 1) as f64 };
            let (first, last) = (t[0], t[t.len() - 1]);
            t.insert(0, first - d);
            t.push(last + d);
        }
        KnotVector::new(degree, t).expect("sound")
    }

    #[test]
    fn a_spline_surface_survives_the_packet() {
        let mut next = numbers(7);
        for (p, q) in [(1, 1), (2, 3), (3, 2), (5, 5), (9, 4)] {
            for (su, sv) in [(1, 1), (3, 2), (2, 4)] {
                for rational in [false, true] {
                    let (ku, kv) = (knots(p, su, rational, &mut next), knots(q, sv, true, &mut next));
                    let n = ku.point_count() * kv.point_count();
                    let points = (0..n).map(|_| Point3::new(next() * 400.0 + 5e3, next() * 90.0, next() * 70.0)).collect();
                    let weights = rational.then(|| (0..n).map(|_| 0.4 + next()).collect());
                    let original = Surface::Nurbs(nurbs::Surface::new(ku, kv, points, weights).expect("sound"));
                    let origin = Vec3::new(5e3, 40.0, 30.0);
                    let back = surface(&record(&original, origin, [0.0, 1.0, 0.0, 1.0], 400.0), origin).expect("sound");
                    assert_eq!(back.domain(), original.domain());
                    let (du, dv) = original.domain();
                    for _ in 0..40 {
                        let (u, v) = (du.at(next()), dv.at(next()));
                        let (a, b) = (original.derivs(u, v, 2), back.derivs(u, v, 2));
                        assert!(a.s.distance(b.s) < 1e-9, "degree {p} {q} spans {su} {sv}");
                        assert!(a.su.distance(b.su) < 1e-8 * (1.0 + a.su.length()));
                        assert!(a.svv.distance(b.svv) < 1e-6 * (1.0 + a.svv.length()));
                    }
                }
            }
        }
    }

    #[test]
    fn analytic_surfaces_survive_the_packet() {
        let frame = math::Frame::from_axis(Point3::new(1e3, -2.0, 7.0), Some(Vec3::new(0.3, -0.8, 0.2)), Some(Vec3::X));
        for original in [
            Surface::Plane(Plane { frame }),
            Surface::Cylinder(Cylinder { frame, radius: 3.5 }),
            Surface::Cone(Cone { frame, radius: 2.0, half_angle: 0.3 }),
            Surface::Sphere(Sphere { frame, radius: 9.0 }),
            Surface::Torus(Torus { frame, major: 5.0, minor: 6.5 }),
        ] {
            let origin = Vec3::new(990.0, 3.0, 4.0);
            let back = surface(&record(&original, origin, [0.0, 1.0, 0.0, 1.0], 400.0), origin).expect("sound");
            for (u, v) in [(0.1, 0.7), (2.0, -1.1), (5.5, 0.0)] {
                assert!(original.point(u, v).distance(back.point(u, v)) < 1e-9);
            }
        }
    }

    #[test]
    fn swept_and_offset_surfaces_are_drawn_as_splines_of_the_same_parameters() {
        let frame = math::Frame::from_axis(Point3::new(1e3, -2.0, 7.0), Some(Vec3::new(0.3, -0.8, 0.2)), Some(Vec3::X));
        let mut next = numbers(11);
        let k = knots(4, 3, true, &mut next);
        let range = k.domain();
        let points = (0..k.point_count()).map(|i| frame.point(40.0 + 9.0 * next(), 5.0 * next(), 20.0 * i as f64).to_array()).collect();
        let profile = Box::new(Curve::Nurbs(nurbs::Curve::new(k, points, None).expect("sound")));
        let turned = Surface::Revolution(Revolution { frame, profile: profile.clone(), range });
        let pushed = Surface::Extrusion(Extrusion { directrix: profile, direction: frame.y * 30.0, range });
        let thick = Surface::Offset(Offset { basis: Box::new(turned.clone()), distance: 2.5 });
        let (r, t) = ([range.low, range.high], [0.4, 5.9]);
        for (original, uv) in [(turned, [t[0], t[1], r[0], r[1]]), (pushed, [r[0], r[1], -1.0, 2.0]), (thick, [t[0], t[1], r[0], r[1]])] {
            let (origin, size) = (Vec3::new(990.0, 3.0, 4.0), 150.0);
            let back = surface(&record(&original, origin, uv, size), origin).expect("sound");
            let mut worst = 0.0f64;
            for _ in 0..200 {
                let (u, v) = (uv[0] + (uv[1] - uv[0]) * next(), uv[2] + (uv[3] - uv[2]) * next());
                // Colours by form: second derivatives of the spline against the surface's own, as a share of the tighter curvature.
                let k = |s: &Surface| convexity(s, math::Point2::new(u, v), 1.0).expect("a tangent plane");
                let (exact, drawn) = (k(&original), k(&back));
                let off = (exact.max - drawn.max).abs().max((exact.min - drawn.min).abs());
                worst = worst.max(off / exact.tightest().abs());
                let (a, b) = (original.derivs(u, v, 1), back.derivs(u, v, 1));
                assert!(a.s.distance(b.s) < 2e-7 * size, "{:?}: {}", original.kind(), a.s.distance(b.s));
                let (n, m) = (a.su.cross(a.sv).normalize(), b.su.cross(b.sv).normalize());
                assert!(n.distance(m) < 1e-4, "{:?}: normals {}", original.kind(), n.distance(m));
            }
            println!("{:?}: curvatures off by {:.4} % of the tighter one at most", original.kind(), 100.0 * worst);
            assert!(worst < 0.01, "{:?}: curvatures off by {worst}", original.kind());
        }
    }
}
