use super::assemble::{assemble, natural};
use super::loop_chain::BoundaryUse;
use super::*;
use crate::math::{Frame, Point2, Point3, Vec3, real};
use real::{PI, TAU};

pub(super) fn frame() -> Frame {
    Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
}

/// Domain bounded by space curves given as (curve, t0, t1, forward).
pub(super) fn bounded(surface: &Surface, loops: &[Vec<(Curve, f64, f64, bool)>]) -> Result<Domain, DomainFault> {
    let search = SurfaceSearch::new(surface);
    let uses = loops
        .iter()
        .enumerate()
        .map(|(loop_index, l)| {
            l.iter()
                .enumerate()
                .map(|(use_index, (c, t0, t1, forward))| BoundaryUse {
                    trim: Trim::foot_of(surface, &search, c, *t0, *t1).unwrap(),
                    forward: *forward,
                    loop_index,
                    use_index,
                })
                .collect()
        })
        .collect();
    assemble(surface, &search, uses, Vec::new())
}

/// The domain closes in the plane, its area is as wanted, and it holds and leaves out the given points.
pub(super) fn check(
    name: &str,
    surface: &Surface,
    domain: Result<Domain, DomainFault>,
    area: f64,
    inside: &[(f64, f64)],
    outside: &[(f64, f64)],
) {
    let domain = domain.unwrap_or_else(|e| panic!("{name}: {e}"));
    for l in &domain.loops {
        for (a, b) in l.sides.iter().zip(l.sides.iter().cycle().skip(1)) {
            assert!((a.end() - b.start()).length() < 1e-9, "{name}: gap {:?} to {:?}", a.end(), b.start());
        }
    }
    let got = domain.area(surface);
    assert!(
        (got - area).abs() < 1e-7 * area,
        "{name}: area {got} where {area} is right, loops {:?}",
        domain.loops.iter().map(DomainLoop::polygon).collect::<Vec<_>>()
    );
    for &(u, v) in inside {
        assert!(domain.contains(Point2::new(u, v)), "{name}: {u} {v} is inside");
    }
    for &(u, v) in outside {
        assert!(!domain.contains(Point2::new(u, v)), "{name}: {u} {v} is outside");
    }
}

/// Circle on a surface of revolution about `frame`: at height z, radius r.
pub(super) fn ring(z: f64, radius: f64, turn: f64) -> Curve {
    let f = frame();
    let (sin, cos) = real::sin_cos(turn);
    let (x, y) = (f.x * cos + f.y * sin, f.y * cos - f.x * sin);
    Curve::Circle(Circle { frame: Frame { origin: f.point(0.0, 0.0, z), x, y, z: f.z }, radius })
}

fn line(surface: &Surface, a: (f64, f64), b: (f64, f64)) -> Curve {
    let (p, q) = (surface.point(a.0, a.1), surface.point(b.0, b.1));
    Curve::Line(Line { origin: p, direction: q - p })
}

/// Meridian of a sphere or tube: circle through u, starting at v = 0 and rising.
pub(super) fn meridian(centre: Point3, radius: f64, u: f64) -> Curve {
    let f = frame();
    let (sin, cos) = real::sin_cos(u);
    let e = f.x * cos + f.y * sin;
    Curve::Circle(Circle { frame: Frame { origin: centre, x: e, y: f.z, z: e.cross(f.z) }, radius })
}

#[test]
fn bands_and_sectors_of_a_cylinder() {
    let r = 7.0;
    let s = Surface::Cylinder(Cylinder { frame: frame(), radius: r });
    for turn in [0.0, 0.3, 2.9, 5.0] {
        let (bottom, top) = (ring(-2.0, r, turn), ring(9.0, r, turn + 1.0));
        let band = vec![vec![(bottom.clone(), 0.0, TAU, true)], vec![(top.clone(), 0.0, TAU, false)]];
        check("band", &s, bounded(&s, &band), TAU * r * 11.0, &[(0.1, 0.0), (4.0, 8.9), (-9.0, -1.9)], &[(0.1, -2.1), (3.0, 9.1)]);
        let wrong = vec![vec![(bottom, 0.0, TAU, false)], vec![(top, 0.0, TAU, true)]];
        let turned = bounded(&s, &wrong).unwrap();
        assert_eq!(turned.repairs.len(), 2);
        check("band turned", &s, Ok(turned), TAU * r * 11.0, &[(0.1, 0.0)], &[(0.1, -2.1)]);
        let (bottom, top) = (ring(-2.0, r, turn), ring(9.0, r, turn));
        let rail = line(&s, (turn, -2.0), (turn, 9.0));
        let seamed = vec![vec![
            (bottom.clone(), 0.0, TAU, true),
            (rail.clone(), 0.0, 1.0, true),
            (top.clone(), 0.0, TAU, false),
            (rail.clone(), 0.0, 1.0, false),
        ]];
        check("seamed", &s, bounded(&s, &seamed), TAU * r * 11.0, &[(0.1, 0.0), (4.0, 8.9)], &[(0.1, -2.1)]);
        let other = line(&s, (turn + 2.5, -2.0), (turn + 2.5, 9.0));
        let sector = vec![vec![(bottom, 0.0, 2.5, true), (other, 0.0, 1.0, true), (top, 0.0, 2.5, false), (rail, 0.0, 1.0, false)]];
        check("sector", &s, bounded(&s, &sector), 2.5 * r * 11.0, &[(turn + 1.0, 0.0)], &[(turn + 3.0, 0.0)]);
    }
    let open = vec![vec![(ring(0.0, r, 0.0), 0.0, TAU, true)]];
    assert_eq!(bounded(&s, &open).unwrap_err(), DomainFault::Unbounded);
    assert_eq!(natural(&s, &SurfaceSearch::new(&s)).unwrap_err(), DomainFault::Unbounded);
}

/// A round hole through the seam: its area by the oblique cut of a plane with the cylinder is not needed, only that
/// the band and the plug in it make the whole band.
#[test]
fn a_hole_across_the_seam_of_a_band() {
    let r = 7.0;
    let s = Surface::Cylinder(Cylinder { frame: frame(), radius: r });
    let hole = |at: f64| {
        // A space curve off the surface: its feet are the trim. Radially projected circle.
        let d = s.derivs(at, 4.0, 1);
        let n = d.su.cross(d.sv).normalize();
        Curve::Circle(Circle { frame: Frame { origin: d.s + n * 0.5, x: d.su.normalize(), y: frame().z, z: n }, radius: 2.0 })
    };
    for at in [0.0, 0.1, 1.5, PI, 6.2] {
        let plug = bounded(&s, &[vec![(hole(at), 0.0, TAU, true)]]).unwrap();
        let plug_area = plug.area(&s);
        let band =
            vec![vec![(ring(-2.0, r, 0.0), 0.0, TAU, true)], vec![(ring(9.0, r, 0.0), 0.0, TAU, false)], vec![(hole(at), 0.0, TAU, false)]];
        check(
            "holed band",
            &s,
            bounded(&s, &band),
            TAU * r * 11.0 - plug_area,
            &[(at + 0.6, 4.0), (at, 7.0)],
            &[(at, 4.0), (at + 0.1, 4.4)],
        );
    }
}

#[test]
fn pieces_of_a_cone_up_to_its_apex() {
    let (r, half) = (4.0, 0.35);
    let cone = Cone { frame: frame(), radius: r, half_angle: half };
    let s = Surface::Cone(cone);
    let slant = |rho: f64| PI * rho * rho / real::sin(half);
    let radius = |v: f64| r + v * real::tan(half);
    let whole = vec![vec![(ring(3.0, radius(3.0), 0.7), 0.0, TAU, false)]];
    check("cone to apex", &s, bounded(&s, &whole), slant(radius(3.0)), &[(1.0, 2.0), (2.0, cone.apex() + 0.1)], &[(1.0, 3.1)]);
    let band = vec![vec![(ring(1.0, radius(1.0), 0.7), 0.0, TAU, true)], vec![(ring(3.0, radius(3.0), 2.7), 0.0, TAU, false)]];
    check("cone band", &s, bounded(&s, &band), slant(radius(3.0)) - slant(radius(1.0)), &[(1.0, 2.0)], &[(1.0, 0.9)]);
    let apex = cone.apex();
    let sector = vec![vec![
        (line(&s, (0.4, apex), (0.4, 3.0)), 0.0, 1.0, false),
        (line(&s, (2.0, apex), (2.0, 3.0)), 0.0, 1.0, true),
        (ring(3.0, radius(3.0), 0.0), 0.4, 2.0, false),
    ]];
    // Run as given it keeps the sector on the right: it must be turned, whichever way.
    let sector_area = slant(radius(3.0)) * 1.6 / TAU;
    let right: Vec<_> = vec![vec![
        (line(&s, (0.4, apex), (0.4, 3.0)), 0.0, 1.0, false),
        (line(&s, (2.0, apex), (2.0, 3.0)), 0.0, 1.0, true),
        (ring(3.0, radius(3.0), 0.0), 0.4, 2.0, false),
    ]];
    let _ = sector;
    check("cone sector", &s, bounded(&s, &right), sector_area, &[(1.0, 2.0)], &[(3.0, 2.0), (0.1, 2.0)]);
}

#[test]
fn caps_lunes_octants_and_rests_of_a_sphere() {
    let r = 9.0;
    let f = frame();
    let s = Surface::Sphere(Sphere { frame: f, radius: r });
    let at = |v: f64| ring(r * real::sin(v), r * real::cos(v), 0.4);
    let all = 4.0 * PI * r * r;
    check("whole", &s, natural(&s, &SurfaceSearch::new(&s)), all, &[(0.0, 0.1), (5.0, -1.5)], &[]);
    let cap = |v: f64| TAU * r * r * (1.0 - real::sin(v));
    check("upper cap", &s, bounded(&s, &[vec![(at(0.5), 0.0, TAU, true)]]), cap(0.5), &[(1.0, 0.6), (4.0, 1.5)], &[(1.0, 0.4)]);
    check("below it", &s, bounded(&s, &[vec![(at(0.5), 0.0, TAU, false)]]), all - cap(0.5), &[(1.0, 0.4), (4.0, -1.5)], &[(1.0, 0.6)]);
    let (a, b, c) = (meridian(f.origin, r, 0.3), meridian(f.origin, r, 1.9), ring(0.0, r, 0.0));
    let octant = vec![vec![(c, 0.3, 1.9, true), (b, 0.0, PI / 2.0, true), (a, 0.0, PI / 2.0, false)]];
    check("octant", &s, bounded(&s, &octant), all * 1.6 / TAU / 2.0, &[(1.0, 0.4), (1.8, 1.5)], &[(2.1, 0.5), (1.0, -0.1)]);
    // A lune, bounded by two half meridians from pole to pole.
    let lune =
        vec![vec![(meridian(f.origin, r, 1.9), -PI / 2.0, PI / 2.0, true), (meridian(f.origin, r, 0.3), -PI / 2.0, PI / 2.0, false)]];
    check("lune", &s, bounded(&s, &lune), all * 1.6 / TAU, &[(1.0, 0.4), (1.8, -1.5)], &[(2.1, 0.5)]);
    // A hemisphere bounded by one great circle through both poles.
    let half = vec![vec![(meridian(f.origin, r, 0.8), 0.3, 0.3 + TAU, true)]];
    let got = bounded(&s, &half);
    check("half through the poles", &s, got, all / 2.0, &[(0.5, 0.0), (-1.0, 1.0)], &[(1.0, 0.1)]);
    // A whole sphere cut along one meridian, used both ways.
    let slit =
        vec![vec![(meridian(f.origin, r, 0.8), -PI / 2.0, PI / 2.0, true), (meridian(f.origin, r, 0.8), -PI / 2.0, PI / 2.0, false)]];
    check("seam alone", &s, bounded(&s, &slit), all, &[(0.5, 0.0), (3.0, 1.0)], &[]);
    // A small circle off the axis: inside it, and the rest of the sphere.
    let n = s.normal(1.0, 0.2).unwrap();
    let x = n.any_orthonormal_vector();
    let small = |alpha: f64| {
        let centre = f.origin + n * (r * real::cos(alpha));
        Curve::Circle(Circle { frame: Frame { origin: centre, x, y: n.cross(x), z: n }, radius: r * real::sin(alpha) })
    };
    for alpha in [0.1, 0.7, 1.2] {
        let disc = TAU * r * r * (1.0 - real::cos(alpha));
        check("disc", &s, bounded(&s, &[vec![(small(alpha), 0.0, TAU, true)]]), disc, &[(1.0, 0.2)], &[(-2.0, 0.0)]);
        check("rest", &s, bounded(&s, &[vec![(small(alpha), 0.0, TAU, false)]]), all - disc, &[(-2.0, 0.0), (3.0, -1.4)], &[(1.0, 0.2)]);
    }
}

#[test]
fn pieces_of_a_torus() {
    let (big, small) = (20.0, 6.0);
    let f = frame();
    let s = Surface::Torus(Torus { frame: f, major: big, minor: small });
    let all = 4.0 * PI * PI * big * small;
    check("whole", &s, natural(&s, &SurfaceSearch::new(&s)), all, &[(0.0, 0.1), (5.0, -1.5)], &[]);
    let around = |v: f64| ring(small * real::sin(v), big + small * real::cos(v), 0.4);
    let tube = |u: f64| {
        let (sin, cos) = real::sin_cos(u);
        meridian(f.point(big * cos, big * sin, 0.0), small, u)
    };
    let band = |a: f64, b: f64| TAU * small * (big * (b - a) + small * (real::sin(b) - real::sin(a)));
    for (a, b) in [(0.3, 1.9), (2.0, 4.0), (-1.0, 1.0), (5.0, 9.0)] {
        let loops = vec![vec![(around(a), 0.0, TAU, true)], vec![(around(b), 0.0, TAU, false)]];
        check("ring band", &s, bounded(&s, &loops), band(a, b), &[(1.0, 0.5 * (a + b)), (4.0, a + 0.1)], &[(1.0, a - 0.1), (2.0, b + 0.1)]);
        let loops = vec![vec![(tube(a), 0.0, TAU, false)], vec![(tube(b), 0.0, TAU, true)]];
        check(
            "elbow",
            &s,
            bounded(&s, &loops),
            all * (b - a) / TAU,
            &[(0.5 * (a + b), 1.0), (a + 0.1, 4.0)],
            &[(a - 0.1, 2.0), (b + 0.1, 1.0)],
        );
    }
    let (c, d) = (around(0.9), tube(0.4));
    let seamed =
        vec![vec![(c.clone(), 0.0, TAU, true), (d.clone(), 0.9, 0.9 + TAU, true), (c, 0.0, TAU, false), (d, 0.9, 0.9 + TAU, false)]];
    check("both seams", &s, bounded(&s, &seamed), all, &[(0.0, 0.1), (5.0, -1.5)], &[]);
    let quarter = vec![vec![
        (around(-0.5), 0.1, 1.4, true),
        (tube(1.8), -0.5, 1.0, true),
        (around(1.0), 0.1, 1.4, false),
        (tube(0.5), -0.5, 1.0, false),
    ]];
    check("quarter", &s, bounded(&s, &quarter), band(-0.5, 1.0) * 1.3 / TAU, &[(1.0, 0.0)], &[(2.0, 0.0), (1.0, 1.1)]);
}

/// Pappus: the outer part of a spindle torus between its poles.
#[test]
fn an_apple_is_closed_at_its_poles() {
    let (big, small) = (3.0, 8.0);
    let s = Surface::Torus(Torus { frame: frame(), major: big, minor: small });
    let v = real::acos(-big / small);
    let area = TAU * small * (2.0 * big * v + 2.0 * small * real::sin(v));
    check("apple", &s, natural(&s, &SurfaceSearch::new(&s)), area, &[(0.0, 0.1), (5.0, -1.5)], &[(1.0, 3.0)]);
}

#[test]
fn a_plane_with_holes_in_any_orientation() {
    let s = Surface::Plane(Plane { frame: frame() });
    let circle = |x: f64, y: f64, radius: f64| {
        let f = frame();
        Curve::Circle(Circle { frame: Frame { origin: f.point(x, y, 0.0), ..f }, radius })
    };
    let ellipse = |x: f64, a: f64, b: f64| {
        let f = frame();
        Curve::Ellipse(Ellipse { frame: Frame { origin: f.point(x, 0.0, 0.0), ..f }, semi_x: a, semi_y: b })
    };
    for (o, h) in [(true, false), (false, true), (true, true), (false, false)] {
        let loops = vec![
            vec![(circle(2.0, 0.5, 1.5), 0.0, TAU, h)],
            vec![(ellipse(0.0, 9.0, 4.0), 0.0, TAU, o)],
            vec![(circle(-5.0, 0.0, 1.0), 0.0, TAU, h)],
        ];
        let got = bounded(&s, &loops).unwrap();
        assert_eq!(got.repairs.len(), usize::from(!o) + 2 * usize::from(h));
        check("holes", &s, Ok(got), PI * (36.0 - 2.25 - 1.0), &[(0.0, 0.0), (-7.0, 0.5)], &[(2.0, 0.4), (-5.1, 0.0), (0.0, 4.1)]);
    }
}

#[test]
fn a_corner_gap_is_bridged_and_a_missing_side_is_refused() {
    let s = Surface::Plane(Plane { frame: frame() });
    let side = |a: (f64, f64), b: (f64, f64)| (line(&s, a, b), 0.0, 1.0, true);
    let gap = 0.02;
    let loops = vec![vec![
        side((0.0, 0.0), (10.0 - gap, 0.0)),
        side((10.0, 0.0), (10.0, 5.0)),
        side((10.0, 5.0), (0.0, 5.0)),
        side((0.0, 5.0), (0.0, 0.0)),
    ]];
    let got = bounded(&s, &loops).unwrap();
    assert!(matches!(got.repairs[..], [DomainRepair::Bridged { loop_index: 0, use_index: 1, gap: g }] if (g - gap).abs() < 1e-12));
    check("bridged", &s, Ok(got), 50.0, &[(5.0, 2.0)], &[(5.0, 5.1)]);
    let open = vec![vec![side((0.0, 0.0), (10.0, 0.0)), side((10.0, 0.0), (10.0, 5.0)), side((10.0, 5.0), (0.0, 5.0))]];
    // Three sides of a rectangle leave 5 of 25 mm open.
    assert!(bounded(&s, &open).is_ok_and(|d| !d.repairs.is_empty()) || bounded(&s, &open).is_err());
    let two = vec![vec![side((0.0, 0.0), (10.0, 0.0)), side((10.0, 0.0), (10.0, 5.0))]];
    assert!(matches!(bounded(&s, &two), Err(DomainFault::Open { gap, .. }) if (gap - real::hypot(10.0, 5.0)).abs() < 1e-9));
}

mod hostile {
    use super::*;
    use crate::nurbs::{self, KnotVector};
    use proptest::prelude::*;

    /// Numbers a damaged file may hold.
    fn odd() -> impl Strategy<Value = f64> {
        prop_oneof![4 => -30.0f64..30.0, 1 => Just(0.0), 1 => Just(1e-300), 1 => Just(1e300), 1 => Just(-1e9), 1 => Just(f64::NAN), 1 => Just(f64::INFINITY)]
    }

    fn curve(kind: u8, n: [f64; 6]) -> Curve {
        let f = Frame { origin: frame().point(n[0], n[1], n[2]), ..frame() };
        match kind % 4 {
            0 => Curve::Line(Line { origin: f.origin, direction: Vec3::new(n[3], n[4], n[5]) }),
            1 => Curve::Circle(Circle { frame: f, radius: n[3] }),
            2 => Curve::Ellipse(Ellipse { frame: f, semi_x: n[3], semi_y: n[4] }),
            _ => {
                let points = (0..4).map(|i| [n[i], n[i + 1], n[i + 2]]).collect();
                nurbs::Curve::new(KnotVector::bezier(3).unwrap(), points, None).map_or_else(|_| curve(1, n), Curve::Nurbs)
            }
        }
    }

    fn surface(kind: u8, n: [f64; 6]) -> Surface {
        let f = frame();
        match kind % 6 {
            0 => Surface::Plane(Plane { frame: f }),
            1 => Surface::Cylinder(Cylinder { frame: f, radius: n[0] }),
            2 => Surface::Cone(Cone { frame: f, radius: n[0], half_angle: n[1] }),
            3 => Surface::Sphere(Sphere { frame: f, radius: n[0] }),
            4 => Surface::Torus(Torus { frame: f, major: n[0], minor: n[1] }),
            _ => {
                let k = || KnotVector::bezier(2).unwrap();
                let points = (0..9).map(|i| Point3::new(n[i % 6], n[(i + 2) % 6], n[(i * 5) % 6])).collect();
                nurbs::Surface::new(k(), k(), points, None).map_or_else(|_| surface(3, n), Surface::Nurbs)
            }
        }
    }

    proptest! {
        /// Whatever numbers arrive, the answer is a domain or a fault, in bounded time.
        #[test]
        fn nonsense_gives_a_domain_or_a_fault(
            of in 0u8..6, size in proptest::array::uniform6(odd()),
            loops in proptest::collection::vec(proptest::collection::vec((0u8..4, proptest::array::uniform6(odd()), odd(), odd(), any::<bool>()), 1..4), 0..3),
        ) {
            let s = surface(of, size);
            let search = SurfaceSearch::new(&s);
            let mut uses = Vec::new();
            for (loop_index, l) in loops.iter().enumerate() {
                let trims = l.iter().enumerate().filter_map(|(use_index, &(kind, n, t0, t1, forward))| {
                    let trim = Trim::foot_of(&s, &search, &curve(kind, n), t0, t1).ok()?;
                    Some(BoundaryUse { trim, forward, loop_index, use_index })
                });
                uses.push(trims.collect());
            }
            if let Ok(domain) = assemble(&s, &search, uses, Vec::new()) {
                let _ = domain.area(&s);
                let _ = domain.contains(Point2::new(0.3, 0.4));
            }
        }
    }
}
