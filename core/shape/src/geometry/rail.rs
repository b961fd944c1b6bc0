//! Stretches of curves that a sweep runs along, by share of parameter or of length.

use super::Curve;
use crate::math::quadrature::gauss_8;
use crate::math::{Arrange, Interval, Point3, Vec3};

/// A curve from parameter `from` to `to` (finite, either order).
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The curve.
    pub curve: Curve,
    /// Parameter where it starts.
    pub from: f64,
    /// Parameter where it ends.
    pub to: f64,
}

/// Which points of two rails belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pairing {
    /// Those at equal shares of the parameter range.
    Parameter,
    /// Those at equal shares of the length.
    Length,
}

/// A stretch by its share 0 to 1.
#[derive(Debug, Clone)]
pub(super) struct Rail {
    stretch: Stretch,
    /// Share of the parameter range and length up to there, mm, rising; empty where shares are those of the parameter.
    lengths: Vec<(f64, f64)>,
}

/// A point of a rail.
#[derive(Debug, Clone, Copy)]
pub(super) struct RailPoint {
    pub(super) point: Point3,
    /// Derivative by the share of the parameter range, mm: its direction counts.
    pub(super) tangent: Vec3,
}

/// Parts of a stretch between two breaks whose length is integrated at one go. Smaller: the 8-point rule loses digits on
/// strongly uneven parameters; larger: slower.
const PARTS: usize = 16;

impl Rail {
    pub(super) fn new(stretch: Stretch, pairing: Pairing) -> Self {
        let mut rail = Self { stretch, lengths: Vec::new() };
        if pairing == Pairing::Length {
            let mut stops = vec![0.0];
            stops.extend(rail.breaks().iter().map(|b| b.0));
            stops.push(1.0);
            let mut lengths = vec![(0.0, 0.0)];
            let mut sum = 0.0;
            for w in stops.windows(2) {
                for i in 1..=PARTS {
                    let part = |i: usize| Interval::new(w[0], w[1]).at(i as f64 / PARTS as f64);
                    sum += rail.length(part(i - 1), part(i));
                    lengths.push((part(i), sum));
                }
            }
            rail.lengths = lengths;
        }
        rail
    }

    /// Length of the whole, mm; 0 where shares are those of the parameter.
    pub(super) fn whole(&self) -> f64 {
        self.lengths.last().map_or(0.0, |l| l.1)
    }

    /// Point at a share of the pairing's kind.
    pub(super) fn at(&self, share: f64) -> RailPoint {
        self.at_parameter(self.parameter_share(share))
    }

    /// Shares of the pairing's kind inside the stretch where smoothness may break, each with how many derivatives are
    /// known to be continuous there.
    pub(super) fn knots(&self) -> Vec<(f64, usize)> {
        self.breaks().into_iter().map(|(t, order)| (self.share_of(t), order)).collect()
    }

    /// Largest angle, radians, by which the direction jumps at an inner break, and the share there.
    pub(super) fn sharpest(&self) -> (f64, f64) {
        let mut worst = (0.0, 0.0);
        for (t, _) in self.breaks() {
            let beside = [t - BESIDE, t + BESIDE].map(|t| self.at_parameter(t.clamp(0.0, 1.0)).tangent);
            let angle = crate::math::real::angle_between(beside[0], beside[1]);
            if angle > worst.0 {
                worst = (angle, self.share_of(t));
            }
        }
        worst
    }

    fn at_parameter(&self, share: f64) -> RailPoint {
        let s = &self.stretch;
        let d = s.curve.derivs(Interval::new(s.from, s.to).at(share), 1);
        RailPoint { point: Point3::from_vec(d[0].into()), tangent: Vec3::from_array(d[1]) * (s.to - s.from) }
    }

    fn breaks(&self) -> Vec<(f64, usize)> {
        let s = &self.stretch;
        let order = |t: f64| match &s.curve {
            Curve::Nurbs(c) => c.knots().interior().iter().find(|k| k.0 == t).map_or(0, |k| c.knots().degree() - k.1),
            _ => 0,
        };
        let all = s.curve.breaks_between(s.from, s.to).into_iter();
        let mut all: Vec<(f64, usize)> = all.map(|t| ((t - s.from) / (s.to - s.from), order(t))).collect();
        all.arrange_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    fn length(&self, a: f64, b: f64) -> f64 {
        gauss_8(Interval::new(a, b), |t| self.at_parameter(t).tangent.length())
    }

    /// Share of the parameter range at a share of the pairing's kind.
    fn parameter_share(&self, share: f64) -> f64 {
        let Some(&(_, whole)) = self.lengths.last() else { return share };
        let target = share * whole;
        let after = self.lengths.partition_point(|l| l.1 <= target).clamp(1, self.lengths.len() - 1);
        let (Some(&(low, before)), Some(&(high, _))) = (self.lengths.get(after - 1), self.lengths.get(after)) else { return share };
        let mut t = low;
        // Newton on a rising function, held to its part: three or four steps reach rounding.
        for _ in 0..12 {
            let speed = self.at_parameter(t).tangent.length();
            let miss = target - before - self.length(low, t);
            if speed == 0.0 {
                break;
            }
            let next = (t + miss / speed).clamp(low, high);
            let still = (next - t).abs() <= 1e-16;
            t = next;
            if still {
                break;
            }
        }
        t
    }

    fn share_of(&self, parameter_share: f64) -> f64 {
        let Some(&(_, whole)) = self.lengths.last() else { return parameter_share };
        let before = self.lengths.iter().take_while(|l| l.0 <= parameter_share).last();
        before.map_or(0.0, |&(t, length)| (length + self.length(t, parameter_share)) / whole)
    }
}

/// Shares beside a break at which its two directions are taken. Larger: bends count as corners; smaller: rounding of the
/// share lands on the wrong side.
const BESIDE: f64 = 1e-9;
