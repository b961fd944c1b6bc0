//! A spline through a curve that no type of ours is: quintic pieces that share position, tangent and curvature with it.

use super::reader::Reader;
use crate::exchange::report::Fault;
use crate::geometry::{Curve, Pcurve, Surface};
use crate::math::{Interval, Point3, Vec3, quadrature};
use crate::model::Source;
use crate::nurbs::{self, KnotVector};

/// Position and two derivatives.
pub(super) type Jet = [Vec3; 3];

/// Most halvings of a span. More: a curve with a kink takes thousands of spans; fewer: long winding ones are met coarsely.
const DEPTH: u32 = 10;

impl Reader<'_, '_> {
    /// The spline over `breaks` (rising, at least two) that follows `eval` within `tolerance` at its middle places, as
    /// far as the depth allows. Twice continuously differentiable inside spans and where `eval` is at breaks.
    pub(super) fn fitted(&mut self, at: Source, breaks: &[f64], tolerance: f64, eval: &dyn Fn(f64) -> Jet) -> Result<Option<Curve>, Fault> {
        let mut spans = Vec::new();
        for pair in breaks.windows(2) {
            if let &[a, b] = pair {
                halved(eval, Interval::new(a, b), tolerance, DEPTH, &mut spans);
            }
        }
        self.budget.points(3 * spans.len() + 3, at)?;
        Ok(spline(eval, &spans))
    }
}

/// Parts of `over` short enough that one quintic follows them.
fn halved(eval: &dyn Fn(f64) -> Jet, over: Interval, tolerance: f64, depth: u32, spans: &mut Vec<Interval>) {
    let points = quintic(eval(over.low), eval(over.high), over.length());
    let near = [0.3, 0.5, 0.7].iter().all(|&s| bezier(&points, s).distance(eval(over.at(s))[0]) <= tolerance);
    if near || depth == 0 {
        spans.push(over);
        return;
    }
    let middle = over.at(0.5);
    halved(eval, Interval::new(over.low, middle), tolerance, depth - 1, spans);
    halved(eval, Interval::new(middle, over.high), tolerance, depth - 1, spans);
}

/// Control points of the quintic with the given ends over a span of this width. Hermite data to Bézier form, NB eq. 1.9.
fn quintic([p, p1, p2]: Jet, [q, q1, q2]: Jet, width: f64) -> [Vec3; 6] {
    let (a, b) = (width / 5.0, width * width / 20.0);
    [p, p + p1 * a, p + p1 * (2.0 * a) + p2 * b, q - q1 * (2.0 * a) + q2 * b, q - q1 * a, q]
}

fn bezier(points: &[Vec3; 6], s: f64) -> Vec3 {
    let mut p = *points;
    for n in (1..6).rev() {
        for i in 0..n {
            let next = p.get(i + 1).copied().unwrap_or_default();
            if let Some(x) = p.get_mut(i) {
                *x = *x * (1.0 - s) + next * s;
            }
        }
    }
    p[0]
}

/// The quintic pieces as one B-spline. A piece before a triple knot gives three points of the next one's six away: they
/// follow from its own where second derivatives agree; at breaks where they do not the knot stands five times.
fn spline(eval: &dyn Fn(f64) -> Jet, spans: &[Interval]) -> Option<Curve> {
    let first = spans.first()?;
    let mut knots = vec![first.low; 6];
    let mut points: Vec<[f64; 3]> = Vec::new();
    for (i, span) in spans.iter().enumerate() {
        let piece = quintic(eval(span.low), eval(span.high), span.length()).map(|p| p.to_array());
        points.extend(piece.iter().skip(usize::from(i > 0)));
        knots.extend(core::iter::repeat_n(span.high, if i + 1 == spans.len() { 6 } else { 5 }));
    }
    let spline = KnotVector::new(5, knots).and_then(|k| nurbs::Curve::new(k, points, None)).ok()?;
    Some(Curve::Nurbs(spline))
}

/// Position and derivatives of a surface along a curve in its parameters.
pub(super) fn lifted(surface: &Surface, curve: &Pcurve, t: f64) -> Jet {
    let (uv, d1, d2) = match curve {
        Pcurve::Line(c) => (c.origin + c.direction * t, c.direction, crate::math::Vec2::ZERO),
        Pcurve::Conic(c) => {
            let (p, d) = curve.derivs(t);
            (p, d, c.centre - p)
        }
        Pcurve::Nurbs(c) => {
            let d = c.derivs(t, 2).map(crate::math::Vec2::from_array);
            (crate::math::Point2::from_vec(d[0]), d[1], d[2])
        }
    };
    let s = surface.derivs(uv.u, uv.v, 2);
    let first = s.su * d1.x + s.sv * d1.y;
    let second = s.suu * (d1.x * d1.x) + s.suv * (2.0 * d1.x * d1.y) + s.svv * (d1.y * d1.y) + s.su * d2.x + s.sv * d2.y;
    [s.s.to_vec(), first, second]
}

/// A curve by the share of its length: what ruled surfaces of equal arc length run along.
pub(super) struct ByLength<'c> {
    curve: &'c Curve,
    /// Parameters and the length from the start up to each, dense enough that a few Newton steps lead from one to the
    /// exact place.
    table: Vec<(f64, f64)>,
}

impl<'c> ByLength<'c> {
    /// From `t0` to `t1`; None for a curve without length.
    pub fn new(curve: &'c Curve, t0: f64, t1: f64) -> Option<Self> {
        let mut breaks = curve.breaks_between(t0, t1);
        if t1 < t0 {
            breaks.reverse();
        }
        breaks.insert(0, t0);
        breaks.push(t1);
        let mut table = vec![(t0, 0.0)];
        let mut length = 0.0;
        for pair in breaks.windows(2) {
            let &[a, b] = pair else { continue };
            for i in 0..STEPS {
                let (from, to) = (a + (b - a) * i as f64 / STEPS as f64, a + (b - a) * (i + 1) as f64 / STEPS as f64);
                length += arc(curve, from, to);
                table.push((to, length));
            }
        }
        (length > 0.0 && length.is_finite()).then_some(Self { curve, table })
    }

    fn length(&self) -> f64 {
        self.table.last().map_or(0.0, |e| e.1)
    }

    /// Shares of the length at which the curve's smoothness may break, with both ends.
    pub fn breaks(&self) -> Vec<f64> {
        self.table.iter().step_by(STEPS).map(|e| e.1 / self.length()).collect()
    }

    /// Position and derivatives by the share.
    pub fn jet(&self, share: f64) -> Jet {
        let goal = share * self.length();
        let after = self.table.partition_point(|e| e.1 <= goal).clamp(1, self.table.len().max(2) - 1);
        let ((a, from), (b, to)) = match (self.table.get(after - 1), self.table.get(after)) {
            (Some(&x), Some(&y)) => (x, y),
            _ => return [Vec3::ZERO; 3],
        };
        let mut t = if to > from { a + (b - a) * (goal - from) / (to - from) } else { a };
        for _ in 0..6 {
            let speed = self.curve.tangent(t).length() * (b - a).signum();
            if speed == 0.0 {
                break;
            }
            let next = t - (from + arc(self.curve, a, t) - goal) / speed;
            t = next.clamp(a.min(b), a.max(b));
        }
        let [p, d, dd, _] = self.curve.derivs(t, 2).map(Vec3::from_array);
        let (tangent, speed) = (d.normalize_or_zero() * (b - a).signum(), d.length());
        let length = self.length();
        let bend = if speed > 0.0 { (dd - tangent * tangent.dot(dd)) / (speed * speed) } else { Vec3::ZERO };
        [p, tangent * length, bend * (length * length)]
    }
}

/// Parts of a smooth span in which lengths are tabulated. Fewer: eight-point quadrature loses digits on uneven spans.
const STEPS: usize = 8;

/// Length between two parameters, either order.
fn arc(curve: &Curve, a: f64, b: f64) -> f64 {
    quadrature::gauss_8(Interval::new(a.min(b), a.max(b)), |t| curve.tangent(t).length())
}

/// How far a fitted curve may lie from what it follows, as a share of its size. Larger: trims shift by what shows in
/// gaps; smaller: needless spans.
pub(super) const FIT: f64 = 1e-8;

/// The size of a set of points.
pub(super) fn extent(points: impl IntoIterator<Item = Point3>) -> f64 {
    let mut low = Vec3::INFINITY;
    let mut high = Vec3::NEG_INFINITY;
    for p in points {
        low = low.min(p.to_vec());
        high = high.max(p.to_vec());
    }
    (high - low).length()
}
