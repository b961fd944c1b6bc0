//! The dome that all pieces are cut from, and polynomials of x and y as patches.

use crate::demo::bramble::patch::built;
use crate::math::Point3;
use crate::nurbs::{KnotVector, Surface};

/// Half of its length along x, mm.
pub(super) const HALF_LENGTH: f64 = 90.0;
/// Half of its width along y, mm.
pub(super) const HALF_WIDTH: f64 = 60.0;
/// h″ at x = 0, 1/mm: a radius of 200 mm.
pub(super) const BEND: f64 = -1.0 / 200.0;
/// h‴, 1/mm²: the dome is rounder at its low x.
pub(super) const EASE: f64 = 1.5e-5;
/// g″, 1/mm: a radius of 120 mm. Flatter, and stripes run along the join in place of crossing it.
pub(super) const CROWN: f64 = -1.0 / 120.0;
/// Degree along y.
const ACROSS: usize = 3;

/// h by its Taylor polynomial about x = 0: value, slope, and so on, not yet divided by factorials.
pub(super) type Taylor = [f64; 5];

/// The dome's own h.
pub(super) const PLAIN: Taylor = [0.0, 0.0, BEND, EASE, 0.0];

/// One Bézier patch of z = h(x) + g(y) over `from` to `to` in x and the whole width, of degree `degree` along x.
pub(super) fn patch(h: Taylor, (from, to): (f64, f64), degree: usize) -> Surface {
    let g: Taylor = [0.0, 0.0, CROWN, 0.0, 0.0];
    let mut points = Vec::new();
    for i in 0..=degree {
        for j in 0..=ACROSS {
            let x = point(&[0.0, 1.0, 0.0, 0.0, 0.0], (from, to), degree, i);
            let y = point(&[0.0, 1.0, 0.0, 0.0, 0.0], (-HALF_WIDTH, HALF_WIDTH), ACROSS, j);
            let z = point(&h, (from, to), degree, i) + point(&g, (-HALF_WIDTH, HALF_WIDTH), ACROSS, j);
            points.push(Point3::new(x, y, z));
        }
    }
    built(Surface::new(built(KnotVector::bezier(degree)), built(KnotVector::bezier(ACROSS)), points, None))
}

/// Bézier point i of degree p of a polynomial over [a, b]: its blossom at i times b and p − i times a (NB §5.8). That of
/// xᵏ is the mean of all products of k of the p arguments.
fn point(taylor: &Taylor, (a, b): (f64, f64), p: usize, i: usize) -> f64 {
    let mut sum = 0.0;
    let mut factorial = 1.0;
    for (k, c) in taylor.iter().enumerate() {
        factorial *= k.max(1) as f64;
        if *c != 0.0 {
            let products: f64 = (0..=k).map(|m| choose(i, m) * choose(p - i, k - m) * power(b, m) * power(a, k - m)).sum();
            sum += c / factorial * products / choose(p, k);
        }
    }
    sum
}

fn choose(n: usize, k: usize) -> f64 {
    if k > n { 0.0 } else { (0..k).map(|m| (n - m) as f64 / (m + 1) as f64).product() }
}

fn power(x: f64, n: usize) -> f64 {
    (0..n).map(|_| x).product()
}
