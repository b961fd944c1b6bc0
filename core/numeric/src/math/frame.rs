//! A right-handed orthonormal frame: where an analytic curve or surface stands.

use super::{Point3, Vec3};

/// Origin and three orthonormal axes, z = x × y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Where the frame stands, mm.
    pub origin: Point3,
    /// First axis, unit.
    pub x: Vec3,
    /// Second axis, unit.
    pub y: Vec3,
    /// Third axis, unit.
    pub z: Vec3,
}

impl Frame {
    /// The world frame.
    pub const WORLD: Frame = Frame { origin: Point3::ORIGIN, x: Vec3::X, y: Vec3::Y, z: Vec3::Z };

    /// The frame at `origin` with the given axis and reference direction, as ISO 10303-42 builds an
    /// axis2_placement_3d: the reference is made square to the axis. A missing, zero or parallel direction is
    /// replaced by the standard's default. Never fails.
    pub fn from_axis(origin: Point3, axis: Option<Vec3>, reference: Option<Vec3>) -> Self {
        let z = axis.and_then(Vec3::try_normalize).unwrap_or(Vec3::Z);
        let square = |d: Vec3| {
            let p = d - z * z.dot(d);
            // Below this the reference is parallel to the axis and its remainder is rounding noise.
            (p.length() > 1e-9 * d.length()).then(|| p.try_normalize()).flatten()
        };
        let fallback = if z.x.abs() < 0.9 { Vec3::X } else { Vec3::Y };
        let x = reference.and_then(square).or_else(|| square(Vec3::X)).or_else(|| square(fallback)).unwrap_or(Vec3::X);
        Frame { origin, x, y: z.cross(x), z }
    }

    /// The point with the given coordinates in this frame.
    pub fn point(&self, x: f64, y: f64, z: f64) -> Point3 {
        self.origin + self.vector(x, y, z)
    }

    /// The vector with the given components in this frame.
    pub fn vector(&self, x: f64, y: f64, z: f64) -> Vec3 {
        self.x * x + self.y * y + self.z * z
    }

    /// Coordinates of a world point in this frame.
    pub fn local(&self, p: Point3) -> Vec3 {
        let d = p - self.origin;
        Vec3::new(d.dot(self.x), d.dot(self.y), d.dot(self.z))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_are_orthonormal_for_every_input() {
        let directions = [None, Some(Vec3::ZERO), Some(Vec3::X), Some(Vec3::new(1.0, 1e-12, 0.0)), Some(Vec3::new(3.0, -2.0, 7.0))];
        for axis in directions {
            for reference in directions {
                let f = Frame::from_axis(Point3::new(1.0, 2.0, 3.0), axis, reference);
                for (a, b, want) in [(f.x, f.x, 1.0), (f.y, f.y, 1.0), (f.z, f.z, 1.0), (f.x, f.y, 0.0), (f.y, f.z, 0.0), (f.x, f.z, 0.0)] {
                    assert!((a.dot(b) - want).abs() < 1e-14);
                }
                assert!((f.x.cross(f.y) - f.z).length() < 1e-14);
                let p = f.point(4.0, -5.0, 6.0);
                assert!((f.local(p) - Vec3::new(4.0, -5.0, 6.0)).length() < 1e-13);
            }
        }
    }
}
