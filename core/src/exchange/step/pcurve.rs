//! Curves in a surface's parameter plane: reading them, and finding the part an edge covers.

use super::parameter::nearest;
use super::reader::Reader;
use super::surface::angular;
use super::units::Units;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Conic2, Line2, Pcurve, Surface};
use crate::math::{Interval, Point2, Point3, Vec3};
use crate::model::{Edge, TrimCurve};
use crate::nurbs::{self, KnotVector};

/// A pcurve as written: its surface and its curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Written {
    pub surface: u64,
    pub curve: u64,
}

impl Reader<'_, '_> {
    /// The surface and the parameter-plane curve of a PCURVE; None when the entity is something else (a surface).
    pub(super) fn written_pcurve(&mut self, id: u64) -> Result<Option<Written>, Fault> {
        let instance = self.file.get(id)?;
        let Some(pcurve) = instance.record("PCURVE") else { return Ok(None) };
        let skip = if instance.is_simple() { 1 } else { 0 };
        let surface = pcurve.id(skip)?;
        let definition = self.file.get(pcurve.id(skip + 1)?)?;
        let fields = definition.record("REPRESENTATION").unwrap_or_else(|| definition.fields().after(1));
        let skip = if definition.record("REPRESENTATION").is_some() { 1 } else { 0 };
        match fields.ids(skip)?.first() {
            Some(&curve) => Ok(Some(Written { surface, curve })),
            None => Err(definition.fault(Reason::Geometry("it holds no curve"))),
        }
    }

    /// Plane curve `id` on `surface`, angles in radians. Of a trimmed curve the whole curve it is cut from.
    pub(super) fn pcurve(&mut self, id: u64, surface: &Surface, units: &Units) -> Result<Pcurve, Fault> {
        let (turns_u, turns_v) = angular(surface);
        let factor = |turns| if turns { units.angle } else { 1.0 };
        let raw = self.plane_curve(id)?;
        Ok(if turns_u || turns_v { raw.scaled(factor(turns_u), factor(turns_v)) } else { raw })
    }

    fn plane_curve(&mut self, id: u64) -> Result<Pcurve, Fault> {
        self.within(id, |reader, instance| {
            let fields = instance.fields();
            let positive = |index| super::curve::positive(fields, index);
            if Self::is_spline_curve(instance) {
                return reader.spline_curve(instance, Self::point2).map(Pcurve::Nurbs);
            }
            Ok(match instance.kind() {
                "LINE" => {
                    let [u, v] = reader.point2(fields.id(1)?)?;
                    let vector = reader.file.get(fields.id(2)?)?;
                    let magnitude = super::curve::positive(vector.fields(), 2)?;
                    let direction = reader.direction2(vector.fields().id(1)?)? * magnitude;
                    Pcurve::Line(Line2 { origin: Point2::new(u, v), direction })
                }
                kind @ ("CIRCLE" | "ELLIPSE") => {
                    let ([u, v], x) = reader.frame2(fields.id(1)?)?;
                    let (a, b) = if kind == "CIRCLE" { (positive(2)?, positive(2)?) } else { (positive(2)?, positive(3)?) };
                    Pcurve::Conic(Conic2 { centre: Point2::new(u, v), a: x * a, b: x.perp() * b })
                }
                "POLYLINE" => {
                    let ids = fields.ids(1)?;
                    reader.budget.points(ids.len(), instance.at)?;
                    let points = ids.into_iter().map(|id| reader.point2(id)).collect::<Result<Vec<_>, _>>()?;
                    let last = points.len().saturating_sub(1) as f64;
                    let knots = (0..points.len()).map(|i| i as f64);
                    let knots: Vec<f64> = core::iter::once(0.0).chain(knots).chain([last]).collect();
                    let spline = KnotVector::new(1, knots).and_then(|k| nurbs::Curve::new(k, points, None));
                    Pcurve::Nurbs(spline.map_err(|e| instance.fault(Reason::Spline(e)))?)
                }
                "TRIMMED_CURVE" => return reader.plane_curve(fields.id(1)?),
                _ => return Err(instance.fault(Reason::Unsupported)),
            })
        })
    }
}

/// How far a pcurve's ends may lie from the edge's, as a share of its length, before it is taken for a mistake. Smaller:
/// pcurves of coarse files are thrown away, though they are the file's own trim; larger: wrong ones shape the face.
const LARGEST_MISS: f64 = 1e-3;

/// The part of `pcurve` that covers `edge`, running start to end; None when no part does within the tolerance.
pub(super) fn cover(pcurve: Pcurve, surface: &Surface, edge: &Edge, units: &Units) -> Option<TrimCurve> {
    let tolerance = units.uncertainty;
    const QUARTERS: usize = 8;
    let along: Vec<Point3> = (0..=QUARTERS).map(|i| edge.point(i as f64 / QUARTERS as f64)).collect();
    let (start, end) = (along.first()?, along.last()?);
    let length: f64 = along.windows(2).map(|w| w.first().zip(w.last()).map_or(0.0, |(a, b)| a.distance(*b))).sum();
    let at = |t: f64| {
        let p = pcurve.point(t);
        surface.point(p.u, p.v)
    };
    let miss = |t0: f64, t1: f64| at(t0).distance(*start).max(at(t1).distance(*end));
    // How far the middle strays from the edge: tells a direction or a way round from the other.
    let stray = |t0: f64, t1: f64| {
        let strays = along.iter().enumerate().map(|(i, p)| at(t0 + (t1 - t0) * i as f64 / QUARTERS as f64).distance(*p));
        strays.fold(0.0, f64::max)
    };
    let allowed = (LARGEST_MISS * length).max(10.0 * tolerance);
    let mut candidates = vec![(edge.t0, edge.t1)];
    if let Some(turn) = edge.curve.period() {
        // Angles count from wherever the file likes, and a line over them runs in the file's unit of angle.
        candidates.extend([(edge.t0 + turn, edge.t1 + turn), (edge.t0 - turn, edge.t1 - turn)]);
        if units.angle != 1.0 {
            candidates.push((edge.t0 / units.angle, edge.t1 / units.angle));
        }
    }
    let domain = match &pcurve {
        Pcurve::Nurbs(c) => {
            let domain = c.domain();
            let slack = 1e-9 * domain.length();
            candidates.retain(|c| domain.contains(c.0, slack) && domain.contains(c.1, slack));
            candidates.extend([(domain.low, domain.high), (domain.high, domain.low)]);
            Some(domain)
        }
        Pcurve::Conic(_) => Some(edge_turn(edge)),
        Pcurve::Line(line) => line_domain(line, surface),
    };
    // Searched for only where neither the edge's own parameters nor the whole curve do.
    if let (true, Some(domain)) = (candidates.iter().all(|&(a, b)| miss(a, b) > allowed.min(tolerance)), domain) {
        let breaks = match &pcurve {
            Pcurve::Nurbs(c) => c.knots().breaks(),
            _ => (0..=8).map(|i| domain.at(f64::from(i) / 8.0)).collect(),
        };
        let eval = |t: f64| {
            let (p, d) = pcurve.derivs(t);
            let s = surface.derivs(p.u, p.v, 1);
            (s.s, s.su * d.x + s.sv * d.y) as (Point3, Vec3)
        };
        let (t0, t1) = (nearest(&breaks, 8, eval, *start).t, nearest(&breaks, 8, eval, *end).t);
        candidates.push((t0, t1));
        // Where a closed pcurve begins it also ends.
        for border in [domain.low, domain.high] {
            candidates.extend([(border, t1), (t0, border)]);
        }
    }
    let score = |&(a, b): &(f64, f64)| miss(a, b) + 1e-4 * stray(a, b);
    let &(t0, t1) = candidates.iter().filter(|c| c.0 != c.1).min_by(|a, b| score(a).total_cmp(&score(b)))?;
    // Half way round the wrong way misses by about the length of the edge itself.
    let plausible = miss(t0, t1) <= allowed && stray(t0, t1) <= allowed.max(0.5 * length);
    plausible.then_some(TrimCurve { curve: pcurve, t0, t1 })
}

/// One turn about the middle of the edge's parameters.
fn edge_turn(edge: &Edge) -> Interval {
    let middle = edge.parameter(0.5);
    Interval::new(middle - crate::math::real::PI, middle + crate::math::real::PI)
}

/// The parameters at which a straight pcurve crosses the surface's domain; None when the surface has no borders there.
fn line_domain(line: &Line2, surface: &Surface) -> Option<Interval> {
    let (u, v) = surface.domain();
    let (period_u, period_v) = surface.periods();
    // Files count angles from wherever they like.
    let widened = |side: Interval, period: Option<f64>| Interval::new(side.low - period.unwrap_or(0.0), side.high + period.unwrap_or(0.0));
    let (u, v) = (widened(u, period_u), widened(v, period_v));
    let mut inside = Interval::ALL;
    for (origin, direction, side) in [(line.origin.u, line.direction.x, u), (line.origin.v, line.direction.y, v)] {
        if direction != 0.0 && side.is_bounded() {
            let (a, b) = ((side.low - origin) / direction, (side.high - origin) / direction);
            let (slack, low, high) = (1e-6 * (b - a).abs(), a.min(b), a.max(b));
            // A line along a border never crosses it: its own rounding must not empty the interval.
            if (b - a).is_finite() {
                inside = Interval::new(inside.low.max(low - slack), inside.high.min(high + slack));
            }
        }
    }
    (inside.is_bounded() && inside.length() > 0.0).then_some(inside)
}
