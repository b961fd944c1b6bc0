//! A trimmed region prepared for many questions whether a point lies in it.

use super::domain::{Domain, DomainLoop, encloses};
use crate::math::{Interval, Point2};

/// The polygons of a domain's loops with their bounds: what [`Domain::contains`] asks, made once.
#[derive(Debug, Clone)]
pub struct Region {
    polygons: Vec<Vec<Point2>>,
    bounds: (Interval, Interval),
    periods: (Option<f64>, Option<f64>),
}

impl Region {
    /// The region of a domain.
    pub fn new(domain: &Domain) -> Self {
        Self { polygons: domain.loops.iter().map(DomainLoop::polygon).collect(), bounds: domain.bounds(), periods: domain.periods }
    }

    /// Smallest box in (u, v) around it.
    pub fn bounds(&self) -> (Interval, Interval) {
        self.bounds
    }

    /// True when the parameter point, or its image whole periods away, lies in the region. Decided on the polylines
    /// of the trims' nodes: within their sag of the boundary (5e-4 of a trim's length) either answer may come.
    pub fn contains(&self, uv: Point2) -> bool {
        let (bu, bv) = self.bounds;
        images(self.periods.0, bu, uv.u).any(|u| {
            images(self.periods.1, bv, uv.v).any(|v| {
                let inside = self.polygons.iter().filter(|p| encloses(p, Point2::new(u, v))).count();
                inside % 2 == 1
            })
        })
    }
}

/// `x` moved by whole periods to every place within `over`; without a period, `x` itself.
fn images(period: Option<f64>, over: Interval, x: f64) -> impl Iterator<Item = f64> {
    let (first, last) = period.map_or((0, 0), |p| (((over.low - x) / p).floor() as i64, ((over.high - x) / p).ceil() as i64));
    (first..=last).take(8).map(move |k| x + period.map_or(0.0, |p| k as f64 * p))
}
