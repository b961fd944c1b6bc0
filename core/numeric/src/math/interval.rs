//! Closed intervals of a parameter.

/// A closed interval, `low` ≤ `high` by convention of its makers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end; may be −∞ for unbounded surfaces.
    pub low: f64,
    /// Upper end; may be +∞.
    pub high: f64,
}

impl Interval {
    /// All real numbers.
    pub const ALL: Interval = Interval { low: f64::NEG_INFINITY, high: f64::INFINITY };

    /// An interval between two ends.
    #[inline]
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// high − low.
    #[inline]
    pub fn length(self) -> f64 {
        self.high - self.low
    }

    /// True when both ends are finite.
    #[inline]
    pub fn is_bounded(self) -> bool {
        self.low.is_finite() && self.high.is_finite()
    }

    /// The nearest value inside.
    #[inline]
    pub fn clamp(self, x: f64) -> f64 {
        if x < self.low {
            self.low
        } else if x > self.high {
            self.high
        } else {
            x
        }
    }

    /// True when `x` lies inside or within `slack` of it.
    #[inline]
    pub fn contains(self, x: f64, slack: f64) -> bool {
        x >= self.low - slack && x <= self.high + slack
    }

    /// The value a share `t` of the way from low to high; exact at both ends.
    #[inline]
    pub fn at(self, t: f64) -> f64 {
        self.low * (1.0 - t) + self.high * t
    }

    /// The smallest interval holding this one and `x`.
    #[inline]
    pub fn including(self, x: f64) -> Self {
        Self { low: self.low.min(x), high: self.high.max(x) }
    }
}
