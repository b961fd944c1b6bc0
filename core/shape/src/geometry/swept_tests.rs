use super::domain_tests::frame;
use super::*;
use crate::math::{Frame, Interval, Point2, Point3, Similarity, Vec3, real};
use crate::nurbs::{self, KnotVector, SurfaceDerivs};
use proptest::prelude::*;
use real::{FRAC_PI_2, TAU};

fn numbers() -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(-1.0f64..1.0, 24)
}

/// A spline away from the frame's axis, bent out of the meridian plane when `bend` is not 0.
fn spline(n: &[f64], degree: usize, rational: bool, bend: f64) -> nurbs::Curve<3> {
    let knots = KnotVector::new(degree, {
        let mut k = vec![-0.5; degree + 1];
        k.extend([0.2 + 0.1 * n[0], 0.9]);
        k.extend(vec![1.75; degree + 1]);
        k
    })
    .unwrap();
    let count = knots.point_count();
    let f = frame();
    let points = (0..count)
        .map(|i| {
            let z = 10.0 * i as f64 / (count - 1) as f64;
            f.point(5.0 + 0.8 * n[(2 * i + 1) % 24], bend * n[(2 * i + 2) % 24], z + 0.3 * n[(i + 7) % 24]).to_array()
        })
        .collect();
    let weights = rational.then(|| (0..count).map(|i| 1.0 + 0.5 * n[(3 * i + 5) % 24]).collect());
    nurbs::Curve::new(knots, points, weights).unwrap()
}

fn patch(n: &[f64], p: usize, q: usize, rational: bool) -> nurbs::Surface {
    let (ku, kv) = (KnotVector::uniform(p, 2).unwrap(), KnotVector::uniform(q, 3).unwrap());
    let (nu, nv) = (ku.point_count(), kv.point_count());
    let at = |k: usize| n[k % n.len()];
    let points = (0..nu * nv)
        .map(|k| Point3::new(30.0 * (k / nv) as f64 / (nu - 1) as f64, 20.0 * (k % nv) as f64 / (nv - 1) as f64, 2.0 * at(k)))
        .collect();
    let weights = rational.then(|| (0..nu * nv).map(|k| 1.0 + 0.4 * at(k + 3)).collect());
    nurbs::Surface::new(ku, kv, points, weights).unwrap()
}

fn all(d: &SurfaceDerivs) -> [Vec3; 10] {
    [d.s.to_vec(), d.su, d.sv, d.suu, d.suv, d.svv, d.suuu, d.suuv, d.suvv, d.svvv]
}

fn same(name: &str, a: &Surface, b: &Surface, (u, v): (f64, f64), tolerance: f64) -> Result<(), TestCaseError> {
    let (x, y) = (all(&a.derivs(u, v, 3)), all(&b.derivs(u, v, 3)));
    for (k, (x, y)) in x.iter().zip(&y).enumerate() {
        prop_assert!(x.distance(*y) <= tolerance * (1.0 + y.length()), "{name}, derivative {k} at {u} {v}: {x} against {y}");
    }
    Ok(())
}

/// Derivatives are those of the positions: what Taylor's theorem leaves shrinks as the fourth power of the step.
fn taylor(name: &str, s: &Surface, (u, v): (f64, f64), scale: f64) -> Result<(), TestCaseError> {
    let d = s.derivs(u, v, 3);
    let rest = |h: f64| {
        let (x, y) = (0.8 * h, -0.6 * h);
        let series = d.s.to_vec()
            + d.su * x
            + d.sv * y
            + (d.suu * (x * x) + d.suv * (2.0 * x * y) + d.svv * (y * y)) / 2.0
            + (d.suuu * (x * x * x) + d.suuv * (3.0 * x * x * y) + d.suvv * (3.0 * x * y * y) + d.svvv * (y * y * y)) / 6.0;
        (s.point(u + x, v + y).to_vec() - series).length()
    };
    let (large, small) = (rest(2e-2 * scale), rest(5e-3 * scale));
    let noise = 1e-11 * (1.0 + d.s.to_vec().length());
    // 4⁴ = 256; a wrong third derivative leaves a factor of 64 at best.
    prop_assert!(small <= large / 120.0 + noise, "{name}: {large} then {small}");
    Ok(())
}

fn boxed(c: Curve) -> Box<Curve> {
    Box::new(c)
}

/// One of every swept and offset kind, with (u, v) that lie well inside. Offsets stay clear of centres of curvature,
/// beyond which a surface has folds with several feet to a point.
fn zoo(n: &[f64], degree: usize, rational: bool) -> Vec<(Surface, (f64, f64))> {
    let profile = Curve::Nurbs(spline(n, degree, rational, 1.0));
    let range = profile.domain();
    let f = frame();
    let ellipse =
        Curve::Ellipse(Ellipse { frame: Frame { origin: f.point(9.0, 0.0, 1.0), x: f.x, y: f.z, z: -f.y }, semi_x: 3.0, semi_y: 1.5 });
    let parabola = Curve::Parabola(Parabola { frame: f, focal: 1.7 });
    let hyperbola = Curve::Hyperbola(Hyperbola { frame: f, semi_x: 2.0, semi_y: 3.1 });
    let beside = Curve::Offset(OffsetCurve::new(ellipse.clone(), 0.4, f.y).unwrap());
    let revolution = Surface::Revolution(Revolution { frame: f, profile: boxed(profile.clone()), range });
    let extrusion = Surface::Extrusion(Extrusion { directrix: boxed(profile.clone()), direction: Vec3::new(0.4, 2.0, -0.3), range });
    let ruled = Surface::Ruled(Ruled {
        first: boxed(profile.clone()),
        first_range: (range.low, range.high),
        second: boxed(ellipse.clone()),
        second_range: (2.5, 0.1),
    });
    let net = Surface::Nurbs(patch(n, degree.max(2), 3, rational));
    let offset = |basis: &Surface, distance: f64| Surface::Offset(Offset { basis: Box::new(basis.clone()), distance });
    let turn = Interval::new(0.0, TAU);
    vec![
        (revolution.clone(), (0.7, 0.55)),
        (extrusion.clone(), (0.55, 1.3)),
        (ruled.clone(), (0.55, 0.4)),
        (Surface::Revolution(Revolution { frame: f, profile: boxed(ellipse.clone()), range: turn }), (1.0, 2.0)),
        (Surface::Extrusion(Extrusion { directrix: boxed(parabola), direction: f.z * 2.0, range: Interval::new(-1.0, 2.0) }), (0.3, 0.2)),
        (Surface::Extrusion(Extrusion { directrix: boxed(hyperbola), direction: f.z, range: Interval::ALL }), (0.3, 0.2)),
        (Surface::Revolution(Revolution { frame: f, profile: boxed(beside), range: turn }), (1.0, 0.5)),
        (offset(&revolution, 0.1), (0.7, 0.55)),
        (offset(&extrusion, -0.1), (0.55, 1.3)),
        (offset(&ruled, 0.1), (0.55, 0.4)),
        (offset(&net, 0.3), (0.3, 0.45)),
        (offset(&offset(&net, 0.2), -0.5), (0.3, 0.45)),
    ]
}

proptest! {
    #[test]
    fn derivatives_are_those_of_the_positions(n in numbers(), degree in 1usize..=6, rational: bool) {
        for (s, uv) in zoo(&n, degree, rational) {
            taylor(s.kind().name(), &s, uv, 1.0)?;
        }
    }

    /// ISO 10303-42 defines the elementary surfaces as these sweeps.
    #[test]
    fn sweeps_of_lines_and_circles_are_the_elementary_surfaces(
        radius in 0.5f64..40.0, minor in 0.1f64..5.0, angle in 0.05f64..1.4, u in -9.0f64..9.0, v in -3.0f64..3.0,
    ) {
        let f = frame();
        let line = |direction: Vec3| boxed(Curve::Line(Line { origin: f.point(radius, 0.0, 0.0), direction }));
        let turned = |profile: Box<Curve>, range| Surface::Revolution(Revolution { frame: f, profile, range });
        let meridian = |x: f64, r: f64| {
            boxed(Curve::Circle(Circle { frame: Frame { origin: f.point(x, 0.0, 0.0), x: f.x, y: f.z, z: -f.y }, radius: r }))
        };
        let circle = boxed(Curve::Circle(Circle { frame: f, radius }));
        let turn = Interval::new(0.0, TAU);
        let pairs = [
            (turned(line(f.z), Interval::ALL), Surface::Cylinder(Cylinder { frame: f, radius })),
            (turned(line(f.z + f.x * real::tan(angle)), Interval::ALL), Surface::Cone(Cone { frame: f, radius, half_angle: angle })),
            (turned(meridian(radius, minor), turn), Surface::Torus(Torus { frame: f, major: radius, minor })),
            (turned(meridian(0.0, radius), Interval::new(-FRAC_PI_2, FRAC_PI_2)), Surface::Sphere(Sphere { frame: f, radius })),
            (Surface::Extrusion(Extrusion { directrix: circle, direction: f.z, range: turn }), Surface::Cylinder(Cylinder { frame: f, radius })),
            (
                Surface::Extrusion(Extrusion { directrix: boxed(Curve::Line(Line { origin: f.origin, direction: f.x })), direction: f.y, range: Interval::ALL }),
                Surface::Plane(Plane { frame: f }),
            ),
        ];
        for (a, b) in &pairs {
            same(b.kind().name(), a, b, (u, v), 1e-12)?;
            let finite = |p: Option<f64>| p;
            prop_assert_eq!(finite(a.periods().0), b.periods().0);
        }
    }

    /// NB A8.1: a quarter of a revolution is a rational quadratic in the turning parameter. Curvature and its slope in
    /// every direction do not depend on that parameter.
    #[test]
    fn a_revolution_bends_as_its_rational_spline_does(n in numbers(), degree in 2usize..=6, rational: bool, t in 0.05f64..0.95, v in -0.4f64..1.7) {
        let f = frame();
        let profile = spline(&n, degree, rational, 0.0);
        let weight = |i: usize| profile.weights().map_or(1.0, |w| w[i]);
        let (mut points, mut weights) = (Vec::new(), Vec::new());
        for (x, y, w) in [(1.0, 0.0, 1.0), (1.0, 1.0, real::cos(FRAC_PI_2 / 2.0)), (0.0, 1.0, 1.0)] {
            for (i, &[a, b, c]) in profile.points().iter().enumerate() {
                let q = f.local(Point3::new(a, b, c));
                points.push(f.point(q.x * x, q.x * y, q.z));
                weights.push(w * weight(i));
            }
        }
        let quarter = nurbs::Surface::new(KnotVector::bezier(2).unwrap(), profile.knots().clone(), points, Some(weights)).unwrap();
        let s = Surface::Revolution(Revolution { frame: f, range: profile.domain(), profile: boxed(Curve::Nurbs(profile)) });
        let (a, q) = (quarter.derivs(t, v, 3), f.local(quarter.derivs(t, v, 0).s));
        let b = s.derivs(real::atan2(q.y, q.x), v, 3);
        prop_assert!(a.s.distance(b.s) < 1e-12 * 20.0);
        let normal = b.su.cross(b.sv).normalize();
        for k in 0..8 {
            let (sin, cos) = real::sin_cos(0.4 * f64::from(k));
            let way = b.su.normalize() * cos + normal.cross(b.su).normalize() * sin;
            let (x, y) = (section(&a, normal, way).unwrap(), section(&b, normal, way).unwrap());
            prop_assert!((x.curvature - y.curvature).abs() < 1e-9 * (1.0 + x.curvature.abs()), "{x:?} {y:?}");
            prop_assert!((x.slope - y.slope).abs() < 1e-7 * (1.0 + x.slope.abs()), "{x:?} {y:?}");
        }
    }

    #[test]
    fn offsets_of_elementary_surfaces_are_such_surfaces_with_the_same_parameters(
        radius in 6.0f64..40.0, minor in 2.0f64..5.0, angle in 0.05f64..1.4, d in -1.9f64..9.0, u in -9.0f64..9.0, v in -1.5f64..1.5, left: bool,
    ) {
        let mut f = frame();
        if left {
            f.y = -f.y;
        }
        for basis in [
            Surface::Plane(Plane { frame: f }),
            Surface::Cylinder(Cylinder { frame: f, radius }),
            Surface::Cone(Cone { frame: f, radius, half_angle: angle }),
            Surface::Sphere(Sphere { frame: f, radius }),
            Surface::Torus(Torus { frame: f, major: radius + 20.0, minor }),
        ] {
            let d = if left { d.min(1.9) } else { d };
            let simple = Offset::of(basis.clone(), d).unwrap();
            prop_assert_eq!(simple.kind(), basis.kind());
            // On the cone's other nappe Su × Sv points inwards: another offset.
            if matches!(basis, Surface::Cone(_)) && radius.min(radius + d * real::cos(angle)) + v * real::tan(angle) < 0.1 {
                continue;
            }
            let raw = Surface::Offset(Offset { basis: Box::new(basis.clone()), distance: d });
            same(basis.kind().name(), &raw, &simple, (u, v), 1e-9)?;
            // Twice: past the centre of curvature and back.
            let twice = Surface::Offset(Offset { basis: Box::new(raw), distance: 0.75 });
            same(basis.kind().name(), &twice, &Offset::of(simple, 0.75).unwrap(), (u, v), 1e-9)?;
        }
    }

    #[test]
    fn offsets_keep_their_distance_and_normal(n in numbers(), degree in 2usize..=6, rational: bool, d in -0.6f64..0.6) {
        for (s, (u, v)) in zoo(&n, degree, rational) {
            let off = Surface::Offset(Offset { basis: Box::new(s.clone()), distance: d });
            let normal = s.normal(u, v).unwrap();
            prop_assert!(off.point(u, v).distance(s.point(u, v) + normal * d) < 1e-12 * 50.0);
            let got = off.derivs(u, v, 1);
            prop_assert!(got.su.cross(got.sv).normalize().cross(normal).length() < 1e-9, "{}", s.kind().name());
        }
    }

    #[test]
    fn similarities_carry_every_kind_along(n in numbers(), rational: bool, scale in 0.01f64..30.0, mirror: bool) {
        let to = Frame::from_axis(Point3::new(-3.0, 8.0, 2.0), Some(Vec3::new(n[1], 2.0, n[2])), Some(Vec3::X));
        let mut by = Similarity::scaling(scale).after(&Similarity::between(&Frame::WORLD, &to));
        if mirror {
            by.axes[1] = -by.axes[1];
        }
        for (s, (u, v)) in zoo(&n, 3, rational) {
            let (image, (a, b)) = s.transformed(&by);
            for (u, v) in [(u, v), (u + 0.1, v - 0.05)] {
                let gap = image.point(u * a, v * b).distance(by.point(s.point(u, v)));
                prop_assert!(gap < 1e-10 * (1.0 + scale), "{}: {gap}", s.kind().name());
            }
        }
    }

    #[test]
    fn feet_come_back_from_beside_the_surface_and_none_is_nearer(n in numbers(), degree in 1usize..=5, rational: bool, lift in -3.0f64..3.0) {
        for (s, (u, v)) in zoo(&n, degree, rational) {
            let search = SurfaceSearch::new(&s);
            let on = s.point(u, v);
            let Some(normal) = s.normal(u, v) else { continue };
            let foot = search.closest(&s, on);
            prop_assert!(foot.distance < 1e-9, "{} at {u} {v}: on it {foot:?} {s:?}", s.kind().name());
            // Beyond the centres of curvature an offset has several feet nearly as near, and its search makes no promise.
            let lift = if s.kind() == SurfaceKind::Offset { 0.2 * lift } else { lift };
            let foot = search.closest(&s, on + normal * lift);
            prop_assert!(foot.distance <= lift.abs() + 1e-9, "{}: {} where {lift} is near", s.kind().name(), foot.distance);
            prop_assert!(foot.point.distance(s.point(foot.uv.u, foot.uv.v)) < 1e-12);
        }
    }

    /// Focus and directrix (Apollonius, Conics I): equal distances for a parabola, a constant difference of distances
    /// to the two foci for a hyperbola.
    #[test]
    fn conics_keep_their_foci(t in -2.5f64..2.5, focal in 0.2f64..9.0, a in 0.3f64..6.0, b in 0.3f64..6.0) {
        let f = frame();
        let q = f.local(Curve::Parabola(Parabola { frame: f, focal }).point(t));
        prop_assert!((real::hypot(q.x - focal, q.y) - (q.x + focal)).abs() < 1e-12 * (20.0 + q.x));
        let q = f.local(Curve::Hyperbola(Hyperbola { frame: f, semi_x: a, semi_y: b }).point(t));
        let c = real::hypot(a, b);
        prop_assert!((real::hypot(q.x + c, q.y) - real::hypot(q.x - c, q.y) - 2.0 * a).abs() < 1e-11 * (20.0 + q.x));
    }

    #[test]
    fn an_offset_circle_is_a_circle(radius in 2.0f64..30.0, d in -9.0f64..1.9, more in -0.9f64..0.9, t in -7.0f64..7.0) {
        // V × T points to the centre of a circle that turns left about V.
        let f = frame();
        let circle = |radius: f64| Curve::Circle(Circle { frame: f, radius });
        let one = OffsetCurve::new(circle(radius), d, f.z * 3.0).unwrap();
        let two = OffsetCurve::new(Curve::Offset(one.clone()), more, f.z).unwrap();
        for (got, want) in [(Curve::Offset(one), circle(radius - d)), (Curve::Offset(two.clone()), circle(radius - d - more))] {
            let (x, y) = (got.derivs(t, 3), want.derivs(t, 3));
            for (a, b) in x.iter().zip(&y) {
                let gap = Vec3::from_array(*a).distance(Vec3::from_array(*b));
                prop_assert!(gap < 1e-10 * (1.0 + radius), "{got:?} {a:?} {b:?}");
            }
        }
        prop_assert!(OffsetCurve::new(Curve::Offset(two), 0.1, f.z).is_none());
    }
}

#[test]
fn a_ruled_surface_between_lines_is_the_bilinear_patch() {
    let p = |k: f64| Point3::new(3.0 * k, k * k - 2.0, 1.0 / (1.0 + k));
    let line = |a: Point3, b: Point3| boxed(Curve::Line(Line { origin: a, direction: b - a }));
    let ruled = Surface::Ruled(Ruled {
        first: line(p(0.0), p(1.0)),
        first_range: (0.0, 1.0),
        second: line(p(3.0), p(2.0)),
        second_range: (1.0, 0.0),
    });
    let k = || KnotVector::bezier(1).unwrap();
    let net = Surface::Nurbs(nurbs::Surface::new(k(), k(), vec![p(0.0), p(2.0), p(1.0), p(3.0)], None).unwrap());
    for (u, v) in [(0.0, 0.0), (0.3, 0.8), (1.0, 0.5)] {
        same("bilinear", &ruled, &net, (u, v), 1e-13).unwrap();
    }
}

/// At the poles of a sphere Su × Sv vanishes; its limit is the sphere's own normal.
#[test]
fn offsets_pass_through_poles() {
    let f = frame();
    let sphere = Surface::Sphere(Sphere { frame: f, radius: 6.0 });
    let half = Curve::Circle(Circle { frame: Frame { origin: f.origin, x: f.x, y: f.z, z: -f.y }, radius: 6.0 });
    let turned = Surface::Revolution(Revolution { frame: f, profile: boxed(half), range: Interval::new(-FRAC_PI_2, FRAC_PI_2) });
    let want = Surface::Sphere(Sphere { frame: f, radius: 8.5 });
    for basis in [sphere, turned] {
        let raw = Surface::Offset(Offset { basis: Box::new(basis), distance: 2.5 });
        for u in [0.0, 1.0, 4.0] {
            for v in [-FRAC_PI_2, FRAC_PI_2, 1.2] {
                same("pole", &raw, &want, (u, v), 1e-9).unwrap();
            }
        }
        assert_eq!(poles(&raw).len(), 2);
    }
}

/// A cone's tip, met inside an endless profile and at the end of a bounded one; a profile that only passes beside.
#[test]
fn profiles_that_meet_the_axis_have_poles() {
    let f = frame();
    let line = |y: f64| Curve::Line(Line { origin: f.point(3.0, y, 0.0), direction: f.vector(-1.0, 0.0, 2.0) });
    let turned = |c: Curve, range| Surface::Revolution(Revolution { frame: f, profile: boxed(c), range });
    let at = |s: &Surface| poles(s).iter().map(|p| p.line).collect::<Vec<_>>();
    for range in [Interval::ALL, Interval::new(0.0, 3.0), Interval::new(0.0, 5.0), Interval::new(1.0, 5.0)] {
        let found = at(&turned(line(0.0), range));
        assert!(matches!(found[..], [PoleLine::FreeU(v)] if (v - 3.0).abs() < 1e-12), "{range:?}: {found:?}");
    }
    assert_eq!(at(&turned(line(0.5), Interval::ALL)), vec![]);
    assert_eq!(closures(&turned(line(0.5), Interval::ALL)), (Some(TAU), None));
    let uv = poles(&turned(line(0.0), Interval::ALL))[0].snap(Point2::new(1.0, 0.0));
    assert!((f.local(turned(line(0.0), Interval::ALL).point(uv.u, uv.v)) - Vec3::new(0.0, 0.0, 6.0)).length() < 1e-9);
}
