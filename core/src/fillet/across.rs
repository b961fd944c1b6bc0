//! Walks over a face along a plane: the section of one face, from a place on it until it leaves the face.

use crate::geometry::{Region, Surface, section};
use crate::math::{Point2, Point3, Vec3, real};
use crate::nurbs::SurfaceDerivs;
use crate::section::Plane;

/// A place on the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Arc length from the start, mm.
    pub along: f64,
    /// Parameters.
    pub uv: Point2,
    /// Position, mm.
    pub point: Point3,
    /// Unit direction of the way.
    pub heading: Vec3,
    /// Unit Su × Sv.
    pub normal: Vec3,
    /// Curvature of the section in its plane, 1/mm, positive where it bends towards the normal.
    pub curvature: f64,
}

/// How finely a walk goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Largest turn of a step, radians.
    pub turn: f64,
    /// Largest step, mm.
    pub step: f64,
}

/// Most steps of a walk: a section that is longer has lost its way.
const MOST: usize = 400;
/// How much more than asked a step may turn before it is halved, and the shortest step there is, as a share of the largest.
const SHARPER: f64 = 1.5;
const SHORTEST: f64 = 1e-4;
/// Rounds of halving the last step to find where the face ends: to 1e-7 of a step.
const HALVINGS: usize = 24;
/// Newton steps that put a place onto the plane.
const CORRECTIONS: usize = 6;
/// Miss at which a place counts as on the plane, as a share of the step. Smaller: lost in rounding on short steps.
const CLOSE: f64 = 1e-10;

/// The section of a face by a plane, from `start` in the direction nearest to `heading` to where it leaves the face; the first
/// step is at the start. None where the surface has no tangent plane on the way, or the way does not leave the face.
pub fn across(surface: &Surface, region: &Region, plane: &Plane, start: Point2, heading: Vec3, pace: Pace) -> Option<Vec<Step>> {
    let mut here = place(surface, plane, start, heading, 0.0)?;
    let mut way = vec![here];
    for _ in 0..MOST {
        let mut length = (pace.turn / here.curvature.abs()).min(pace.step);
        let mut ahead = advance(surface, plane, &here, length)?;
        // Where the section begins to bend, a step chosen by its start would leap over the bend.
        while real::angle_between(here.heading, ahead.heading) > SHARPER * pace.turn && length > SHORTEST * pace.step {
            length *= 0.5;
            ahead = advance(surface, plane, &here, length)?;
        }
        if region.contains(ahead.uv) {
            way.push(ahead);
            here = ahead;
            continue;
        }
        let (mut inside, mut outside) = (0.0, length);
        for _ in 0..HALVINGS {
            let half = 0.5 * (inside + outside);
            match advance(surface, plane, &here, half) {
                Some(s) if region.contains(s.uv) => inside = half,
                _ => outside = half,
            }
        }
        // On a border that the walk starts along the first step leads out at once.
        way.push(advance(surface, plane, &here, inside.max(1e-9 * length))?);
        return (way.len() > 2 || inside > 0.0).then_some(way);
    }
    None
}

/// The place `length` mm on from a step, back where negative; on the surface past its trims if need be.
pub fn advance(surface: &Surface, plane: &Plane, from: &Step, length: f64) -> Option<Step> {
    let bend = from.normal - plane.normal * from.normal.dot(plane.normal);
    let inner = bend.try_normalize()?;
    let goal = from.point + from.heading * length + inner * (0.5 * from.curvature * length * length);
    let along = from.heading + inner * (from.curvature * length);
    let mut uv = from.uv;
    let mut d = surface.derivs(uv.u, uv.v, 1);
    for _ in 0..CORRECTIONS {
        // Onto the plane, and as far along as asked.
        let (want_off, want_on) = (-plane.distance(d.s), (goal - d.s).dot(along));
        if want_off.abs().max(want_on.abs()) <= CLOSE * length.abs() {
            break;
        }
        let (a, b, c, e) = (d.su.dot(plane.normal), d.sv.dot(plane.normal), d.su.dot(along), d.sv.dot(along));
        let det = a * e - b * c;
        let (du, dv) = ((want_off * e - b * want_on) / det, (a * want_on - c * want_off) / det);
        if !(du.is_finite() && dv.is_finite()) {
            return None;
        }
        uv = Point2::new(uv.u + du, uv.v + dv);
        d = surface.derivs(uv.u, uv.v, 1);
        if !d.s.is_finite() {
            return None;
        }
    }
    let moved = d.s.distance(from.point);
    let noise = 1e-12 * d.s.to_vec().length();
    if plane.distance(d.s).abs() > 1e-6 * length.abs() + noise || moved > 3.0 * length.abs() + noise {
        return None;
    }
    let next = place(surface, plane, uv, along, 0.0)?;
    // Arc length of the circle through both places that leaves the first one along the way.
    let turn = real::angle_between(from.heading, next.heading);
    let stretch = if turn > 1e-4 { 0.5 * turn / real::sin(0.5 * turn) } else { 1.0 };
    Some(Step { along: from.along + moved * stretch * length.signum(), ..next })
}

/// The way at a place in the plane, in the direction nearest to `heading`.
pub fn place(surface: &Surface, plane: &Plane, uv: Point2, heading: Vec3, along: f64) -> Option<Step> {
    let d = surface.derivs(uv.u, uv.v, 2);
    let normal = d.su.cross(d.sv).try_normalize().filter(|n| n.is_finite())?;
    let tangent = normal.cross(plane.normal).try_normalize()?;
    let heading = if tangent.dot(heading) < 0.0 { -tangent } else { tangent };
    Some(Step { along, uv, point: d.s, heading, normal, curvature: plane_curvature(&d, normal, plane, heading)? })
}

/// Curvature of the section by a plane that holds the tangent `heading`, by the normal curvature there (Meusnier's theorem).
pub fn plane_curvature(d: &SurfaceDerivs, normal: Vec3, plane: &Plane, heading: Vec3) -> Option<f64> {
    let lean = normal.dot(plane.normal);
    let curvature = section(d, normal, heading)?.curvature / (1.0 - lean * lean).sqrt();
    curvature.is_finite().then_some(curvature)
}

/// Turn of the way from its start to its end, radians, positive towards the surface's normal.
pub fn turning(way: &[Step]) -> f64 {
    let turn = |w: &[Step]| match w {
        [a, b, ..] => {
            let angle = real::angle_between(a.heading, b.heading);
            if (b.heading - a.heading).dot(a.normal) >= 0.0 { angle } else { -angle }
        }
        _ => 0.0,
    };
    way.windows(2).map(turn).sum()
}
