//! A box along the axes, in double precision.

use glam::DVec3;

/// A box around what is shown, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Least corner.
    pub min: DVec3,
    /// Greatest corner.
    pub max: DVec3,
}

impl Bounds {
    /// The empty box, which takes the extent of whatever is added first.
    pub const EMPTY: Bounds = Bounds { min: DVec3::INFINITY, max: DVec3::NEG_INFINITY };

    /// True when nothing was added.
    pub fn is_empty(&self) -> bool {
        !(self.min.x <= self.max.x && self.min.y <= self.max.y && self.min.z <= self.max.z)
    }

    /// Grows to hold `point`.
    pub fn add(&mut self, point: DVec3) {
        self.min = self.min.min(point);
        self.max = self.max.max(point);
    }

    /// Grows to hold `other`.
    pub fn join(&mut self, other: &Bounds) {
        self.min = self.min.min(other.min);
        self.max = self.max.max(other.max);
    }

    /// Distance in mm between the line through `base` along the unit vector `direction` and the box's sphere; 0 where the
    /// line runs through the sphere.
    pub fn away_from(&self, base: DVec3, direction: DVec3) -> f64 {
        let from = (self.min + self.max) / 2.0 - base;
        let off = (from - direction * direction.dot(from)).length();
        (off - (self.max - self.min).length() / 2.0).max(0.0)
    }

    /// Half the diagonal, mm; 1 for an empty or single-point box, so that it can scale things.
    pub fn radius(&self) -> f64 {
        let r = (self.max - self.min).length() / 2.0;
        if r.is_finite() && r > 0.0 { r } else { 1.0 }
    }

    /// The eight corners.
    pub fn corners(&self) -> [DVec3; 8] {
        let (a, b) = (self.min, self.max);
        [
            DVec3::new(a.x, a.y, a.z),
            DVec3::new(b.x, a.y, a.z),
            DVec3::new(a.x, b.y, a.z),
            DVec3::new(b.x, b.y, a.z),
            DVec3::new(a.x, a.y, b.z),
            DVec3::new(b.x, a.y, b.z),
            DVec3::new(a.x, b.y, b.z),
            DVec3::new(b.x, b.y, b.z),
        ]
    }
}
