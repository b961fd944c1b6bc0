//! How the spacing of stripes changes along the flow.

use super::walk::Stop;
use crate::math::Point3;

/// What the spacing does from end to end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// It stays.
    Even,
    /// It grows.
    Opening,
    /// It shrinks.
    Closing,
    /// It is narrower in between than at either end.
    Pinched,
}

/// Spacing along one stripe edge, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// At the start.
    pub start: f64,
    /// At the end.
    pub end: f64,
    /// Wider end over narrower end, ≥ 1.
    pub ratio: f64,
    /// The narrowest spacing, where, and how far from the start.
    pub narrowest: (f64, Point3, f64),
    /// What it does.
    pub course: Course,
}

/// Change of spacing up to which stripes count as even. Larger: tapers that a reviewer sees go unnamed; smaller: every
/// stripe on a crowned panel has a name. Common practice, no source; the limit of the yardstick is its own.
const EVEN: f64 = 1.1;

/// The spread along a walk; None for fewer than two stops. Spacing is 1/|∇f| times the lamp spacing: the distance to the
/// next stripe to first order.
pub fn spread(stops: &[Stop]) -> Option<Spread> {
    let [first, .., last] = stops else { return None };
    let (start, end) = (first.spacing, last.spacing);
    let least = stops.iter().min_by(|a, b| a.spacing.total_cmp(&b.spacing))?;
    let ratio = start.max(end) / start.min(end);
    let course = if least.spacing * EVEN < start.min(end) {
        Course::Pinched
    } else if ratio < EVEN {
        Course::Even
    } else if end > start {
        Course::Opening
    } else {
        Course::Closing
    };
    Some(Spread { start, end, ratio, narrowest: (least.spacing, least.point, least.along), course })
}
