//! Curves in a surface's parameter plane: which surface each is for, and the part of it an edge covers.

use super::plane_curve::PlaneCurve;
use super::reader::Reader;
use super::surface::angular;
use super::units::Units;
use crate::exchange::part21::Instance;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{Curve, Line2, Pcurve, Surface, Trim};
use crate::math::{Interval, Point3};
use crate::model::{Edge, TrimCurve};

/// A pcurve as written: its surface and its curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Written {
    pub surface: u64,
    pub curve: u64,
}

impl<'a> Reader<'a, '_> {
    /// The surface and the parameter-plane curve of a PCURVE; None when the entity is something else (a surface).
    pub(super) fn written_pcurve(&mut self, id: u64) -> Result<Option<Written>, Fault> {
        let instance = self.file.get(id)?;
        self.pcurve_parts(&instance)
    }

    fn pcurve_parts(&mut self, instance: &Instance<'a>) -> Result<Option<Written>, Fault> {
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

    /// Plane curve `id` on `surface`, angles in radians, with the ends it is cut to, if any. `edge` gives the two
    /// points in space that it joins, for curves that have neither ends nor a period.
    pub(super) fn pcurve(
        &mut self,
        id: u64,
        surface: &Surface,
        units: &Units,
        edge: Option<[Point3; 2]>,
    ) -> Result<(Pcurve, Option<(f64, f64)>), Fault> {
        let (turns_u, turns_v) = angular(surface);
        let factor = |turns| if turns { units.angle } else { 1.0 };
        let (factor_u, factor_v) = (factor(turns_u), factor(turns_v));
        let PlaneCurve { shape, ends } = self.plane_curve(id, units)?;
        let (raw, ends) = shape
            .bounded(ends, || edge.map(|p| p.map(|p| super::plane_curve::written_foot(surface, p, factor_u, factor_v))))
            .map_err(|why| self.file.get(id).map_or_else(|fault| fault, |instance| instance.fault(why)))?;
        Ok((if turns_u || turns_v { raw.scaled(factor_u, factor_v) } else { raw }, ends))
    }

    /// The space curve of a PCURVE with ends of its own, and its parameters.
    pub(super) fn lifted_pcurve(&mut self, instance: &Instance<'a>, units: &Units) -> Result<(Curve, f64, f64), Fault> {
        let Some(written) = self.pcurve_parts(instance)? else { return Err(instance.fault(Reason::Unsupported)) };
        let surface = self.surface(written.surface, units)?.surface;
        let (curve, ends) = self.pcurve(written.curve, &surface, units, None)?;
        let ends = ends.or_else(|| match &curve {
            Pcurve::Nurbs(c) => Some((c.domain().low, c.domain().high)),
            Pcurve::Conic(_) => Some((0.0, crate::math::real::TAU)),
            Pcurve::Line(line) => line_domain(line, &surface).map(|d| (d.low, d.high)),
        });
        let (t0, t1) = ends.ok_or_else(|| instance.fault(Reason::Geometry("it has no ends")))?;
        let lifted = super::lifted::lifted(&surface, &curve, t0, t1);
        let lifted = lifted.ok_or_else(|| instance.fault(Reason::Geometry("it has no finite curve in space")))?;
        self.budget.points(lifted.points().len(), instance.at)?;
        Ok((Curve::Nurbs(lifted), t0, t1))
    }
}

/// How far a pcurve's ends may lie from the edge's, as a share of its length, before it is taken for a mistake. Smaller:
/// pcurves of coarse files are thrown away, though they are the file's own trim; larger: wrong ones shape the face.
const LARGEST_MISS: f64 = 1e-3;

/// The part of `pcurve` that covers `edge`, running start to end; else how far the best part misses it, file units.
/// `ends` are those it is itself cut to.
pub(super) fn cover(pcurve: Pcurve, ends: Option<(f64, f64)>, surface: &Surface, edge: &Edge, units: &Units) -> Result<TrimCurve, f64> {
    let tolerance = units.uncertainty;
    const QUARTERS: usize = 8;
    let along: Vec<Point3> = (0..=QUARTERS).map(|i| edge.point(i as f64 / QUARTERS as f64)).collect();
    let (start, end) = (&edge.point(0.0), &edge.point(1.0));
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
    candidates.extend(ends.into_iter().flat_map(|(a, b)| [(a, b), (b, a)]));
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
    if let (true, Some(domain)) = (candidates.iter().all(|&(a, b)| miss(a, b) > allowed.min(tolerance)), domain)
        && let Ok(trim) = Trim::on_pcurve(surface, &pcurve, domain.low, domain.high)
    {
        // The two ends of a closed one are equally near its beginning, and only one of them leads on.
        let feet = |p: Point3| [None, Some(0.0), Some(1.0)].map(|seed| trim.closest(surface, p, seed));
        let nearest = |p: Point3| {
            let best = feet(p).into_iter().min_by(|a, b| a.point.distance(p).total_cmp(&b.point.distance(p)));
            domain.at(best.map_or(0.0, |foot| foot.s))
        };
        let (t0, t1) = (nearest(*start), nearest(*end));
        candidates.push((t0, t1));
        // Where a closed pcurve begins it also ends.
        for border in [domain.low, domain.high] {
            candidates.extend([(border, t1), (t0, border)]);
        }
    }
    let score = |&(a, b): &(f64, f64)| miss(a, b) + 1e-4 * stray(a, b);
    let best = candidates.iter().filter(|c| c.0 != c.1).min_by(|a, b| score(a).total_cmp(&score(b)));
    let &(t0, t1) = best.ok_or(f64::INFINITY)?;
    // Half way round the wrong way misses by about the length of the edge itself.
    let plausible = miss(t0, t1) <= allowed && stray(t0, t1) <= allowed.max(0.5 * length);
    if plausible {
        return Ok(TrimCurve { curve: pcurve, t0, t1 });
    }
    // Told as a distance to the surface where it is; what is refused is at least as far off as what is allowed.
    let off = along.iter().enumerate().map(|(i, p)| {
        let uv = pcurve.point(t0 + (t1 - t0) * i as f64 / QUARTERS as f64);
        surface.held_point(uv.u, uv.v).distance(*p)
    });
    Err(off.fold(allowed, f64::max))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Line;
    use crate::geometry::test_patch::lifted_side;
    use crate::math::Vec3;
    use crate::model::{Source, VertexId};
    use crate::nurbs::{self, KnotVector};

    /// A curve far beyond its patch is refused by how far the edge is from the patch, not from what the patch's
    /// polynomials run to out there.
    #[test]
    fn a_refused_curve_beyond_its_patch_is_told_by_a_true_distance() {
        let surface = lifted_side();
        let corner = surface.point(1.0, 0.0);
        assert!(corner.distance(Point3::new(10.0, 0.0, 5.0)) < 1e-12);
        let edge = Edge {
            curve: Curve::Line(Line { origin: Point3::new(0.0, 0.0, 20.0), direction: Vec3::new(1.0, 0.0, 0.0) }),
            t0: 0.0,
            t1: 10.0,
            start: VertexId::new(0),
            end: VertexId::new(1),
            source: Source::default(),
        };
        for beyond in [2.0, 20.0, 1e4] {
            let line = KnotVector::new(1, vec![0., 0., 1., 1.]).unwrap();
            let pcurve = nurbs::Curve::new(line, vec![[beyond, 0.0], [beyond + 1.0, 0.0]], None).unwrap();
            let missed = cover(Pcurve::Nurbs(pcurve), None, &surface, &edge, &Units::default()).unwrap_err();
            let farthest = corner.distance(edge.point(0.0)).max(corner.distance(edge.point(1.0)));
            assert!((missed - farthest).abs() < 1e-12, "{beyond}: {missed} for {farthest}");
        }
    }
}
