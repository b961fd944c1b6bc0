//! The closest point of a swept surface: where one parameter is given, the other follows in closed form.

use super::closest::{Foot, closest_on_surface};
use super::{Revolution, Surface};
use crate::math::{Arrange, Frame, Interval, Point2, Point3, Vec3, real};

/// How one parameter follows from the other.
#[derive(Debug, Clone, Copy)]
enum Rule {
    /// v from u: the foot along the direction.
    Along(Vec3),
    /// u from v: the angle of the point asked about.
    Round(Frame),
    /// v from u: the foot on the straight line from v = 0 to 1.
    Between,
}

/// A surface whose feet are searched in one parameter.
#[derive(Debug, Clone)]
pub(super) struct Sweep {
    rule: Rule,
    range: Interval,
    breaks: Vec<f64>,
}

/// Samples between two breaks. Smaller: two feet close together are not told apart; larger: slower.
const SAMPLES: usize = 24;

/// Most samples in all. Smaller: curves of many spans lose feet; larger: slower.
const MOST: usize = 4000;

/// How many minima of the samples are refined. Smaller: one of several nearly equal feet is lost.
const STARTS: usize = 8;

/// Samples of the second look, over two intervals of the first.
const FINER: usize = 12;

/// A value of the searched parameter, with the squared distance and the parameters it leads to.
type Sample = (f64, (f64, Point2));

/// Indices of samples no farther than their neighbours.
fn lowest(samples: &[Sample]) -> Vec<usize> {
    let higher = |i: Option<usize>, than: f64| i.and_then(|i| samples.get(i)).is_none_or(|s| s.1.0 >= than);
    let is = |&(i, s): &(usize, &Sample)| higher(i.checked_sub(1), s.1.0) && higher(i.checked_add(1), s.1.0);
    samples.iter().enumerate().filter(is).map(|(i, _)| i).collect()
}

impl Sweep {
    /// None for surfaces that are not swept. An offset of a swept surface is swept likewise.
    pub(super) fn of(surface: &Surface) -> Option<Self> {
        let (breaks_u, breaks_v) = surface.breaks();
        match surface {
            Surface::Extrusion(s) => Some(Self { rule: Rule::Along(s.direction), range: s.range, breaks: breaks_u }),
            Surface::Revolution(Revolution { frame, range, .. }) => {
                Some(Self { rule: Rule::Round(*frame), range: *range, breaks: breaks_v })
            }
            Surface::Ruled(_) => Some(Self { rule: Rule::Between, range: Interval::new(0.0, 1.0), breaks: breaks_u }),
            Surface::Offset(s) => Self::of(&s.basis).filter(|sweep| !matches!(sweep.rule, Rule::Between)),
            _ => None,
        }
    }

    /// The best foot among those from the lowest samples.
    pub(super) fn closest(&self, surface: &Surface, p: Point3) -> Foot {
        let range = self.reach(surface, p);
        let mut stops = vec![range.low];
        stops.extend(self.breaks.iter().copied().filter(|&t| t > range.low && t < range.high));
        stops.push(range.high);
        // An endless range has few breaks and far ends.
        let wanted = if self.range.is_bounded() { SAMPLES } else { 4 * SAMPLES };
        let count = wanted.min(MOST / (stops.len() - 1).max(1)).max(2);
        let look = |t: f64| (t, self.at(surface, p, t));
        let mut samples = Vec::new();
        for w in stops.windows(2) {
            let span = Interval::new(w[0], w[1]);
            samples.extend((0..count).map(|i| look(span.at(i as f64 / count as f64))));
        }
        samples.push(look(range.high));
        // A second look round each minimum: two of them may lie between neighbours.
        let mut minima = Vec::new();
        for i in lowest(&samples) {
            let t = |k: Option<usize>| k.and_then(|k| samples.get(k)).or(samples.get(i)).map_or(0.0, |s| s.0);
            let around = Interval::new(t(i.checked_sub(1)), t(i.checked_add(1).filter(|&i| i < samples.len())));
            let finer: Vec<Sample> = (0..=FINER).map(|k| look(around.at(k as f64 / FINER as f64))).collect();
            minima.extend(lowest(&finer).into_iter().filter_map(|k| finer.get(k)).map(|s| s.1));
            minima.extend(samples.get(i).map(|s| s.1));
        }
        deepest(surface, p, minima)
    }

    /// Squared distance and parameters of the nearest point with the searched parameter at `t`.
    fn at(&self, surface: &Surface, p: Point3, t: f64) -> (f64, Point2) {
        match self.rule {
            Rule::Along(d) => {
                let s = surface.point(t, 0.0);
                let v = (p - s).dot(d) / d.length_squared();
                ((s + d * v - p).length_squared(), Point2::new(t, v))
            }
            Rule::Round(frame) => {
                let (s, q) = (frame.local(surface.point(0.0, t)), frame.local(p));
                let (across, along) = (real::hypot(s.x, s.y) - real::hypot(q.x, q.y), s.z - q.z);
                let u = real::atan2(q.y, q.x) - real::atan2(s.y, s.x);
                (across * across + along * along, Point2::new(u, t))
            }
            Rule::Between => {
                let (a, b) = (surface.point(t, 0.0), surface.point(t, 1.0));
                let v = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
                let v = if v.is_finite() { v } else { 0.0 };
                ((a.lerp(b, v) - p).length_squared(), Point2::new(t, v))
            }
        }
    }

    /// The range, cut where an endless curve has gone so far that no foot can lie beyond.
    fn reach(&self, surface: &Surface, p: Point3) -> Interval {
        let start = Interval::new(self.range.low.max(-1.0), self.range.high.min(1.0));
        let middle = start.at(0.5);
        let here = self.at(surface, p, middle).0;
        let far = |sign: f64, end: f64| {
            if end.is_finite() {
                return end;
            }
            let mut step = 1.0;
            // Twice the distance, and then as far again: curves without end here are straight, or conics that open.
            while step < 1e12 {
                let there = self.at(surface, p, middle + sign * step).0;
                if !there.is_finite() {
                    return middle + 0.5 * sign * step;
                }
                if there > 4.0 * here + 1.0 {
                    return middle + sign * step;
                }
                step *= 2.0;
            }
            middle + sign * step
        };
        Interval::new(far(-1.0, self.range.low), far(1.0, self.range.high))
    }
}

/// The nearest of the feet that the lowest of the given starts (squared distance, parameters) lead to.
pub(super) fn deepest(surface: &Surface, p: Point3, mut starts: Vec<(f64, Point2)>) -> Foot {
    starts.arrange_by(|a, b| a.0.total_cmp(&b.0).then(a.1.u.total_cmp(&b.1.u)).then(a.1.v.total_cmp(&b.1.v)));
    let mut best: Option<Foot> = None;
    for (_, seed) in starts.into_iter().take(STARTS) {
        let foot = closest_on_surface(surface, p, seed);
        if best.is_none_or(|b| foot.distance < b.distance) {
            best = Some(foot);
        }
    }
    best.unwrap_or_else(|| closest_on_surface(surface, p, Point2::new(0.0, 0.0)))
}
