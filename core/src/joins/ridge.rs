//! What the signed angle along a feature line does: where it flips, where it fades out, where the line itself inflects.

use super::feature::{FeatureLine, Stop};
use crate::math::{Point3, Vec3, real};

/// Angle up to which a line counts as gone, degrees: the strictest limit of tangency. Common practice, no source.
const GONE: f64 = 0.02;

/// Length over which an angle that passes through zero may stay below [`GONE`] and still pass steeply, mm. Larger: a line that
/// fades out before another of the other sign begins is called a flip; smaller: a slow flip is called a fade-out. Common
/// practice, no source.
const STAYS: f64 = 5.0;

/// Turn on both sides of an inflection below which it is not seen, degrees. Larger: real waves of a line are left out; smaller:
/// rounding of stations shows. Common practice, no source.
const LEAST_TURN: f64 = 0.5;

/// A stretch where a line has the sign that the rest of it does not have.
#[derive(Debug, Clone, PartialEq)]
pub struct Flip {
    /// The places where the angle passes through zero: one, or one at each end of the stretch.
    pub zeros: Vec<Stop>,
    /// The largest angle of the stretch, degrees, with its sign.
    pub peak: Stop,
    /// The stretch.
    pub line: Vec<Point3>,
    /// Its length, mm.
    pub length: f64,
}

/// A place where the angle of a line runs to zero and stays there, or the line ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fade {
    /// Where the angle has come to zero.
    pub at: Stop,
    /// Length over which it falls there from half of the largest angle of its stretch, mm.
    pub length: f64,
}

/// A run of one sign: indices into the stops, and −1, 0 or 1.
#[derive(Debug, Clone, Copy)]
struct Run {
    from: usize,
    to: usize,
    sign: i8,
}

impl FeatureLine {
    /// Stretches against the line's prevailing sign (that of the angle summed over the length) which the line enters or leaves
    /// steeply. Zeros are placed by linear interpolation between stations.
    pub fn flips(&self) -> Vec<Flip> {
        let runs = self.runs();
        let weight: f64 = self.stops.windows(2).map(|w| 0.5 * (w[0].angle + w[1].angle) * (w[1].along - w[0].along)).sum();
        let main = if weight < 0.0 { -1 } else { 1 };
        let mut all = Vec::new();
        for (n, run) in runs.iter().enumerate().filter(|(_, r)| r.sign == -main) {
            let passes = [self.zero(&runs, n, false), self.zero(&runs, n, true)];
            let zeros: Vec<Stop> = passes.into_iter().flatten().collect();
            let Some(part) = self.stops.get(run.from..=run.to).filter(|_| !zeros.is_empty()) else { continue };
            let Some(peak) = part.iter().max_by(|a, b| a.angle.abs().total_cmp(&b.angle.abs())).copied() else { continue };
            let (start, end) = (zeros.first().filter(|z| z.along <= peak.along), zeros.last().filter(|z| z.along >= peak.along));
            let points = start.into_iter().chain(part).chain(end);
            let line: Vec<Point3> = points.map(|s| s.point).collect();
            let length = line.windows(2).map(|w| w[0].distance(w[1])).sum();
            all.push(Flip { zeros, peak, line, length });
        }
        all
    }

    /// Places where the angle comes to zero and stays, or the line ends with it: within `reach` (mm) of its end at the rate at
    /// which it falls there.
    pub fn fades(&self, reach: f64) -> Vec<Fade> {
        let runs = self.runs();
        let mut all = Vec::new();
        for (n, run) in runs.iter().enumerate().filter(|(_, r)| r.sign != 0) {
            for forward in [false, true] {
                let at = self.stops.get(if forward { run.to } else { run.from }).copied();
                let gone = match self.beyond(&runs, n, forward) {
                    Some(next) => next.sign == 0 && self.run_length(next) > STAYS || self.ends(&runs, n, forward),
                    None => !self.closed && self.falls_to_zero(run, forward, reach),
                };
                let (true, Some(at)) = (gone, at) else { continue };
                let part = self.stops.get(run.from..=run.to).unwrap_or_default();
                let half = 0.5 * part.iter().map(|s| s.angle.abs()).fold(0.0, f64::max);
                let high = |s: &&Stop| s.angle.abs() >= half;
                let from = if forward { part.iter().rev().find(high) } else { part.iter().find(high) };
                all.push(Fade { at, length: from.map_or(0.0, |s| (s.along - at.along).abs()) });
            }
        }
        all
    }

    /// Places where the line inflects seen along `view`: its turning in the plane of the picture changes sign, with a visible turn
    /// before and after.
    pub fn inflections(&self, view: Vec3) -> Vec<Point3> {
        let Some(view) = view.try_normalize() else { return Vec::new() };
        let flat: Vec<Vec3> = self.stops.iter().map(|s| s.point.to_vec() - view * s.point.to_vec().dot(view)).collect();
        let legs: Vec<(usize, Vec3)> = flat.windows(2).enumerate().filter_map(|(i, w)| Some((i, (w[1] - w[0]).try_normalize()?))).collect();
        // The heading summed up from leg to leg: where it turns back, the line inflects.
        let mut heading = vec![(0usize, 0.0)];
        for w in legs.windows(2) {
            let ((_, a), (i, b)) = (w[0], w[1]);
            let before = heading.last().map_or(0.0, |h| h.1);
            heading.push((i, before + real::atan2(a.cross(b).dot(view), a.dot(b))));
        }
        turns_back(&heading, LEAST_TURN.to_radians()).into_iter().filter_map(|i| self.stops.get(i)).map(|s| s.point).collect()
    }

    /// Maximal runs of one sign.
    fn runs(&self) -> Vec<Run> {
        let sign = |s: &Stop| if s.angle.abs() <= GONE { 0 } else { s.angle.signum() as i8 };
        let mut all: Vec<Run> = Vec::new();
        for (i, s) in self.stops.iter().enumerate() {
            match all.last_mut().filter(|r| r.sign == sign(s)) {
                Some(run) => run.to = i,
                None => all.push(Run { from: i, to: i, sign: sign(s) }),
            }
        }
        all
    }

    fn beyond<'r>(&self, runs: &'r [Run], n: usize, forward: bool) -> Option<&'r Run> {
        if forward { runs.get(n + 1) } else { n.checked_sub(1).and_then(|n| runs.get(n)) }
    }

    /// True where after run `n` only a run of zeros is left, up to the line's end.
    fn ends(&self, runs: &[Run], n: usize, forward: bool) -> bool {
        let left = if forward { runs.len().saturating_sub(n + 1) } else { n };
        !self.closed && left == 1 && self.beyond(runs, n, forward).is_some_and(|r| r.sign == 0)
    }

    fn run_length(&self, run: &Run) -> f64 {
        let along = |i: usize| self.stops.get(i).map_or(0.0, |s| s.along);
        along(run.to) - along(run.from)
    }

    /// The zero at an end of run `n`, where the angle goes on steeply to the other sign.
    fn zero(&self, runs: &[Run], n: usize, forward: bool) -> Option<Stop> {
        let run = runs.get(n)?;
        let mut next = self.beyond(runs, n, forward)?;
        if next.sign == 0 {
            if self.run_length(next) > STAYS {
                return None;
            }
            next = self.beyond(runs, if forward { n + 1 } else { n.checked_sub(1)? }, forward)?;
        }
        if next.sign != -run.sign {
            return None;
        }
        let (low, high) = if forward { (run.to, next.from) } else { (next.to, run.from) };
        let between = self.stops.get(low..=high)?;
        let w = between.windows(2).find(|w| w[0].angle * w[1].angle <= 0.0)?;
        let share = w[0].angle / (w[0].angle - w[1].angle);
        let share = if share.is_finite() { share } else { 0.5 };
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Some(Stop { along: mix(w[0].along, w[1].along), point: w[0].point.lerp(w[1].point, share), angle: 0.0 })
    }

    fn falls_to_zero(&self, run: &Run, forward: bool, reach: f64) -> bool {
        let pair = if forward {
            (self.stops.get(run.to), run.to.checked_sub(1).and_then(|i| self.stops.get(i)))
        } else {
            (self.stops.get(run.from), self.stops.get(run.from + 1))
        };
        let (Some(end), Some(before)) = pair else { return false };
        let (drop, step) = (before.angle.abs() - end.angle.abs(), (before.along - end.along).abs());
        drop > 0.0 && end.angle.abs() * step <= reach * drop
    }
}

/// Places of the extrema of a sequence that rises and falls by at least `least` on both sides.
fn turns_back(values: &[(usize, f64)], least: f64) -> Vec<usize> {
    let mut all = Vec::new();
    let Some(&first) = values.first() else { return all };
    // The highest and the lowest since the last extremum, and which of the two comes next where that is known.
    let (mut high, mut low, mut rising) = (first, first, None);
    for &v in values {
        high = if v.1 > high.1 { v } else { high };
        low = if v.1 < low.1 { v } else { low };
        if rising != Some(false) && high.1 - v.1 >= least {
            if rising.is_some() {
                all.push(high.0);
            }
            (rising, low) = (Some(false), v);
        } else if rising != Some(true) && v.1 - low.1 >= least {
            if rising.is_some() {
                all.push(low.0);
            }
            (rising, high) = (Some(true), v);
        }
    }
    all
}
