//! The limit: Bernstein bases made for each point, two points side by side, the degree known while compiling, no knots but equal spans.

use crate::case::VALUES;
use crate::lanes::Lanes;

/// Positions, first and second derivatives of a patch of `spans` × `spans` equal spans over the unit square, one Bézier net of N × N points
/// each. Points of one span come one after the other, so that both of a pair have one net.
pub fn evaluate<const N: usize>(nets: &[f64], spans: usize, u: &[f64], v: &[f64], out: &mut [[f64; VALUES]]) {
    let scale = spans as f64;
    let span = |t: f64| ((t * scale) as usize).min(spans - 1);
    let net = |k: usize| span(u[k]) * spans + span(v[k]);
    let (order, ends) = sorted(u.len(), spans * spans, net);
    let mut from = 0;
    for (net, &end) in ends.iter().enumerate() {
        let a = &nets[net * N * N * 3..][..N * N * 3];
        let (i, j) = ((net / spans) as f64, (net % spans) as f64);
        for pair in order[from..end].chunks(2) {
            // The last one of an odd number is evaluated twice.
            let (k, l) = (pair[0], pair[pair.len() - 1]);
            let bu = bases::<N>(Lanes([u[k] * scale - i, u[l] * scale - i]), scale);
            let bv = bases::<N>(Lanes([v[k] * scale - j, v[l] * scale - j]), scale);
            let values = contract::<N>(a, &bu, &bv);
            for (lane, to) in [k, l].into_iter().enumerate() {
                for (to, x) in out[to].iter_mut().zip(values.iter().flatten()) {
                    *to = x.0[lane];
                }
            }
        }
        from = end;
    }
}

/// Numbers below `count` in the order of their nets, and where each net's end.
fn sorted(count: usize, nets: usize, net: impl Fn(usize) -> usize) -> (Vec<usize>, Vec<usize>) {
    let mut ends = vec![0; nets];
    (0..count).for_each(|k| ends[net(k)] += 1);
    let mut sum = 0;
    for end in &mut ends {
        sum += *end;
        *end = sum - *end;
    }
    let mut order = vec![0; count];
    for k in 0..count {
        let at = &mut ends[net(k)];
        order[*at] = k;
        *at += 1;
    }
    (order, ends)
}

/// S, Su, Sv, Suu, Suv, Svv at two points of one net.
#[inline(always)]
fn contract<const N: usize>(a: &[f64], bu: &[[Lanes; N]; 3], bv: &[[Lanes; N]; 3]) -> [[Lanes; 3]; 6] {
    let mut sum = [[Lanes::ZERO; 3]; 6];
    for i in 0..N {
        let mut row = [[Lanes::ZERO; 3]; 3];
        for j in 0..N {
            for x in 0..3 {
                let p = Lanes::both(a[(i * N + j) * 3 + x]);
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
