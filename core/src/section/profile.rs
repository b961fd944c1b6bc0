//! What a section's curvature does along it: turning, crown, extrema, inflections.

use super::trace::{SectionLine, SectionPoint};
use crate::math::{Point3, Vec3, real};

/// Share of the largest curvature by which an extremum must stand out from its neighbours. Larger: shallow ones are left out;
/// smaller: rounding and the steps of the trace show.
const PROMINENCE: f64 = 0.02;

/// Curvature below which a section counts as straight, 1/mm: a radius of 1,000 km.
const STRAIGHT: f64 = 1e-9;

/// A local extremum of the curvature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremum {
    /// Arc length from the start, mm.
    pub along: f64,
    /// Where.
    pub point: Point3,
    /// Curvature, 1/mm, positive where convex.
    pub curvature: f64,
    /// True for a maximum.
    pub is_max: bool,
}

/// A flat spot: the curvature falls and rises again without changing its sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dip {
    /// Its flattest place.
    pub at: Extremum,
    /// The lesser of the largest curvatures before and behind it, 1/mm, as an absolute value.
    pub flank: f64,
    /// Arc length at which the curvature begins to fall, mm.
    pub from: f64,
    /// Arc length to which it rises again, mm.
    pub to: f64,
}

impl Dip {
    /// What is left of the curvature at the flattest place, as a share of the flank.
    pub fn share(&self) -> f64 {
        self.at.curvature.abs() / self.flank
    }
}

/// A section between two of its points, read along the arc.
#[derive(Debug, Clone, Copy)]
pub struct Profile<'a> {
    points: &'a [SectionPoint],
    /// Normal of the cutting plane, against which turning is counted.
    normal: Vec3,
}

impl<'a> Profile<'a> {
    /// Of a whole section; None for fewer than two points, or when they do not lie in the plane of this normal.
    pub fn new(line: &'a SectionLine, normal: Vec3) -> Option<Self> {
        Self::of(&line.points, normal)
    }

    /// Of some neighbouring points of a section.
    pub fn of(points: &'a [SectionPoint], normal: Vec3) -> Option<Self> {
        (points.len() > 1).then_some(Self { points, normal: normal.try_normalize()? })
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.end() - self.start()
    }

    fn start(&self) -> f64 {
        self.points.first().map_or(0.0, |p| p.along)
    }

    fn end(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.along)
    }

    /// Turn of the tangent from a point to the next, radians, positive where convex.
    fn turn(&self, a: &SectionPoint, b: &SectionPoint) -> f64 {
        real::atan2(a.tangent.cross(b.tangent).dot(self.normal), a.tangent.dot(b.tangent))
    }

    /// ∫κ ds from the start up to an arc length, radians: the turn of the tangent, exact at the points; between two of them κ is
    /// taken to run straight. Breaks at joins count.
    pub fn turning_to(&self, along: f64) -> f64 {
        let mut sum = 0.0;
        for w in self.points.windows(2) {
            let (a, b) = (&w[0], &w[1]);
            let whole = self.turn(a, b);
            if b.along <= along {
                sum += whole;
                continue;
            }
            if a.along < along {
                let x = (along - a.along) / (b.along - a.along);
                let (ka, kb) = (a.curvature, b.curvature);
                let part = ka * x + 0.5 * (kb - ka) * x * x;
                let all = 0.5 * (ka + kb);
                sum += if (all * whole) > 0.0 { whole * part / all } else { whole * x };
            }
            break;
        }
        sum
    }

    /// Turning of the front, middle and rear third of the length, radians.
    pub fn thirds(&self) -> [f64; 3] {
        let at = |i: f64| self.turning_to(self.start() + self.length() * i / 3.0);
        let (one, two, three) = (at(1.0), at(2.0), at(3.0));
        [one, two - one, three - two]
    }

    /// The same as shares of the whole turning; None of a section that turns to and fro, so that there is next to no whole.
    pub fn shares(&self) -> Option<[f64; 3]> {
        let thirds = self.thirds();
        let (whole, parts) = (thirds.iter().sum::<f64>(), thirds.iter().map(|x| x.abs()).sum::<f64>());
        (whole.abs() > 1e-3 * parts).then(|| thirds.map(|x| x / whole))
    }

    /// Largest height over the chord between the ends, mm, and where: positive on the outward side.
    pub fn crown(&self) -> Option<(f64, Point3)> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        let chord = (last.point - first.point).try_normalize()?;
        let up = chord.cross(self.normal);
        let height = |p: &SectionPoint| (p.point - first.point).dot(up);
        let mut best = (0.0_f64, first.point);
        let mut take = |h: f64, p: Point3| {
            if h.abs() > best.0.abs() {
                best = (h, p);
            }
        };
        for w in self.points.windows(2) {
            let (a, b) = (&w[0], &w[1]);
            take(height(b), b.point);
            // Where the tangent passes the chord's direction: between the points the slope is taken to run straight.
            let (sa, sb) = (a.tangent.dot(up), b.tangent.dot(up));
            if sa * sb < 0.0 {
                let x = sa / (sa - sb);
                take(height(a) + 0.5 * sa * x * (b.along - a.along), a.point.lerp(b.point, x));
            }
        }
        Some(best)
    }

    /// Places where the curvature changes its sign, by linear interpolation, and jumps over zero at joins.
    pub fn inflections(&self) -> Vec<(f64, Point3)> {
        let mut all = Vec::new();
        let mut before: Option<&SectionPoint> = None;
        for p in self.points.iter().filter(|p| p.curvature.abs() > STRAIGHT) {
            if let Some(a) = before
                && a.curvature * p.curvature < 0.0
            {
                let x = a.curvature / (a.curvature - p.curvature);
                all.push((a.along + (p.along - a.along) * x, a.point.lerp(p.point, x)));
            }
            before = Some(p);
        }
        all
    }

    /// Local extrema of the curvature between the ends that stand out, in order; maxima and minima follow each other.
    pub fn extrema(&self) -> Vec<Extremum> {
        let least = PROMINENCE * self.points.iter().map(|p| p.curvature.abs()).fold(0.0, f64::max);
        let Some(first) = self.points.first() else { return Vec::new() };
        let mut all: Vec<Extremum> = Vec::new();
        let (mut high, mut low, mut rising) = (first, first, None);
        let end = |p: &SectionPoint| core::ptr::eq(p, first);
        let found = |p: &SectionPoint, is_max| Extremum { along: p.along, point: p.point, curvature: p.curvature, is_max };
        for p in self.points {
            high = if p.curvature > high.curvature { p } else { high };
            low = if p.curvature < low.curvature { p } else { low };
            if rising != Some(false) && high.curvature - p.curvature > least {
                if !end(high) {
                    all.push(found(high, true));
                }
                (rising, low) = (Some(false), p);
            } else if rising != Some(true) && p.curvature - low.curvature > least {
                if !end(low) {
                    all.push(found(low, false));
                }
                (rising, high) = (Some(true), p);
            }
        }
        all
    }

    /// Curvature at both ends over that in the middle of the length; None where the middle is straight.
    pub fn ends_over_middle(&self) -> Option<[f64; 2]> {
        let half = self.start() + 0.5 * self.length();
        let w = self.points.windows(2).find(|w| w[1].along >= half)?;
        let x = ((half - w[0].along) / (w[1].along - w[0].along)).clamp(0.0, 1.0);
        let middle = w[0].curvature + (w[1].curvature - w[0].curvature) * if x.is_finite() { x } else { 0.5 };
        let over = |p: &SectionPoint| p.curvature / middle;
        (middle.abs() > STRAIGHT).then_some([over(self.points.first()?), over(self.points.last()?)])
    }

    /// Flat spots: minima of |κ| without change of sign, below `share` of the maxima on both sides (the ends count as such).
    pub fn dips(&self, share: f64) -> Vec<Dip> {
        let extrema = self.extrema();
        let mut all = Vec::new();
        for (i, e) in extrema.iter().enumerate() {
            let sign = e.curvature.signum();
            // On a convex stretch a minimum, on a hollow one a maximum.
            if e.is_max == (sign > 0.0) {
                continue;
            }
            let from = i.checked_sub(1).and_then(|i| extrema.get(i)).map_or(self.start(), |x| x.along);
            let to = extrema.get(i + 1).map_or(self.end(), |x| x.along);
            let most = |low: f64, high: f64| {
                let part = self.points.iter().filter(|p| p.along >= low && p.along <= high);
                part.map(|p| p.curvature * sign).fold(f64::NEG_INFINITY, f64::max)
            };
            let flank = most(from, e.along).min(most(e.along, to));
            if e.curvature.abs() < share * flank {
                all.push(Dip { at: *e, flank, from, to });
            }
        }
        all
    }

    /// Runs over which the curvature only rises or only falls, from end to end: where each begins and ends, and true for rising.
    pub fn runs(&self) -> Vec<(f64, f64, bool)> {
        let extrema = self.extrema();
        let stops = [self.start()].into_iter().chain(extrema.iter().map(|e| e.along)).chain([self.end()]).collect::<Vec<f64>>();
        let rises = |i: usize| match (extrema.get(i), i.checked_sub(1).and_then(|i| extrema.get(i))) {
            (Some(end), _) => end.is_max,
            (None, Some(start)) => !start.is_max,
            (None, None) => self.points.first().zip(self.points.last()).is_some_and(|(a, b)| b.curvature > a.curvature),
        };
        stops.windows(2).enumerate().map(|(i, w)| (w[0], w[1], rises(i))).collect()
    }
}
