//! The centre plane.

use crate::math::{Point3, Vec3};

/// The plane of all x with normal · x = offset, in which left and right are each other's images.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MirrorPlane {
    normal: Vec3,
    offset: f64,
}

/// Least sine between two points' directions from a third that give a plane. Larger: long thin triangles give none; smaller: the
/// plane turns with the last digits of its points.
const SPREAD: f64 = 1e-6;

impl MirrorPlane {
    /// y = 0, the usual one of vehicles.
    pub const Y: Self = Self { normal: Vec3::Y, offset: 0.0 };
    /// x = 0.
    pub const X: Self = Self { normal: Vec3::X, offset: 0.0 };
    /// z = 0.
    pub const Z: Self = Self { normal: Vec3::Z, offset: 0.0 };

    /// The plane square to `normal` (of any length) at `offset` mm from the origin along it; None without a direction or for
    /// numbers that are none.
    pub fn new(normal: Vec3, offset: f64) -> Option<Self> {
        let normal = normal.try_normalize().filter(|_| offset.is_finite())?;
        // One plane has one name: its normal points to the side of the first positive axis.
        let first = normal.to_array().into_iter().find(|x| *x != 0.0)?;
        Some(if first < 0.0 { Self { normal: -normal, offset: -offset } } else { Self { normal, offset } })
    }

    /// The plane through three points; None when they lie on one line.
    pub fn through(points: [Point3; 3]) -> Option<Self> {
        let [a, b, c] = points;
        let across = (b - a).try_normalize()?.cross((c - a).try_normalize()?);
        if across.length() < SPREAD {
            return None;
        }
        let normal = across.try_normalize()?;
        Self::new(normal, a.to_vec().dot(normal))
    }

    /// The stable lower-case name: y, x, z, or picked for any other plane.
    pub fn text(self) -> &'static str {
        [(Self::Y, "y"), (Self::X, "x"), (Self::Z, "z")].into_iter().find(|(p, _)| *p == self).map_or("picked", |(_, name)| name)
    }

    /// Unit normal.
    pub fn normal(self) -> Vec3 {
        self.normal
    }

    /// Distance from the origin along the normal, mm.
    pub fn offset(self) -> f64 {
        self.offset
    }

    /// Signed distance of a point, mm.
    pub fn height(self, p: Point3) -> f64 {
        p.to_vec().dot(self.normal) - self.offset
    }

    /// The mirror image of a direction.
    pub fn turned(self, v: Vec3) -> Vec3 {
        v - self.normal * (2.0 * v.dot(self.normal))
    }

    /// The mirror image of a point.
    pub fn image(self, p: Point3) -> Point3 {
        p - self.normal * (2.0 * self.height(p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn images_are_as_far_on_the_other_side_and_images_of_images_are_themselves() {
        let plane = MirrorPlane::new(Vec3::new(1.0, -2.0, 2.0), 7.0).unwrap();
        let p = Point3::new(31.0, 5.0, -12.0);
        assert!((plane.height(plane.image(p)) + plane.height(p)).abs() < 1e-12);
        assert!(plane.image(plane.image(p)).distance(p) < 1e-12);
        let foot = p - plane.normal() * plane.height(p);
        assert!(plane.image(foot).distance(foot) < 1e-12);
        assert!((plane.turned(Vec3::new(3.0, 1.0, 4.0)).length() - 26f64.sqrt()).abs() < 1e-12);
        assert_eq!(plane.turned(plane.normal()), -plane.normal());
    }

    #[test]
    fn one_plane_has_one_name_whichever_way_it_is_given() {
        let at = |x, y, z| Point3::new(x, y, z);
        assert_eq!(MirrorPlane::through([at(0.0, 0.0, 0.0), at(3.0, 0.0, 1.0), at(1.0, 0.0, 8.0)]).unwrap().text(), "y");
        assert_eq!(MirrorPlane::new(-Vec3::X, 0.0).unwrap(), MirrorPlane::X);
        let off = MirrorPlane::new(-Vec3::Z * 3.0, -4.0).unwrap();
        assert_eq!((off.text(), off.normal(), off.offset()), ("picked", Vec3::Z, 4.0));
        assert_eq!(MirrorPlane::through([at(0.0, 0.0, 0.0), at(1.0, 1.0, 1.0), at(5.0, 5.0, 5.0)]), None);
        assert_eq!(MirrorPlane::new(Vec3::ZERO, 1.0), None);
        assert_eq!(MirrorPlane::new(Vec3::X, f64::NAN), None);
    }
}
