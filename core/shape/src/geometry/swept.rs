//! Surfaces swept by curves: revolutions, extrusions and ruled surfaces.

use super::Curve;
use super::jet::{CurveJet, JET_ORDER};
use crate::math::{Arrange, Frame, Interval, Point3, Vec3, real};
use crate::nurbs::SurfaceDerivs;

/// S(u, v): the profile's point at v, turned by the angle u about the frame's z through its origin, from x towards y.
/// u in radians, v the profile's parameter. ISO 10303-42, surface_of_revolution. The profile need not lie in a plane
/// with the axis. Singular where it meets the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Revolution {
    /// Axis z through the origin; x and y only fix the sense of turning. S(0, v) is the profile itself.
    pub frame: Frame,
    /// What is turned.
    pub profile: Box<Curve>,
    /// Used part of the profile, v; unbounded for a whole line. A whole period makes the surface periodic in v.
    pub range: Interval,
}

/// S(u, v) = C(u) + v d, C the directrix. ISO 10303-42, surface_of_linear_extrusion. Unbounded in v.
#[derive(Debug, Clone, PartialEq)]
pub struct Extrusion {
    /// What is pushed.
    pub directrix: Box<Curve>,
    /// Direction d, mm per unit of v, of any length > 0.
    pub direction: Vec3,
    /// Used part of the directrix, u; unbounded for a whole line. A whole period makes the surface periodic in u.
    pub range: Interval,
}

/// S(u, v) = (1 − v) A(u) + v B(u), u and v from 0 to 1, A and B each at the share u of its own range.
/// The ruled surface of IGES 5.3, type 118, with equal relative parameters (its form 1).
#[derive(Debug, Clone, PartialEq)]
pub struct Ruled {
    /// Curve A, at v = 0.
    pub first: Box<Curve>,
    /// Parameters of A at u = 0 and u = 1, either order.
    pub first_range: (f64, f64),
    /// Curve B, at v = 1.
    pub second: Box<Curve>,
    /// Parameters of B at u = 0 and u = 1, either order.
    pub second_range: (f64, f64),
}

impl Revolution {
    /// Position and partial derivatives up to total `order` ≤ 3.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        let c = self.profile.derivs(v, order).map(Vec3::from_array);
        let (sin, cos) = real::sin_cos(u);
        // Each derivative by u turns the part across the axis by a further quarter.
        let (p, turned) = self.turn(c[0] - self.frame.origin.to_vec(), sin, cos);
        let along = self.frame.z * self.frame.z.dot(c[0] - self.frame.origin.to_vec());
        let (p1, t1) = self.turn(c[1], sin, cos);
        let (p2, t2) = self.turn(c[2], sin, cos);
        let (p3, _) = self.turn(c[3], sin, cos);
        let along_of = |x: Vec3| self.frame.z * self.frame.z.dot(x);
        SurfaceDerivs {
            s: self.frame.origin + p + along,
            su: turned,
            sv: p1 + along_of(c[1]),
            suu: -p,
            suv: t1,
            svv: p2 + along_of(c[2]),
            suuu: -turned,
            suuv: -p1,
            suvv: t2,
            svvv: p3 + along_of(c[3]),
        }
    }

    /// The part of a vector across the axis, turned by u, and by a quarter turn more.
    fn turn(&self, w: Vec3, sin: f64, cos: f64) -> (Vec3, Vec3) {
        let f = &self.frame;
        let (a, b) = (w.dot(f.x), w.dot(f.y));
        let (x, y) = (a * cos - b * sin, a * sin + b * cos);
        (f.x * x + f.y * y, f.y * x - f.x * y)
    }

    /// Partial derivatives up to total `order`: entry `[k][l]` is k times by u and l times by v.
    pub(super) fn partials<const K: usize>(&self, u: f64, v: f64, order: usize) -> [[Vec3; K]; K] {
        let mut c = self.profile.jet(v, order);
        c[0] -= self.frame.origin.to_vec();
        let (sin, cos) = real::sin_cos(u);
        let mut s = [[Vec3::ZERO; K]; K];
        for (l, w) in c.iter().enumerate().take(K) {
            let (p, turned) = self.turn(*w, sin, cos);
            let quarter = [p, turned, -p, -turned];
            for (k, row) in s.iter_mut().enumerate().take(K - l) {
                row[l] = quarter[k % 4];
            }
            s[0][l] += self.frame.z * self.frame.z.dot(*w);
        }
        s[0][0] += self.frame.origin.to_vec();
        s
    }

    /// Distance of the profile's point at v from the axis, mm.
    pub fn radius(&self, v: f64) -> f64 {
        let q = self.frame.local(self.profile.point(v));
        real::hypot(q.x, q.y)
    }

    /// Period in v: that of a profile used over its whole period.
    pub(super) fn period(&self) -> Option<f64> {
        whole_period(&self.profile, self.range)
    }
}

impl Extrusion {
    /// Position and partial derivatives up to total `order` ≤ 3.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        let c = self.directrix.derivs(u, order).map(Vec3::from_array);
        let s = Point3::from_vec(c[0]) + self.direction * v;
        SurfaceDerivs { s, su: c[1], sv: self.direction, suu: c[2], suuu: c[3], ..SurfaceDerivs::default() }
    }

    pub(super) fn partials<const K: usize>(&self, u: f64, v: f64, order: usize) -> [[Vec3; K]; K] {
        let c = self.directrix.jet(u, order);
        let mut s = [[Vec3::ZERO; K]; K];
        for (row, x) in s.iter_mut().zip(c) {
            row[0] = x;
        }
        s[0][0] += self.direction * v;
        s[0][1] = self.direction;
        s
    }

    /// Period in u: that of a directrix used over its whole period.
    pub(super) fn period(&self) -> Option<f64> {
        whole_period(&self.directrix, self.range)
    }
}

impl Ruled {
    /// Position and partial derivatives up to total `order` ≤ 3.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        let s: [[Vec3; 4]; 4] = self.partials(u, v, order.min(3));
        SurfaceDerivs {
            s: Point3::from_vec(s[0][0]),
            su: s[1][0],
            sv: s[0][1],
            suu: s[2][0],
            suv: s[1][1],
            suuu: s[3][0],
            suuv: s[2][1],
            ..SurfaceDerivs::default()
        }
    }

    pub(super) fn partials<const K: usize>(&self, u: f64, v: f64, order: usize) -> [[Vec3; K]; K] {
        let a = share_jet(&self.first, self.first_range, u, order);
        let b = share_jet(&self.second, self.second_range, u, order);
        let mut s = [[Vec3::ZERO; K]; K];
        for (row, (a, b)) in s.iter_mut().zip(a.into_iter().zip(b)) {
            row[0] = a * (1.0 - v) + b * v;
            row[1] = b - a;
        }
        s
    }

    /// Values of u at which one of the curves breaks, rising, each with whether its direction may jump.
    pub(super) fn breaks(&self) -> Vec<(f64, bool)> {
        let shares = |c: &Curve, (t0, t1): (f64, f64)| -> Vec<(f64, bool)> {
            c.spans_between(t0, t1).into_iter().map(|(t, c)| ((t - t0) / (t1 - t0), c)).collect()
        };
        let mut all = shares(&self.first, self.first_range);
        all.extend(shares(&self.second, self.second_range));
        all.arrange_by(|a, b| a.0.total_cmp(&b.0));
        // The same knot in both, up to the rounding of the division.
        all.dedup_by(|b, a| {
            let same = b.0 - a.0 < 1e-12;
            a.1 |= same && b.1;
            same
        });
        all
    }
}

/// The jet of a curve by the share of a range.
fn share_jet(curve: &Curve, (t0, t1): (f64, f64), share: f64, order: usize) -> CurveJet {
    let mut jet = curve.jet(t0 * (1.0 - share) + t1 * share, order.min(JET_ORDER));
    let mut factor = 1.0;
    for x in &mut jet {
        *x *= factor;
        factor *= t1 - t0;
    }
    jet
}

/// The curve's period where `range` covers it once. Slack: ranges come from files, in degrees too.
fn whole_period(curve: &Curve, range: Interval) -> Option<f64> {
    curve.period().filter(|p| (range.length() - p).abs() <= 1e-9 * p)
}
