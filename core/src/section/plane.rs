//! Planes that cut a model.

use crate::math::{Point3, Vec3};

/// The plane of all x with normal · x = offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Unit normal.
    pub normal: Vec3,
    /// Distance from the origin along the normal, mm.
    pub offset: f64,
}

/// Most planes of a stack. More are left out: they would lie closer than anyone can tell apart.
const MOST: usize = 1000;

impl Plane {
    /// The plane through a point; None for a normal without direction.
    pub fn through(point: Point3, normal: Vec3) -> Option<Self> {
        let normal = normal.try_normalize()?;
        Some(Self { normal, offset: point.to_vec().dot(normal) })
    }

    /// Signed distance of a point, mm.
    pub fn distance(&self, p: Point3) -> f64 {
        p.to_vec().dot(self.normal) - self.offset
    }
}

/// Planes square to an axis, `spacing` mm apart, that meet a box (least and greatest corner), by rising offset; offsets are whole
/// multiples of the spacing, so that they stay where they are when the model changes. None for a spacing that is not positive.
pub fn stack(axis: Vec3, spacing: f64, [low, high]: [Point3; 2]) -> Vec<Plane> {
    let Some(normal) = axis.try_normalize().filter(|_| spacing > 0.0 && spacing.is_finite()) else { return Vec::new() };
    let corner = |i: usize| {
        let pick = |bit: usize, a: f64, b: f64| if i & bit == 0 { a } else { b };
        Vec3::new(pick(1, low.x, high.x), pick(2, low.y, high.y), pick(4, low.z, high.z)).dot(normal)
    };
    let (least, greatest) = (0..8).map(corner).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
    let first = (least / spacing).ceil();
    let count = (greatest / spacing).floor() - first + 1.0;
    if count.is_nan() || count < 1.0 {
        return Vec::new();
    }
    (0..(count as usize).min(MOST)).map(|i| Plane { normal, offset: (first + i as f64) * spacing }).collect()
}
