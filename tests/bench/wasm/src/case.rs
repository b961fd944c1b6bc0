//! A patch and points on it.

use crate::tight;
use rakelight_core::math::Point3;
use rakelight_core::nurbs::{Batch, Direction, KnotVector, Surface};

/// Numbers a point: position, two first and three second derivatives.
pub const VALUES: usize = 18;

/// A patch of degree 3 or 5 both ways with equal spans, and scattered points.
#[derive(Debug)]
pub struct Case {
    degree: usize,
    spans: usize,
    surface: Surface,
    /// Of its Bézier pieces, u-major, each u-major, x y z.
    nets: Vec<f64>,
    uv: [Vec<f64>; 2],
    out: Vec<[f64; VALUES]>,
    batch: Batch,
}

impl Case {
    /// A wavy patch of degree 3 or 5 with `spans` × `spans` spans, and `points` over it.
    ///
    /// # Panics
    /// No such patch can be made.
    pub fn new(degree: usize, spans: usize, points: usize) -> Self {
        let knots = KnotVector::uniform(degree, spans).expect("knots");
        let n = knots.point_count();
        let height = |i: usize, j: usize| 20.0 * (0.7 * i as f64).sin() + 15.0 * (0.9 * j as f64 + 0.2 * i as f64).cos();
        let place = |k: usize| Point3::new(40.0 * (k / n) as f64, 30.0 * (k % n) as f64, height(k / n, k % n));
        let surface = Surface::new(knots.clone(), knots, (0..n * n).map(place).collect(), None).expect("a patch");
        let uv = [0.618_033_988_749_894_9, 0.754_877_666_246_692_8].map(|step| (1..=points).map(|k| (k as f64 * step).fract()).collect());
        Self { degree, spans, nets: nets(&surface, spans), surface, uv, out: vec![[0.0; VALUES]; points], batch: Batch::default() }
    }

    /// Evaluates all points by the core.
    pub fn ours(&mut self) {
        let [u, v] = &self.uv;
        self.surface.derivs_batch(u, v, &mut self.batch);
    }

    /// Evaluates all points by the loop that is the limit.
    ///
    /// # Panics
    /// The degree is neither 3 nor 5.
    pub fn tight(&mut self) {
        let [u, v] = &self.uv;
        match self.degree {
            3 => tight::evaluate::<4>(&self.nets, self.spans, u, v, &mut self.out),
            5 => tight::evaluate::<6>(&self.nets, self.spans, u, v, &mut self.out),
            other => panic!("no loop of degree {other}"),
        }
    }

    /// What the core has made.
    pub fn own_values(&self) -> Vec<[f64; VALUES]> {
        let column = |k: usize| self.batch.column(k / 3, k % 3);
        (0..self.batch.len()).map(|n| core::array::from_fn(|k| column(k)[n])).collect()
    }

    /// What the loop that is the limit has made.
    pub fn values(&self) -> &[[f64; VALUES]] {
        &self.out
    }
}

fn nets(surface: &Surface, spans: usize) -> Vec<f64> {
    let (u, v) = surface.domain();
    let part = |k: usize| (k as f64 / spans as f64, (k + 1) as f64 / spans as f64);
    let mut all = Vec::new();
    for i in 0..spans {
        let (a, b) = part(i);
        let strip = surface.between(Direction::U, u.at(a), u.at(b)).expect("a part");
        for j in 0..spans {
            let (c, d) = part(j);
            let piece = strip.between(Direction::V, v.at(c), v.at(d)).expect("a part");
            all.extend(piece.points().iter().flat_map(|p| p.to_array()));
        }
    }
    all
}
