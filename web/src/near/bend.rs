//! What a surface does beyond its tangent plane at a base point. Points are taken relative to the base (`d`), the
//! normal relative to the base's (`n0`).

use super::window::Window;
use crate::packet::BezierGrid;
use crate::surface_record::cut;
use glam::DVec3;
use rakelight_core::geometry::Surface;
use rakelight_core::math::Frame;
use rakelight_core::nurbs::{self, Direction, KnotVector, SurfaceDerivs};

/// Control points of a window at most. Larger fills the device's memory where a view runs along a large patch; such a
/// view is drawn without a base.
const MAX_POINTS: usize = 1 << 16;

/// Least share of a window that a piece at its end covers, where its span is as wide. Smaller: what lies just outside
/// is extrapolated over many times the piece's width.
const LEAST_PIECE: f64 = 0.1;

/// The shape of a surface around a base.
#[derive(Clone, Debug, PartialEq)]
pub enum Bend {
    /// n0·d + d·Qd = 0 with Qd = `across`·(d square to the axis) + `along`·(d along the axis); 1/mm. Plane, cylinder,
    /// cone and sphere, exactly.
    Quadric {
        /// Unit axis.
        axis: DVec3,
        /// Factor of what lies square to the axis.
        across: f64,
        /// Factor of what lies along the axis.
        along: f64,
    },
    /// |(side·(distance from the axis) − major, height)| = minor.
    Torus {
        /// Unit axis.
        axis: DVec3,
        /// Unit vector from the axis to the base.
        out: DVec3,
        /// Distance of the base from the axis, mm.
        ring: f64,
        /// From the tube's middle to the base: away from the axis (times `side`), and along it, mm.
        tube: [f64; 2],
        /// −1 on the inner half of a spindle torus.
        side: f64,
        /// 1 where the normal points out of the tube, −1 where it points in.
        sign: f64,
    },
    /// A spline.
    Spline(SplineBend),
}

/// The part of a spline in a window: d = `along_u`·s + `along_v`·t + bend(s, t), where s and t are 0 at the base and run
/// over one window.
#[derive(Clone, Debug, PartialEq)]
pub struct SplineBend {
    /// ∂d/∂s at the base, mm.
    pub along_u: DVec3,
    /// ∂d/∂t at the base, mm.
    pub along_v: DVec3,
    /// s and t from the face's normalised parameters: factors, then what is added.
    pub from_uv: [f64; 4],
    /// The bend over s and t, mm.
    pub grid: BezierGrid,
    /// −1 where the face's outward side is against the surface's normal.
    pub side: f64,
}

/// The bend of an analytic surface at a base on it with the outward unit normal there; `None` on an axis or apex, where
/// there is no normal, and for other surfaces.
pub fn analytic(surface: &Surface, base: DVec3, normal: DVec3) -> Option<Bend> {
    let quadric = |axis: DVec3, gradient: DVec3, across: f64, along: f64| {
        // F(base + d) = gradient·d + d·Qd; over the gradient's length, and with the normal's own side.
        let size = gradient.length() * gradient.dot(normal).signum();
        (size != 0.0 && size.is_finite()).then(|| Bend::Quadric { axis, across: across / size, along: along / size })
    };
    let parts = |f: &Frame| {
        let d = base - f.origin.to_vec();
        let height = d.dot(f.z);
        (height, d - f.z * height)
    };
    match surface {
        Surface::Plane(s) => quadric(s.frame.z, normal, 0.0, 0.0),
        Surface::Sphere(s) => quadric(s.frame.z, 2.0 * (base - s.frame.origin.to_vec()), 1.0, 1.0),
        Surface::Cylinder(s) => quadric(s.frame.z, 2.0 * parts(&s.frame).1, 1.0, 0.0),
        Surface::Cone(s) => {
            // Around the apex: (square to the axis)² cos² − (along it)² sin² = 0.
            let (height, across) = parts(&s.frame);
            let (sin, cos) = s.half_angle.sin_cos();
            let from_apex = height * sin + s.radius * cos;
            quadric(s.frame.z, 2.0 * (across * (cos * cos) - s.frame.z * (from_apex * sin)), cos * cos, -sin * sin)
        }
        Surface::Torus(s) => {
            let (height, across) = parts(&s.frame);
            let ring = across.length();
            let off = |side: f64| ((side * ring - s.major).hypot(height) - s.minor).abs();
            let side = if off(-1.0) < off(1.0) { -1.0 } else { 1.0 };
            let out = across.try_normalize()?;
            let tube = [side * ring - s.major, height];
            let sign = (out * (side * tube[0]) + s.frame.z * tube[1]).dot(normal).signum();
            Some(Bend::Torus { axis: s.frame.z, out, ring, tube, side, sign })
        }
        _ => None,
    }
}

impl SplineBend {
    /// The bend of a spline in a window, with the base at the window's middle and `at` evaluated there; `None` when the
    /// window has no extent or too many spans.
    pub fn of(spline: &nurbs::Surface, window: &Window, at: &SurfaceDerivs, uv_box: &[f64; 4], side: f64) -> Option<SplineBend> {
        let [u0, u1, v0, v1] = window.uv;
        let (a, b) = piece(spline.knots_u(), u0, u1)?;
        let (c, d) = piece(spline.knots_v(), v0, v1)?;
        let points =
            |knots: &KnotVector, a: f64, b: f64| (knots.degree() + 2) * (1 + knots.breaks().iter().filter(|k| **k > a && **k < b).count());
        if points(spline.knots_u(), a, b) * points(spline.knots_v(), c, d) > MAX_POINTS {
            return None;
        }
        let part = spline.between(Direction::U, a, b).ok()?.between(Direction::V, c, d).ok()?;
        let mut grid = cut(&part, at.s.to_vec());
        let ([mu, mv], [wu, wv]) = (window.middle, [b - a, d - c]);
        grid.breaks_u.iter_mut().for_each(|u| *u = (*u - mu) / wu);
        grid.breaks_v.iter_mut().for_each(|v| *v = (*v - mv) / wv);
        let (along_u, along_v) = (at.su * wu, at.sv * wv);
        let from_uv = [(uv_box[1] - uv_box[0]) / wu, (uv_box[3] - uv_box[2]) / wv, (uv_box[0] - mu) / wu, (uv_box[2] - mv) / wv];
        let grid = if part.weights().is_some() { rational(&grid, along_u, along_v) } else { polynomial(grid, along_u, along_v) };
        Some(SplineBend { along_u, along_v, from_uv, grid, side })
    }
}

/// A stretch of parameters inside a domain that ends at knots or well inside spans; `None` without extent.
fn piece(knots: &KnotVector, low: f64, high: f64) -> Option<(f64, f64)> {
    let (domain, breaks) = (knots.domain(), knots.breaks());
    let (mut a, mut b) = (domain.clamp(low), domain.clamp(high));
    let least = LEAST_PIECE * (b - a);
    if let Some(end) = breaks.iter().copied().find(|k| *k > a) {
        let begin = breaks.iter().copied().rfind(|k| *k <= a).unwrap_or(a);
        a = a.min((end - least).max(begin));
    }
    if let Some(begin) = breaks.iter().copied().rfind(|k| *k < b) {
        let end = breaks.iter().copied().find(|k| *k >= b).unwrap_or(b);
        b = b.max((begin + least).min(end));
    }
    (b - a > 0.0).then_some((a, b))
}

/// The linear part taken off a grid of equal weights: its control values stand at even steps.
fn polynomial(mut grid: BezierGrid, along_u: DVec3, along_v: DVec3) -> BezierGrid {
    let ([p, q], [su, _]) = (grid.degree, grid.spans());
    let block = grid.block();
    for (n, point) in grid.points.iter_mut().enumerate() {
        let ((i, j), inside) = ((n / block % su, n / block / su), n % block);
        let at = |breaks: &[f64], span: usize, k: usize, degree: usize| {
            let t = k as f64 / degree as f64;
            breaks[span] * (1.0 - t) + breaks[span + 1] * t
        };
        let (s, t) = (at(&grid.breaks_u, i, inside % (p + 1), p), at(&grid.breaks_v, j, inside / (p + 1), q));
        let linear = along_u * s + along_v * t;
        for (x, l) in point.iter_mut().zip(linear.to_array()) {
            *x -= l;
        }
    }
    grid
}

/// The same for a rational grid: weight times linear part is a degree higher.
fn rational(grid: &BezierGrid, along_u: DVec3, along_v: DVec3) -> BezierGrid {
    let ([p, q], [su, sv]) = (grid.degree, grid.spans());
    let mut points = Vec::with_capacity(su * sv * (p + 2) * (q + 2));
    for (n, block) in grid.points.chunks_exact(grid.block()).enumerate() {
        let ends = |breaks: &[f64], span: usize| [breaks[span], breaks[span + 1]];
        let (s, t) = (ends(&grid.breaks_u, n % su), ends(&grid.breaks_v, n / su));
        let raised = times_v(&times_u(block, p, [1.0; 2]), p + 1, [1.0; 2]);
        let by_s = times_v(&times_u(block, p, s), p + 1, [1.0; 2]);
        let by_t = times_v(&times_u(block, p, [1.0; 2]), p + 1, t);
        points.extend(raised.iter().zip(&by_s).zip(&by_t).map(|((h, hs), ht)| {
            let d = DVec3::new(h[0], h[1], h[2]) - along_u * hs[3] - along_v * ht[3];
            [d.x, d.y, d.z, h[3]]
        }));
    }
    BezierGrid { degree: [p + 1, q + 1], points, ..grid.clone() }
}

/// A block of degree `p` along u times the linear function with the given values at its two ends: a block one degree
/// higher along u (product of Bernstein polynomials; NB §5.5 for both values 1, degree elevation).
fn times_u(block: &[[f64; 4]], p: usize, ends: [f64; 2]) -> Vec<[f64; 4]> {
    block.chunks_exact(p + 1).flat_map(|row| (0..=p + 1).map(move |k| mixed(|i| row.get(i).copied(), k, p, ends))).collect()
}

/// The same along v, for rows of degree `p` along u.
fn times_v(block: &[[f64; 4]], p: usize, ends: [f64; 2]) -> Vec<[f64; 4]> {
    let q = block.len() / (p + 1) - 1;
    (0..=q + 1).flat_map(|k| (0..=p).map(move |i| mixed(|j| block.get(j * (p + 1) + i).copied(), k, q, ends))).collect()
}

fn mixed(at: impl Fn(usize) -> Option<[f64; 4]>, k: usize, degree: usize, ends: [f64; 2]) -> [f64; 4] {
    let share = k as f64 / (degree + 1) as f64;
    let before = k.checked_sub(1).and_then(&at).unwrap_or_default();
    let here = if k <= degree { at(k).unwrap_or_default() } else { [0.0; 4] };
    std::array::from_fn(|x| share * ends[1] * before[x] + (1.0 - share) * ends[0] * here[x])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface_record::joined;
    use rakelight_core::geometry::{Cone, Cylinder, Plane, Sphere, Torus};
    use rakelight_core::math::{Point3, Vec3};

    fn spline(degree: [usize; 2], spans: [usize; 2], rational: bool) -> nurbs::Surface {
        let knots = |p: usize, n: usize| {
            let inner = (1..n).map(|i| (i as f64 + 0.2 * (i as f64).sin()) / n as f64);
            KnotVector::new(p, std::iter::repeat_n(0.0, p + 1).chain(inner).chain(std::iter::repeat_n(1.0, p + 1)).collect())
                .expect("sound")
        };
        let (mut points, mut weights) = (Vec::new(), Vec::new());
        for i in 0..degree[0] + spans[0] {
            for j in 0..degree[1] + spans[1] {
                let (x, y) = (i as f64, j as f64);
                points.push(Point3::new(70.0 * x + 4.0 * y, 55.0 * y, 9.0 * (0.7 * x).sin() + 6.0 * (0.9 * y).cos() + 3.0 * x * y));
                weights.push(1.0 + 0.3 * (1.3 * x + 0.8 * y).sin());
            }
        }
        nurbs::Surface::new(knots(degree[0], spans[0]), knots(degree[1], spans[1]), points, rational.then_some(weights)).expect("sound")
    }

    /// Base, linear part and bend together are the spline, wherever the window lies and however knots fall into it.
    #[test]
    fn a_spline_is_its_base_its_tangents_and_its_bend() {
        for (degree, spans, weights) in [([3, 2], [4, 3], true), ([5, 5], [1, 2], false), ([1, 3], [3, 1], true), ([9, 7], [2, 1], true)] {
            let s = spline(degree, spans, weights);
            for (middle, half) in [([0.31, 0.62], 0.004), ([0.5, 0.5], 0.3), ([0.02, 0.97], 0.05), ([0.251, 0.4], 0.0006)] {
                let uv = [middle[0] - half, middle[0] + half, middle[1] - 0.8 * half, middle[1] + half];
                let at = s.derivs(middle[0], middle[1], 1);
                let bend = SplineBend::of(&s, &Window { uv, middle }, &at, &[0.0, 1.0, 0.0, 1.0], 1.0).expect("a window");
                let shape = joined(&bend.grid, Vec3::ZERO).expect("sound");
                let [fu, fv, cu, cv] = bend.from_uv;
                for k in 0..64 {
                    let share = |n: usize| f64::from((k * n) as u32 % 64) / 64.0;
                    let (u, v) =
                        ((uv[0] + share(7) * (uv[1] - uv[0])).clamp(0.0, 1.0), (uv[2] + share(11) * (uv[3] - uv[2])).clamp(0.0, 1.0));
                    let (a, b) = (u * fu + cu, v * fv + cv);
                    let d = bend.along_u * a + bend.along_v * b + shape.derivs(a, b, 1).s.to_vec();
                    let off = (s.derivs(u, v, 1).s.to_vec() - at.s.to_vec() - d).length();
                    assert!(off < 1e-10, "{degree:?} {half}: {off}");
                }
                // Nothing linear is left at the base.
                let left = shape.derivs(0.0, 0.0, 1);
                assert!(left.s.to_vec().length() < 1e-10 && left.su.length() < 1e-9 && left.sv.length() < 1e-9);
            }
        }
    }

    #[test]
    fn analytic_surfaces_are_where_their_bend_vanishes() {
        let frame = Frame::from_axis(Point3::new(20.0, -7.0, 4.0), Some(Vec3::new(0.3, 0.5, 0.9)), Some(Vec3::X));
        let surfaces = [
            Surface::Plane(Plane { frame }),
            Surface::Cylinder(Cylinder { frame, radius: 40.0 }),
            Surface::Cone(Cone { frame, radius: 25.0, half_angle: 0.4 }),
            Surface::Cone(Cone { frame, radius: 25.0, half_angle: -0.7 }),
            Surface::Sphere(Sphere { frame, radius: 90.0 }),
            Surface::Torus(Torus { frame, major: 60.0, minor: 22.0 }),
            Surface::Torus(Torus { frame, major: 20.0, minor: 33.0 }),
        ];
        for surface in surfaces {
            for side in [1.0, -1.0] {
                let (u, v) = (0.4, 1.1);
                let (base, normal) = (surface.point(u, v).to_vec(), surface.normal(u, v).expect("regular") * side);
                let bend = analytic(&surface, base, normal).expect("analytic");
                for k in 0..40 {
                    let (u, v) = (u + 0.02 * f64::from(k % 7), v - 0.015 * f64::from(k % 5));
                    let d = surface.point(u, v).to_vec() - base;
                    let (off, turned) = match bend {
                        Bend::Quadric { axis, across, along } => {
                            let z = axis * axis.dot(d);
                            let q = (d - z) * across + z * along;
                            (normal.dot(d) + d.dot(q), normal + 2.0 * q)
                        }
                        Bend::Torus { axis, out, ring, tube, side, sign } => {
                            let z = axis.dot(d);
                            let e = out * ring + d - axis * z;
                            let x = tube[0] + side * (e.length() - ring);
                            let minor = tube[0].hypot(tube[1]);
                            (x.hypot(tube[1] + z) - minor, (e.normalize() * (side * x) + axis * (tube[1] + z)) * sign)
                        }
                        Bend::Spline(_) => panic!("an analytic surface"),
                    };
                    assert!(off.abs() < 1e-11, "{surface:?}: {off}");
                    let exact = surface.normal(u, v).expect("regular") * side;
                    assert!(turned.normalize().distance(exact) < 1e-12, "{surface:?}");
                }
            }
        }
    }

    #[test]
    fn a_view_over_too_many_spans_has_no_window() {
        let s = spline([3, 3], [60, 60], false);
        let at = s.derivs(0.5, 0.5, 1);
        let whole = Window { uv: [0.0, 1.0, 0.0, 1.0], middle: [0.5, 0.5] };
        assert!(SplineBend::of(&s, &whole, &at, &[0.0, 1.0, 0.0, 1.0], 1.0).is_none());
        let none = Window { uv: [1.2, 1.4, 0.0, 1.0], middle: [0.5, 0.5] };
        assert!(SplineBend::of(&s, &none, &at, &[0.0, 1.0, 0.0, 1.0], 1.0).is_none());
    }
}
