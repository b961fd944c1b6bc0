//! One Bézier patch and its control net, the clay the cowl is made of.

use crate::math::{Point3, Vec3};
use crate::nurbs::{self, KnotVector, SurfaceDerivs};

/// A polynomial patch over [0, 1]²: `net[i][j]`, i across (u), j along (v), mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Patch {
    pub net: Vec<Vec<Vec3>>,
}

impl Patch {
    /// Degrees across and along.
    pub fn degrees(&self) -> (usize, usize) {
        (self.net.len() - 1, self.net[0].len() - 1)
    }

    /// The same patch as a spline surface.
    pub fn surface(&self) -> nurbs::Surface {
        let (pu, pv) = self.degrees();
        let points = self.net.iter().flatten().map(|&p| Point3::from_vec(p)).collect();
        built(nurbs::Surface::new(bezier_knots(pu), bezier_knots(pv), points, None))
    }

    /// Position and partial derivatives to order 3.
    pub fn derivs(&self, u: f64, v: f64) -> SurfaceDerivs {
        self.surface().derivs(u, v, 3)
    }

    /// The part over [u0, u1] × [v0, v1], exactly (blossoming, NB §6.3).
    pub fn part(&self, u: (f64, f64), v: (f64, f64)) -> Patch {
        let rows: Vec<Vec<Vec3>> = self.net.iter().map(|row| cut_row(row, v.0, v.1)).collect();
        Patch { net: transposed(&transposed(&rows).iter().map(|column| cut_row(column, u.0, u.1)).collect::<Vec<_>>()) }
    }

    /// Moves one control point.
    pub fn shift(&mut self, i: usize, j: usize, by: Vec3) {
        self.net[i][j] += by;
    }
}

/// Reflection in the centre plane y = 0.
pub(super) fn mirror(p: Vec3) -> Vec3 {
    Vec3::new(p.x, -p.y, p.z)
}

/// Control points of the part of a Bézier curve over [a, b].
pub(super) fn cut_row(row: &[Vec3], a: f64, b: f64) -> Vec<Vec3> {
    let p = row.len() - 1;
    (0..=p).map(|k| blossom(row, |r| if r < p - k { a } else { b })).collect()
}

/// Value of a Bézier curve's blossom; argument r of p is `at(r)`.
fn blossom(row: &[Vec3], at: impl Fn(usize) -> f64) -> Vec3 {
    let mut d = row.to_vec();
    for r in 0..row.len() - 1 {
        let t = at(r);
        for i in 0..d.len() - 1 {
            d[i] = d[i] * (1.0 - t) + d[i + 1] * t;
        }
        d.pop();
    }
    d[0]
}

/// A net with its two directions exchanged.
pub(super) fn transposed<T: Copy>(net: &[Vec<T>]) -> Vec<Vec<T>> {
    (0..net[0].len()).map(|j| net.iter().map(|row| row[j]).collect()).collect()
}

/// Bézier knots of a degree this generator uses.
pub(super) fn bezier_knots(degree: usize) -> KnotVector {
    built(KnotVector::bezier(degree))
}

/// The generators' own numbers always make a spline: they are constants of the demo's folders, checked by their tests.
pub(in crate::demo) fn built<T, E: core::fmt::Debug>(made: Result<T, E>) -> T {
    made.expect("the demo's own description makes valid splines")
}
