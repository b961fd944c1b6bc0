//! Splines of degree 5 through given values, open or closed.

use super::patch::built;
use crate::math::Vec3;
use crate::nurbs::{self, BasisDerivs, KnotVector};

/// Degree of every fitted row.
const DEGREE: usize = 5;

/// Clamped knots of degree 5 with `spans` equal spans over [0, 1].
pub(super) fn even_knots(spans: usize) -> KnotVector {
    built(KnotVector::uniform(DEGREE, spans))
}

/// Control points of the spline on `knots` that takes the values of `f` at the Greville abscissae.
///
/// A polynomial of degree 5 or less comes back exactly, to rounding.
pub(super) fn through(knots: &KnotVector, f: impl Fn(f64) -> Vec3) -> Vec<Vec3> {
    let n = knots.point_count();
    let mut matrix = vec![vec![0.0; n]; n];
    let mut values = Vec::with_capacity(n);
    for (row, t) in matrix.iter_mut().zip(knots.greville()) {
        let b: BasisDerivs = BasisDerivs::at(knots, knots.span(t), t, 0);
        for r in 0..=knots.degree() {
            row[b.first + r] = b.rows[0][r];
        }
        values.push(f(t));
    }
    solve(matrix, values)
}

/// A closed uniform spline of degree 5 with integer knots, period `points.len()`.
#[derive(Debug, Clone)]
pub(super) struct Ring {
    points: Vec<Vec3>,
}

impl Ring {
    /// The ring that takes the `count` values f(0), f(1), … at its knots.
    pub fn through(count: usize, f: impl Fn(usize) -> Vec3) -> Ring {
        // Values of the uniform quintic basis function at its inner knots.
        const AT_KNOT: [f64; 5] = [1.0 / 120.0, 26.0 / 120.0, 66.0 / 120.0, 26.0 / 120.0, 1.0 / 120.0];
        let mut matrix = vec![vec![0.0; count]; count];
        for (k, row) in matrix.iter_mut().enumerate() {
            for (d, b) in AT_KNOT.iter().enumerate() {
                row[(k + count + d - 2) % count] += b;
            }
        }
        Ring { points: solve(matrix, (0..count).map(f).collect()) }
    }

    /// Control points of the arc from knot `from` over `spans` knots, on [`even_knots`]; exact.
    pub fn arc(&self, from: i64, spans: usize) -> Vec<Vec3> {
        let n = self.points.len() as i64;
        let inner = |i: i64| i.clamp(0, spans as i64) as f64;
        (0..spans + DEGREE)
            .map(|j| {
                // Blossom arguments of a clamped control point, on the span they all reach (NB §5.2).
                let span = j.min(spans - 1) as i64;
                let args: [f64; DEGREE] = core::array::from_fn(|r| inner(j as i64 + r as i64 + 1 - DEGREE as i64));
                let mut d: [Vec3; DEGREE + 1] = core::array::from_fn(|i| self.points[(from + span + i as i64 - 2).rem_euclid(n) as usize]);
                for r in 1..=DEGREE {
                    for i in (r..=DEGREE).rev() {
                        // Uniform knots: control point i of this span acts from knot span + i − DEGREE on.
                        let low = (span + i as i64 - DEGREE as i64) as f64;
                        let share = (args[r - 1] - low) / (DEGREE + 1 - r) as f64;
                        d[i] = d[i - 1] * (1.0 - share) + d[i] * share;
                    }
                }
                d[DEGREE]
            })
            .collect()
    }
}

/// The spline surface over control rows across (degree `across`, one Bézier segment) and `knots` along.
pub(super) fn surface(rows: &[Vec<Vec3>], weights: Option<&[f64]>, knots: &KnotVector) -> nurbs::Surface {
    let points = rows.iter().flatten().map(|&p| crate::math::Point3::from_vec(p)).collect();
    let weights = weights.map(|w| w.iter().flat_map(|&x| core::iter::repeat_n(x, knots.point_count())).collect());
    built(nurbs::Surface::new(super::patch::bezier_knots(rows.len() - 1), knots.clone(), points, weights))
}

/// Solves a square system by elimination with row exchange.
fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<Vec3>) -> Vec<Vec3> {
    let n = b.len();
    for k in 0..n {
        let pivot = (k..n).fold(k, |best, i| if a[i][k].abs() > a[best][k].abs() { i } else { best });
        a.swap(k, pivot);
        b.swap(k, pivot);
        for i in k + 1..n {
            let share = a[i][k] / a[k][k];
            if share != 0.0 {
                for j in k..n {
                    let x = a[k][j];
                    a[i][j] -= share * x;
                }
                let x = b[k];
                b[i] -= x * share;
            }
        }
    }
    for k in (0..n).rev() {
        let mut x = b[k];
        for j in k + 1..n {
            x -= b[j] * a[k][j];
        }
        b[k] = x / a[k][k];
    }
    b
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::real;
    use crate::nurbs::Curve;

    fn curve(points: &[Vec3], knots: &KnotVector) -> Curve<3> {
        Curve::new(knots.clone(), points.iter().map(|p| p.to_array()).collect(), None).unwrap()
    }

    #[test]
    fn open_fit_returns_polynomials_of_its_degree() {
        for spans in [1, 3, 8] {
            let f = |t: f64| Vec3::new(t * t * t * t * t - t, 3.0 - t * t, 2.0 * t * t * t * t);
            let c = curve(&through(&even_knots(spans), f), &even_knots(spans));
            for k in 0..=20 {
                let t = f64::from(k) / 20.0;
                assert!((Vec3::from_array(c.derivs(t, 0)[0]) - f(t)).length() < 1e-13);
            }
        }
    }

    #[test]
    fn arcs_of_a_ring_meet_to_the_third_order_and_pass_its_values() {
        let f = |k: usize| {
            let (s, c) = real::sin_cos(real::TAU * k as f64 / 24.0);
            Vec3::new(40.0 * c, 30.0 * s, 5.0 * s * c)
        };
        let ring = Ring::through(24, f);
        let (a, b) = (curve(&ring.arc(-3, 9), &even_knots(9)), curve(&ring.arc(6, 15), &even_knots(15)));
        let (end, start) = (a.derivs(1.0, 3), b.derivs(0.0, 3));
        for order in 0..=3 {
            let scale = |spans: f64| (0..order).fold(1.0, |x, _| x / spans);
            let (p, q) = (scale(9.0), scale(15.0));
            assert!((Vec3::from_array(end[order]) * p - Vec3::from_array(start[order]) * q).length() < 1e-11);
        }
        for k in 0..9 {
            assert!((Vec3::from_array(a.derivs(k as f64 / 9.0, 0)[0]) - f((k + 21) % 24)).length() < 1e-12);
        }
    }
}
