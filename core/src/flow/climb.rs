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
/// or feature line there. Stops at which the direction is square to the surface say nothing; None when fewer than two
/// are left.
pub fn climb(stops: &[Stop], direction: &dyn Fn(&Stop) -> Vec3) -> Option<Climb> {
    let angle = |s: &Stop| {
        let d = direction(s);
        let flat = d - s.normal * d.dot(s.normal);
        // Nearly square to the surface its projection is decided by rounding.
        (flat.length() > 1e-6 * d.length()).then(|| (real::atan2(s.normal.dot(flat.cross(s.tangent)), flat.dot(s.tangent)), s.along))
    };
    let mut angles = stops.iter().filter_map(angle);
    let first = angles.next()?;
    // A stripe has no direction of its own: that which runs with the reference counts.
    let start = if first.0 > real::FRAC_PI_2 {
        first.0 - real::PI
    } else if first.0 < -real::FRAC_PI_2 {
        first.0 + real::PI
    } else {
        first.0
    };
    let (mut here, mut most, mut count) = (start, (0.0f64, first.1), 1);
    for (a, along) in angles {
        // The nearest angle that differs by half turns.
        here = a + real::PI * ((here - a) / real::PI).round();
        count += 1;
        if (here - start).abs() > most.0.abs() {
            most = (here - start, along);
        }
    }
    let degrees = |x: f64| x.to_degrees();
    (count > 1).then(|| Climb { start: degrees(start), end: degrees(here), most: (degrees(most.0), most.1) })
}
