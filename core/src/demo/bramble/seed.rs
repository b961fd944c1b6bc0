//! Breaks of known size put into a patch at one of its ends, with the closed form of what they do.
//!
//! With Q0, Q1, … the control rows counted from an end of a degree-p patch, the derivatives there are p (Q1 − Q0),
//! p (p−1) (Q2 − 2 Q1 + Q0) and p (p−1) (p−2) (Q3 − 3 Q2 + 3 Q1 − Q0) (NB eq. 3.9 ff.). Moving row k, and the rows
//! behind it so that the later differences stay, breaks exactly the k-th order.

use super::patch::Patch;
use crate::geometry::section;
use crate::math::{Point3, Vec3, real};

/// Which end of the patch (in v) a fault is put into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Start,
    Finish,
}

/// What a fault amounts to, and where it is largest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Truth {
    pub value: f64,
    pub place: Point3,
}

/// Radius beyond which a relative curvature jump counts as flat, 1/mm (measures of a join).
const FLAT: f64 = 1e-4;

/// An end of a patch as it was before the fault.
struct Rim<'a> {
    patch: &'a Patch,
    end: End,
    columns: &'a [usize],
    /// Direction in which control points move: the outward normal where the columns act most.
    push: Vec3,
}

/// The patch's end at one u: tangent along it, unit normal, and the derivative into the patch square to it.
struct Spot {
    point: Point3,
    normal: Vec3,
    into: Vec3,
    curvature: f64,
    slope: f64,
    /// Sum of the moved columns' Bernstein functions.
    weight: f64,
}

impl<'a> Rim<'a> {
    fn new(patch: &'a Patch, end: End, columns: &'a [usize]) -> Self {
        let mut rim = Rim { patch, end, columns, push: Vec3::ZERO };
        let middle = largest(|u| rim.weight(u)).0;
        // A right half's Su × Sv points inwards.
        rim.push = -rim.spot(middle).normal;
        rim
    }

    fn weight(&self, u: f64) -> f64 {
        let p = self.patch.degrees().0;
        self.columns.iter().map(|&i| bernstein(p, i, u)).sum()
    }

    fn spot(&self, u: f64) -> Spot {
        let v = if self.end == End::Start { 0.0 } else { 1.0 };
        let d = self.patch.derivs(u, v);
        let along = d.su.normalize();
        let normal = d.su.cross(d.sv).normalize();
        let sv = if self.end == End::Start { d.sv } else { -d.sv };
        let into = sv - along * along.dot(sv);
        let s = section(&d, normal, into.normalize());
        let (curvature, slope) = s.map_or((0.0, 0.0), |s| (s.curvature, s.slope));
        Spot { point: d.s, normal, into, curvature, slope, weight: self.weight(u) }
    }

    /// Row counted from this end.
    fn row(&self, k: usize) -> usize {
        if self.end == End::Start { k } else { self.patch.degrees().1 - k }
    }

    /// The patch with rows moved by the given multiples of `amount`, the first of them row `first`.
    fn moved(&self, first: usize, multiples: &[f64], amount: f64) -> Patch {
        let mut patch = self.patch.clone();
        for &i in self.columns {
            for (k, m) in multiples.iter().enumerate() {
                patch.shift(i, self.row(first + k), self.push * (amount * m));
            }
        }
        patch
    }

    fn finish(&self, first: usize, multiples: &[f64], target: f64, measure: impl Fn(&Spot, f64) -> f64) -> (Patch, Truth) {
        let worst = |amount: f64| largest(|u| measure(&self.spot(u), amount));
        let amount = solve(target, |a| worst(a).1);
        let (u, value) = worst(amount);
        (self.moved(first, multiples, amount), Truth { value, place: self.spot(u).point })
    }
}

/// A step of `target` mm at the patch's end: rows 0 to 3 move together, so tangent and curvature stay.
///
/// The gap is the move less its part along the end.
pub(super) fn step(patch: &Patch, end: End, columns: &[usize], target: f64) -> (Patch, Truth) {
    let rim = Rim::new(patch, end, columns);
    let push = rim.push;
    rim.finish(0, &[1.0; 4], target, |s, a| {
        let along = s.normal.cross(s.into).normalize();
        let move_by = push * (a * s.weight);
        (move_by - along * along.dot(move_by)).length()
    })
}

/// A tangent break of `target` degrees: row 1 moves, rows 2 and 3 follow so that second and third derivative stay.
///
/// The derivative into the patch changes by p · move; the angle is that between it before and after, square to the end.
pub(super) fn kink(patch: &Patch, end: End, columns: &[usize], target: f64) -> (Patch, Truth) {
    let rim = Rim::new(patch, end, columns);
    let (push, p) = (rim.push, patch.degrees().1 as f64);
    rim.finish(1, &[1.0, 2.0, 3.0], target, |s, a| {
        let along = s.normal.cross(s.into).normalize();
        let after = s.into + push * (p * a * s.weight);
        real::angle_between(s.into, after - along * along.dot(after)).to_degrees()
    })
}

/// A relative curvature break of `target` (1 = 100 %): row 2 moves, row 3 follows so that the third derivative stays.
///
/// The second derivative changes by p (p−1) · move, the normal curvature by its normal part over the squared
/// derivative into the patch.
pub(super) fn curvature(patch: &Patch, end: End, columns: &[usize], target: f64) -> (Patch, Truth) {
    let rim = Rim::new(patch, end, columns);
    let (push, p) = (rim.push, patch.degrees().1 as f64);
    rim.finish(2, &[1.0, 3.0], target, |s, a| {
        let jump = p * (p - 1.0) * a * s.weight * push.dot(s.normal) / s.into.length_squared();
        jump.abs() / s.curvature.abs().max((s.curvature + jump).abs()).max(FLAT)
    })
}

/// A relative break of the curvature slope of `target`: row 3 alone moves.
///
/// The third derivative changes by p (p−1) (p−2) · move.
pub(super) fn slope(patch: &Patch, end: End, columns: &[usize], target: f64) -> (Patch, Truth) {
    let rim = Rim::new(patch, end, columns);
    let (push, p) = (rim.push, patch.degrees().1 as f64);
    rim.finish(3, &[1.0], target, |s, a| {
        let length = s.into.length();
        let jump = p * (p - 1.0) * (p - 2.0) * a * s.weight * push.dot(s.normal) / (length * length * length);
        let least = (0.05 * s.curvature.abs()).max(FLAT) / 100.0;
        jump.abs() / s.slope.abs().max((s.slope + jump).abs()).max(least)
    })
}

/// Bernstein function i of degree p.
pub(super) fn bernstein(p: usize, i: usize, t: f64) -> f64 {
    let binomial = (0..i).map(|k| (p - k) as f64 / (k + 1) as f64).product::<f64>();
    let power = |x: f64, n: usize| (0..n).map(|_| x).product::<f64>();
    binomial * power(t, i) * power(1.0 - t, p - i)
}

/// The parameter in [0, 1] where `f` is largest, and the value: scanned, then refined by golden section.
pub(super) fn largest(f: impl Fn(f64) -> f64) -> (f64, f64) {
    const STEPS: usize = 200;
    let at = |k: usize| k as f64 / STEPS as f64;
    let values: Vec<f64> = (0..=STEPS).map(|k| f(at(k))).collect();
    let k = (0..=STEPS).fold(0, |best, k| if values[k] > values[best] { k } else { best });
    let (mut low, mut high) = (at(k.saturating_sub(1)), at((k + 1).min(STEPS)));
    const GOLDEN: f64 = 0.618_033_988_749_895;
    while high - low > 1e-7 {
        let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if f(a) > f(b) { high = b } else { low = a }
    }
    let u = 0.5 * (low + high);
    if f(u) >= values[k] { (u, f(u)) } else { (at(k), values[k]) }
}

/// The amount at which a measure that grows from 0 reaches `target`, by doubling and bisection.
pub(super) fn solve(target: f64, measure: impl Fn(f64) -> f64) -> f64 {
    let mut high = 0.01;
    while measure(high) < target && high < 1e3 {
        high *= 2.0;
    }
    let mut low = 0.0;
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if measure(middle) < target { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
