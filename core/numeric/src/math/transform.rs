//! Similarities: the placements of parts, and changes of unit.

use super::{Frame, Point3, Vec3};

/// A rotation or reflection, a uniform scale and a shift: p ↦ scale · R p + shift.
///
/// Similarities keep angles, so analytic curves and surfaces stay analytic under them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similarity {
    /// Images of the unit axes, orthonormal; a reflection when their triple product is −1.
    pub axes: [Vec3; 3],
    /// Scale factor, > 0.
    pub scale: f64,
    /// Image of the origin, mm.
    pub shift: Vec3,
}

impl Similarity {
    /// Leaves everything where it is.
    pub const IDENTITY: Similarity = Similarity { axes: [Vec3::X, Vec3::Y, Vec3::Z], scale: 1.0, shift: Vec3::ZERO };

    /// A pure scaling about the origin (a change of unit).
    pub const fn scaling(scale: f64) -> Self {
        Similarity { scale, ..Self::IDENTITY }
    }

    /// The rigid motion that carries frame `from` onto frame `to`.
    pub fn between(from: &Frame, to: &Frame) -> Self {
        let image = |e: Vec3| to.vector(e.dot(from.x), e.dot(from.y), e.dot(from.z));
        let axes = [image(Vec3::X), image(Vec3::Y), image(Vec3::Z)];
        let turned = Similarity { axes, scale: 1.0, shift: Vec3::ZERO };
        Similarity { shift: to.origin.to_vec() - turned.vector(from.origin.to_vec()), ..turned }
    }

    /// The image of a point.
    pub fn point(&self, p: Point3) -> Point3 {
        Point3::from_vec(self.vector(p.to_vec()) + self.shift)
    }

    /// The image of a vector (turned and scaled, not shifted).
    pub fn vector(&self, v: Vec3) -> Vec3 {
        self.direction(v) * self.scale
    }

    /// The image of a direction (turned only).
    pub fn direction(&self, v: Vec3) -> Vec3 {
        self.axes[0] * v.x + self.axes[1] * v.y + self.axes[2] * v.z
    }

    /// First `inner`, then this.
    pub fn after(&self, inner: &Similarity) -> Similarity {
        Similarity {
            axes: inner.axes.map(|a| self.direction(a)),
            scale: self.scale * inner.scale,
            shift: self.vector(inner.shift) + self.shift,
        }
    }

    /// True when it turns right-handed frames into left-handed ones.
    pub fn is_reflection(&self) -> bool {
        self.axes[0].cross(self.axes[1]).dot(self.axes[2]) < 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carries_one_frame_onto_the_other_and_composes() {
        let a = Frame::from_axis(Point3::new(1.0, -2.0, 3.0), Some(Vec3::new(1.0, 2.0, 2.0)), Some(Vec3::new(0.0, 1.0, 5.0)));
        let b = Frame::from_axis(Point3::new(-7.0, 4.0, 0.5), Some(Vec3::new(-1.0, 0.3, 2.0)), Some(Vec3::Y));
        let t = Similarity::between(&a, &b);
        assert!(t.point(a.point(2.0, 3.0, -4.0)).distance(b.point(2.0, 3.0, -4.0)) < 1e-13);
        let s = Similarity::scaling(25.4).after(&t);
        let p = Point3::new(0.3, 0.7, -1.1);
        assert!(s.point(p).distance(Similarity::scaling(25.4).point(t.point(p))) < 1e-12);
        assert!(!s.is_reflection());
        assert!(Similarity { axes: [Vec3::X, Vec3::Y, -Vec3::Z], ..Similarity::IDENTITY }.is_reflection());
    }
}
