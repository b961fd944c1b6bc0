//! Derivatives of curves to high order, for what is built on them.

use super::{Curve, OffsetCurve};
use crate::math::{Vec3, real};

/// Highest order of differentiation a curve answers: five for an offset surface at its pole, two for offsets of the
/// curve itself.
pub(super) const JET_ORDER: usize = 7;

/// Position (from the origin, mm) and derivatives by the parameter.
pub(super) type CurveJet = [Vec3; JET_ORDER + 1];

impl Curve {
    /// Position and derivatives up to `order` ≤ [`JET_ORDER`]; higher entries mean nothing.
    pub(super) fn jet(&self, t: f64, order: usize) -> CurveJet {
        let mut jet = [Vec3::ZERO; JET_ORDER + 1];
        let order = order.min(JET_ORDER);
        match self {
            Curve::Line(c) => (jet[0], jet[1]) = ((c.origin + c.direction * t).to_vec(), c.direction),
            Curve::Circle(c) => turning(&mut jet, c.frame.origin.to_vec(), c.frame.x * c.radius, c.frame.y * c.radius, t),
            Curve::Ellipse(c) => turning(&mut jet, c.frame.origin.to_vec(), c.frame.x * c.semi_x, c.frame.y * c.semi_y, t),
            Curve::Parabola(c) => {
                for (to, from) in jet.iter_mut().zip(c.derivs(t)) {
                    *to = Vec3::from_array(from);
                }
            }
            Curve::Hyperbola(c) => {
                let [point, odd, even, _] = c.derivs(t).map(Vec3::from_array);
                for (k, x) in jet.iter_mut().enumerate() {
                    *x = if k % 2 == 1 { odd } else { even };
                }
                jet[0] = point;
            }
            Curve::Nurbs(c) => jet = c.derivs_to::<{ JET_ORDER + 1 }>(t, order).map(Vec3::from_array),
            Curve::Chain(c) => {
                let Some((piece, at, speed)) = c.piece(t) else { return jet };
                jet = piece.curve.jet(at, order);
                let mut factor = 1.0;
                for x in &mut jet {
                    *x *= factor;
                    factor *= speed;
                }
            }
            Curve::Offset(c) => jet = OffsetCurve::jet(c, t, order),
        }
        jet
    }
}

/// o + a cos t + b sin t: each derivative is the one before, a quarter turn on.
fn turning(jet: &mut CurveJet, origin: Vec3, a: Vec3, b: Vec3, t: f64) {
    let (sin, cos) = real::sin_cos(t);
    let (out, along) = (a * cos + b * sin, b * cos - a * sin);
    let quarter = [out, along, -out, -along];
    for (x, q) in jet.iter_mut().zip(quarter.iter().cycle()) {
        *x = *q;
    }
    jet[0] += origin;
}

/// The jet of B + d · V × B′ / |V × B′| from that of B, which must reach one order more.
pub(super) fn offset_along(basis: &CurveJet, distance: f64, reference: Vec3, order: usize) -> CurveJet {
    // Taylor coefficients of W = V × B′, of q = W·W, and of q^(−1/2).
    let mut w = [Vec3::ZERO; JET_ORDER + 1];
    let mut factorial = 1.0;
    for k in 0..=order.min(JET_ORDER - 1) {
        factorial *= k.max(1) as f64;
        w[k] = reference.cross(basis[k + 1]) / factorial;
    }
    let mut q = [0.0; JET_ORDER + 1];
    for k in 0..=order.min(JET_ORDER) {
        q[k] = (0..=k).map(|i| w[i].dot(w[k - i])).sum();
    }
    let mut jet = *basis;
    if q[0].is_nan() || q[0] <= f64::MIN_POSITIVE {
        return jet;
    }
    // Power of a series: Knuth, The Art of Computer Programming, vol. 2, §4.7, after Euler.
    let mut r = [0.0; JET_ORDER + 1];
    r[0] = 1.0 / q[0].sqrt();
    for k in 1..=order.min(JET_ORDER) {
        let sum: f64 = (1..=k).map(|j| (0.5 * j as f64 - k as f64) * q[j] * r[k - j]).sum();
        r[k] = sum / (k as f64 * q[0]);
    }
    let mut factorial = 1.0;
    for k in 0..=order.min(JET_ORDER) {
        factorial *= k.max(1) as f64;
        let unit: Vec3 = (0..=k).map(|i| w[i] * r[k - i]).sum();
        jet[k] += unit * (distance * factorial);
    }
    jet
}
