//! Stations against closed forms: a circle of radius r has curvature 1/r and slope 0, a straight line 0, an ellipse
//! its textbook curvature; a perturbed control row breaks exactly its own order (NB, end derivatives, eq. 3.24 and
//! its like in one direction of a patch).

use super::{Border, Measures, measure};
use crate::geometry::{Cylinder, Plane, Sphere, Surface};
use crate::math::{Frame, Point3, Vec3, real};
use crate::nurbs::{self, KnotVector};
use proptest::prelude::*;

/// A frame out of the axes, so that nothing is exact by luck.
fn tilted() -> Frame {
    Frame::from_axis(Point3::new(11.0, -7.0, 5.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
}

/// The border of a surface at (u, v), its inside towards `inside` (any vector with a component that way).
fn border(s: &Surface, u: f64, v: f64, t: Vec3, inside: Vec3) -> Border {
    let derivs = s.derivs(u, v, 3);
    let left = derivs.su.cross(derivs.sv).cross(t);
    Border { derivs, along: if left.dot(inside) > 0.0 { t } else { -t } }
}

fn check(m: &Measures, angle: f64, curvature: f64, slope: f64, precision: f64) {
    assert!(m.gap < 1e-11, "gap {}", m.gap);
    let (g1, g2, g3) = (m.angle.unwrap(), m.curvature_jump().unwrap(), m.slope_jump().unwrap());
    assert!((g1 - angle).abs() < 1e-6f64.max(precision), "angle {g1} against {angle}");
    assert!((g2 - curvature).abs() < precision, "curvature jump {g2} against {curvature}");
    assert!((g3 - slope).abs() < precision, "slope jump {g3} against {slope}");
}

#[test]
fn plane_and_fillet_jump_by_one_over_r() {
    let f = tilted();
    for r in [0.3, 2.0, 5.0, 250.0] {
        // The cylinder's ruling at u = 0 lies on the plane x = r of the frame.
        let cylinder = Surface::Cylinder(Cylinder { frame: f, radius: r });
        let plane = Surface::Plane(Plane { frame: Frame { origin: f.point(r, 0.0, 0.0), x: f.y, y: f.z, z: f.x } });
        let (a, b) = (border(&cylinder, 0.0, 3.0, f.z, f.y), border(&plane, 0.0, 3.0, f.z, -f.y));
        check(&measure(&a, &b), 0.0, 1.0 / r, 0.0, 1e-12 / r);
        check(&measure(&b, &a), 0.0, 1.0 / r, 0.0, 1e-12 / r);
    }
}

#[test]
fn cylinders_tangent_along_a_ruling() {
    let f = tilted();
    for (r1, r2) in [(10.0, 25.0), (3.0, 3.5), (7.0, 1e4)] {
        let one = Surface::Cylinder(Cylinder { frame: f, radius: r1 });
        for (side, want) in [(1.0, 1.0 / r1 - 1.0 / r2), (-1.0, 1.0 / r1 + 1.0 / r2)] {
            // The second axis lies on the same side (both bulge alike) or on the other (an S bend).
            let origin = f.point(r1 - side * r2, 0.0, 0.0);
            let two = Surface::Cylinder(Cylinder { frame: Frame { origin, ..f }, radius: r2 });
            let u = if side > 0.0 { 0.0 } else { real::PI };
            let m = measure(&border(&one, 0.0, 2.0, f.z, f.y), &border(&two, u, 2.0, f.z, -f.y));
            check(&m, 0.0, want, 0.0, 1e-12);
        }
    }
}

#[test]
fn sphere_on_a_tangent_cylinder() {
    let f = tilted();
    for r in [0.8, 8.0, 300.0] {
        let sphere = Surface::Sphere(Sphere { frame: f, radius: r });
        let tube = Surface::Cylinder(Cylinder { frame: f, radius: r });
        for u in [0.0, 1.0, 4.0] {
            let t = sphere.derivs(u, 0.0, 1).su;
            check(&measure(&border(&sphere, u, 0.0, t, f.z), &border(&tube, u, 0.0, t, -f.z)), 0.0, 1.0 / r, 0.0, 1e-12);
        }
    }
}

/// Curvature of the ellipse (a cos t, c sin t): ac/s³ with s = √(a² sin² t + c² cos² t); by arc length
/// κ′ = −3ac(a² − c²) sin t cos t / s⁶. Its osculating circle keeps κ and has κ′ = 0.
#[test]
fn ellipse_and_its_osculating_circle_keep_curvature_and_break_slope() {
    let f = tilted();
    let (a, c) = (30.0, 15.0);
    // A quarter of the ellipse as a rational quadratic in u, extruded along z in v.
    let w = real::cos(real::PI / 4.0);
    let net = [(a, 0.0), (a, c), (0.0, c)].iter().flat_map(|&(x, y)| [f.point(x, y, 0.0), f.point(x, y, 60.0)]).collect();
    let knots = (KnotVector::bezier(2).unwrap(), KnotVector::bezier(1).unwrap());
    let ellipse = Surface::Nurbs(nurbs::Surface::new(knots.0, knots.1, net, Some(vec![1.0, 1.0, w, w, 1.0, 1.0])).unwrap());
    for share in [0.1, 0.3, 0.5, 0.8] {
        let d = ellipse.derivs(share, 0.5, 1);
        let q = f.local(d.s);
        let t = real::atan2(q.y / c, q.x / a);
        let (sin, cos) = real::sin_cos(t);
        let s = (a * a * sin * sin + c * c * cos * cos).sqrt();
        let (k, slope) = (a * c / (s * s * s), 3.0 * a * c * (a * a - c * c) * sin * cos / (s * s * s * s * s * s));
        let inward = f.vector(-c * cos, -a * sin, 0.0) / s;
        let centre = d.s + inward * (1.0 / k);
        let circle =
            Surface::Cylinder(Cylinder { frame: Frame { origin: centre, x: -inward, y: f.z.cross(-inward), z: f.z }, radius: 1.0 / k });
        let m = measure(&border(&ellipse, share, 0.5, f.z, -d.su), &border(&circle, 0.0, 0.0, f.z, d.su));
        check(&m, 0.0, 0.0, slope, 1e-11);
    }
}

#[test]
fn a_sheet_folded_back_on_itself_reads_half_a_turn() {
    let f = tilted();
    let plane = Surface::Plane(Plane { frame: f });
    let a = border(&plane, 1.0, 2.0, f.y, f.x);
    let turned = Surface::Plane(Plane { frame: Frame { y: -f.y, z: -f.z, ..f } });
    for sheet in [&plane, &turned] {
        let b = border(sheet, 1.0, if sheet == &plane { 2.0 } else { -2.0 }, f.y, f.x);
        assert!((measure(&a, &b).angle.unwrap() - 180.0).abs() < 1e-6);
    }
}

#[test]
fn wedges_read_their_angle_both_ways_round() {
    let f = tilted();
    let plane = Surface::Plane(Plane { frame: f });
    for degrees in [0.02, 3.0, 89.0, 91.0, 177.0] {
        let angle = f64::to_radians(degrees);
        let x = f.x * real::cos(angle) + f.z * real::sin(angle);
        let other = Surface::Plane(Plane { frame: Frame { origin: f.origin, x, y: f.y, z: x.cross(f.y) } });
        let m = measure(&border(&plane, 0.0, 4.0, f.y, -f.x), &border(&other, 0.0, 4.0, f.y, x));
        check(&m, degrees, 0.0, 0.0, 1e-9);
    }
}

#[test]
fn a_pole_has_a_gap_and_nothing_else() {
    let f = tilted();
    let sphere = Surface::Sphere(Sphere { frame: f, radius: 4.0 });
    let pole = border(&sphere, 0.3, real::FRAC_PI_2, f.x, f.y);
    let m = measure(&pole, &pole);
    assert_eq!((m.gap, m.angle, m.curvature, m.slope), (0.0, None, None, None));
}

/// Splits the rows of a Bézier net (u-major) at 1/2 in u by de Casteljau's algorithm.
fn halves(net: &[Vec<Vec3>]) -> (Vec<Vec<Vec3>>, Vec<Vec<Vec3>>) {
    let (mut left, mut right, mut level) = (Vec::new(), Vec::new(), net.to_vec());
    while !level.is_empty() {
        left.push(level[0].clone());
        right.insert(0, level[level.len() - 1].clone());
        level = level.windows(2).map(|w| w[0].iter().zip(&w[1]).map(|(a, b)| (*a + *b) * 0.5).collect()).collect();
    }
    (left, right)
}

fn bezier(net: &[Vec<Vec3>]) -> Surface {
    let knots = |n: usize| KnotVector::bezier(n - 1).unwrap();
    let points = net.iter().flatten().map(|&p| Point3::from_vec(p)).collect();
    Surface::Nurbs(nurbs::Surface::new(knots(net.len()), knots(net[0].len()), points, None).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Row k of the right half, moved by δ along the normal, keeps G(k−1) and breaks Gk by
    /// p!/(p−k)! δ u′ᵏ, u′ = 1/(Su·b): gap δ, angle atan, curvature and slope jumps as they stand.
    #[test]
    fn a_moved_control_row_breaks_its_own_order(
        p in 3usize..=7, q in 1usize..=5, k in 0usize..=3, v in 0.1f64..0.9, size in 20.0f64..400.0,
        bumps in proptest::collection::vec(-0.15f64..0.15, 64 * 3),
    ) {
        let net: Vec<Vec<Vec3>> = (0..=p).map(|i| (0..=q).map(|j| {
            let n = 3 * (i * 8 + j);
            Vec3::new(i as f64 / p as f64 + 0.1 * j as f64, 0.8 * j as f64 / q as f64, 0.0) * size
                + Vec3::new(bumps[n] / p as f64, bumps[n + 1] / q as f64, bumps[n + 2]) * size
        }).collect()).collect();
        let (left, mut right) = halves(&net);
        let (a, clean) = (bezier(&left), bezier(&right));
        let d = clean.derivs(0.0, v, 1);
        let n = d.su.cross(d.sv).normalize();
        let across = d.sv.cross(n).normalize();
        let speed = 1.0 / d.su.dot(across).abs();
        let side = |s: &Surface, u: f64, sign: f64| border(s, u, v, s.derivs(u, v, 1).sv, s.derivs(u, v, 1).su * sign);
        let before = measure(&side(&a, 1.0, -1.0), &side(&clean, 0.0, 1.0));
        let scale = 1.0 / size;
        prop_assert!(before.gap < 1e-9 * size && before.angle.unwrap() < 1e-7);
        prop_assert!(before.curvature_jump().unwrap() < 1e-9 * scale, "{before:?}");
        prop_assert!(before.slope_jump().unwrap() < 1e-9 * scale * scale * 100.0, "{before:?}");
        let delta = 1e-4 * size;
        for point in &mut right[k] {
            *point += n * delta;
        }
        let after = measure(&side(&a, 1.0, -1.0), &side(&bezier(&right), 0.0, 1.0));
        let factor = (0..k).map(|i| (p - i) as f64 * speed).product::<f64>() * delta;
        let got = [after.gap, after.angle.unwrap(), after.curvature_jump().unwrap(), after.slope_jump().unwrap()];
        let want = if k == 1 { real::atan(factor).to_degrees() } else { factor };
        prop_assert!((got[k] - want).abs() < 1e-6 * want, "order {k}: {} against {want}", got[k]);
        let noise = [1e-9 * size, 1e-7, 1e-9 * scale];
        for lower in 0..k {
            prop_assert!(got[lower] < noise[lower], "order {lower} under {k}: {}", got[lower]);
        }
    }
}
