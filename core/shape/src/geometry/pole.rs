//! Where a surface shrinks to a point or closes on itself.

use super::{Curve, Revolution, Surface};
use crate::math::{Interval, Point2, Point3, real};

/// A point where a whole line of parameters meets: sphere poles, cone apexes, collapsed patch sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pole {
    /// Position, mm.
    pub point: Point3,
    /// Which parameter line has shrunk.
    pub line: PoleLine,
}

/// The parameter line that is one point in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PoleLine {
    /// v has this value, u is free.
    FreeU(f64),
    /// u has this value, v is free.
    FreeV(f64),
}

impl Pole {
    /// `uv` moved onto the collapsed line, its free parameter kept.
    pub fn snap(&self, uv: Point2) -> Point2 {
        match self.line {
            PoleLine::FreeU(v) => Point2::new(uv.u, v),
            PoleLine::FreeV(u) => Point2::new(u, uv.v),
        }
    }
}

/// All poles of a surface: two of a sphere, the apex of a cone, two of a torus that meets itself on its axis, and
/// each side of a patch, swept or offset surface that is one point (within 1e-8 of its size), and where a profile
/// meets the axis it turns about.
pub fn poles(surface: &Surface) -> Vec<Pole> {
    let free_u = |v: f64, point: Point3| Pole { point, line: PoleLine::FreeU(v) };
    match surface {
        Surface::Plane(_) | Surface::Cylinder(_) => Vec::new(),
        Surface::Cone(s) => {
            let v = s.apex();
            if v.is_finite() { vec![free_u(v, s.frame.point(0.0, 0.0, v))] } else { Vec::new() }
        }
        Surface::Sphere(s) => [-1.0, 1.0].map(|side| free_u(side * real::FRAC_PI_2, s.frame.point(0.0, 0.0, side * s.radius))).to_vec(),
        Surface::Torus(s) if s.major <= s.minor => {
            let turn = real::acos(-s.major / s.minor);
            let height = s.minor * real::sin(turn);
            [-1.0, 1.0].map(|side| free_u(side * turn, s.frame.point(0.0, 0.0, side * height))).to_vec()
        }
        Surface::Torus(_) => Vec::new(),
        Surface::Nurbs(s) => collapsed_sides(surface, extent(s.points())),
        Surface::Revolution(s) => {
            let size = surface_extent(surface);
            let mut found = collapsed_sides(surface, size);
            let mut met: Vec<f64> = axis_meetings(s, COINCIDENT * size);
            met.retain(|&v| !found.iter().any(|p| p.point.distance(surface.point(0.0, v)) <= COINCIDENT * size));
            found.extend(met.into_iter().map(|v| free_u(v, surface.point(0.0, v))));
            found
        }
        Surface::Extrusion(_) | Surface::Ruled(_) | Surface::Offset(_) => collapsed_sides(surface, surface_extent(surface)),
    }
}

/// Samples of a profile between two breaks when looking for the axis. Smaller: two meetings close together are missed.
const LOOKS: usize = 24;

/// Values of v strictly inside the range at which the profile meets the axis, within `slack`, mm.
fn axis_meetings(s: &Revolution, slack: f64) -> Vec<f64> {
    // Half the derivative of the squared distance from the axis.
    let slope = |v: f64| {
        let q = s.frame.local(s.profile.point(v));
        let d = s.profile.tangent(v);
        q.x * d.dot(s.frame.x) + q.y * d.dot(s.frame.y)
    };
    let range = match &*s.profile {
        _ if s.range.is_bounded() => s.range,
        Curve::Line(c) => {
            let (across, speed) = (c.direction - s.frame.z * c.direction.dot(s.frame.z), slope(0.0));
            let at = -speed / across.length_squared();
            if !at.is_finite() {
                return Vec::new();
            }
            Interval::new(at - 1.0, at + 1.0)
        }
        // Endless parabolas and hyperbolas: ten times the vertex's radius of curvature away.
        _ => Interval::new(s.range.low.max(-10.0), s.range.high.min(10.0)),
    };
    let mut stops = vec![range.low];
    stops.extend(s.profile.breaks_between(range.low, range.high));
    stops.push(range.high);
    let mut met = Vec::new();
    for w in stops.windows(2) {
        let span = Interval::new(w[0], w[1]);
        for i in 0..LOOKS {
            let (mut a, mut b) = (span.at(i as f64 / LOOKS as f64), span.at((i + 1) as f64 / LOOKS as f64));
            // Met at the sample itself: the slope need not change its sign there.
            if a > s.range.low && s.radius(a) <= slack && met.last() != Some(&a) {
                met.push(a);
                continue;
            }
            // Just inside the span, whose derivatives are one-sided at its end.
            if slope(a + 1e-9 * (b - a)) >= 0.0 || slope(b - 1e-9 * (b - a)) < 0.0 {
                continue;
            }
            for _ in 0..60 {
                let middle = 0.5 * (a + b);
                if slope(middle) < 0.0 { a = middle } else { b = middle }
            }
            let v = 0.5 * (a + b);
            let inside = v > s.range.low && v < s.range.high;
            if inside && s.radius(v) <= slack {
                met.push(v);
            }
        }
    }
    met
}

/// Parameter lengths after which a surface repeats: periods of the analytic kinds, and the domain's length of a
/// patch whose opposite sides coincide (within 1e-9 of its size). A closed patch repeats only from seam to seam.
pub fn closures(surface: &Surface) -> (Option<f64>, Option<f64>) {
    let size = match surface {
        Surface::Nurbs(s) => extent(s.points()),
        Surface::Revolution(_) | Surface::Extrusion(_) | Surface::Ruled(_) | Surface::Offset(_) => surface_extent(surface),
        _ => return surface.periods(),
    };
    let ((pu, pv), (lu, lv)) = (surface.periods(), surface.domain());
    let (du, dv) = (bounded_part(lu), bounded_part(lv));
    let slack = COINCIDENT * size;
    let same = |a: Point3, b: Point3| a.distance(b) <= slack;
    // Sampled rather than compared net to net, so that unclamped patches are recognised too. A side collapsed to
    // one point equals itself whatever the patch does, so a closed direction needs its side to have some length.
    let at = |u: f64, v: f64| surface.point(u, v);
    let u_closed = || lu.is_bounded() && SAMPLES.iter().all(|&t| same(at(du.low, dv.at(t)), at(du.high, dv.at(t))));
    let v_closed = || lv.is_bounded() && SAMPLES.iter().all(|&t| same(at(du.at(t), dv.low), at(du.at(t), dv.high)));
    (pu.or_else(|| u_closed().then_some(du.length())), pv.or_else(|| v_closed().then_some(dv.length())))
}

/// Shares of a side at which positions are compared; uneven so that symmetric patches do not fool the test.
const SAMPLES: [f64; 7] = [0.0, 0.137, 0.29, 0.5, 0.683, 0.871, 1.0];

/// Points nearer than this share of the patch's size are one point. Larger: slim sides are taken for poles;
/// smaller: poles written with nine digits are missed.
const COINCIDENT: f64 = 1e-8;

/// A bounded stretch to sample: the whole interval, or a part of an endless one.
fn bounded_part(over: Interval) -> Interval {
    if over.is_bounded() { over } else { Interval::new(over.low.max(-1.0), over.high.min(1.0)) }
}

/// Diagonal of the box around a coarse lattice of points, mm.
fn surface_extent(surface: &Surface) -> f64 {
    let (du, dv) = surface.domain();
    let (du, dv) = (bounded_part(du), bounded_part(dv));
    let points: Vec<Point3> =
        SAMPLES.iter().flat_map(|&a| SAMPLES.iter().map(move |&b| (a, b))).map(|(a, b)| surface.point(du.at(a), dv.at(b))).collect();
    extent(&points)
}

fn collapsed_sides(s: &Surface, size: f64) -> Vec<Pole> {
    let (lu, lv) = s.domain();
    let (du, dv) = (bounded_part(lu), bounded_part(lv));
    let (pu, pv) = s.periods();
    let slack = COINCIDENT * size;
    let one_point = |at: &dyn Fn(f64) -> Point3| {
        let first = at(0.0);
        SAMPLES.iter().all(|&t| at(t).distance(first) <= slack).then_some(first)
    };
    let ends =
        |over: Interval, period: Option<f64>| if over.is_bounded() && period.is_none() { vec![over.low, over.high] } else { Vec::new() };
    let mut found = Vec::new();
    for v in ends(lv, pv) {
        if let Some(point) = one_point(&|t| s.point(du.at(t), v)) {
            found.push(Pole { point, line: PoleLine::FreeU(v) });
        }
    }
    for u in ends(lu, pu) {
        if let Some(point) = one_point(&|t| s.point(u, dv.at(t))) {
            found.push(Pole { point, line: PoleLine::FreeV(u) });
        }
    }
    found
}

/// Diagonal of the box around some points, mm.
pub(crate) fn extent(points: &[Point3]) -> f64 {
    let mut sides = [Interval::new(f64::INFINITY, f64::NEG_INFINITY); 3];
    for p in points {
        for (side, x) in sides.iter_mut().zip(p.to_array()) {
            *side = side.including(x);
        }
    }
    let sum: f64 = sides.iter().map(|s| if s.is_bounded() { s.length() * s.length() } else { 0.0 }).sum();
    sum.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cone, Torus};
    use crate::math::{Frame, Vec3};
    use crate::nurbs::{self, KnotVector};

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(3.0, -4.0, 5.0), Some(Vec3::new(1.0, 2.0, -2.0)), Some(Vec3::new(0.0, 1.0, 0.4)))
    }

    #[test]
    fn poles_lie_where_the_surface_shrinks() {
        let surfaces = [
            Surface::Cone(Cone { frame: frame(), radius: 3.0, half_angle: 0.4 }),
            Surface::Torus(Torus { frame: frame(), major: 2.0, minor: 5.0 }),
        ];
        for s in &surfaces {
            let found = poles(s);
            assert!(!found.is_empty());
            for pole in found {
                for turn in 0..5 {
                    let uv = pole.snap(Point2::new(f64::from(turn), 0.3));
                    assert!(s.point(uv.u, uv.v).distance(pole.point) < 1e-13 * 10.0);
                }
            }
        }
        assert!(poles(&Surface::Torus(Torus { frame: frame(), major: 5.0, minor: 2.0 })).is_empty());
    }

    #[test]
    fn a_triangular_patch_has_one_pole_and_a_tube_is_closed() {
        let k = |p| KnotVector::bezier(p).unwrap();
        let p = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
        let tip = p(1.0, 2.0, 3.0);
        let patch = nurbs::Surface::new(k(1), k(2), vec![tip, tip, tip, p(5., 0., 0.), p(5., 1., 1.), p(5., 3., 0.)], None).unwrap();
        let found = poles(&Surface::Nurbs(patch.clone()));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].line, PoleLine::FreeV(0.0));
        assert_eq!(closures(&Surface::Nurbs(patch)), (None, None));
        let ring = |z: f64| [p(0., 0., z), p(4., 0., z), p(4., 4., z), p(0., 0., z)];
        let tube = nurbs::Surface::new(k(1), k(3), [ring(0.0), ring(2.0)].concat(), None).unwrap();
        assert_eq!(closures(&Surface::Nurbs(tube)), (None, Some(1.0)));
    }
}
