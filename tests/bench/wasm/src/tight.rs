//! The limit: Bernstein bases made for each point, two points side by side, the degree known while compiling, no knots but equal spans.

use crate::case::VALUES;
use crate::lanes::Lanes;

/// Positions, first and second derivatives of a patch of `spans` × `spans` equal spans over the unit square, one Bézier net of N × N points
/// each. An even number of points.
pub fn evaluate<const N: usize>(nets: &[f64], spans: usize, u: &[f64], v: &[f64], out: &mut [[f64; VALUES]]) {
    if spans == 1 { pairs::<N, true>(nets, spans, u, v, out) } else { pairs::<N, false>(nets, spans, u, v, out) }
}

fn pairs<const N: usize, const ONE: bool>(nets: &[f64], spans: usize, u: &[f64], v: &[f64], out: &mut [[f64; VALUES]]) {
    let scale = spans as f64;
    let locate = |t: f64| {
        let span = ((t * scale) as usize).min(spans - 1);
        (span, t * scale - span as f64)
    };
    for ((u, v), out) in u.chunks_exact(2).zip(v.chunks_exact(2)).zip(out.chunks_exact_mut(2)) {
        let [(i0, u0), (i1, u1), (j0, v0), (j1, v1)] =
            if ONE { [(0, u[0]), (0, u[1]), (0, v[0]), (0, v[1])] } else { [locate(u[0]), locate(u[1]), locate(v[0]), locate(v[1])] };
        let net = |i: usize, j: usize| &nets[(i * spans + j) * N * N * 3..][..N * N * 3];
        let (a, b) = (net(i0, j0), net(i1, j1));
        let bu = bases::<N>(Lanes([u0, u1]), scale);
        let bv = bases::<N>(Lanes([v0, v1]), scale);
        let values = contract::<N, ONE>(a, b, &bu, &bv);
        let (first, second) = out.split_at_mut(1);
        for (k, x) in values.iter().flatten().enumerate() {
            first[0][k] = x.0[0];
            second[0][k] = x.0[1];
        }
    }
}

/// S, Su, Sv, Suu, Suv, Svv at two points, from the net of each.
#[inline(always)]
fn contract<const N: usize, const ONE: bool>(a: &[f64], b: &[f64], bu: &[[Lanes; N]; 3], bv: &[[Lanes; N]; 3]) -> [[Lanes; 3]; 6] {
    let mut sum = [[Lanes::ZERO; 3]; 6];
    for i in 0..N {
        let mut row = [[Lanes::ZERO; 3]; 3];
        for j in 0..N {
            for x in 0..3 {
                let at = (i * N + j) * 3 + x;
                let p = if ONE { Lanes::both(a[at]) } else { Lanes([a[at], b[at]]) };
                for k in 0..3 {
                    row[k][x] += p * bv[k][j];
                }
            }
        }
        for x in 0..3 {
            sum[0][x] += row[0][x] * bu[0][i];
            sum[1][x] += row[0][x] * bu[1][i];
            sum[2][x] += row[1][x] * bu[0][i];
            sum[3][x] += row[0][x] * bu[2][i];
            sum[4][x] += row[1][x] * bu[1][i];
            sum[5][x] += row[2][x] * bu[0][i];
        }
    }
    sum
}

/// The N Bernstein polynomials and their first and second derivatives by a parameter that runs `1 / scale` a span.
#[inline(always)]
fn bases<const N: usize>(t: Lanes, scale: f64) -> [[Lanes; N]; 3] {
    let s = Lanes::both(1.0) - t;
    let degree = (N - 1) as f64;
    let mut b = [Lanes::ZERO; N];
    b[0] = Lanes::both(1.0);
    let raise = |b: &mut [Lanes; N], d: usize| {
        for k in (1..=d).rev() {
            b[k] = s * b[k] + t * b[k - 1];
        }
        b[0] = s * b[0];
    };
    for d in 1..N - 2 {
        raise(&mut b, d);
    }
    let before = |b: &[Lanes; N], k: usize, by: usize| if k >= by { b[k - by] } else { Lanes::ZERO };
    let twice = Lanes::both(degree * (degree - 1.0) * scale * scale);
    let second = std::array::from_fn(|k| twice * (before(&b, k, 2) - before(&b, k, 1) - before(&b, k, 1) + b[k]));
    raise(&mut b, N - 2);
    let once = Lanes::both(degree * scale);
    let first = std::array::from_fn(|k| once * (before(&b, k, 1) - b[k]));
    raise(&mut b, N - 1);
    [b, first, second]
}
