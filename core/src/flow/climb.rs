//! How a stripe turns against a direction it should follow.

use super::walk::Stop;
use crate::math::{Vec3, real};

/// Angles between a stripe edge and a direction, degrees, measured in the tangent plane about the normal of the skin's
/// one side and followed without jumps along the walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climb {
    /// At the start, −90 to 90.
    pub start: f64,
    /// At the end.
    pub end: f64,
    /// Largest departure from the angle at the start, and how far from the start of the walk, mm.
    pub most: (f64, f64),
}

impl Climb {
    /// Change from start to end.
    pub fn change(&self) -> f64 {
        self.end - self.start
    }
}

/// The climb along a walk against a direction in space that may change with the place: an axis, or the tangent of a rail
/// or feature line there. None when fewer than two of its [`angles`] are left.
pub fn climb(stops: &[Stop], direction: &dyn Fn(&Stop) -> Vec3) -> Option<Climb> {
    let all = angles(stops, direction);
    let [first, .., last] = all.as_slice() else { return None };
    let departures = all.iter().map(|a| (a.1 - first.1, a.0));
    let most = departures.fold((0.0, first.0), |most: (f64, f64), d| if d.0.abs() > most.0.abs() { d } else { most });
    Some(Climb { start: first.1, end: last.1, most })
}

/// Length along and angle at every stop, mm and degrees: the first −90 to 90, the others without jumps. Stops at which the
/// direction is square to the surface say nothing and are left out.
pub fn angles(stops: &[Stop], direction: &dyn Fn(&Stop) -> Vec3) -> Vec<(f64, f64)> {
    let angle = |s: &Stop| {
        let d = direction(s);
        let flat = d - s.normal * d.dot(s.normal);
        // Nearly square to the surface its projection is decided by rounding.
        (flat.length() > 1e-6 * d.length()).then(|| (s.along, real::atan2(s.normal.dot(flat.cross(s.tangent)), flat.dot(s.tangent))))
    };
    let mut here = 0.0;
    let follow = |(along, a): (f64, f64)| {
        // A stripe has no direction of its own: the nearest angle that differs by half turns, first from that which runs with
        // the reference.
        here = a + real::PI * ((here - a) / real::PI).round();
        (along, here.to_degrees())
    };
    stops.iter().filter_map(angle).map(follow).collect()
}
