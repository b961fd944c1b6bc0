//! How far the normals of a patch can turn, from its control net.

use super::Surface;
use crate::math::{Vec3, real};

impl Surface {
    /// An angle, radians, that no normal of the patch is farther from one direction than: half the opening of a cone that holds them all.
    /// From cones round the differences of the control net in either direction (Sederberg & Meyers, Loop detection in surface patch
    /// intersections, 1988, eq. 8). None of rational patches, and where the net turns too far for such a cone.
    pub fn normal_cone(&self) -> Option<f64> {
        if self.weights().is_some() {
            return None;
        }
        let (nu, nv) = self.size();
        let points = self.points();
        let at = |i: usize, j: usize| points[i * nv + j];
        let along_u = cone((1..nu).flat_map(|i| (0..nv).map(move |j| (i, j))).map(|(i, j)| at(i, j) - at(i - 1, j)))?;
        let along_v = cone((0..nu).flat_map(|i| (1..nv).map(move |j| (i, j))).map(|(i, j)| at(i, j) - at(i, j - 1)))?;
        let between = real::angle_between(along_u.0, along_v.0);
        let (a, b) = (real::sin(along_u.1), real::sin(along_v.1));
        let sine = (a * a + 2.0 * a * b * real::cos(between).abs() + b * b).sqrt() / real::sin(between);
        (sine < 1.0).then(|| real::asin(sine))
    }
}

/// Half openings up to which a cone is told, radians: 81 degrees. Larger: sums of sines near 1 tell nothing.
const WIDEST: f64 = 0.45 * real::PI;

/// Axis and half opening of a cone round directions; None where it would open farther than [`WIDEST`] to a side, or where one has no length.
fn cone(all: impl Iterator<Item = Vec3> + Clone) -> Option<(Vec3, f64)> {
    let axis = all.clone().map(|v| v.try_normalize()).try_fold(Vec3::ZERO, |sum, v| Some(sum + v?))?.try_normalize()?;
    let half = all.map(|v| real::angle_between(axis, v)).fold(0.0, f64::max);
    (half < WIDEST).then_some((axis, half))
}

#[cfg(test)]
mod tests {
    use super::super::KnotVector;
    use super::*;
    use crate::math::Point3;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn holds_all_normals(heights in prop::collection::vec(-0.8f64..0.8, 20), lean in -0.5f64..0.5) {
            let (ku, kv) = (KnotVector::uniform(3, 1).unwrap(), KnotVector::uniform(3, 2).unwrap());
            let points = heights.iter().enumerate().map(|(n, z)| Point3::new((n / 5) as f64 + lean * (n % 5) as f64, (n % 5) as f64, *z)).collect();
            let patch = Surface::new(ku, kv, points, None).unwrap();
            let Some(half) = patch.normal_cone() else { return Ok(()) };
            let normals: Vec<Vec3> = (0..121).map(|n| { let d = patch.derivs((n / 11) as f64 / 10.0, (n % 11) as f64 / 10.0, 1); d.su.cross(d.sv) }).collect();
            for a in &normals {
                for b in &normals {
                    prop_assert!(real::angle_between(*a, *b) <= 2.0 * half + 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_flat_patch_has_one_normal_and_a_folded_one_no_cone() {
        let k = || KnotVector::uniform(2, 1).unwrap();
        let net = |z: [f64; 3]| (0..9).map(|n| Point3::new((n / 3) as f64, (n % 3) as f64, z[n / 3])).collect::<Vec<_>>();
        let flat = Surface::new(k(), k(), net([0.0; 3]), None).unwrap();
        assert!(flat.normal_cone().unwrap() < 1e-12);
        let folded = Surface::new(k(), k(), net([0.0, 60.0, 0.0]), None).unwrap();
        assert_eq!(folded.normal_cone(), None);
        assert_eq!(Surface::new(k(), k(), net([0.0; 3]), Some(vec![1.0; 9])).unwrap().normal_cone(), None);
    }
}
