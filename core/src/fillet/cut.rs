//! A section of a fillet: the way over its face from one of the faces beside it to the other, and its curvature.

use super::across::{Step, across, place, turning};
use super::blend::{FaceOf, nearest_side};
use super::sides::{OnSide, nearest};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point2, Point3};
use crate::section::Plane;

/// The way over a fillet's face in a plane.
#[derive(Debug, Clone)]
pub struct Cut {
    /// From the first touching point to the second.
    pub way: Vec<Step>,
    /// The places on the face's sides it leads between.
    pub ends: [OnSide; 2],
    /// These sides, in the list of the face's sides.
    pub sides: [usize; 2],
    /// Turn, radians, positive towards the face's Su × Sv.
    pub turn: f64,
}

/// The tightest place of a section.
#[derive(Debug, Clone, Copy)]
pub struct Summit {
    /// Curvature, 1/mm, positive where it bends as the section does.
    pub curvature: f64,
    /// Position, mm.
    pub point: Point3,
    /// Parameters.
    pub uv: Point2,
}

/// Share of the peak at which the lead-in ends (measures §6).
const NEARLY: f64 = 0.9;
/// Newton steps along the spine that put the start onto the plane.
const CORRECTIONS: usize = 8;

impl Cut {
    /// Through the place of the face in `plane` next to `near`; it starts at one of the sides `first`. None where it does not lead
    /// from one of these to another side.
    pub fn through(
        sheets: &Sheets<'_>,
        graph: &JoinGraph,
        face: &FaceOf<'_>,
        first: &[usize],
        plane: &Plane,
        near: Point2,
    ) -> Option<Self> {
        let uv = onto(face, plane, near)?;
        let heading = place(face.surface, plane, uv, plane.normal.any_orthonormal_vector(), 0.0)?.heading;
        let half = |heading| across(face.surface, &face.region, plane, uv, heading, face.pace);
        let (mut back, mut ahead) = (half(-heading)?, half(heading)?);
        let side = |way: &[Step]| nearest_side(graph, face.sides, way.last()?.point);
        let (mut from, mut to) = (side(&back)?, side(&ahead)?);
        if !first.contains(&from) {
            (back, ahead, from, to) = (ahead, back, to, from);
        }
        if !first.contains(&from) || first.contains(&to) {
            return None;
        }
        let way = joined(&back, &ahead)?;
        let on = |side: usize, at: Option<&Step>| nearest(sheets, graph, face.sides.get(side)?, at?.point);
        let ends = [on(from, way.first())?, on(to, way.last())?];
        let turn = turning(&way);
        Some(Self { way, ends, sides: [from, to], turn })
    }

    /// The touching points.
    pub fn touch(&self) -> [Point3; 2] {
        self.ends.each_ref().map(|e| e.own.point())
    }

    /// Half way between them.
    pub fn spine(&self) -> Point3 {
        let [a, b] = self.touch();
        a.lerp(b, 0.5)
    }

    /// Parameters half way along it.
    pub fn middle(&self) -> Option<Point2> {
        self.way.get(self.way.len() / 2).map(|s| s.uv)
    }

    /// Curvature along it, positive where it bends as the whole does.
    fn bend(&self, s: &Step) -> f64 {
        s.curvature * self.turn.signum()
    }

    /// Where it is tightest: the top of the parabola through the tightest step and those beside it.
    pub fn summit(&self) -> Option<Summit> {
        let order = |a: &(usize, &Step), b: &(usize, &Step)| self.bend(a.1).total_cmp(&self.bend(b.1));
        let (index, top) = self.way.iter().enumerate().max_by(order)?;
        let at_step = Summit { curvature: self.bend(top), point: top.point, uv: top.uv };
        let (Some(before), Some(after)) = (index.checked_sub(1).and_then(|i| self.way.get(i)), self.way.get(index + 1)) else {
            return Some(at_step);
        };
        let (x, z) = (before.along - top.along, after.along - top.along);
        let (p, q) = ((self.bend(before) - at_step.curvature) / x, (self.bend(after) - at_step.curvature) / z);
        // Slope and half the bend of the parabola at the step.
        let (slope, half) = ((p * z - q * x) / (z - x), (q - p) / (z - x));
        if !(half < 0.0 && x < 0.0 && z > 0.0) {
            return Some(at_step);
        }
        let rise = (-0.5 * slope / half).clamp(x, z);
        let other = if rise < 0.0 { before } else { after };
        let share = (rise / (other.along - top.along)).abs();
        let uv = Point2::new(top.uv.u + (other.uv.u - top.uv.u) * share, top.uv.v + (other.uv.v - top.uv.v) * share);
        Some(Summit { curvature: at_step.curvature + rise * (slope + half * rise), point: top.point.lerp(other.point, share), uv })
    }

    /// Arc length from either touching point to where the curvature first has nine tenths of `peak`, mm.
    pub fn lead_in(&self, peak: f64) -> [f64; 2] {
        let length = self.way.last().map_or(0.0, |s| s.along);
        let from = |steps: &mut dyn Iterator<Item = (f64, f64)>| {
            let mut last: Option<(f64, f64)> = None;
            for (along, bend) in steps {
                if bend >= NEARLY * peak {
                    // On the straight line between two steps.
                    return last.map_or(0.0, |(x, k)| x + (along - x) * (NEARLY * peak - k) / (bend - k));
                }
                last = Some((along, bend));
            }
            length
        };
        [
            from(&mut self.way.iter().map(|s| (s.along, self.bend(s)))),
            from(&mut self.way.iter().rev().map(|s| (length - s.along, self.bend(s)))),
        ]
    }
}

/// Two halves of a way that start at one place, as one from the end of the first to the end of the second.
fn joined(back: &[Step], ahead: &[Step]) -> Option<Vec<Step>> {
    let before = back.last()?.along;
    let turned = back.iter().skip(1).rev().map(|s| Step { along: before - s.along, heading: -s.heading, ..*s });
    Some(turned.chain(ahead.iter().map(|s| Step { along: before + s.along, ..*s })).collect())
}

/// The place of a face in a plane next to one: along the plane's normal as it lies in the tangent plane.
fn onto(face: &FaceOf<'_>, plane: &Plane, near: Point2) -> Option<Point2> {
    let mut uv = near;
    for _ in 0..CORRECTIONS {
        let d = face.surface.derivs(uv.u, uv.v, 1);
        let off = plane.distance(d.s);
        // The steepest way in the surface: its parameters' step solves the metric's equations.
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let (a, b, det) = (plane.normal.dot(d.su), plane.normal.dot(d.sv), e * g - f * f);
        let (x, y) = ((g * a - f * b) / det, (e * b - f * a) / det);
        let climb = a * x + b * y;
        uv = Point2::new(uv.u - off * x / climb, uv.v - off * y / climb);
        if !uv.is_finite() {
            return None;
        }
        if off.abs() <= 1e-12 * d.s.to_vec().length() {
            break;
        }
    }
    face.region.contains(uv).then_some(uv)
}
