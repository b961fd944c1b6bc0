//! A flight of the camera from one stand to another.

use crate::camera::{Camera, wrap_angle};
use glam::DVec3;

/// How long a flight takes, ms. Longer keeps the reviewer waiting; shorter loses where one came from.
const TIME: f64 = 450.0;

/// A camera on its way.
#[derive(Clone, Copy, Debug)]
pub struct Flight {
    from: Camera,
    to: Camera,
    begun: Option<f64>,
}

impl Flight {
    /// From one stand to another; projection and frame size are those of `to`.
    pub fn new(from: Camera, to: Camera) -> Flight {
        Flight { from, to, begun: None }
    }

    /// The stand at a time (ms), and whether the flight goes on. The first call begins it.
    pub fn at(&mut self, now: f64) -> (Camera, bool) {
        let begun = *self.begun.get_or_insert(now);
        let t = ((now - begun) / TIME).clamp(0.0, 1.0);
        // A time far past the beginning arrives at once, also on the first call.
        if t >= 1.0 || !now.is_finite() {
            return (self.to, false);
        }
        let s = t * t * (3.0 - 2.0 * t);
        let (a, b) = (self.from, self.to);
        let target = DVec3::from_array(a.target).lerp(DVec3::from_array(b.target), s);
        let camera = Camera {
            target: target.to_array(),
            yaw: wrap_angle(a.yaw + wrap_angle(b.yaw - a.yaw) * s),
            pitch: a.pitch + (b.pitch - a.pitch) * s,
            // Even in ratio, so that near and far flights look alike.
            distance: a.distance * (b.distance / a.distance).powf(s),
            ..b
        };
        (camera, true)
    }

    /// Where the flight ends.
    pub fn end(&self) -> Camera {
        self.to
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flight_goes_from_here_to_there_the_short_way() {
        let from = Camera { yaw: 3.0, distance: 100.0, ..Camera::default() };
        let to = Camera { yaw: -3.0, pitch: -0.2, distance: 1e4, target: [1.0, 2.0, 3.0], ..Camera::default() };
        let mut flight = Flight::new(from, to);
        let (first, more) = flight.at(5000.0);
        assert!(more && first == Camera { target: from.target, ..from });
        let (half, more) = flight.at(5000.0 + TIME / 2.0);
        assert!(more && half.yaw.abs() > 3.0 && (half.distance - 1000.0).abs() < 1e-6);
        let (last, more) = flight.at(5000.0 + TIME);
        assert!(!more && last == to);
    }
}
