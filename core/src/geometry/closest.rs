//! The point of a surface closest to a point in space.

use super::Surface;
use super::pole::{Pole, PoleLine, closures, poles};
use crate::math::{Interval, Point2, Point3, Vec3, real};
use crate::nurbs::{KnotVector, SurfaceDerivs};

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

/// What repeated questions to one surface share: a coarse lattice of points to start Newton from, its poles and
/// the lengths after which it closes on itself.
#[derive(Debug, Clone)]
pub struct SurfaceSearch {
    u: Vec<f64>,
    v: Vec<f64>,
    points: Vec<Point3>,
    poles: Vec<Pole>,
    closures: (Option<f64>, Option<f64>),
}

/// Most lattice lines in one direction. Larger: slow to build; smaller: patches of many spans lose minima.
const LATTICE: usize = 65;

/// How many lattice minima are refined. Smaller: folded patches lose the true foot; larger: slower.
const STARTS: usize = 4;

impl SurfaceSearch {
    /// Prepares the search; cheap for analytic surfaces, which need no lattice.
    pub fn new(surface: &Surface) -> Self {
        let mut search = Self { u: Vec::new(), v: Vec::new(), points: Vec::new(), poles: poles(surface), closures: closures(surface) };
        let Some((mut u, mut v)) = lattices(surface) else { return search };
        // On a collapsed side all directions look alike and Newton cannot tell where to go: start beside it.
        for pole in &search.poles {
            match pole.line {
                PoleLine::FreeU(at) => step_off(&mut v, at),
                PoleLine::FreeV(at) => step_off(&mut u, at),
            }
        }
        let mut points = Vec::with_capacity(u.len() * v.len());
        for &a in &u {
            points.extend(v.iter().map(|&b| surface.point(a, b)));
        }
        (search.u, search.v, search.points) = (u, v, points);
        search
    }

    /// The surface's poles.
    pub fn poles(&self) -> &[Pole] {
        &self.poles
    }

    /// Lengths in u and v after which the surface closes on itself, see [`closures`].
    pub fn closures(&self) -> (Option<f64>, Option<f64>) {
        self.closures
    }

    /// Closures in directions that are not periodic: lengths over which (u, v) jumps at a seam.
    pub(super) fn seams(&self, surface: &Surface) -> (Option<f64>, Option<f64>) {
        let ((pu, pv), (cu, cv)) = (surface.periods(), self.closures);
        (if pu.is_some() { None } else { cu }, if pv.is_some() { None } else { cv })
    }

    /// The closest point; `surface` must be the one given to [`SurfaceSearch::new`].
    pub fn closest(&self, surface: &Surface, p: Point3) -> Foot {
        let mut best: Option<Foot> = None;
        let swept = swept_seeds(surface, p);
        for seed in if swept.is_empty() { self.seeds(p) } else { swept } {
            let foot = closest_on_surface(surface, p, seed);
            if best.is_none_or(|b| foot.distance < b.distance) {
                best = Some(foot);
            }
        }
        best.unwrap_or_else(|| closest_on_surface(surface, p, Point2::new(0.0, 0.0)))
    }

    /// Lattice nodes no farther from `p` than their neighbours, nearest first.
    fn seeds(&self, p: Point3) -> Vec<Point2> {
        let (nu, nv) = (self.u.len(), self.v.len());
        let square: Vec<f64> = self.points.iter().map(|q| (*q - p).length_squared()).collect();
        let at = |i: usize, j: usize| square.get(i * nv + j).copied().unwrap_or(f64::INFINITY);
        let mut minima: Vec<(f64, usize, usize)> = Vec::new();
        for i in 0..nu {
            for j in 0..nv {
                let here = at(i, j);
                let lowest =
                    (i.saturating_sub(1)..(i + 2).min(nu)).all(|a| (j.saturating_sub(1)..(j + 2).min(nv)).all(|b| at(a, b) >= here));
                if lowest {
                    minima.push((here, i, j));
                }
            }
        }
        minima.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let place = |&(_, i, j): &(f64, usize, usize)| Some(Point2::new(*self.u.get(i)?, *self.v.get(j)?));
        minima.iter().take(STARTS).filter_map(place).collect()
    }
}

/// Lattice parameters of the surfaces that are searched on a lattice.
fn lattices(surface: &Surface) -> Option<(Vec<f64>, Vec<f64>)> {
    let even = |breaks: Vec<f64>, over: Interval| {
        let mut stops = vec![over.low];
        stops.extend(breaks);
        stops.push(over.high);
        let mut all: Vec<f64> =
            stops.windows(2).flat_map(|w| (0..5).map(move |i| Interval::new(w[0], w[1]).at(f64::from(i) / 5.0))).collect();
        all.push(over.high);
        all
    };
    match surface {
        Surface::Nurbs(s) => Some((lattice(s.knots_u()), lattice(s.knots_v()))),
        Surface::Ruled(s) => {
            let unit = Interval::new(0.0, 1.0);
            Some((even(s.breaks(), unit), even(Vec::new(), unit)))
        }
        Surface::Offset(s) => lattices(&s.basis),
        _ => None,
    }
}

/// Starts on a swept surface: where one parameter is given, the other follows in closed form.
fn swept_seeds(surface: &Surface, p: Point3) -> Vec<Point2> {
    let samples = |curve: &super::Curve, over: Interval| -> Vec<f64> {
        if !over.is_bounded() {
            return super::closest_on_curve(curve, -1e6, 1e6, p, None).t.is_finite().then_some(0.0).into_iter().collect();
        }
        let mut stops = vec![over.low];
        stops.extend(curve.breaks_between(over.low, over.high));
        stops.push(over.high);
        let mut all: Vec<f64> =
            stops.windows(2).flat_map(|w| (0..8).map(move |i| Interval::new(w[0], w[1]).at(f64::from(i) / 8.0))).collect();
        all.push(over.high);
        all
    };
    let mut all: Vec<Point2> = match surface {
        Surface::Extrusion(s) => {
            let along = |u: f64| (p - s.directrix.point(u)).dot(s.direction) / s.direction.length_squared();
            samples(&s.directrix, s.range).into_iter().map(|u| Point2::new(u, along(u))).collect()
        }
        Surface::Revolution(s) => {
            let angle = |q: Point3| {
                let q = s.frame.local(q);
                real::atan2(q.y, q.x)
            };
            let here = angle(p);
            samples(&s.profile, s.range).into_iter().map(|v| Point2::new(here - angle(s.profile.point(v)), v)).collect()
        }
        Surface::Offset(s) => return swept_seeds(&s.basis, p),
        _ => return Vec::new(),
    };
    all.sort_by(|a, b| surface.point(a.u, a.v).distance(p).total_cmp(&surface.point(b.u, b.v).distance(p)));
    all.truncate(STARTS);
    all
}

fn foot_at(surface: &Surface, p: Point3, uv: Point2) -> Foot {
    let point = surface.point(uv.u, uv.v);
    Foot { uv, point, distance: point.distance(p) }
}

/// On the axis u is undetermined: below this share of the size the computed angle is rounding noise.
const ON_AXIS: f64 = 1e-13;

fn keep_u_on_axis(uv: Point2, local: Vec3, radius: f64, seed: Point2) -> Point2 {
    let size = radius.abs() + local.length();
    if real::hypot(local.x, local.y) <= ON_AXIS * size { Point2::new(seed.u, uv.v) } else { uv }
}

/// Moves an end of the lattice a little off a collapsed side.
fn step_off(lattice: &mut [f64], at: f64) {
    const SHARE: f64 = 0.02;
    if let [first, second, ..] = lattice
        && *first == at
    {
        *first += SHARE * (*second - *first);
    }
    if let [.., second, last] = lattice
        && *last == at
    {
        *last -= SHARE * (*last - *second);
    }
}

/// Lattice parameters: degree + 1 a span, thinned to [`LATTICE`].
fn lattice(knots: &KnotVector) -> Vec<f64> {
    let breaks = knots.breaks();
    let steps = (knots.degree() + 1).min(5);
    let mut all: Vec<f64> = breaks
        .windows(2)
        .flat_map(|w| {
            let span = Interval::new(w[0], w[1]);
            (0..steps).map(move |i| span.at(i as f64 / steps as f64))
        })
        .collect();
    all.push(knots.domain().high);
    if all.len() <= LATTICE {
        return all;
    }
    let last = all.len() - 1;
    (0..LATTICE).filter_map(|i| all.get(i * last / (LATTICE - 1)).copied()).collect()
}

/// Most Newton steps; a good seed needs three.
const STEPS: usize = 40;

/// Newton's method on half the squared distance, kept inside the domain; falls back to Gauss–Newton where the
/// Hessian is not positive, and halves steps that do not come closer.
fn newton(s: &Surface, p: Point3, seed: Point2) -> Foot {
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
        let moved = (d.su * (next.u - uv.u) + d.sv * (next.v - uv.v)).length();
        (uv, d, square) = (next, e, q);
        if moved <= still {
            break;
        }
    }
    Foot { uv, point: d.s, distance: square.sqrt() }
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
    use crate::geometry::{Cone, Cylinder, Plane, Sphere, Torus};
    use crate::math::Frame;
    use crate::nurbs;
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
