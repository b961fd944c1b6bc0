//! Many points of a surface at once.

use super::functions::{LOW, low};
use super::{Side, Surface, SurfaceDerivs};
use crate::math::{Point3, Vec3};
use wide::f64x2;

/// Positions and derivatives to second order of many points, a column a coordinate: x, y and z of S, Su, Sv, Suu, Suv and Svv.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Batch {
    /// Column after column, 18 of them.
    columns: Vec<f64>,
    len: usize,
}

/// Orders of the columns, three columns each: by u and by v.
const ORDERS: [(usize, usize); 6] = [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2)];

impl Batch {
    /// Number of points.
    pub fn len(&self) -> usize {
        self.len
    }

    /// True of no point.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Of all points, coordinate `axis` (0 to 2) of S, Su, Sv, Suu, Suv or Svv (`which` 0 to 5).
    pub fn column(&self, which: usize, axis: usize) -> &[f64] {
        let from = (3 * which + axis) * self.len;
        &self.columns[from..from + self.len]
    }

    /// One point, to second order.
    pub fn at(&self, n: usize) -> SurfaceDerivs {
        let vector = |which: usize| Vec3::new(self.column(which, 0)[n], self.column(which, 1)[n], self.column(which, 2)[n]);
        SurfaceDerivs {
            s: Point3::from_vec(vector(0)),
            su: vector(1),
            sv: vector(2),
            suu: vector(3),
            suv: vector(4),
            svv: vector(5),
            ..SurfaceDerivs::default()
        }
    }

    fn put(&mut self, n: usize, which: usize, x: [f64; 3]) {
        for (axis, x) in x.into_iter().enumerate() {
            self.columns[(3 * which + axis) * self.len + n] = x;
        }
    }
}

impl Surface {
    /// Positions and derivatives to second order at the places of `u` and `v`, as many as the shorter of the two; `out` is written over. At inner knots
    /// those of the right side; beyond the domain the end span is continued.
    pub fn derivs_batch(&self, u: &[f64], v: &[f64], out: &mut Batch) {
        out.len = u.len().min(v.len());
        out.columns.clear();
        out.columns.resize(3 * ORDERS.len() * out.len, 0.0);
        let (ku, kv) = (self.knots_u(), self.knots_v());
        if self.weights().is_some() || ku.degree() >= LOW || kv.degree() >= LOW {
            for n in 0..out.len {
                self.single(n, u[n], v[n], out);
            }
            return;
        }
        // Less room, fewer places to compute.
        let pair = match ku.degree().max(kv.degree()) {
            ..=3 => Self::pair::<4>,
            4..=5 => Self::pair::<6>,
            _ => Self::pair::<LOW>,
        };
        if ku.span_count() == 1 && kv.span_count() == 1 {
            let spans = (ku.span(u.first().copied().unwrap_or_default()), kv.span(v.first().copied().unwrap_or_default()));
            for n in (0..out.len).step_by(2) {
                let m = (n + 1).min(out.len - 1);
                pair(self, spans, [n, m], f64x2::new([u[n], u[m]]), f64x2::new([v[n], v[m]]), out);
            }
            return;
        }
        // Points of one patch of spans share its control points: they are taken together, whatever their order.
        let mut order: Vec<(u32, u32, u32)> = (0..out.len).map(|n| (ku.span(u[n]) as u32, kv.span(v[n]) as u32, n as u32)).collect();
        order.sort_unstable();
        let mut rest = order.as_slice();
        while let [(in_u, in_v, n), after @ ..] = rest {
            let n = *n as usize;
            let mate = after.first().filter(|o| (o.0, o.1) == (*in_u, *in_v)).map(|o| o.2 as usize);
            let m = mate.unwrap_or(n);
            pair(self, (*in_u as usize, *in_v as usize), [n, m], f64x2::new([u[n], u[m]]), f64x2::new([v[n], v[m]]), out);
            rest = if mate.is_some() { &after[1..] } else { after };
        }
    }

    fn single(&self, n: usize, u: f64, v: f64, out: &mut Batch) {
        let d = self.derivs_from(u, v, 2, Side::Right, Side::Right);
        for (which, x) in [d.s.to_vec(), d.su, d.sv, d.suu, d.suv, d.svv].into_iter().enumerate() {
            out.put(n, which, x.to_array());
        }
    }

    /// Two points of the same spans.
    fn pair<const N: usize>(&self, spans: (usize, usize), n: [usize; 2], u: f64x2, v: f64x2, out: &mut Batch) {
        let (ku, kv) = (self.knots_u(), self.knots_v());
        let (mut bu, mut bv) = ([[f64x2::splat(0.0); 3]; N], [[f64x2::splat(0.0); 3]; N]);
        low(&mut bu, ku, spans.0, u, 2);
        low(&mut bv, kv, spans.1, v, 2);
        let (pu, pv, nv) = (ku.degree(), kv.degree(), kv.point_count());
        let first = (spans.0 - pu) * nv + spans.1 - pv;
        let mut sums = [[f64x2::splat(0.0); 3]; 6];
        for (r, in_u) in bu[..=pu].iter().enumerate() {
            let from = first + r * nv;
            let mut row = [[f64x2::splat(0.0); 3]; 3];
            for (p, in_v) in self.points()[from..=from + pv].iter().zip(&bv[..=pv]) {
                for l in 0..3 {
                    row[l][0] += in_v[l] * p.x;
                    row[l][1] += in_v[l] * p.y;
                    row[l][2] += in_v[l] * p.z;
                }
            }
            for (sum, (k, l)) in sums.iter_mut().zip(ORDERS) {
                (0..3).for_each(|x| sum[x] += row[l][x] * in_u[k]);
            }
        }
        for (which, sum) in sums.iter().enumerate() {
            for (axis, x) in sum.iter().enumerate() {
                let column = &mut out.columns[(3 * which + axis) * out.len..][..out.len];
                let [a, b] = x.to_array();
                column[n[1]] = b;
                column[n[0]] = a;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::any_knots::any_knots;
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn agrees_with_one_point_after_the_other(
            (ku, kv) in (any_knots(), any_knots()), weighted in any::<bool>(), shares in prop::collection::vec((-0.1f64..1.1, -0.1f64..1.1), 0..9),
        ) {
            let n = ku.point_count() * kv.point_count();
            let height = |i: usize| ((i * 37) % 11) as f64 - 3.0;
            let points = (0..n).map(|i| Point3::new((i / kv.point_count()) as f64, (i % kv.point_count()) as f64, height(i))).collect();
            let weights = weighted.then(|| (0..n).map(|i| 1.0 + 0.1 * height(i).abs()).collect());
            let s = Surface::new(ku.clone(), kv.clone(), points, weights).unwrap();
            let u: Vec<f64> = shares.iter().map(|p| ku.domain().at(p.0)).collect();
            let v: Vec<f64> = shares.iter().map(|p| kv.domain().at(p.1)).collect();
            let mut batch = Batch::default();
            s.derivs_batch(&u, &v, &mut batch);
            prop_assert_eq!(batch.len(), shares.len());
            for (i, (u, v)) in u.iter().zip(&v).enumerate() {
                let (got, want) = (batch.at(i), s.derivs(*u, *v, 2));
                let pairs = [(got.s.to_vec(), want.s.to_vec()), (got.su, want.su), (got.sv, want.sv), (got.suu, want.suu), (got.suv, want.suv), (got.svv, want.svv)];
                for (got, want) in pairs {
                    prop_assert!((got - want).length() <= 1e-9 * (1.0 + want.length()), "{got} against {want}");
                }
            }
        }
    }
}
