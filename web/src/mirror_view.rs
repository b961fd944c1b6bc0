//! The centre plane as it is shown: its outline in the model's box, and what mirrors the model in it.

use crate::bounds::Bounds;
use glam::{DMat4, DVec3};
use rakelight_core::math::Arrange;
use serde::Deserialize;

/// The plane of all x with normal · x = offset.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct ShownMirror {
    /// Unit normal.
    pub normal: [f64; 3],
    /// Distance from the origin along it, mm.
    pub offset: f64,
}

/// How far the outline reaches beyond the model's box, as a share of its diagonal.
const MARGIN: f64 = 0.03;

impl ShownMirror {
    fn normal(&self) -> DVec3 {
        DVec3::from_array(self.normal).normalize_or_zero()
    }

    /// Signed distance of a point.
    fn height(&self, p: DVec3) -> f64 {
        p.dot(self.normal()) - self.offset
    }

    /// What takes a point relative to `origin` to its mirror image, relative to it too.
    pub fn image_from(&self, origin: DVec3) -> DMat4 {
        let n = self.normal();
        let column = |axis: DVec3| (axis - n * (2.0 * n.dot(axis))).extend(0.0);
        let shift = n * (-2.0 * self.height(origin));
        DMat4::from_cols(column(DVec3::X), column(DVec3::Y), column(DVec3::Z), shift.extend(1.0))
    }

    /// Where the plane cuts a box that is a little larger than `bounds`, as a closed polyline; empty where it passes beside it.
    pub fn outline(&self, bounds: &Bounds) -> Vec<DVec3> {
        let grow = DVec3::splat((bounds.max - bounds.min).length() * MARGIN);
        let [low, high] = [bounds.min - grow, bounds.max + grow];
        let corner = |i: usize| {
            DVec3::new(
                if i & 1 == 0 { low.x } else { high.x },
                if i & 2 == 0 { low.y } else { high.y },
                if i & 4 == 0 { low.z } else { high.z },
            )
        };
        let mut cuts = Vec::new();
        for i in 0..8 {
            for bit in [1, 2, 4].into_iter().filter(|bit| i & bit == 0) {
                let (p, q) = (corner(i), corner(i | bit));
                let (a, b) = (self.height(p), self.height(q));
                if (a < 0.0) != (b < 0.0) {
                    cuts.push(p.lerp(q, a / (a - b)));
                }
            }
        }
        if cuts.len() < 3 {
            return Vec::new();
        }
        let middle = cuts.iter().sum::<DVec3>() / cuts.len() as f64;
        let (x, y) = self.normal().any_orthonormal_pair();
        let angle = |p: &DVec3| (*p - middle).dot(y).atan2((*p - middle).dot(x));
        cuts.arrange_by(|a, b| angle(a).total_cmp(&angle(b)));
        cuts.extend(cuts.first().copied());
        cuts
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn images_stand_as_far_on_the_other_side() {
        let mirror = ShownMirror { normal: [0.6, 0.8, 0.0], offset: 5.0 };
        let (origin, p) = (DVec3::new(100.0, -3.0, 7.0), DVec3::new(1.0, 2.0, 3.0));
        let image = origin + mirror.image_from(origin).transform_point3(p);
        assert!((mirror.height(image) + mirror.height(origin + p)).abs() < 1e-12);
        assert!((image - origin - p).cross(DVec3::new(0.6, 0.8, 0.0)).length() < 1e-9);
    }

    #[test]
    fn the_outline_is_the_planes_cut_of_the_box() {
        let bounds = Bounds { min: DVec3::ZERO, max: DVec3::new(10.0, 20.0, 30.0) };
        let middle = ShownMirror { normal: [0.0, 1.0, 0.0], offset: 4.0 }.outline(&bounds);
        assert_eq!(middle.len(), 5);
        assert!(middle.iter().all(|p| (p.y - 4.0).abs() < 1e-9) && middle[0] == middle[4]);
        let slanted = ShownMirror { normal: [1.0 / 3f64.sqrt(); 3], offset: 30.0 / 3f64.sqrt() }.outline(&bounds);
        assert_eq!(slanted.len(), 7, "a hexagon, closed");
        assert!(ShownMirror { normal: [0.0, 0.0, 1.0], offset: 99.0 }.outline(&bounds).is_empty());
    }
}
