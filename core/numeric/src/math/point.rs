//! Positions, kept apart from vectors so that only meaningful sums compile.

use super::{Vec2, Vec3};
use core::ops::{Add, AddAssign, Sub};

/// A position in space, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point3 {
    /// First coordinate, mm.
    pub x: f64,
    /// Second coordinate, mm.
    pub y: f64,
    /// Third coordinate, mm.
    pub z: f64,
}

/// A position in a surface's parameter plane.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point2 {
    /// First parameter.
    pub u: f64,
    /// Second parameter.
    pub v: f64,
}

impl Point3 {
    /// The origin.
    pub const ORIGIN: Point3 = Point3::new(0.0, 0.0, 0.0);

    /// A point from its coordinates, mm.
    #[inline]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// The vector from the origin to this point.
    #[inline]
    pub const fn to_vec(self) -> Vec3 {
        Vec3::new(self.x, self.y, self.z)
    }

    /// The point a vector from the origin leads to.
    #[inline]
    pub const fn from_vec(v: Vec3) -> Self {
        Self::new(v.x, v.y, v.z)
    }

    /// Distance to another point, mm.
    #[inline]
    pub fn distance(self, other: Point3) -> f64 {
        (self - other).length()
    }

    /// The point a share `t` of the way to `other`.
    #[inline]
    pub fn lerp(self, other: Point3, t: f64) -> Point3 {
        self + (other - self) * t
    }

    /// True when no coordinate is NaN or infinite.
    #[inline]
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }

    /// The coordinates as an array.
    #[inline]
    pub const fn to_array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl Point2 {
    /// A parameter point from its coordinates.
    #[inline]
    pub const fn new(u: f64, v: f64) -> Self {
        Self { u, v }
    }

    /// The vector from the parameter origin to this point.
    #[inline]
    pub const fn to_vec(self) -> Vec2 {
        Vec2::new(self.u, self.v)
    }

    /// The parameter point a vector leads to.
    #[inline]
    pub const fn from_vec(v: Vec2) -> Self {
        Self::new(v.x, v.y)
    }

    /// True when no coordinate is NaN or infinite.
    #[inline]
    pub fn is_finite(self) -> bool {
        self.u.is_finite() && self.v.is_finite()
    }
}

impl Sub for Point3 {
    type Output = Vec3;
    #[inline]
    fn sub(self, other: Point3) -> Vec3 {
        self.to_vec() - other.to_vec()
    }
}

impl Add<Vec3> for Point3 {
    type Output = Point3;
    #[inline]
    fn add(self, v: Vec3) -> Point3 {
        Point3::from_vec(self.to_vec() + v)
    }
}

impl AddAssign<Vec3> for Point3 {
    #[inline]
    fn add_assign(&mut self, v: Vec3) {
        *self = *self + v;
    }
}

impl Sub<Vec3> for Point3 {
    type Output = Point3;
    #[inline]
    fn sub(self, v: Vec3) -> Point3 {
        Point3::from_vec(self.to_vec() - v)
    }
}

impl Sub for Point2 {
    type Output = Vec2;
    #[inline]
    fn sub(self, other: Point2) -> Vec2 {
        self.to_vec() - other.to_vec()
    }
}

impl Add<Vec2> for Point2 {
    type Output = Point2;
    #[inline]
    fn add(self, v: Vec2) -> Point2 {
        Point2::from_vec(self.to_vec() + v)
    }
}
