//! A patch whose points are plain by hand and which its polynomials leave far beyond its borders.

use super::Surface;
use crate::math::Point3;
use crate::nurbs::{self, KnotVector};

/// S(u, v) = (10 u, 10 v, 5 u³) over [0, 1]²: flat at u = 0, lifted to 5 at u = 1.
pub(crate) fn lifted_side() -> Surface {
    let bezier = || KnotVector::bezier(3).unwrap();
    let third = |i: usize| 10.0 * i as f64 / 3.0;
    let points = (0..16).map(|k| Point3::new(third(k / 4), third(k % 4), if k / 4 == 3 { 5.0 } else { 0.0 })).collect();
    Surface::Nurbs(nurbs::Surface::new(bezier(), bezier(), points, None).unwrap())
}
