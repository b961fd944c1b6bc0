//! Following the surface in a plane over an edge: where a rounding reaches farthest, and how tight it is.

use super::brink::ON_PLANE;
use super::shores::Shores;
use crate::geometry::{Surface, section};
use crate::joins::SideRef;
use crate::math::{Point2, Point3, Vec3, real, root};

/// Largest radius of an edge rounding, mm. Larger: form that turns down at its end is taken for an edge; smaller: the soft edges of
/// large covers go unseen. Common practice, no source.
pub(super) const LARGEST: f64 = 15.0;

/// Least angle by which a panel falls away at its edge, degrees. Larger: open hems go unseen; smaller: feature lines are taken for
/// edges. Common practice, no source.
pub(super) const FALLS_AWAY: f64 = 50.0;

/// Turn of the section from step to step, radians. Larger: the tightest place of a rounding is read too wide; smaller: slower.
pub(super) const TURN: f64 = 0.1;

/// Longest step, mm, and most of them. More: slower where a rounding leads into a long flange; fewer: large roundings are left early.
pub(super) const STEP: f64 = 1.0;
const STEPS: usize = 60;

/// How far, mm, a border may lie from where its polyline says: trims are asked for on polylines.
pub(super) const BORDER: f64 = 0.2;

/// Faces one behind the other that a rounding may be cut into.
const FACES: usize = 3;

/// How far a rounding goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Roll {
    /// Its outermost point, mm.
    pub outermost: Point3,
    /// Its smallest radius, mm; infinite where nothing rolls.
    pub radius: f64,
    /// Angle by which it turns, radians.
    pub turned: f64,
    /// +1 where it falls away from Su × Sv of the panel, −1 where towards it.
    pub sign: f64,
}

/// A place of a section.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stop {
    pub uv: Point2,
    pub point: Point3,
    pub tangent: Vec3,
    /// Derivatives by the parameters.
    pub by_uv: (Vec3, Vec3),
    /// Curvature as a plane curve, 1/mm: positive where it bends towards `up` carried along with the tangent.
    pub curvature: f64,
}

/// A plane section of one face.
pub(super) struct Cut<'a> {
    pub surface: &'a Surface,
    pub middle: Point3,
    /// Unit normal of the plane.
    pub along: Vec3,
    /// +1 or −1: `up` is this times along × tangent.
    pub turn: f64,
}

impl Cut<'_> {
    /// The place at parameters brought onto the plane, its tangent on the side of `ahead`.
    pub fn stop(&self, mut uv: Point2, ahead: Vec3) -> Option<Stop> {
        for _ in 0..6 {
            let d = self.surface.derivs(uv.u, uv.v, 2);
            let normal = d.su.cross(d.sv).try_normalize()?;
            let off = (d.s - self.middle).dot(self.along);
            let across = self.along - normal * normal.dot(self.along);
            if off.abs() <= ON_PLANE {
                let tangent = self.along.cross(normal).try_normalize()?;
                let tangent = if tangent.dot(ahead) < 0.0 { -tangent } else { tangent };
                let up = self.along.cross(tangent) * self.turn;
                let curvature = section(&d, normal, tangent)?.curvature / normal.dot(up);
                return Some(Stop { uv, point: d.s, tangent, by_uv: (d.su, d.sv), curvature });
            }
            uv = moved(uv, (d.su, d.sv), across * (-off / across.length_squared()))?;
        }
        None
    }

    /// The place a distance further on.
    pub fn on(&self, from: &Stop, distance: f64) -> Option<Stop> {
        self.stop(moved(from.uv, from.by_uv, from.tangent * distance)?, from.tangent)
    }
}

/// Parameters after a move in the tangent plane.
fn moved(uv: Point2, (su, sv): (Vec3, Vec3), by: Vec3) -> Option<Point2> {
    let (e, f, g) = (su.dot(su), su.dot(sv), sv.dot(sv));
    let det = e * g - f * f;
    let (a, b) = (by.dot(su), by.dot(sv));
    let next = Point2::new(uv.u + (g * a - f * b) / det, uv.v + (e * b - f * a) / det);
    next.is_finite().then_some(next)
}

/// Follows the section of the plane through `middle` square to `along` from a border into the face behind it, in direction `out`,
/// until it faces `across` no more, or (without one) until it has turned by a right angle. It goes on over the borders of faces as long
/// as it rolls. None where nothing can be followed.
pub(super) fn roll(
    shores: &Shores<'_>,
    behind: SideRef,
    from: Point3,
    (normal, out): (Vec3, Vec3),
    along: Vec3,
    across: Option<Vec3>,
) -> Option<Roll> {
    let turn = if along.cross(out).dot(normal) < 0.0 { -1.0 } else { 1.0 };
    let (mut side, mut at, mut ahead) = (behind, from, out);
    let mut roll = Roll { outermost: from, radius: f64::INFINITY, turned: 0.0, sign: 0.0 };
    // Curvature counts as rolling once it is known which way.
    let mut bent = 0.0;
    for n in 0..FACES {
        let face = shores.sheets.face(side.face)?;
        let cut = Cut { surface: &face.surface, middle: from, along, turn };
        let Some(start) = shores.enter(side, at).and_then(|uv| cut.stop(uv, ahead)) else { break };
        // A face behind a rounding that does not roll is the flange.
        if n > 0 && start.curvature.abs() * LARGEST < 1.0 {
            break;
        }
        let Some((last, ended, next)) = follow(shores, side, &cut, start, across.unwrap_or(-out), across.is_some(), &mut roll, &mut bent)
        else {
            break;
        };
        roll.turned = roll.turned.max(real::angle_between(out, last.tangent));
        roll.outermost = last.point;
        if ended {
            break;
        }
        let Some(next) = next else { break };
        (side, at, ahead) = (next, last.point, last.tangent);
    }
    roll.sign = if bent < 0.0 { 1.0 } else { -1.0 };
    (roll.turned > 0.0).then_some(roll)
}

/// Over one face: the last place, whether the outermost one was met, and the side beyond where it was left.
#[allow(clippy::too_many_arguments)] // the state of a walk over several faces
fn follow(
    shores: &Shores<'_>,
    side: SideRef,
    cut: &Cut<'_>,
    start: Stop,
    across: Vec3,
    is_wanted: bool,
    roll: &mut Roll,
    bent: &mut f64,
) -> Option<(Stop, bool, Option<SideRef>)> {
    let region = shores.region(side.face)?;
    if is_wanted && start.tangent.dot(across) <= 0.0 {
        return Some((start, true, None));
    }
    let mut here = start;
    let mut rolled = false;
    for _ in 0..STEPS {
        rolled |= here.curvature.abs() * LARGEST >= 1.0;
        if here.curvature.abs() > 0.0 {
            roll.radius = roll.radius.min(1.0 / here.curvature.abs());
        }
        let step = (TURN / here.curvature.abs()).min(STEP);
        // Where the section becomes tight within the step, the step is as short as that asks for.
        let step = if rolled { step } else { (TURN / cut.on(&here, 0.5 * step)?.curvature.abs()).min(step) };
        let next = cut.on(&here, step)?;
        *bent += 0.5 * (here.curvature + next.curvature) * step;
        let faces = |s: &Stop| s.tangent.dot(across);
        if is_wanted && faces(&here) > 0.0 && faces(&next) <= 0.0 {
            let at = root((0.0, faces(&here)), (step, faces(&next)), 1e-12, |t| cut.on(&here, t).map(|s| faces(&s)))?;
            return Some((cut.on(&here, at)?, true, None));
        }
        // Beside a border that the section runs along either answer may come.
        if !region.contains(next.uv)
            && let Some((edge, beyond)) = shores.leave(side, next.point, (cut.middle, cut.along), BORDER + 2.0 * step)
        {
            return Some((cut.stop(edge.uv, here.tangent)?, false, beyond));
        }
        // A flange has begun: the rounding was this face's own.
        if rolled && next.curvature.abs() * LARGEST < 0.5 {
            return Some((next, true, None));
        }
        here = next;
    }
    Some((here, true, None))
}
